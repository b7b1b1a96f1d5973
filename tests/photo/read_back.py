#!/usr/bin/python3
"""Codes by encoders that are not ours, photographed by simulation (photographs.py), added to a book, and held against
what was encoded. In the moderate band all are read, each at its place; nowhere is anything read that was not encoded.

usage: read_back.py RUNDOWN [few|sweep]   few: those that are quick enough for every build
                                          sweep: how far the reader gets, one thing at a time; only what is wrong fails
"""
import json
import os
import subprocess
import sys
import tempfile
import warnings

import photographs
from photographs import BENCH, MATRIX, QR, four

warnings.filterwarnings("ignore", category=UserWarning)  # of palettes in the encoders' own PNG
MIXED = (QR, MATRIX, MATRIX, QR)

# What a careful tester's photograph is like at its worst, one thing at a time, and some of them together.
MODERATE = {
    "twelve megapixels": BENCH,
    "twelve megapixels, small": {"seed": 5, "width": 4000, "height": 3000, "module": 4, "codes": four(MIXED, 5)},
    "small": {"seed": 6, "module": 4, "codes": four(MIXED, 9)},
    "near": {"seed": 7, "module": 14, "blur": 1.5, "codes": four(MIXED, 13)},
    "askew": {"seed": 8, "tilt": 30, "codes": four(MIXED, 17)},
    "turned": {"seed": 9, "codes": four((MATRIX, QR, QR, MATRIX), 21, (45, 135, 260, 330))},
    "out of focus": {"seed": 10, "blur": 1.5, "codes": four(MIXED, 25)},
    "noise": {"seed": 11, "noise": 12, "codes": four(MIXED, 29)},
    "dim": {"seed": 12, "light": 0.2, "codes": four(MIXED, 33)},
    "shade": {"seed": 13, "shade": 0.8, "codes": four(MIXED, 37)},
    "gloss": {"seed": 14, "gloss": 0.3, "gloss_at": "over", "codes": four(MIXED, 41)},
    "light on dark": {"seed": 15, "ink": 200, "paper": 60, "codes": four(MIXED, 45)},
    "plain ground": {"seed": 16, "busy": 0, "codes": four(MIXED, 49)},
    "all at once": {"seed": 17, "module": 6, "tilt": 20, "blur": 1.1, "noise": 7, "light": 0.5, "shade": 0.4,
                    "gloss": 0.2, "quality": 80, "codes": four(MIXED, 53)},
    "one": {"seed": 18, "width": 1200, "height": 900, "codes": four((MATRIX,), 57)},
    "none": {"seed": 19, "busy": 2},
}
# Nobody reads these.
HOPELESS = {
    "blurred": {"seed": 20, "blur": 8, "codes": four(MIXED, 60)},
    "tiny": {"seed": 21, "module": 1.2, "codes": four(MIXED, 64)},
    "drowned": {"seed": 22, "noise": 90, "codes": four(MIXED, 68)},
    "dark": {"seed": 23, "light": 0.02, "codes": four(MIXED, 72)},
}
FEW = ("twelve megapixels", "turned", "light on dark", "all at once", "drowned", "dark")
SWEEP = {
    "module": (2, 2.5, 3, 3.5, 4, 5, 7, 10, 15, 20), "tilt": (10, 20, 30, 40, 50, 60), "blur": (1, 1.5, 2, 2.5, 3, 4),
    "noise": (5, 10, 20, 30, 45), "light": (0.6, 0.4, 0.2, 0.1, 0.05), "shade": (0.5, 0.8, 0.95),
    "gloss": (0.2, 0.4, 0.6, 0.8), "paper": (200, 100, 70, 50), "busy": (0, 1, 2, 4), "quality": (90, 60, 30),
}


def read_back(rundown, scenes, folder):
    """For each scene the codes that the program says, as (kind, text, x, y)."""
    book = os.path.join(folder, "workshop.book")
    files = []
    for k, scene in enumerate(scenes):
        files.append(os.path.join(folder, f"{k}.jpg"))
        photographs.take(files[-1], **scene)
    for words in (["book", "new", book], ["sample", "add", book, "Hut pack 14", "--invented"]):
        subprocess.run([rundown, *words], check=True, stdout=subprocess.DEVNULL)
    said = subprocess.run([rundown, "picture", "add", book, "--sample", "Hut pack 14", *files, "--json"], check=True,
                          stdout=subprocess.PIPE).stdout
    return [[(c["kind"], c["text"], c["x"], c["y"]) for c in one["codes"]] for one in json.loads(said)["pictures"]]


def compare(scene, got):
    """How many codes were read where they are; and what was read that is not there, or twice."""
    wanted = [(kind, text, x, y) for kind, _, text, x, y, _ in scene.get("codes", ())]
    right, wrong = 0, []
    for code in got:
        same = [w for w in wanted if w[:2] == code[:2] and abs(w[2] - code[2]) < 0.03 and abs(w[3] - code[3]) < 0.03]
        right += len(same)
        wrong += [] if same else [code]
        wanted = [w for w in wanted if w not in same]
    return right, wrong


def check(rundown, folder, names=tuple(MODERATE | HOPELESS)):
    failed = 0
    scenes = {name: (MODERATE | HOPELESS)[name] for name in names}
    for (name, scene), got in zip(scenes.items(), read_back(rundown, scenes.values(), folder)):
        right, wrong = compare(scene, got)
        least = len(scene.get("codes", ())) if name in MODERATE else 0
        if wrong or right < least:
            failed += 1
            print(f"FAILED {name}: {right} of {least} read" + "".join(f", {w} was never encoded" for w in wrong))
        if name in HOPELESS and right > 0:
            failed += 1
            print(f"FAILED {name}: {right} were read; make it worse, so that it tests something")
    return len(scenes), failed


def sweep(rundown, folder):
    failed = count = 0
    for what, values in SWEEP.items():
        scenes = [{"seed": seed, what: v, "codes": four(MIXED, 10 * seed)} | ({"gloss_at": "over"} if what == "gloss" else {})
                  for v in values for seed in (31, 32, 33)]
        inner = os.path.join(folder, what)
        os.mkdir(inner)
        results = [compare(*pair) for pair in zip(scenes, read_back(rundown, scenes, inner))]
        for k, value in enumerate(values):
            of = results[3 * k:3 * k + 3]
            print(f"    {what} {value}: {sum(right for right, _ in of)} of 12")
        failed += sum(bool(wrong) for _, wrong in results)
        count += len(results)
    return count, failed


def main():
    if photographs.MISSING:
        print("skipped: " + ", ".join(photographs.MISSING))
        return 77
    with tempfile.TemporaryDirectory() as folder:
        if sys.argv[2:] == ["sweep"]:
            count, failed = sweep(sys.argv[1], folder)
        else:
            count, failed = check(sys.argv[1], folder, *([FEW] if sys.argv[2:] == ["few"] else []))
    print(f"{count - failed} passed, {failed} failed, 0 skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
