"""The whole job in one tour, at the size of a phone and of a desk, in the light and in the dark, by hand and by keys
alone: a new sample, its label, a rehearsed recording watched live, what the burst cost, the verdicts, the sheet."""

import shutil
import subprocess

from selenium.webdriver.common.keys import Keys

from harness import DARK, DESKTOP, LIGHT, PHONE

LABEL = """[sample]
name = Hut pack 7
invented = yes

[claims]
capacity = 50 Ah at 0.2 It, 25 °C, to 10 V | case
nominal voltage = 12.8 V | case
mass = 6.6 kg | listing

[measured]
mass = 6.55 kg ± 0.01 kg | parcel scale
"""

# Small, so that a whole discharge takes seconds.
SCRIPT = """# INVENTED.
name = Hut pack 7
seed = 7

[pack]
cells = 4
capacity = 51 Ah
ambient = 22 degC

[board]
over-discharge = 2.5 V, for 2 s
over-current = 160 A, for 1 s

[bench meter]
voltage = 0.05 % + 2 digits
current = 0.3 % + 2 digits

[claims]
capacity = 50 Ah | case

[program]
rest = 3 min
discharge = 600 W, for 15 min
burst = 1000 W, for 3 min
discharge = 600 W, until cut-off
rest = 5 min
"""


class Hand:
    """Uses controls by their names, with a pointer or with nothing but keys."""

    def __init__(self, stage, keys):
        self.stage, self.keys = stage, keys

    def use(self, name):
        if not self.keys:
            return self.stage.click(name)
        control = self.stage.named(name)
        self.stage.tab_to(name, most=200)
        kind = control.get_attribute("type")
        return self.stage.press(Keys.SPACE if kind in ("checkbox", "radio") else Keys.ENTER)

    def pick(self, name):
        """A choice of several: arrows move between them, Tab does not."""
        if not self.keys:
            return self.stage.click(name)
        control = self.stage.named(name)
        group = self.stage.js("return [...arguments[0].form.elements[arguments[0].name]].find((one) => one.checked).labels[0].innerText.trim()", control)
        self.stage.tab_to(group, most=200)
        for _ in range(6):
            if self.stage.js("return arguments[0].checked", control):
                return None
            self.stage.press(Keys.ARROW_DOWN)
        raise AssertionError(f"arrows do not come to {name!r}")

    def write(self, name, words):
        control = self.stage.named(name, "input, textarea")
        if self.keys:
            self.stage.tab_to(name, most=200)
        else:
            control.click()
        self.stage.chord(Keys.CONTROL, "a")
        self.stage.press(words)


def number(stage, selector):
    """What a large figure shows; 0 while it shows none."""
    words = stage.text(selector)
    return float(words) if words.replace(".", "", 1).isdigit() else 0


def take_in(stage, hand):
    stage.open("/")
    hand.use("New sample")
    hand.write("Name", "Hut pack 7")
    hand.use("Invented, for practice: marked as such everywhere")
    hand.use("Add it")
    stage.wait("its page opens", lambda: stage.js("return location.pathname") == "/sample/1")
    hand.use("Type the label")
    hand.write("What is printed on it and promised with it", LABEL)
    stage.wait("it can be saved", lambda: stage.named("Save as a new version").is_enabled())
    hand.use("Save as a new version")
    stage.wait_text("Edit the label")


def rehearse(stage, hand):
    stage.open("/bench?sample=1")
    hand.pick("a rehearsal: an invented pack and bench, nothing is connected")
    hand.write("Times faster than life", "900")
    hand.use("Its script")
    hand.write("Script", SCRIPT)
    hand.use("Begin")
    stage.wait("volts are shown", lambda: number(stage, ".figure-v .value") > 5)
    stage.wait("charge grows", lambda: number(stage, ".figure-ah .value") > 1)
    stage.wait_text("To the findings", patience=40)
    stage.audit()
    hand.use("To the findings")
    stage.wait("the run's page", lambda: stage.js("return location.pathname") == "/run/1")


def explain_burst(stage, hand):
    stage.wait("what was found is there", lambda: "Charge delivered" in stage.text("main"))
    found = stage.get_json("/api/runs/1/assessment")
    assert len(found["bursts"]) == 1, found["bursts"]
    hand_on = stage.wait("the burst can be opened", lambda: stage.js(
        "return [...document.querySelectorAll('summary')].find((one) => one.innerText.startsWith('Bursts'))"))
    if hand.keys:
        stage.tab_to(stage.js("return arguments[0].innerText.trim()", hand_on), most=250)
        stage.press(Keys.ENTER)
    else:
        stage.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", hand_on)
        hand_on.click()
    cost = found["bursts"][0]["cost_wh"]["words"]
    stage.wait(f"it says what it cost: {cost}", lambda: cost in stage.text("main"))


def judge(stage):
    stage.open("/sample/1")
    verdicts = stage.get_json("/api/samples/1/assessment")["claims"]
    stage.wait("the ladder is drawn", lambda: stage.js("return document.querySelector('main svg text') !== null"))
    words = stage.js("return document.querySelector('main').textContent")
    for claim in verdicts:
        assert claim["name"] in words and claim["verdict"] in words, claim
    assert {claim["name"]: claim["verdict"] for claim in verdicts}["Mass"] == "met"
    by_command = stage.served.run("assess", stage.served.book, "--sample", "Hut pack 7", "--json", "--quiet")
    assert by_command.strip() == stage.js(
        "const ask = new XMLHttpRequest(); ask.open('GET', '/api/samples/1/assessment', false); ask.send(); return ask.responseText").strip()


def publish(stage, hand):
    stage.open("/publish/1")
    hand.use("The sheet, PDF")
    pdf = stage.downloaded("Hut pack 7 sheet*.pdf")
    if shutil.which("pdftotext") is not None:
        words = " ".join(subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout.split())
        for claim in stage.get_json("/api/samples/1/assessment")["claims"]:
            assert claim["name"] in words and claim["verdict"] in words, claim
        assert "INVENTED DATA" in words and "Hut pack 7" in words
    pdf.unlink()


def tour(stage, size, theme, keys):
    stage.serve("empty")
    stage.look(size, theme)
    hand = Hand(stage, keys)
    take_in(stage, hand)
    rehearse(stage, hand)
    explain_burst(stage, hand)
    judge(stage)
    publish(stage, hand)


def test_at_a_desk(stage):
    tour(stage, DESKTOP, LIGHT, keys=False)


def test_on_a_phone(stage):
    tour(stage, PHONE, DARK, keys=False)


def test_by_keys_alone(stage):
    tour(stage, DESKTOP, DARK, keys=True)
