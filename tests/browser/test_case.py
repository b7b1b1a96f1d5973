"""The demo's full case: everything of a sample on its pages, from what does not go together to what can be taken away."""

import json
import pathlib
import urllib.request

from harness import DARK, DESKTOP, LIGHT, PHONE
from selenium.webdriver.common.keys import Keys


def test_everything_of_a_sample_is_there(stage):
    served = stage.serve("case")
    stage.look(DESKTOP, LIGHT)
    told = json.loads(served.run("assess", served.book, "--sample", "Sample 014", "--json", "--quiet"))
    stage.open("/")
    stage.wait_text("Sample 014", "main")
    stage.open("/sample/1")
    stage.wait_text(told["contradictions"][0]["words"], ".contradictions")
    assert told["contradictions"][0]["words"] not in stage.text(".summary")
    stage.wait("the ladder is drawn", lambda: len(stage.all(".ladder .rung")) == len(told["claims"]))
    for log in ("charge", "log", "low", "cold", "hot"):
        assert f"hut-pack.{log}.csv" in stage.text("main"), log
    stage.wait("the pictures are seen", lambda: len(stage.all("main img")) >= 4)
    for kind in ("chargings", "trips"):
        assert told[kind], kind
    cold = next(one for one in told["trips"] if one["way"] == "cold")
    for words in (told["chargings"][0]["held_v"]["words"], cold["threshold_degc"]["words"], told["low_stops"][0]["words"]):
        assert words in stage.text("main"), words
    for row in told["untested"]:
        assert row["words"] in stage.text("main"), row
    stage.click("Continuous current", ".contradictions button")
    stage.wait_text("100 A", "dialog")
    stage.audit()
    stage.press(Keys.ESCAPE)
    stage.audit()
    stage.open("/publish/1")
    stage.wait_text("The sheet, PDF", "main")
    with urllib.request.urlopen(served.address + "/api/samples/1/page.html", timeout=20) as reply:
        page = reply.read().decode()
    for words in ("chilled slowly: 0.8 K a minute", "2.0 ± 1.2 °C", "woken by a charger", "marked for 80 A", "INVENTED", "What was not tested"):
        assert words.lower() in page.lower(), words


LABEL = """[sample]
name = Hut pack 9
had = bought
invented = yes

[claims]
capacity = 100 Ah at 0.2 It, 25 °C, to 10 V | case
nominal voltage = 12.8 V | case
charge voltage = 14.4 V | manual
continuous current = 100 A | case
charging stops when cold = yes | listing
"""
DEMO = pathlib.Path(__file__).resolve().parents[2] / "demo"


def use(stage, name):
    """By keys alone."""
    stage.tab_to(name, most=200)
    stage.press(Keys.SPACE if stage.named(name).get_attribute("type") == "checkbox" else Keys.ENTER)


def give_file(stage, path, before=0):
    stage.settled()
    stage.wait("files are taken", lambda: stage.all("input[type=file]"))[before].send_keys(str(path))


def add_log(stage, name, kind):
    stage.open("/add?sample=1")
    give_file(stage, DEMO / f"hut-pack.{name}.csv")
    stage.wait("it can be stored", lambda: stage.named("Store in the book").is_enabled())
    stage.choose("What was tested", kind)
    use(stage, "Store in the book")
    stage.wait_text("Stored: run")


def test_a_case_is_built_from_an_empty_shelf(stage):
    served = stage.serve("empty")
    stage.look(PHONE, DARK)
    stage.open("/")
    stage.wait_text("./try")
    stage.audit()
    use(stage, "New sample")
    stage.tab_to("Name")
    stage.press("Hut pack 9")
    use(stage, "Add it")
    stage.wait("its page opens", lambda: stage.js("return location.pathname") == "/sample/1")
    use(stage, "Type the label")
    stage.type("What is printed on it and promised with it", LABEL)
    stage.wait("it can be saved", lambda: stage.named("Save as a new version").is_enabled())
    use(stage, "Save as a new version")
    stage.wait_text("Edit the label")
    add_log(stage, "charge", "charge")
    add_log(stage, "cold", "protection")
    stage.open("/opened/1")
    use(stage, "Add what was found")
    stage.choose("Kind", "board")
    use(stage, "Describe it")
    stage.tab_to("rating")
    stage.press("80 A")
    use(stage, "Keep it")
    stage.wait_text("Against the label", ".item")
    use(stage, "Add what was found")
    stage.choose("Kind", "cells")
    use(stage, "Describe it")
    stage.tab_to("count")
    stage.press("4")
    use(stage, "Keep it")
    stage.wait_text("Add pictures of cells")
    give_file(stage, DEMO / "hut-pack.cells.png", 1)
    stage.wait_text("On sheet and page")
    use(stage, "On sheet and page")
    use(stage, "Read the codes off all pictures")
    stage.wait_text("3 codes read off 1 picture; 3 are new")
    stage.wait_text("3 codes read")
    stage.audit()
    stage.open("/sample/1")
    stage.wait_text("the board in it is marked for 80 A", ".contradictions")
    stage.wait_text("What the board stopped")
    stage.audit()
    stage.open("/publish/1")
    stage.wait_text("1 of 1 stand on sheet and page")
    stage.tab_to("In your own words")
    stage.press("Take it with care.")
    use(stage, "Keep as an opinion")
    stage.wait_text("Your own words are kept, as an opinion")
    use(stage, "The page, one HTML file")
    page = stage.downloaded("*.html").read_text()
    told = json.loads(served.run("assess", served.book, "--sample", "Hut pack 9", "--json", "--quiet"))
    cold = next(one for one in told["trips"] if one["way"] == "cold")
    for words in ("Take it with care.", "marked for 80 A", "data:image/jpeg", cold["threshold_degc"]["words"], "shown to be full"):
        assert words in page, words
