"""The opened sample: an item is written down on a phone, a fault is told at its field, what it comes to is shown."""

from harness import DESKTOP, DARK, LIGHT, PHONE
from selenium.webdriver.common.by import By


def begin(stage, kind):
    stage.click("Add what was found")
    stage.choose("Kind", kind)
    stage.click("Describe it")


def test_a_lead_is_written_down(stage):
    served = stage.serve()
    stage.look(PHONE, LIGHT)
    stage.tolerate("400")
    stage.open("/opened/1")
    stage.wait_text("Before a hand goes in")
    begin(stage, "conductor")
    stage.named("size").send_keys("10 AWG")
    stage.named("length").send_keys("30")
    stage.click("Keep it")
    stage.wait("the field at fault has the focus", lambda: stage.named("length").get_attribute("aria-invalid") == "true")
    stage.named("length").send_keys(" cm")
    stage.named("insulation").send_keys("105 °C")
    stage.click("Keep it")
    stage.wait_text("Against the label", ".item")
    stage.settled()
    stage.audit()
    told = served.run("opened", served.book, "--sample", "Sample 014")
    assert "length" in told and "30 cm" in told and "against the label" in told
    stage.click("Take out conductor")
    stage.wait_text("Nothing yet")
    stage.click("Undo")
    stage.wait_text("10 AWG", ".item")


def test_a_step_leads_to_its_field(stage):
    stage.serve()
    stage.look(DESKTOP, DARK)
    stage.open("/opened/1")
    steps = stage.wait("there are steps", lambda: stage.all(".steps li"))
    steps[0].find_element(By.TAG_NAME, "button").click()
    stage.wait("a form is open", lambda: stage.all(".item-form"))
    stage.audit()
    stage.click("Leave it")
    stage.wait("it is gone", lambda: not stage.all(".item-form"))
