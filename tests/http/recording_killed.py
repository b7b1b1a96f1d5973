#!/usr/bin/env python3
"""The server is killed in mid-recording: what was acknowledged is in the book, both recordings go on from a page, and
a page that was away is told what it missed.

usage: recording_killed.py RUNDOWN
"""
import concurrent.futures
import json
import re
import subprocess
import sys
import tempfile
import time

from recordings import Bench

SCRIPT = "name = Invented pack\nseed = 3\n[pack]\ncapacity = 20 Ah\n[program]\nrest = 1 min\ndischarge = 240 W, until cut-off\n"
COMMITTED_S = 1.3  # a line is in the book after a second


def wait_for(what, seconds=10):
    until = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < until, "it did not come to pass"
        time.sleep(0.02)


def begin(served):
    eye = served.good("POST", "/api/recordings", {"sample": "Hut pack 3", "kind": "discharge", "by_eye": True})["recording"]
    rehearsed = served.good("POST", "/api/recordings", {"kind": "discharge", "rehearsal": {"script": SCRIPT, "speed": 30}})["recording"]
    for line in ("13.31 V 0 A", "load on", "12.96 V 24.8 A"):
        served.say(eye, line)
    wait_for(lambda: served.state(rehearsed)["readings"] > 20)
    time.sleep(COMMITTED_S)
    return eye, rehearsed


def resume(served, eye, rehearsed):
    left = {one["run"]: one for one in served.good("GET", "/api/bench")["left_open"]}
    assert set(left) == {eye, rehearsed}, left
    with concurrent.futures.ThreadPoolExecutor(2) as operators:  # both press at once
        both = list(operators.map(lambda _: served.asked("POST", "/api/recordings", {"resume": eye}), range(2)))
    assert sorted(status for status, _ in both) == [200, 409], both
    said = [one["text"] for one in served.state(eye)["said"]]
    assert said[:3] == ["13.31 V 0 A", "load on", "12.96 V 24.8 A"], said
    before = served.good("POST", "/api/recordings", {"resume": rehearsed})
    assert before["rehearsed"] and before["invented"], before
    wait_for(lambda: served.state(rehearsed)["readings"] > before["readings"] + 20)


def hear(line, words, seconds=5):
    """All that comes until the event with these words is whole."""
    heard, until = b"", time.monotonic() + seconds
    while words not in heard or b"\n\n" not in heard[heard.index(words):]:
        assert time.monotonic() < until, heard
        heard += line.recv(4096)
    line.close()
    return heard


def missed(served, eye):
    """A reader hears one line, is away for two, and comes back."""
    line, here = served.events("said"), b""
    while b"event: here" not in here:  # what is said before a page listens is not told to it
        here += line.recv(4096)
    served.say(eye, "12.93 V 24.8 A")
    last = re.findall(rb"id: ?(\S+)", hear(line, b"12.93"))[-1].decode()
    for words in ("12.92 V 24.8 A", "burst on"):
        served.say(eye, words)
    heard = hear(served.events("said", last), b"burst on")
    assert b"12.92 V" in heard and b"12.93 V" not in heard and b"event: reload" not in heard, heard


def main():
    rundown = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        book = f"{folder}/hut.book"
        subprocess.run([rundown, "book", "new", book], check=True, stdout=subprocess.DEVNULL)
        served = Bench(rundown, book=book)
        eye, rehearsed = begin(served)
        served.kill()
        served = Bench(rundown, book=book)
        resume(served, eye, rehearsed)
        missed(served, eye)
        for run in (eye, rehearsed):
            served.good("POST", f"/api/recordings/{run}/end", {})
        wait_for(lambda: all(served.state(run)["state"] == "ended" for run in (eye, rehearsed)))
        status, words = served.end()
        assert status == 0, words
        shown = json.loads(subprocess.run([rundown, "run", "show", book, str(rehearsed), "--json"], check=True, capture_output=True).stdout)
        gaps = [one for one in shown["events"] if one["kind"] == "gap" and one["topic"] == "stopped"]
        assert len(gaps) >= 2 and not shown["open"], gaps  # of each instrument that had spoken
        found = json.loads(subprocess.run([rundown, "assess", f"{book}:{eye}", "--json"], check=True, capture_output=True).stdout)
        assert found["logs"][0]["readings"] == 4 + 2, found["logs"]  # two marks are instants too
        subprocess.run([rundown, "book", "check", book], check=True, stdout=subprocess.DEVNULL)
    print("1 passed, 0 failed, 0 skipped")


if __name__ == "__main__":
    main()
