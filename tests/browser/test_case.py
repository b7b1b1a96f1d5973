"""The demo's full case: everything of a sample on its pages, from what does not go together to what can be taken away."""

import json
import urllib.request

from harness import DESKTOP, LIGHT


def test_everything_of_a_sample_is_there(stage):
    served = stage.serve("case")
    stage.look(DESKTOP, LIGHT)
    told = json.loads(served.run("assess", served.book, "--sample", "Sample 014", "--json", "--quiet"))
    stage.open("/")
    stage.wait_text("Sample 014", "main")
    stage.open("/sample/1")
    stage.wait_text(told["contradictions"][0]["words"], "main")
    stage.wait("the ladder is drawn", lambda: len(stage.all(".ladder .rung")) == len(told["claims"]))
    for log in ("charge", "log", "low", "cold", "hot"):
        assert f"hut-pack.{log}.csv" in stage.text("main"), log
    stage.wait("the pictures are seen", lambda: len(stage.all("main img")) >= 4)
    stage.audit()
    stage.open("/publish/1")
    stage.wait_text("The sheet, PDF", "main")
    with urllib.request.urlopen(served.address + "/api/samples/1/page.html", timeout=20) as reply:
        page = reply.read().decode()
    for words in ("by a slow ramp the threshold is", "woken by a charger", "marked for 80 A", "INVENTED", "What was not tested"):
        assert words.lower() in page.lower(), words
