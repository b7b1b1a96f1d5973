"""Every page, at the size of a phone and of a desk, light and dark, held against the audit; nothing but the keyboard
reaches everything that can be reached."""

from harness import DARK, DESKTOP, LIGHT, NARROW

PAGES = ["/", "/compare?samples=1,2", "/sample/1", "/run/1", "/bench", "/plan/1", "/rig", "/replies/1", "/publish/1", "/opened/1", "/add",
         "/guides?sample=1&test=cold-charge", "/guides", "/calculate/wire?size=10+AWG&length=18+cm&current=x",
         "/calculate/cellcode?code=ZZZCB99ABCDEFGB3C0000123", "/calculate/casesize?length=329&width=172&height=238"]
EMPTY = ["/", "/bench", "/rig", "/add"]


def audit_all(stage, pages):
    faults = []
    for size in (NARROW, DESKTOP):
        stage.look(size, LIGHT)
        for page in pages:
            stage.open(page)
            for theme in (LIGHT, DARK):
                stage.look(size, theme)
                try:
                    stage.audit()
                except AssertionError as fault:
                    faults.append(f"{theme} {fault}")
    assert not faults, "\n".join(faults)


def test_audit(stage):
    stage.serve()
    audit_all(stage, PAGES)


def test_audit_of_an_empty_book(stage):
    stage.serve("empty")
    audit_all(stage, EMPTY)


def test_focus_is_seen(stage):
    stage.serve()
    for page in PAGES:
        stage.open(page)
        assert stage.tab_walk() >= 5, f"{page}: nothing to reach"


def test_each_has_a_title_of_its_own(stage):
    stage.serve()
    titles = {}
    for page in PAGES:
        stage.open(page)
        title = stage.js("return document.title")
        assert title not in titles, f"{page} and {titles[title]} are both called {title!r}"
        titles[title] = page


def test_what_is_not_there_is_said(stage):
    stage.serve()
    stage.tolerate("40[04]")
    for page in ("/sample/999", "/run/999", "/publish/999"):
        stage.driver.get(stage.served.address + page)
        stage.wait(f"{page} says its fault", lambda: stage.js(
            "return [...document.querySelectorAll('[role=alert]')].some((one) => one.checkVisibility() && one.textContent.trim())"))
        stage.settled()
