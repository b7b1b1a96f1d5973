"""The demo's full case: everything of a sample on its pages, from what does not go together to what can be taken away."""

import json
import urllib.request

from harness import DESKTOP, LIGHT
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
