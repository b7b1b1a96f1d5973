"""A sample's page: the ladder walked by keys to the chain of a claim, the label with its history, names, what goes."""

import json

from harness import DARK, DESKTOP, LIGHT, PHONE
from selenium.webdriver.common.keys import Keys


def rungs(stage):
    return stage.wait("the ladder is drawn", lambda: stage.all(".ladder .rung"))


def test_the_ladder_leads_to_the_chains(stage):
    served = stage.serve()
    stage.look(DESKTOP, DARK)
    stage.open("/sample/1")
    told = json.loads(served.run("assess", served.book, "--sample", "Sample 014", "--json", "--quiet"))
    assert len(rungs(stage)) == len(told["claims"])
    stage.tab_to(rungs(stage)[0].get_attribute("aria-label"))
    stage.press(Keys.ARROW_DOWN)
    assert stage.focused().startswith("Capacity")
    stage.press(Keys.ENTER)
    claim = next(one for one in told["claims"] if one["claim"] == "capacity")
    stage.wait_text(claim["measured"]["words"], "dialog")
    stage.wait_text("7785 readings", "dialog")
    stage.audit()
    stage.press(Keys.ESCAPE)
    stage.wait("the rung has the focus again", lambda: stage.focused().startswith("Capacity"))
    stage.press("t")
    stage.wait_text("Claims and what was found", ".ladder + details")
    for claim in told["claims"]:
        if claim["measured"]["value"] is not None:
            assert claim["measured"]["words"] in stage.text(".ladder + details"), claim["name"]


def test_a_label_is_corrected_and_put_back(stage):
    stage.serve()
    stage.look(PHONE, LIGHT)
    stage.tolerate("400")
    stage.open("/sample/2")
    stage.click("Edit the label")
    area = stage.named("What is printed on it and promised with it")
    area.send_keys(Keys.CONTROL, Keys.END)
    area.send_keys("\n[claims]\ncapacity = much")
    stage.wait("the line is told what is wrong with it", lambda: "Line 25" in stage.text(".paper-faults"))
    assert not stage.named("Save as a new version").is_enabled()
    area.send_keys(Keys.BACKSPACE * len("[claims]\ncapacity = much") + "weight = how much with its lid?")
    stage.wait("it can be saved", lambda: stage.named("Save as a new version").is_enabled())
    stage.click("Save as a new version")
    stage.wait_text("weight: how much with its lid?")
    stage.settled()
    stage.click("History: 2 versions")
    stage.click("What it changed")
    stage.wait_text("weight = how much with its lid?", ".differences ins")
    stage.audit()
    stage.click("Put this again")
    stage.wait_text("History: 3 versions")
    assert "with its lid" not in stage.text("main")
    papers = stage.get_json("/api/samples/2/papers")["papers"]
    assert [len(paper["versions"]) for paper in papers if paper["kind"] == "label"] == [3]


def test_it_is_renamed_and_removed_by_its_name_alone(stage):
    stage.serve()
    stage.look(DESKTOP, LIGHT)
    stage.tolerate("400")
    stage.open("/sample/2")
    stage.click("Rename")
    stage.type("Name", "sample-014" + Keys.ENTER)
    stage.wait_text("there is a sample of the name", "dialog")
    stage.type("Name", "Radio pack" + Keys.ENTER)
    stage.wait_text("Radio pack", "h1")
    stage.click("Undo")
    stage.wait_text("Sample 015", "h1")
    stage.settled()
    stage.click("Remove")
    name = stage.named("Type its name, Sample 015, to be sure")
    name.send_keys("Sample 01")
    assert not stage.named("Remove for good").is_enabled()
    name.send_keys("5" + Keys.ENTER)
    stage.wait("the shelf is shown", lambda: stage.js("return location.pathname") == "/")
    assert len(stage.get_json("/api/samples")["samples"]) == 1
