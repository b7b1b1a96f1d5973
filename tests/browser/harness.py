"""What the tests of the pages stand on: one browser for all of them, and a stage for each."""

import contextlib
import json
import pathlib
import re
import shutil
import tempfile
import time
from urllib.parse import urlsplit

from selenium import webdriver
from selenium.common.exceptions import ElementClickInterceptedException, JavascriptException, StaleElementReferenceException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from served import Served, forget_books

PHONE, NARROW, DESKTOP = (390, 844), (360, 740), (1300, 900)
LIGHT, DARK = "light", "dark"
PATIENCE = 15  # s: longest wait for what a page owes

_audit = (pathlib.Path(__file__).parent / "audit.js").read_text()


class Skip(Exception):
    """Raised by a test that cannot be made here, with the reason."""


class Browser:
    """Chromium, headless, with what it logs."""

    def __enter__(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="downloads-"))
        options = webdriver.ChromeOptions()
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--window-size=1300,900",
                     "--disable-background-networking", "--disable-component-update", "--no-first-run",
                     "--disable-features=Translate,OptimizationHints,MediaRouter", "--mute-audio",
                     "--disable-backgrounding-occluded-windows", "--disable-renderer-backgrounding"):
            options.add_argument(word)
        options.binary_location = shutil.which("chromium")
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        options.add_experimental_option("prefs", {"download.default_directory": str(self.folder),
                                                  "plugins.always_open_pdf_externally": True})
        self.driver = webdriver.Chrome(service=Service(shutil.which("chromedriver")), options=options)
        self.driver.set_page_load_timeout(30)
        self.driver.set_script_timeout(30)
        return self

    def __exit__(self, *_):
        self.driver.quit()
        forget_books()
        shutil.rmtree(self.folder, ignore_errors=True)

    def save(self, path):
        with contextlib.suppress(Exception):
            self.driver.save_screenshot(str(path))


