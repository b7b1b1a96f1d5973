"""A test is planned with what the page offers, followed by keyboard, and told again by the command line."""

import json

from harness import DARK, DESKTOP, LIGHT, PHONE
from selenium.webdriver.common.keys import Keys


def done_steps(stage):
    return len(stage.all(".step.done"))


def keep(stage):
    stage.wait("the text can be kept", lambda: stage.named("Keep").is_enabled())
    stage.driver.switch_to.active_element.send_keys(Keys.CONTROL, Keys.ENTER)


def test_planned_saved_and_followed(stage):
    served = stage.serve()
    stage.look(PHONE, DARK)
    stage.open("/plan/1")
    stage.click("List the loads")
    keep(stage)
    stage.wait_text("heater + kettle", ".plan-facts")
    stage.settled()
    stage.type("Base load goes on at", "9:30" + Keys.ENTER)
    stage.wait_text("09:30", ".protocol")
    stage.settled()
    stage.click("Save this plan")
    stage.wait_text("The plan is saved.")
    stage.settled()
    stage.audit()
    shown = stage.get_json("/api/samples/1/plan")["plan"]
    told = json.loads(served.run("plan", served.book, "--sample", "Sample 014", "--json"))
    assert [step["when"] for step in shown["protocol"]] == [step["when"] for step in told["protocol"]]
    assert [claim["reason"] for claim in shown["claims"]] == [claim["reason"] for claim in told["claims"]]

    stage.js("document.activeElement.blur()")
    stage.press("n")
    stage.wait("the first step is ticked", lambda: done_steps(stage) == 1)
    stage.wait_text("step 2", ".next-step")
    stage.driver.switch_to.active_element.send_keys(Keys.CONTROL, "z")
    stage.wait("the tick is taken back", lambda: done_steps(stage) == 0)
    stage.press("n")
    stage.wait("it is ticked again", lambda: done_steps(stage) == 1)
    stage.open("/plan/1")  # another device, another day
    assert done_steps(stage) == 1


def test_a_rig_is_described_tried_and_improved(stage):
    stage.serve()
    stage.look(DESKTOP, LIGHT)
    stage.open("/rig?sample=1")
    stage.press("n")
    stage.choose("The amps and volts come from", "A meter that prints lines")
    stage.type("What the rig is called", "window")
    stage.type("Address", "tcp 127.0.0.1:1")
    stage.click("Write it")
    keep(stage)
    stage.wait_text("window meter", ".rig")
    stage.wait_text("What would be worth improving")
    stage.choose("Listen for", "3 s")
    stage.click("Try the instruments")
    stage.wait_text("port 1", ".probed .fault")
    stage.audit()
    assert stage.get_json("/api/samples/1/improve")["improvements"][0]["part"] == "current"
