"""Charge, energy, mean volts, capacities, the load's exponent and Peukert's, worked out a second time from the
text of the logs by another hand in another language, and held against what the program says.

Argument: the program. Current above a fiftieth of its largest is a discharge; it begins and ends in the middle
of the interval in which it came and went; between readings volts and amps are straight lines, but jump
together where the current steps by more than a tenth of its range. Open logs that are not on this machine are
skipped.
"""
import json
import math
import os
import subprocess
import sys

DATA = os.environ.get("RUNDOWN_TEST_DATA", "../shared/data")
passed = failed = skipped = 0


def check(label, got, want, relative):
    global failed
    if got is None or not abs(got - want) <= relative * abs(want):
        print(f"    {label} is {got}, a second opinion {want}")
        failed += 1


def seconds(cell):
    if ":" not in cell:
        return float(cell)
    h, m, s = cell.split()[-1].split(":")  # a date before it stays the same
    return 3600 * int(h) + 60 * int(m) + float(s)


def read(path, time, current, voltage, sign):
    rows = []
    for line in open(path, encoding="utf-8-sig"):
        cells = line.split(",")
        try:
            rows.append((seconds(cells[time]), sign * float(cells[current]), float(cells[voltage])))
        except (ValueError, IndexError):
            continue
    return rows


def discharge(rows):
    """Indices of the first and last reading of the longest discharge."""
    limit = max(abs(a) for _, a, _ in rows) / 50
    best, begun = (0, -1), None
    for k, (_, a, _) in enumerate(rows + [(0, 0, 0)]):
        if a > limit:
            begun = k if begun is None else begun
        elif begun is not None:
            best = max(best, (begun, k - 1), key=lambda run: run[1] - run[0])
            begun = None
    return best


def amounts(rows, first, last):
    """Ah and Wh from one edge to the other, and after each reading."""
    jump = (max(a for _, a, _ in rows) - min(a for _, a, _ in rows)) / 10
    before = (rows[first][0] - rows[first - 1][0]) / 2 if first > 0 else 0
    after = (rows[last + 1][0] - rows[last][0]) / 2 if last + 1 < len(rows) else 0
    q, e = [rows[first][1] * before], [rows[first][1] * rows[first][2] * before]
    for (t0, a0, v0), (t1, a1, v1) in zip(rows[first:last], rows[first + 1:last + 1]):
        h = t1 - t0
        q.append(q[-1] + h * (a0 + a1) / 2)
        straight = (2 * a0 * v0 + 2 * a1 * v1 + a0 * v1 + a1 * v0) / 6
        e.append(e[-1] + h * ((a0 * v0 + a1 * v1) / 2 if abs(a1 - a0) > jump else straight))
    whole = (q[-1] + rows[last][1] * after, e[-1] + rows[last][1] * rows[last][2] * after)
    return [x / 3600 for x in whole], [x / 3600 for x in q]


def assess(program, logs, *options):
    done = subprocess.run([program, "assess", *logs, "--json", "--quiet", *options], capture_output=True, check=True)
    return json.loads(done.stdout)


def hold(label, rows, test, charge, energy):
    first, last = discharge(rows)
    (ah, wh), _ = amounts(rows, first, last)
    check(f"{label}: charge", test["charge_ah"]["value"], ah, charge)
    check(f"{label}: energy", test["energy_wh"]["value"], wh, energy)
    check(f"{label}: mean volts", test["mean_v"]["value"], wh / ah, energy)
    return ah, wh


def exponent(rows, low_a, high_a):
    """Slope of ln I on ln V among the readings of one load, before and after the burst apart."""
    stretches, run = [], []
    for _, a, v in rows:
        if low_a < a < high_a:
            run.append((math.log(v), math.log(a)))
        elif run:
            stretches.append(run)
            run = []
    sxx = sxy = 0
    for stretch in stretches:
        if len(stretch) < 100:
            continue
        mx = sum(x for x, _ in stretch) / len(stretch)
        my = sum(y for _, y in stretch) / len(stretch)
        sxx += sum((x - mx) ** 2 for x, _ in stretch)
        sxy += sum((x - mx) * (y - my) for x, y in stretch)
    return sxy / sxx


def demo(program):
    log = "demo/hut-pack.log.csv"
    said = assess(program, [log], "--label", "demo/hut-pack.label", "--rig", "demo/hut-pack.rig")
    rows = read(log, 0, 2, 1, 1)
    first, last = discharge(rows)
    hold("demo", rows, said["tests"][0], 1e-9, 1e-5)  # a row that caught the collapse: a jump, or no more
    _, running = amounts(rows, first, last)
    for capacity in said["capacity"]:
        cut_off = capacity["cut_off_v"]
        for k in range(first + 1, last + 1):  # under the base load: the burst is far above 50 A
            v0, v1 = rows[k - 1][2], rows[k][2]
            if v0 > cut_off >= v1 and rows[k][1] < 50 and rows[k + 1][2] < cut_off + 0.01:
                ah = running[k - 1 - first] + (running[k - first] - running[k - 1 - first]) * (v0 - cut_off) / (v0 - v1)
                check(f"demo: capacity to {cut_off} V", capacity["charge_ah"]["value"], ah, 5e-4)  # noise: a few rows
                break
    check("demo: exponent of the load", said["tests"][0]["load_exponent"]["value"], exponent(rows, 20, 50), 0.02)


def open_logs(program):
    """Charge and energy of each, and from all of them Peukert's exponent by least squares."""
    names = [f"{DATA}/lithium-18650-3ah/S001_{rate}.csv" for rate in ("C10", "1C", "2C", "3C", "4C")]
    if not all(os.path.exists(name) for name in names):
        return False
    said = assess(program, names, "--column", "time=1", "--column", "current=2", "--column", "voltage=3")
    x, y = [], []
    for name, test in zip(names, said["tests"]):
        rows = read(name, 0, 1, 2, -1)
        ah, _ = hold(os.path.basename(name), rows, test, 2e-4, 2e-4)  # which rows are at rest is each one's own affair
        first, last = discharge(rows)
        hours = (rows[last][0] - rows[first][0]) / 3600
        x.append(math.log(ah / hours))
        y.append(math.log(hours))
    mx, my = sum(x) / 5, sum(y) / 5
    k = -sum((a - mx) * (b - my) for a, b in zip(x, y)) / sum((a - mx) ** 2 for a in x)
    check("Peukert's exponent", said["peukert"]["exponent"]["value"], k, 2e-4)
    return True


def main():
    global passed, skipped, failed
    program = sys.argv[1]
    for test in (demo, open_logs):
        before = failed
        if test(program) is False:
            print(f"    skipped: {test.__name__}: the open data are not on this machine")
            skipped += 1
        elif failed == before:
            print(f"passed  {test.__name__}")
            passed += 1
        else:
            print(f"FAILED  {test.__name__}")
    failed = min(failed, 2)
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return failed > 0


sys.exit(main())
