"""Lines that break and people who share: the server killed in midst of a recording, a phone that slept, two operators."""

from harness import PHONE, LIGHT
from test_tour import SCRIPT, number


def begin(stage, speed=60):
    """A rehearsed recording, watched."""
    stage.serve("empty")
    run = stage.served.post("/api/recordings", {"sample": "Hut pack 7", "kind": "discharge",
                                                "rehearsal": {"script": SCRIPT, "speed": speed}})["recording"]
    stage.open(f"/bench?run={run}")
    stage.wait("charge grows", lambda: number(stage, ".figure-ah .value") > 0.2 or None, 30)
    return run


def said(stage):
    return stage.text("ol.said")


def test_the_server_is_killed_and_goes_on(stage):
    run = begin(stage, 240)
    stage.tolerate("ERR_CONNECTION|ERR_EMPTY|ERR_INCOMPLETE|network|recordings/1 .* 404")
    port, before = stage.served.port, number(stage, ".figure-ah .value")
    stage.served.kill()
    stage.wait("the page says that nobody answers", lambda: stage.js("return document.querySelector('.away').checkVisibility()"))
    stage.served.start(port)
    stage.wait("it finds its server again", lambda: not stage.js("return document.querySelector('.away').checkVisibility()"), 30)
    stage.open("/bench?new")
    stage.wait_text("Left open")
    stage.click("Go on with it")
    stage.wait("it goes on from what the book holds", lambda: number(stage, ".figure-ah .value") > 0.7 * before)
    stage.click("End the recording E")
    stage.click("End it")
    stage.wait_text("To the findings", patience=30)
    found = stage.get_json(f"/api/runs/{run}/assessment")
    assert found["tests"][0]["charge_ah"]["value"] > 0.7 * before


def test_a_phone_that_slept_misses_nothing(stage):
    stage.look(PHONE, LIGHT)
    run = begin(stage)
    stage.tolerate("ERR_INTERNET_DISCONNECTED|ERR_NETWORK|network")
    stage.served.post(f"/api/recordings/{run}/say", {"line": "lamp on", "ago_ms": 0})
    stage.wait("the first mark is heard", lambda: "lamp on" in said(stage))
    stage.driver.execute_cdp_cmd("Page.setWebLifecycleState", {"state": "frozen"})
    stage.offline()
    for words in ("pump on", "pump off"):
        stage.served.post(f"/api/recordings/{run}/say", {"line": words, "ago_ms": 0})
    state = stage.served.get(f"/api/recordings/{run}")
    assert [one["text"] for one in state["said"] if one["said"] == "mark"] == ["lamp on", "pump on", "pump off"]
    stage.online()
    stage.driver.execute_cdp_cmd("Page.setWebLifecycleState", {"state": "active"})
    stage.wait("what was said meanwhile is there", lambda: "pump on" in said(stage) and "pump off" in said(stage), 40)
    assert said(stage).count("pump on") == 1
    then = number(stage, ".figure-ah .value")
    stage.wait("and it goes on", lambda: number(stage, ".figure-ah .value") > then)
    stage.audit()


def test_two_operators_see_each_other(stage):
    run = begin(stage)
    first = stage.driver.current_window_handle
    stage.driver.switch_to.new_window("tab")
    second = stage.driver.current_window_handle
    try:
        stage.open(f"/bench?run={run}")
        stage.press("m")
        stage.wait("it is said here", lambda: "mark" in said(stage))
        stage.driver.switch_to.window(first)
        stage.wait("and there", lambda: "mark" in said(stage))
        stage.click("Take back: mark")
        stage.wait("it is taken back", lambda: "taken back" in said(stage))
        stage.driver.switch_to.window(second)
        stage.wait("for both", lambda: "taken back" in said(stage))
        stage.press("e")
        stage.click("End it")
        stage.wait_text("To the findings", patience=30)
        stage.driver.switch_to.window(first)
        stage.wait_text("To the findings", patience=30)
    finally:
        stage.driver.switch_to.window(second)
        stage.driver.close()
        stage.driver.switch_to.window(first)
