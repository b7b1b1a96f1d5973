"""Publish and Replies: what leaves the workshop is what was chosen, and says what the command line says."""

import subprocess

from selenium.webdriver.common.keys import Keys

from harness import DARK, DESKTOP, LIGHT, PHONE, Skip
import shutil


def words_of(pdf):
    if shutil.which("pdftotext") is None:
        raise Skip("pdftotext is not on this machine")
    return " ".join(subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout.split())


def test_the_sheet_is_saved_as_chosen(stage):
    stage.serve()
    stage.open("/publish/1")
    stage.choose("Paper", "Letter")
    stage.choose("Numbers", "61,1 Ah")
    stage.click("Cautions")
    stage.wait("the pictures of the sheet follow", lambda: stage.js(
        "const all = [...document.querySelectorAll('.sheet-page')]; return all.length >= 2 && all.every((one) => one.src.includes('paper=letter') && one.src.includes('without=cautions'))"))
    stage.wait("they are there", lambda: stage.js("return [...document.querySelectorAll('.sheet-page')].every((one) => one.loading === 'lazy' || one.naturalWidth > 1000)"))
    stage.click("The sheet, PDF")
    pdf = stage.downloaded("Sample 014 sheet*.pdf")
    by_command = stage.served.folder / "by-command.pdf"
    stage.served.run("assess", stage.served.book, "--sample", "Sample 014", "--quiet", "--paper", "letter", "--decimal", "comma",
                     "--leave-out", "cautions", "--sheet", by_command)
    words = words_of(pdf)
    assert words == words_of(by_command)
    assert "103,44 ± 0,44 Ah" in words and "Left out by whoever published this: the cautions" in words
    pdf.unlink()


def test_the_page_in_its_frame_is_the_one_that_is_saved(stage):
    stage.serve()
    stage.open("/publish/1")
    frame = stage.all("iframe")[0]
    stage.driver.switch_to.frame(frame)
    stage.wait("the page is there", lambda: "Sample 014" in stage.text("h1"))
    assert "INVENTED" in stage.text("body").upper()
    shown = stage.text("body")
    stage.driver.switch_to.default_content()
    stage.click("The page, one HTML file")
    saved = stage.downloaded("Sample 014 page*.html")
    assert "<script" not in saved.read_text() and "Sample 014" in shown
    saved.unlink()


def test_what_is_missing_is_what_the_command_says(stage):
    stage.serve()
    stage.open("/publish/1")
    for item in stage.get_json("/api/samples/1/missing")["missing"]:
        assert item["what"] in stage.js("return document.querySelector('main').textContent"), item
    printed = " ".join(stage.served.run("assess", stage.served.book, "--sample", "Sample 014", "--quiet", "--missing").split())
    for item in stage.get_json("/api/samples/1/missing")["missing"]:
        assert " ".join(item["what"].split()) in printed and " ".join(item["helps"].split()) in printed


def test_replies_are_the_cards_of_the_command(stage):
    stage.serve()
    stage.open("/replies/1")
    replies = stage.get_json("/api/samples/1/replies")["replies"]
    assert len(stage.all("article.reply")) == len(replies) == 18
    for reply in (replies[1], replies[3], replies[12]):
        printed = stage.served.run("assess", stage.served.book, "--sample", "Sample 014", "--quiet", "--reply", reply["claim"])
        assert " ".join(printed.split()) == " ".join(reply["text"].split())
    stage.click("Open")
    stage.wait("the open ones alone", lambda: 0 < len(stage.all("article.reply")) < 18)
    stage.click("All claims")
    stage.click("Copy Capacity as text")
    stage.wait_text("The card of Capacity is copied")


def test_a_card_prints_alone(stage):
    stage.serve()
    stage.open("/replies/1")
    stage.js("window.print = () => { window.printed = [...document.querySelectorAll('.reply.printed')].map((one) => one.id); }")
    stage.click("Print the card of Capacity")
    assert stage.js("return window.printed") == ["capacity"]
    stage.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    seen = stage.js("return [...document.querySelectorAll('.reply')].filter((one) => one.checkVisibility()).map((one) => one.id)")
    stage.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert seen == ["capacity"]


