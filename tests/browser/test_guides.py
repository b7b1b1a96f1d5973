"""Test sheets: reached from a sample, followed on a phone, printed."""

from harness import NARROW


def test_a_sheet_of_a_sample(stage):
    stage.serve()
    stage.open("/sample/1")
    stage.click("Test sheets", "nav a")
    stage.wait_text("Lowest charge temperature")
    stage.click("Charging stopped by cold")
    stage.wait_text("mark: sensor chilled")
    stage.wait_text("14.4 V", ".guide-numbers")
    stage.wait_text("No short circuit")
    stage.click("PDF, A4")
    assert stage.downloaded("cold-charge.pdf").read_bytes().startswith(b"%PDF-")


def test_they_are_where_they_are_wanted(stage):
    stage.serve()
    stage.open("/plan/1")
    stage.click("Test sheets: how each is tested by hand")
    stage.click("Charging stopped by heat")
    stage.click("Begin the recording")
    stage.wait_text("Begin a recording")
    assert stage.js("return document.querySelector('input[name=kind]:checked').value") == "protection"
    stage.click("Test sheets", ".cautions a")
    stage.wait_text("Test sheets: Sample 014", "h1")


def test_ticks_outlive_a_reload_and_go_when_asked(stage):
    stage.serve()
    stage.look(NARROW)
    stage.open("/guides?sample=1&test=over-current")
    ticked = "return document.querySelectorAll('.guide :checked').length"
    stage.click("Step 2 done")
    assert stage.js(ticked) == 1
    stage.js("location.reload()")
    stage.wait("the tick is still there", lambda: stage.js(ticked) == 1 and stage.named("Step 2 done").is_selected())
    stage.open("/guides?test=over-current")  # of no sample: another sheet
    stage.wait_text("Step by step")
    assert stage.js(ticked) == 0
    stage.open("/guides?sample=1&test=over-current")
    stage.click("Clear the ticks")
    stage.wait("no tick is left", lambda: stage.js(ticked) == 0)


def test_on_paper_stands_the_sheet_alone(stage):
    stage.serve()
    stage.open("/guides?sample=1&test=hot-charge")
    stage.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    shown = stage.text("body")
    assert "Charging stopped by heat" in shown and "Stop at once" in shown and "Invented data" in shown
    assert "Current held, or stopped" not in shown and "PDF" not in shown and "Shelf" not in shown
