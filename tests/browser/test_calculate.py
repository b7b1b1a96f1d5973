"""Calculators: the server's answer at once, its faults at their fields, the question in the address."""

import json
import subprocess

from harness import NARROW


def test_a_change_is_answered_at_once(stage):
    stage.serve()
    stage.look(NARROW)
    stage.open("/calculate/wire")
    stage.wait_text("A conductor needs its size")
    for name, words in (("Size", "10 AWG"), ("Length", "18 cm"), ("Current", "50 A")):
        stage.type(name, words)
    stage.wait_text("9.5 A/mm²")
    stage.wait("the question stands in the address", lambda: "length=18" in stage.js("return location.search"))
    stage.type("Cell end", "warm")
    stage.wait_text("Cell cannot use 'warm'")
    assert stage.js("return document.querySelector('[name=cell]').getAttribute('aria-invalid')") == "true"


def test_the_same_as_the_command(stage):
    stage.serve()
    asked = stage.served.get("/api/calculate/casesize?length=329&width=172&height=214")
    stage.open("/calculate/casesize?length=329&width=172&height=214")
    stage.wait_text("BCI 31")
    told = json.loads(subprocess.run([stage.served.program, "casesize", "329", "172", "214", "--json"], check=True, capture_output=True).stdout)
    assert asked["result"]["assumed"] == told["assumed"]
    assert [one["group"] for one in asked["result"]["groups"]] == [one["group"] for one in told["groups"]]


def test_a_sheet_of_a_sample(stage):
    stage.serve()
    stage.open("/sample/1")
    stage.click("Test sheets")
    stage.click("Charging stopped by cold")
    stage.wait_text("mark: sensor chilled")
    stage.wait_text("No short circuit")
