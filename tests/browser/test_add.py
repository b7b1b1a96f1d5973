"""Readings into the book: a log that asks a question, with keys alone; readings typed field by field and as text."""

import json

from harness import DARK, DESKTOP, LIGHT, NARROW, PHONE
from selenium.webdriver.common.keys import Keys


def two_volts(folder):
    """Volts of two places, the current with the sign of a charger, and a row that no one can read."""
    rows = ["time s,volts a,volts b,amps"]
    rows += [f"{k},{13.2 - 0.003 * k:.3f},{13.1 - 0.003 * k:.3f},{0 if k < 5 else -20 - k % 3}" for k in range(90)]
    path = folder / "two volts.csv"
    path.write_text("\n".join([*rows, "90,12.9,oops,-20"]) + "\n")
    return path


def give(stage, *paths):
    stage.all("input[type=file]")[0].send_keys("\n".join(map(str, paths)))


def newest_run(stage, sample):
    rows = json.loads(stage.served.run("sample", "show", stage.served.book, sample, "--json"))["runs"]
    return max(rows, key=lambda one: one["run"])


def test_a_log_asks_and_is_stored_with_keys_alone(stage):
    stage.serve()
    stage.open("/add?sample=1")
    log = two_volts(stage.served.folder)
    give(stage, log)
    stage.wait_text("could each be the voltage")
    stage.audit()
    stage.tab_to("Column 3 is the voltage")
    stage.press(Keys.ENTER)
    stage.wait_text("charge is positive")
    stage.wait_text("90 rows, and 1 row that cannot be read")
    stage.wait_text("neither a number nor a mark for a missing one")
    for size in (NARROW, PHONE, DESKTOP):
        for theme in (LIGHT, DARK):
            stage.look(size, theme)
            stage.audit()
    stage.tab_to("Column 2, volts a, is")
    stage.press("volt")  # another choice is tried at once, and the focus stays
    stage.wait_text("91 rows")
    stage.wait("the focus stays", lambda: stage.focused() == "Column 2, volts a, is")
    stage.tab_to("Store in the book")
    stage.press(Keys.ENTER)
    stage.wait_text("Stored: run")
    run = newest_run(stage, "sample-014")
    assert run["name"] == "two volts.csv", run
    read = stage.served.run("import", stage.served.book, log, "--sample", "twin", "--column", "voltage=2", "--quiet")
    assert "91 readings" in read, read  # the command reads the same


def test_readings_are_typed(stage):
    stage.serve("empty")
    stage.open("/add?type=readings")
    stage.wait_text("Nothing is typed yet")
    stage.audit()
    stage.tab_to("Time")
    for row in (["0:00", "13.31", "0", "", "", "", "19", ""], ["0:10:30", "12.98", "~23", "", "4.1", "", "", "burst"]):
        for words in row:
            stage.press(*words, Keys.ENTER)
    stage.wait_text("mark: burst")
    stage.named("Readings, one instant a line").send_keys(Keys.CONTROL + Keys.END + Keys.NULL, "103..104 Ah (remembered)\n12.9")
    stage.wait_text("The number `12.9` has no unit")
    stage.wait_text("It can be stored once every line can be read.")
    for size in (NARROW, PHONE, DESKTOP):
        for theme in (LIGHT, DARK):
            stage.look(size, theme)
            stage.audit()
    stage.driver.refresh()  # the draft is still there
    stage.settled()
    stage.wait_text("A draft of an earlier visit")
    stage.named("Readings, one instant a line").send_keys(Keys.CONTROL + Keys.END + Keys.NULL, " V")
    stage.type("Sample", "Bivouac 2")
    stage.wait_text("A new sample of this name will be made.")
    stage.click("Store in the book")
    stage.wait_text("Stored: run 1, typed by eye of Bivouac 2")
    found = json.loads(stage.served.run("assess", f"{stage.served.book}:1", "--json", "--quiet"))
    assert found["logs"][0]["path"].endswith(":1"), found["logs"]


def test_what_is_no_log_is_let_go(stage):
    stage.serve("empty")
    stage.open("/add")
    noise, log = stage.served.folder / "noise.bin", two_volts(stage.served.folder)
    noise.write_bytes(b"x\0\0\1")
    give(stage, noise, log)
    stage.wait_text("This is not text")
    stage.wait_text("Then two volts.csv.")
    stage.audit()
    stage.click("Let this file go")
    stage.wait_text("could each be the voltage")