class Stage:
    """One test: its servers, its looks at pages, what the browser said of them meanwhile."""

    def __init__(self, browser, program):
        self.browser, self.driver, self.program = browser, browser.driver, program
        self.servers, self.expected, self.requests, self.complaints = [], [], [], []

    def __enter__(self):
        self.driver.execute_cdp_cmd("Page.bringToFront", {})  # a window that is covered draws nothing
        self.look(DESKTOP, LIGHT)
        self._listen()
        self.requests, self.complaints = [], []  # of the test before
        return self

    def __exit__(self, *_):
        with contextlib.suppress(Exception):
            self.online()
            self.driver.get("about:blank")
        for server in self.servers:
            server.close()

    # Serving

    def serve(self, kind="demo"):
        """A server of its own, with the made book: "demo" or "empty"."""
        self.served = Served(self.program, kind)
        self.servers.append(self.served)
        return self.served

    # Looking

    def look(self, size=DESKTOP, theme=LIGHT):
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": size[0] < 600})
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {
            "features": [{"name": "prefers-color-scheme", "value": theme}]})

    def open(self, path="/"):
        """A page, once it has its heading and nothing on it still asks the server."""
        self.driver.get(self.served.address + path)
        self.settled()

    def settled(self):
        self.wait("the page has its heading",
                  lambda: self.js("return document.querySelector('main h1, [data-page=film] main > *') !== null"))
        quiet = """const now = performance.getEntriesByType('resource');
            const last = Math.max(0, ...now.map((one) => one.responseEnd));
            return document.readyState === 'complete' && performance.now() - last > 120
              && document.querySelector('[aria-busy=true]') === null"""
        self.wait("the page is quiet", lambda: self.js(quiet))

    def js(self, script, *arguments):
        return self.driver.execute_script(script, *arguments)

    def wait(self, what, question, patience=PATIENCE):
        """The first answer that is not empty; fails with `what`."""
        until, thrown = time.monotonic() + patience, None
        while time.monotonic() < until:
            try:
                answer = question()
                if answer:
                    return answer
            except (StaleElementReferenceException, JavascriptException) as fault:
                thrown = fault
            time.sleep(0.03)
        raise AssertionError(f"after {patience} s still not so: {what}") from thrown

    def text(self, selector="main"):
        """What can be read there; blanks that do not break are blanks."""
        return self.js("return [...document.querySelectorAll(arguments[0])].map((e) => e.innerText).join('\\n').replaceAll('\\u00a0', ' ')", selector)

    def wait_text(self, words, selector="body", patience=PATIENCE):
        self.wait(f"{selector} says {words!r}", lambda: words in self.text(selector), patience)

    def all(self, selector):
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def named(self, name, selector="a, button, input, select, textarea, summary", patience=PATIENCE):
        """The visible control of that name: its words, aria-label or label."""
        script = """const wanted = arguments[1].trim();
            const names = (e) => [e.getAttribute('aria-label'), ...[...(e.labels ?? [])].map((l) => l.innerText),
              e.innerText, e.type === 'submit' ? e.value : null].map((n) => n?.trim());
            return [...document.querySelectorAll(arguments[0])].find((e) => e.checkVisibility() && names(e).includes(wanted))"""
        return self.wait(f"there is a control {name!r}", lambda: self.js(script, selector, name), patience)

    def click(self, name, selector="a, button, input, select, textarea, summary"):
        def press():
            control = self.named(name, selector)
            self.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", control)
            try:
                control.click()
            except ElementClickInterceptedException:  # a live page moved beneath the pointer
                return None
            return control
        return self.wait(f"{name!r} can be clicked", press)

    def type(self, name, words):
        control = self.named(name, "input, textarea")
        control.clear()
        control.send_keys(words)
        return control

    def choose(self, name, words):
        """An option of a list, by its words."""
        control = self.named(name, "select")
        chosen = self.js("""const one = [...arguments[0].options].find((o) => o.text.trim() === arguments[1]);
            if (!one) return false; arguments[0].value = one.value;
            for (const kind of ['input', 'change']) arguments[0].dispatchEvent(new Event(kind, {bubbles: true})); return true""",
                         control, words)
        assert chosen, f"{name!r} has no {words!r}"

    def get_json(self, path):
        """What the server says, asked by the page itself."""
        return self.driver.execute_async_script(
            "const done = arguments[1]; fetch(arguments[0]).then((r) => r.json()).then(done, (e) => done({error: String(e)}))", path)

    def picture(self, path):
        self.browser.save(path)

    # Keys

    def press(self, *keys):
        ActionChains(self.driver).send_keys(*keys).perform()

    def chord(self, held, key):
        ActionChains(self.driver).key_down(held).send_keys(key).key_up(held).perform()

    def focused(self):
        """Name of what has the focus."""
        return self.js("""const e = document.activeElement;
            return (e?.getAttribute('aria-label') ?? e?.labels?.[0]?.innerText ?? e?.innerText ?? '').trim()""")

    def tab_to(self, name, most=80):
        """By Tab alone."""
        for _ in range(most):
            if self.focused() == name:
                return
            self.press(Keys.TAB)
        raise AssertionError(f"{most} times Tab did not come to {name!r}")

    def tab_walk(self, most=120):
        """Every stop of Tab shows where it is and can be seen; returns how many there are."""
        self.js("document.activeElement?.blur(); document.body.focus(); scrollTo(0, 0)")
        seen = 0
        for _ in range(most):
            self.press(Keys.TAB)
            fault = self.js(_focus_fault)
            if fault == "end":
                break
            assert fault == "", f"{self.js('return location.pathname')}: {fault}"
            seen += 1
        return seen

    # Lines

    def offline(self):
        self.driver.execute_cdp_cmd("Network.enable", {})
        self.driver.execute_cdp_cmd("Network.emulateNetworkConditions",
                                    {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0})

    def online(self):
        self.driver.execute_cdp_cmd("Network.emulateNetworkConditions",
                                    {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1})

    def downloaded(self, pattern, patience=PATIENCE):
        """The path of a file that was saved, once it is whole."""
        def done():
            return next((p for p in self.browser.folder.glob(pattern) if p.suffix != ".crdownload" and p.stat().st_size > 0), None)
        return self.wait(f"{pattern} is saved", done, patience)

    # Judging

    def audit(self, **options):
        """Our own small audit (audit.js); fails with all that it finds."""
        faults = self.js(_audit + "\nreturn audit(arguments[0])", options)
        where = self.js("return location.pathname + ' ' + innerWidth + 'x' + innerHeight")
        assert not faults, f"{where}:\n  " + "\n  ".join(faults)

    def tolerate(self, pattern):
        """A complaint of the console that this test brings about on purpose."""
        self.expected.append(re.compile(pattern))

    def _listen(self):
        for entry in self.driver.get_log("browser"):
            if entry["level"] == "SEVERE":
                self.complaints.append(entry["message"])
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                self.requests.append(message["params"]["request"]["url"])

    def check_quiet(self):
        """No complaint of the console, and nothing asked of anybody else."""
        self._listen()
        here = {urlsplit(server.address).netloc for server in self.servers}
        here |= {f"127.0.0.1:{port}" for server in self.servers for port in getattr(server, "ports", [])}
        away = [url for url in self.requests if urlsplit(url).scheme in ("http", "https", "ws", "wss", "ftp")
                and urlsplit(url).netloc not in here]
        assert not away, f"asked elsewhere: {away}"
        loud = [" ".join(words.split()) for words in self.complaints if not any(one.search(words) for one in self.expected)]
        assert not loud, "the console: " + "\n".join(loud)


_focus_fault = """
const e = document.activeElement;
if (e === null || e === document.body || e === document.documentElement) return 'end';
const style = getComputedStyle(e), box = e.getBoundingClientRect();
const name = e.tagName.toLowerCase() + ' ' + (e.getAttribute('aria-label') ?? e.innerText ?? '').slice(0, 40);
const outlined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1;
const drawn = () => [...e.querySelectorAll('*')].map((one) => getComputedStyle(one)).map((one) => one.stroke + one.strokeWidth + one.fill).join();
const changes = () => { // a shape may show it by its lines
  const before = drawn();
  e.blur();
  const after = drawn();
  e.focus();
  return before !== after;
};
if (e.type === 'time') return ''; // its parts show it
if (!outlined && style.boxShadow === 'none' && !(e instanceof SVGElement && changes())) return name + ': one does not see that it has the focus';
if (box.width === 0 || box.height === 0) return name + ': it has the focus and cannot be seen';
return '';
"""