def test_by_keyboard(stage):
    stage.serve()
    stage.open("/publish/1")
    stage.tab_to("Paper")
    stage.press("L")
    stage.tab_to("Notices")
    stage.press(Keys.SPACE)
    stage.wait("both are chosen", lambda: stage.js("const one = document.querySelector('.page-frame').src; return one.includes('paper=letter') && one.includes('without=notices')"))
    stage.open("/replies/1")
    stage.tab_to("Decided")
    stage.press(Keys.ENTER)
    stage.wait("the decided ones", lambda: 0 < len(stage.all("article.reply")) < 18)


def test_with_nothing_to_publish(stage):
    stage.serve("empty")
    stage.served.run("sample", "add", stage.served.book, "Hut pack 3")
    for size, theme in ((PHONE, DARK), (DESKTOP, LIGHT)):
        stage.look(size, theme)
        stage.open("/publish/1")
        stage.wait_text("There are no readings of this sample yet")
        stage.audit()
        stage.open("/replies/1")
        stage.wait_text("The label states no claim yet")
        stage.audit()


def with_pictures(stage):
    stage.serve()
    for item, name in (("board", "board"), ("case", "case")):
        stage.served.run("picture", "add", stage.served.book, f"hut-pack.{name}.png", "--sample", "Sample 014", "--item", item)
    stage.served.run("sample", "correct", stage.served.book, "Sample 014", "--opened", "hut-pack.opened")


def published_words(stage):
    pdf, page = stage.served.folder / "now.pdf", stage.served.folder / "now.html"
    stage.served.run("assess", stage.served.book, "--sample", "Sample 014", "--quiet", "--sheet", pdf, "--page", page)
    return words_of(pdf), page.read_text()


def test_own_words_are_an_opinion_on_sheet_and_page(stage):
    stage.serve()
    stage.open("/publish/1")
    composed = stage.get_json("/api/samples/1/publishing")["summary"]
    words = "Good for the lamps, <b>too dear</b>."
    stage.type("In your own words", words)
    stage.click("Keep as an opinion")
    stage.wait_text("Your own words are kept, as an opinion")
    sheet, page = published_words(stage)
    assert f"The tester's opinion: {words}" in sheet and "&lt;b&gt;too dear&lt;/b&gt;" in page and "an opinion</h2>" in page
    now = stage.get_json("/api/samples/1/publishing")
    assert now["opinion"] == words and now["summary"] == composed
    stage.open("/publish/1")
    assert stage.named("In your own words").get_attribute("value") == words
    stage.click("Take it back")
    stage.wait_text("Your own words are taken back")
    sheet, page = published_words(stage)
    assert "opinion" not in sheet and "an opinion</h2>" not in page
    stage.click("Undo")
    stage.wait("they stand again", lambda: stage.get_json("/api/samples/1/publishing")["opinion"] == words)


def test_chosen_pictures_stand_beside_their_item(stage):
    with_pictures(stage)
    stage.open("/publish/1")
    stage.wait_text("0 of 2 stand on sheet and page")
    stage.click("Show board")
    stage.wait_text("1 of 2 stand on sheet and page")
    stage.type("Caption of board", "Marked 80 A")
    stage.press(Keys.TAB)
    stage.wait_text("The caption is changed")
    picture = stage.get_json("/api/samples/1")["pictures"][0]
    assert picture["shown"] and picture["caption"] == "Marked 80 A" and picture["item"] == "board"
    sheet, page = published_words(stage)
    assert "Marked 80 A" in sheet and page.count("<img ") == 1
    item = page[page.index("<h3>Board</h3>"):]
    assert "data:image/jpeg" in item[:item.index("</div>")]
    for size, theme in ((PHONE, DARK), (DESKTOP, LIGHT)):
        stage.look(size, theme)
        stage.audit()
    stage.tab_to("Show board")
    stage.press(Keys.SPACE)
    stage.wait_text("0 of 2 stand on sheet and page")
    assert published_words(stage)[1].count("<img ") == 0
