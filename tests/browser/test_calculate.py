"""Calculators: the server's answer at once, its faults at their fields, the question in the address."""

import json
import subprocess

from harness import DARK, DESKTOP, LIGHT, NARROW
from selenium.webdriver.common.keys import Keys
from served import demo


def field(stage, name):
    return stage.all(f"[name={name}]")[0]


def test_a_change_is_answered_at_once(stage):
    stage.serve()
    stage.look(NARROW)
    stage.open("/calculate/wire")
    stage.wait_text("A conductor needs its size")
    for name, words in (("Size", "10 AWG"), ("Length", "18 cm"), ("Current", "50 A")):
        stage.type(name, words)
    stage.wait_text("9.5 A/mm²")
    for words in ("Local codes and licensed practice", "Air of 25 °C around it", "33 CFR 183.425, Table 5"):
        stage.wait_text(words)
    stage.wait("the question stands in the address", lambda: "length=18" in stage.js("return location.search"))
    stage.type("Cell end", "warm")
    stage.wait_text("Cell cannot use 'warm'")
    cell = field(stage, "cell")
    assert cell.get_attribute("aria-invalid") == "true"
    assert "fault-cell" in cell.get_attribute("aria-describedby")
    stage.audit()


def test_with_keys_alone(stage):
    stage.serve()
    stage.look(DESKTOP, DARK)
    stage.open("/calculate/thermistor")
    stage.tab_to("Resistances or temperatures")
    stage.press("28.7043 kΩ", Keys.ENTER, "60 °C")
    stage.press(Keys.TAB, "10 kΩ", Keys.TAB, "3435", Keys.ENTER)
    stage.wait_text("0.00 ± 0.35 °C")
    stage.wait_text("2.981 kΩ")
    stage.tab_walk()
    stage.js("location.reload()")
    stage.wait_text("2.981 kΩ")
    stage.audit()


def test_the_same_as_the_command(stage):
    stage.serve()
    asked = stage.served.get("/api/calculate/casesize?length=329&width=172&height=214")
    stage.open("/calculate/casesize?length=329&width=172&height=214")
    stage.wait_text("BCI 31")
    told = json.loads(subprocess.run([stage.served.program, "casesize", "329", "172", "214", "--json"], check=True, capture_output=True).stdout)
    assert asked["result"] == told


def test_codes_are_read_off_a_picture(stage):
    stage.serve()
    stage.look(NARROW, LIGHT)
    stage.open("/calculate/cellcode?tested=2026-03-14")
    picture = stage.all("input[type=file]")[0]

    def show(name, words):
        picture.send_keys(str(demo / name))
        stage.wait("it has been looked at", picture.is_enabled)
        stage.wait_text(words)

    show("hut-pack.lead.png", "No code is read off it")
    show("hut-pack.cells.png", "3 codes of cells read")
    stage.wait_text("3 codes:", ".answer")
    show("hut-pack.cells.png", "3 codes of cells read")  # again: none stands twice
    assert len(field(stage, "code").get_attribute("value").split("\n")) == 3
    stage.audit()
    stage.tolerate("415")
    show("hut-pack.label", "a JPEG, PNG, WebP or HEIC")
