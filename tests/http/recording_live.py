#!/usr/bin/env python3
"""A recording watched by sixteen pages: how long a reading takes to reach them, and that the book misses none.

An invented meter speaks lines of text; its volts count its readings, so that every reading is known when it comes
out of a stream of events, and in the book afterwards.

usage: recording_live.py RUNDOWN [SECONDS [CLIENTS]]; exit status 0 when 95 in 100 reach the pages within
150 ms (the rest is what the machine does besides), none is left out, and the book holds every reading. A machine that
stands still for a second makes the pages miss some: so up to three times; the book holds every reading each time.
"""
import csv
import pathlib
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time

from recordings import Bench

PERIOD_S = 0.1
LATEST_S = 0.150


class Meter(threading.Thread):
    """Reading n shows 10 V and n mV; tells when it said so."""

    def __init__(self, seconds):
        super().__init__(daemon=True)
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.port = self.listening.getsockname()[1]
        self.count = int(seconds / PERIOD_S)
        self.said = {}
        self.over = threading.Event()
        self.let_go = threading.Event()

    def run(self):
        line, _ = self.listening.accept()
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        began = time.monotonic()
        line.sendall(b"half of a line,\n")  # the first after a connection is left out: it may be cut
        for n in range(self.count):
            time.sleep(max(began + n * PERIOD_S - time.monotonic(), 0))
            self.said[n] = time.monotonic()
            line.sendall(f"{10 + n / 1000:.3f},24.80\n".encode())
        self.over.set()
        self.let_go.wait()


class Page(threading.Thread):
    """Hears the events as a browser does, and keeps when each reading came."""

    def __init__(self, served):
        super().__init__(daemon=True)
        self.heard = {}
        self.line = served.events("live")
        self.text = b""

    def run(self):
        while chunk := self.line.recv(65536):
            now = time.monotonic()
            self.text += chunk
            for volts in re.findall(rb'"voltage_v":\s*([0-9.]+)', self.text):
                self.heard.setdefault(round((float(volts) - 10) * 1000), now)
            self.text = self.text[-40:]


def readings_of(rundown, book, folder):
    subprocess.run([rundown, "book", "export", book, folder], check=True, stdout=subprocess.DEVNULL)
    volts = []
    for path in sorted(pathlib.Path(folder).rglob("*.csv")):
        with open(path, newline="", encoding="utf-8") as text:
            rows = [row for row in csv.reader(text) if row and not row[0].startswith("#")]
        if rows and any("voltage" in cell.lower() for cell in rows[0]):
            column = next(k for k, cell in enumerate(rows[0]) if "voltage" in cell.lower())
            volts += [row[column] for row in rows[1:] if row[column]]
    return volts


def once(rundown, seconds, clients):
    """Whether the pages saw all in time; whether the book has it all."""
    with tempfile.TemporaryDirectory() as folder:
        book = f"{folder}/hut.book"
        subprocess.run([rundown, "book", "new", book], check=True, stdout=subprocess.DEVNULL)
        meter = Meter(seconds)
        rig = f"name = Invented bench\n[meter]\ndriver = lines\naddress = tcp 127.0.0.1:{meter.port}\nvoltage from = field 1\ncurrent from = field 2\n"
        pathlib.Path(f"{folder}/bench.rig").write_text(rig, encoding="utf-8")
        # the rig comes into the workshop with a run of another sample
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "text": True}
        subprocess.run([rundown, "record", book, "--sample", "before", "--for", "0.2s", "--quiet"], input="13.3 V 0 A\n", check=False, **quiet)
        subprocess.run([rundown, "run", "correct", book, "1", "--rig", f"{folder}/bench.rig"], check=True, **quiet)
        meter.start()
        served = Bench(rundown, book=book)
        try:
            pages = [Page(served) for _ in range(clients)]
            for page in pages:
                page.start()
            time.sleep(0.3)
            run = served.good("POST", "/api/recordings", {"sample": "Hut pack 3", "kind": "discharge"})["recording"]
            meter.over.wait(seconds + 30)
            time.sleep(0.4)
            served.good("POST", f"/api/recordings/{run}/end", {})
            while served.state(run)["state"] not in ("ended", "left open"):
                time.sleep(0.05)
            meter.let_go.set()
        finally:
            served.end()
        late = sorted(page.heard[n] - at for page in pages for n, at in meter.said.items() if n in page.heard)
        missed = sum(n not in page.heard for page in pages for n in meter.said)
        volts = readings_of(rundown, book, f"{folder}/out")
        wanted = [f"{10 + n / 1000:.3f}" for n in range(meter.count)]
        print(f"{clients} pages, {meter.count} readings: median {late[len(late) // 2] * 1e3:.1f} ms, "
              f"99 % {late[int(len(late) * 0.99)] * 1e3:.1f} ms, worst {late[-1] * 1e3:.1f} ms; "
              f"{missed} not shown one by one; in the book {len(volts)} of {len(wanted)}")
        return late[int(len(late) * 0.95)] <= LATEST_S and missed == 0, volts == wanted


def main():
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 3
    clients = int(sys.argv[3]) if len(sys.argv) > 3 else 16
    for _ in range(3):
        seen, kept = once(sys.argv[1], seconds, clients)
        if seen or not kept:
            break
    good = seen and kept
    print(f"{int(good)} passed, {int(not good)} failed, 0 skipped")
    raise SystemExit(0 if good else 1)


if __name__ == "__main__":
    main()
