"""Bench: readings by eye with the keyboard alone, a line that breaks, a server that is killed, figures for a film."""

from harness import DARK, PHONE, Keys


def begin_by_eye(stage):
    stage.serve("empty")
    stage.open("/bench")
    stage.type("Sample", "Hut pack 3" + Keys.TAB)
    stage.press(Keys.ENTER)
    stage.wait("the first field has the focus", lambda: stage.focused() == "Volts")


def said(stage):
    return stage.text(".said .what").split("\n")


def put(stage, volts, amps):
    stage.press(volts, Keys.ENTER, amps, Keys.ENTER)


def test_readings_want_number_keys_and_enter(stage):
    begin_by_eye(stage)
    put(stage, "13.31", "0")
    put(stage, "129,6", "24.8")
    stage.wait("both are stored", lambda: said(stage) == ["129.6 V 24.8 A", "13.31 V 0 A"])
    stage.press("12.9.1", Keys.ENTER, Keys.ENTER)
    stage.wait_text("is no number", ".entry")
    stage.press(Keys.ESCAPE)
    stage.js("document.activeElement.blur()")
    stage.press("u")
    stage.wait("it is taken back", lambda: stage.all(".taken-back"))
    stage.press("b")
    stage.wait_text("burst on", ".said")
    stage.wait_text("13.310", ".figure-v")
    stage.wait("the curve forgets it", lambda: len(stage.all(".curve circle")) == 2)
    stage.audit()
    stage.press("t")
    stage.wait("the curve stands as a table", lambda: "13.310" in stage.text("dialog tbody"))
    assert "129.600" not in stage.text("dialog tbody")
    stage.press(Keys.ESCAPE)
    stage.wait("it closes", lambda: not stage.all("dialog"))
    stage.press("e")
    stage.wait("it asks first", lambda: stage.focused() == "End it")
    stage.press(Keys.ENTER)
    stage.wait_text("Run 1: ended by the operator.")
    found = stage.served.run("run", "show", stage.served.book, 1)
    assert "taken back" in found and "129.6 V 24.8 A" in found, found


def test_a_line_waits_for_the_network_and_for_the_server(stage):
    begin_by_eye(stage)
    stage.tolerate("Failed to load|ERR_|404")
    stage.offline()
    put(stage, "13.02", "24.8")
    stage.wait_text("1 not with the recorder yet: 13.02 V 24.8 A")
    stage.online()
    stage.wait("it is stored", lambda: said(stage) == ["13.02 V 24.8 A"])
    stage.look(PHONE, DARK)
    port = stage.served.port
    stage.served.kill()
    stage.wait_text("Rundown does not answer")
    stage.served.start(port)
    stage.js("arguments[0].click()", stage.named("Go on with it"))  # the page still moves under a pointer
    stage.wait("it goes on", lambda: stage.get_json("/api/recordings/1").get("state") == "recording")
    stage.wait("what was said is there", lambda: said(stage) == ["13.02 V 24.8 A"])
    stage.js("document.querySelector('.marks button').click()")
    stage.wait("two operators' work", lambda: said(stage) == ["mark", "13.02 V 24.8 A"])
    stage.audit()


def test_figures_stand_alone_over_a_film(stage):
    begin_by_eye(stage)
    put(stage, "13.02", "24.8")
    stage.open("/film?show=v,a&ground=clear&size=640x200")
    stage.wait_text("13.020", ".film .figure-v")
    box = stage.js("const b = document.querySelector('.film').getBoundingClientRect(); return [b.x, b.y, b.width, b.height]")
    assert box == [0, 0, 640, 200], box
    assert stage.js("return getComputedStyle(document.body).backgroundColor") == "rgba(0, 0, 0, 0)"
    stage.open("/film")
    stage.click("watt-hours")
    assert "show=v,a,w,ah,wh&ground=plain" in stage.text("output"), stage.text("output")
    stage.audit()
