"""What a page shows is what `--json` says, in the decimal sign that the reader chose."""

import json

from harness import PATIENCE


def by_command(stage, *words):
    return json.loads(stage.served.run("assess", *words, "--json", "--quiet"))


def shows(stage, all_words, comma=False):
    """Every one of the words, somewhere on the page."""
    wanted = [words.replace(".", ",") if comma else words for words in all_words]
    assert wanted
    def missing():
        page = " ".join(stage.js("return document.querySelector('main').textContent").replace("\u00a0", " ").split())
        return [words for words in wanted if words not in page]
    try:
        stage.wait("", lambda: not missing(), PATIENCE)
    except AssertionError:
        raise AssertionError(f"{stage.js('return location.pathname')} does not show {missing()}") from None


def test_of_a_sample(stage):
    stage.serve()
    told = by_command(stage, stage.served.book, "--sample", "Sample 014")
    stage.open("/sample/1")
    shows(stage, [claim["verdict"] for claim in told["claims"]])
    shows(stage, [claim["measured"]["words"] for claim in told["claims"] if claim["measured"] and claim["measured"]["value"] is not None
                  and claim["verdict"] in ("met", "not met", "too close to call")])
    stage.open("/replies/1")
    shows(stage, [claim["name"] for claim in told["claims"]])


def test_of_a_run(stage):
    stage.serve()
    told = by_command(stage, f"{stage.served.book}:1")
    test = told["tests"][0]
    words = [test[key]["words"] for key in ("charge_ah", "energy_wh", "mean_v")]
    stage.open("/run/1")
    shows(stage, words)
    stage.js("localStorage.setItem('rundown.decimal', 'comma')")
    stage.open("/run/1")
    shows(stage, words, comma=True)


def test_of_the_shelf(stage):
    stage.serve()
    stage.open("/")
    stage.wait_text("Sample 014")
    told = by_command(stage, stage.served.book, "--sample", "Sample 014")
    delivered = {claim["claim"]: claim["measured"]["words"] for claim in told["claims"] if claim["claim"] in ("capacity", "energy")}
    shows(stage, delivered.values())


def test_the_ladder_has_the_readers_sign(stage):
    stage.serve()
    told = by_command(stage, stage.served.book, "--sample", "Sample 014")
    words = [claim["found"] for claim in told["claims"] if claim["claim"] in ("capacity", "length", "mass")]
    stage.open("/sample/1")
    stage.js("localStorage.setItem('rundown.decimal', 'comma')")
    stage.open("/sample/1")
    stage.wait("the ladder is drawn", lambda: stage.js("return document.querySelector('.ladder svg text') !== null"))
    drawn = stage.js("return document.querySelector('.ladder svg').textContent")
    assert words and all(one.replace(".", ",") in drawn and one not in drawn for one in words), drawn
