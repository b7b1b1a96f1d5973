"""Settling volts fitted a second time, by SciPy's curve_fit over all readings, and held against what the program says:
several invented rests with noise and digits, of one constant and of two, long enough and not. Argument: the program
that prints a fit. Skipped where there is no SciPy (python3-scipy)."""
import json
import subprocess
import sys
import tempfile

try:
    import numpy as np
    from scipy.optimize import curve_fit
except ImportError:
    print("skipped: no SciPy here (python3-scipy)")
    sys.exit(77)


def one(t, v, a, tau):
    return v + a * np.exp(-t / tau)


def two(t, v, a, tau, b, tau2):
    return v + a * np.exp(-t / tau) + b * np.exp(-t / tau2)


# settled V, amplitudes and constants, noise, seconds between readings, how many, seed
RESTS = [
    (13.317, [(0.412, 41.0), (0.187, 1730.0)], 0.0004, 2.3, 4000, 20261),
    (13.291, [(0.351, 63.0), (0.153, 1310.0)], 0.0011, 1.9, 4000, 7),
    (12.984, [(-0.313, 402.0)], 0.0007, 1.1, 4000, 3),
    (26.713, [(0.297, 517.0)], 0.0021, 10.0, 400, 11),
    (13.342, [(0.311, 44.0), (0.131, 911.0)], 0.0008, 10.0, 700, 5),
    (13.317, [(0.412, 41.0), (0.187, 1730.0)], 0.0002, 0.5, 4000, 13),  # too short to tell
]
failed = 0


def check(what, holds):
    global failed
    if not holds:
        print("    " + what)
        failed += 1


for settled, terms, noise, step, count, seed in RESTS:
    rng = np.random.default_rng(seed)
    t = step * np.arange(count) + 0.37
    v = settled + sum(a * np.exp(-t / tau) for a, tau in terms) + noise * rng.standard_normal(count)
    v = np.round(v, 4)
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as rows:
        rows.write("".join(f"{x:.6f} {y:.6f}\n" for x, y in zip(t, v)))
        rows.flush()
        said = json.loads(subprocess.run([sys.argv[1], rows.name], capture_output=True, text=True, check=True).stdout.replace("nan", "null"))
    start = [v[-1]] + [x for term in terms for x in term]
    fit, covariance = curve_fit(one if len(terms) == 1 else two, t, v, p0=start, maxfev=20000)
    u = np.sqrt(np.diag(covariance))
    name = f"rest {seed}"
    enough = count * step >= 3 * terms[-1][1]
    check(f"{name}: {said['terms']} terms of {len(terms)}", said["terms"] == len(terms))
    if said["terms"] != len(terms):
        continue
    for k, (tau, tau_u, a) in enumerate(said["taus"]):
        # of means, one along log t, where SciPy takes every reading: alike within what both do not know
        both = np.hypot(3 * tau_u, 3 * u[2 + 2 * k])
        check(f"{name}: constant {tau} +- {tau_u} s, SciPy {fit[2 + 2 * k]} +- {u[2 + 2 * k]}", abs(tau - fit[2 + 2 * k]) <= both + 0.02 * tau)
        check(f"{name}: amplitude {a}, SciPy {fit[1 + 2 * k]}", abs(a - fit[1 + 2 * k]) <= 0.03 * abs(a) + 3 * u[1 + 2 * k])
    if enough:
        check(f"{name}: settled {said['settled_v']} +- {said['u']}, SciPy {fit[0]} +- {u[0]}", abs(said["settled_v"] - fit[0]) <= 3 * np.hypot(said["u"], u[0]))
        check(f"{name}: {settled} in [{said['low']}, {said['high']}]", said["low"] <= settled <= said["high"])
    else:
        check(f"{name}: too short a rest settles", "settled_v" not in said and said["wait_s"] > 0)
print(f"{len(RESTS)} rests, {failed} failed")
sys.exit(1 if failed else 0)
