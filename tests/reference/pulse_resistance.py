"""Pulse resistances computed a second time, with numpy and scipy, and held against those found.

Argument: the program print_resistances. Without numpy and scipy the test is skipped. A step is where
two readings of the current differ by more than a tenth of its range; volts before it are
scipy.stats.linregress over 30 s, or four times the delay, or the last third of the stretch, carried
to the moment of the volts after it with the bend that the stretch before tells (src/battery/resistance.h); volts after it are scipy.interpolate's straight line between readings.
"""
import collections
import os
import subprocess
import sys

try:
    import numpy
    from scipy import interpolate, stats
except ImportError:
    print("    skipped: numpy and scipy are not on this machine")
    print("0 passed, 0 failed, 1 skipped")
    sys.exit(0)

LAYOUTS = {  # columns of time (None: one row a second), current (charge positive), voltage
    "hppc_25degC.csv": (1, 8, 9),
    "discharge_1C.csv": (1, 8, 9),
    "hppc_clean_20degC.csv": (None, 1, 0),
}


def read(path):
    columns, rows = LAYOUTS[os.path.basename(path)], []
    for line in open(path, encoding="utf-8"):
        cells = line.split(",")
        try:
            row = [0.0 if c is None else float(cells[c]) for c in columns]
        except (ValueError, IndexError):
            continue
        rows.append(row)
    t, a, v = numpy.array(rows).T
    return (numpy.arange(len(a), dtype=float) if columns[0] is None else t), -a, v


def before_step(t, v, first, k, at, delay):
    """Volts that the stretch first…k would have gone on to, `delay` after `at`."""
    reach = min(max(30, 4 * delay), (t[k] - t[first]) / 3)
    window = [j for j in range(first, k + 1) if t[j] >= t[k] - reach or j > k - 5]
    if len(window) < 4:
        near = (v[k] - v[k - 1]) / (t[k] - t[k - 1]) if k > first else 0.0
        return v[k] + near * delay / 2
    line = stats.linregress(t[window], v[window])
    earlier = list(range(max(first, window[0] - len(window)), window[0]))
    now = line.intercept + line.slope * at
    if len(earlier) < 4:
        return now + line.slope * delay / 2
    slope_before = stats.linregress(t[earlier], v[earlier]).slope
    length, apart = numpy.ptp(t[window]), t[window][[0, -1]].mean() - t[earlier][[0, -1]].mean()
    bend = (line.slope - slope_before) / apart
    now += bend * length**2 / 12
    with numpy.errstate(all="ignore"):
        ratio = line.slope / slope_before
    if not 0 < ratio < 1:
        return now + (line.slope + bend * length / 2) * delay
    tau = apart / -numpy.log(ratio)
    return now - line.slope * numpy.exp(-length / 2 / tau) * tau * numpy.expm1(-delay / tau)


def resistances(t, a, v):
    """(instant, delay, ohms) at every step."""
    found = []
    edges = numpy.flatnonzero(numpy.abs(numpy.diff(a)) > numpy.ptp(a) / 10)
    for n, k in enumerate(edges):
        first = edges[n - 1] + 1 if n > 0 else 0
        last = edges[n + 1] if n + 1 < len(edges) else len(t) - 1
        at = (t[k] + t[k + 1]) / 2
        a_before = numpy.median(a[max(first, k - 4):k + 1])
        delay = t[k + 1] - at
        found.append((at, delay, -(v[k + 1] - before_step(t, v, first, k, at, delay)) / (a[k + 1] - a_before)))
        if last <= k + 1:
            continue
        volts = interpolate.interp1d(t[k + 1:last + 1], v[k + 1:last + 1], bounds_error=False)
        amps = interpolate.interp1d(t[k + 1:last + 1], a[k + 1:last + 1], bounds_error=False)
        for delay in (1.0, 10.0, 30.0):
            dv = volts(at + delay) - before_step(t, v, first, k, at, delay)
            found.append((at, delay, -dv / (amps(at + delay) - a_before)))
    return found


def main():
    root = os.environ.get("RUNDOWN_TEST_DATA", "../shared/data")
    ours = collections.defaultdict(list)
    for line in subprocess.run([sys.argv[1]], capture_output=True, text=True, check=True).stdout.splitlines():
        if line.count(",") == 4:
            name, *numbers = line.split(",")
            ours[name].append(tuple(float(number) for number in numbers))
    if not ours:
        print("    skipped: the open data are not on this machine")
        print("0 passed, 0 failed, 1 skipped")
        return 0
    failed = 0
    for name, rows in sorted(ours.items()):
        theirs = resistances(*read(os.path.join(root, name)))
        compared = off = 0
        for at, delay, ohm in theirs:
            match = [r for r in rows if abs(r[0] - at) < 1e-3 and abs(r[1] - delay) < 1e-3]
            if numpy.isfinite(ohm) and match:
                compared += 1
                off += abs(match[0][2] - ohm) > match[0][3]
        good = compared >= 60 if "hppc" in name else compared >= 25
        good = good and off == 0
        failed += not good
        print(f"{'passed' if good else 'FAILED'}  {name}: {compared} resistances compared, {off} outside the interval")
    print(f"{len(ours) - failed} passed, {failed} failed, 0 skipped")
    return 1 if failed else 0


sys.exit(main())
