"""A made book, and the program that serves it."""

import json
import pathlib
import re
import shutil
import signal
import subprocess
import tempfile
import threading
import urllib.request

root = pathlib.Path(__file__).resolve().parent.parent.parent
demo = root / "demo"

_made = {}  # books that were made once, by what they hold


class Served:
    """`rundown open` of a book in a folder of its own, at a port that the machine chose."""

    def __init__(self, program, kind="demo"):
        self.program = program
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="browser-"))
        self.book = self.folder / "workshop.book"
        self.process = None
        self.address = ""
        self._make(kind)
        self.start()

    def run(self, *words, status=0):
        """The program with these words; what it prints."""
        done = subprocess.run([self.program, *map(str, words)], capture_output=True, text=True, cwd=demo, timeout=120)
        assert done.returncode == status, f"rundown {' '.join(map(str, words))}: {done.returncode}: {done.stderr}"
        return done.stdout

    def _make(self, kind):
        if kind not in _made:
            _made[kind] = pathlib.Path(tempfile.mkdtemp(prefix="books-")) / "workshop.book"
            if kind == "case":  # the demo's full case, as its script makes it
                subprocess.run([demo / "full-case", self.program, _made[kind].parent], check=True, timeout=120, stdout=subprocess.DEVNULL)
            else:
                self.run("book", "new", _made[kind])
            if kind == "demo":
                self.run("import", _made[kind], "hut-pack.log.csv", "--sample", "Sample 014", "--label", "hut-pack.label",
                         "--rig", "hut-pack.rig", "--kind", "discharge", "--quiet")
                self.run("import", _made[kind], "bivouac-pack.readings", "--sample", "Sample 015", "--label",
                         "bivouac-pack.label", "--quiet")
        shutil.copy(_made[kind], self.book)

    def start(self, port=0):
        self.process = subprocess.Popen(
            [self.program, "open", str(self.book), "--port", str(port), "--no-browser", "--quiet"],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        said = []
        for line in self.process.stdout:
            said.append(line)
            found = re.search(r"http:\S+?:\d+", line)
            if found:
                self.address = found.group()
                threading.Thread(target=self.process.stdout.read, daemon=True).start()
                return
        raise AssertionError("rundown open said no address: " + "".join(said))

    def post(self, path, value):
        """Asked by another operator at this machine."""
        request = urllib.request.Request(self.address + path, json.dumps(value).encode(),
                                         {"Content-Type": "application/json", "Origin": self.address})
        with urllib.request.urlopen(request, timeout=20) as reply:
            return json.loads(reply.read() or b"null")

    def get(self, path):
        with urllib.request.urlopen(self.address + path, timeout=20) as reply:
            return json.loads(reply.read())

    @property
    def port(self):
        return int(self.address.rpartition(":")[2])

    def kill(self):
        """At once, as when the plug is pulled."""
        self.process.kill()
        self.process.wait(10)

    def stop(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                self.kill()
                raise AssertionError("rundown open did not end within 20 s of being asked to")

    def close(self):
        try:
            self.stop()
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)


def forget_books():
    for path in _made.values():
        shutil.rmtree(path.parent, ignore_errors=True)
    _made.clear()
