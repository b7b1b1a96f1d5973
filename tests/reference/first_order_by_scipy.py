"""Warming and a probe's lag fitted a second time, by SciPy's curve_fit over all readings, and held against what the
program says: invented rises and steps with noise and digits, long enough and not. Argument: the program that prints the
fits. Skipped where there is no SciPy (python3-scipy)."""
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


def first_order(t, final, change, log_tau):
    return final + change * np.exp(-t / np.exp(log_tau))


# final and first degC, constant, noise, digit, seconds between readings, how many, seed
RISES = [
    (41.7, 23.4, 913.0, 0.08, 0.1, 1.7, 3000, 20261),
    (38.2, 19.1, 2207.0, 0.05, 0.01, 2.3, 3000, 7),  # 3.1 constants
    (55.3, 21.6, 641.0, 0.11, 0.1, 10.0, 150, 3),
    (2.1, 23.5, 13.7, 0.05, 0.01, 0.5, 240, 417),    # a probe put into ice water
    (31.4, 22.8, 4100.0, 0.04, 0.1, 1.7, 3000, 11),  # too short to tell
]
failed = 0


def check(what, holds):
    global failed
    if not holds:
        print("    " + what)
        failed += 1


for final, first, tau, noise, digit, step, count, seed in RISES:
    rng = np.random.default_rng(seed)
    t = step * np.arange(count)
    degc = final + (first - final) * np.exp(-t / tau) + noise * rng.standard_normal(count)
    degc = digit * np.round(degc / digit)
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as rows:
        rows.write("".join(f"{x + 917.3:.6f} {y:.6f}\n" for x, y in zip(t, degc)))
        rows.flush()
        said = json.loads(subprocess.run([sys.argv[1], rows.name], capture_output=True, text=True, check=True).stdout)
    fit, covariance = curve_fit(first_order, t, degc, p0=(degc[-1], degc[0] - degc[-1], np.log(t[-1] / 3)), maxfev=20000)
    u = np.sqrt(np.diag(covariance))
    own_tau, own_u = np.exp(fit[2]), np.exp(fit[2]) * u[2]
    name = f"rise {seed}"
    found, found_u, low, high = said["tau_s"]
    check(f"{name}: constant {found} +- {found_u} s, SciPy {own_tau} +- {own_u}", abs(found - own_tau) <= np.hypot(found_u, own_u))
    check(f"{name}: of its fit {said['tau_fit_s']}, SciPy {own_u}", 0.6 * own_u <= said["tau_fit_s"] <= 1.6 * own_u)
    half = len(t) // 2  # the model's doubt: three times what the first half says otherwise, as the half-width of a rectangle
    first_half, half_covariance = curve_fit(first_order, t[:half], degc[:half], p0=fit, maxfev=20000)
    if half_covariance[2, 2] < 0.45**2:  # else the half tells no constant
        own_model, slack = np.sqrt(3) * abs(np.exp(first_half[2]) - own_tau), np.sqrt(3 * half_covariance[2, 2]) * own_tau
        check(f"{name}: of its model {said['tau_model_s']}, SciPy {own_model}", abs(said["tau_model_s"] - own_model) <= slack)
    check(f"{name}: both together {found_u}", abs(found_u - np.hypot(said["tau_fit_s"], said["tau_model_s"])) <= 1e-6 * found_u)
    if t[-1] < 2 * own_tau:
        check(f"{name}: too short a rise ends", said["final_degc"] is None and said["lag_s"] is None)
        continue
    found, found_u, low, high = said["final_degc"]
    check(f"{name}: final {found} +- {found_u} degC, SciPy {fit[0]} +- {u[0]}", abs(found - fit[0]) <= np.hypot(found_u, u[0]))
    check(f"{name}: {final} in [{low}, {high}]", low <= final <= high)
    check(f"{name}: the fit alone knows it no better", found_u >= 0.6 * u[0])
    found, found_u, low, high = said["lag_s"]  # of the same readings, all of them taken: the same fit
    check(f"{name}: lag {found} s, SciPy {own_tau}", abs(found - own_tau) <= 1e-3 * own_tau)
    check(f"{name}: its uncertainty {found_u}, SciPy {own_u}", abs(found_u - own_u) <= 0.02 * own_u)
    check(f"{name}: {tau} in [{low}, {high}] or nearly", low - found_u <= tau <= high + found_u)
print(f"{len(RISES)} rises, {failed} failed")
sys.exit(1 if failed else 0)
