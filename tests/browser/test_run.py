"""A run's page tells of charges, rests, stops by the board and currents held, as `--json` has them, and of nothing
that the run has none of."""

import json

from harness import DARK, DESKTOP, LIGHT, PHONE


def imported(stage, log, kind):
    """A log of the demo as a run of its own, its page, and what the command says of it."""
    served = stage.served
    served.run("import", served.book, f"hut-pack.{log}.csv", "--sample", "Sample 014", "--rig", "hut-pack.rig", "--kind", kind, "--quiet")
    number = max(run["run"] for run in served.get("/api/samples/1")["runs"])
    stage.tolerate("figure.*404")  # without a discharge there is no curve of one
    stage.open(f"/run/{number}")
    stage.wait("the findings are there", lambda: "Findings" in heads(stage) and len(heads(stage)) > 2)
    return json.loads(served.run("assess", f"{served.book}:{number}", "--json", "--quiet"))


def heads(stage):
    return stage.js("return [...document.querySelectorAll('.findings h2')].map((one) => one.innerText)")


def told(stage):
    """All that stands there, closed parts too."""
    return " ".join(stage.js("return document.querySelector('.findings').textContent").replace("\u00a0", " ").replace("\u2212", "-").split())


def holds_all(page, wanted):
    missing = [words for words in wanted if " ".join(words.split()) not in page]
    assert wanted and not missing, missing


def test_stops_by_the_board(stage):
    stage.serve()
    stage.look(PHONE, DARK)
    assessment = imported(stage, "cold", "protection")
    page = told(stage)
    assert len(assessment["trips"]) == 2
    for trip in assessment["trips"]:
        holds_all(page, [trip["words"], trip["resolution"]])
        holds_all(page, [trip[key]["words"] for key in ("delay_s", "trip_degc", "threshold_degc", "release_degc", "hysteresis_k")])
    holds_all(page, [hold["words"] for hold in assessment["holds"]])
    assert "The rest" not in heads(stage) and "Rests" not in heads(stage)
    assert page.count("Not tested in this run") == 1 and "a rest of a minute or more" in page
    stage.audit()
    stage.look(DESKTOP, LIGHT)
    flags = "return [...document.querySelectorAll('.chart-notes .flag')].map((one) => one.textContent)"
    stage.wait("the stops stand on the curve", lambda: {"stopped: cold", "let go on"} <= set(stage.js(flags)))
    stage.audit()


def test_a_charge_and_how_it_settled(stage):
    stage.serve()
    assessment = imported(stage, "charge", "charge")
    page = told(stage)
    charge = assessment["chargings"][0]
    holds_all(page, [charge[key]["words"] for key in ("charge_ah", "constant_a", "held_v", "tail_a", "end_v", "highest_a")])
    holds_all(page, [charge["full_words"], charge["balancing_words"], charge["evidence"]])
    holds_all(page, [rest["words"] for rest in assessment["restings"]] + [warming["words"] for warming in assessment["warmings"]])
    assert "The charge" in heads(stage) and "What the board stopped" not in heads(stage)
    assert "Not tested in this run: where the board stops." in page
    stage.audit()
    stage.look(PHONE, DARK)
    stage.audit()
    stage.tab_walk()


def test_an_empty_sample_wakes(stage):
    stage.serve()
    assessment = imported(stage, "low", "protection")
    holds_all(told(stage), [one["words"] for one in assessment["low_stops"]])
    assert "Stops by the board" not in told(stage)  # the one stop is told as that of an empty sample
