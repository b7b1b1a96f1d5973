#!/usr/bin/env python3
"""Conductors solved a second time: a fin between its ends, by finite differences of its own and Newton-like turns, with the
properties of air interpolated from a table (Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4, from
memory) instead of Sutherland's law. Convection from a horizontal cylinder: Churchill and Chu 1975.

usage: lead_by_scipy.py RUNDOWN"""
import json
import math
import subprocess
import sys

try:
    import numpy as np
    from scipy.linalg import solve_banded
    from scipy.optimize import brentq
except ImportError:
    sys.exit(77)

STEFAN_BOLTZMANN, JACKET_W_PER_M_K, JOINT_W_PER_K, JOINT_OHM = 5.670374419e-8, 0.19, 0.5, 5e-5
METALS = {"copper": (1 / 58, 0.00393, 390), "aluminium": (0.02826, 0.00403, 230)}
AIR_K = [250, 300, 350, 400, 450, 500]
AIR_W_PER_M_K = [0.0223, 0.0263, 0.0300, 0.0338, 0.0373, 0.0407]
AIR_M2_PER_S = [11.44e-6, 15.89e-6, 20.92e-6, 26.41e-6, 32.39e-6, 38.79e-6]
AIR_PRANDTL = [0.720, 0.707, 0.700, 0.690, 0.686, 0.684]


def awg_mm2(number):
    return math.pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2


def usual_jacket_mm(area):
    if area < 2.5:
        return max(0.8 - 0.2 * (2.5 - area), 0.4)
    return 0.8 if area <= 10 else min(0.8 + 1.2 * (area - 10) / 110, 2.0)


class Lead:
    def __init__(self, awg, length_m, count=1, metal="copper", bundled=False, air=25.0, closed=False, ends=(None, None)):
        self.area = awg_mm2(awg) * 1e-6
        self.length, self.count, self.air = length_m, count, air
        self.share = 0.5 if closed else 1.0
        self.ends = ends
        self.ohm_m, self.per_k, self.w_per_m_k = METALS[metal]
        metal_m = 2 * math.sqrt(self.area / (0.9 * math.pi))
        outside_m = metal_m + 2e-3 * usual_jacket_mm(self.area * 1e6)
        self.jacket = math.log(outside_m / metal_m) / (2 * math.pi * JACKET_W_PER_M_K)
        together = bundled and count > 1
        self.diameter = 1.15 * math.sqrt(count) * outside_m if together else outside_m
        self.perimeter = math.pi * self.diameter / (count if together else 1)

    def surface_w_per_m2_k(self, degc):
        film = 273.15 + (degc + self.air) / 2
        k, nu, pr = (np.interp(film, AIR_K, table) for table in (AIR_W_PER_M_K, AIR_M2_PER_S, AIR_PRANDTL))
        rayleigh = 9.80665 / film * abs(degc - self.air) * self.diameter ** 3 / nu ** 2 * pr
        root = 0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / pr) ** (9 / 16)) ** (8 / 27)
        a, b = degc + 273.15, self.air + 273.15
        return self.share * k / self.diameter * root ** 2 + 0.9 * STEFAN_BOLTZMANN * (a + b) * (a * a + b * b)

    def loss(self, degc):
        """W per metre of one conductor: through its jacket, then from its surface."""
        if abs(degc - self.air) < 1e-6:
            return 0.0
        flows = lambda s: self.surface_w_per_m2_k(s) * self.perimeter * (s - self.air) - (degc - s) / self.jacket
        s = brentq(flows, min(self.air, degc), max(self.air, degc), xtol=1e-9)
        return (degc - s) / self.jacket

    def solve(self, amps, cells=700):
        each, dx = amps / self.count, self.length / cells
        along, half = self.w_per_m_k * self.area / dx, 2 * self.w_per_m_k * self.area / dx
        cold = self.ohm_m * 1e-6 / self.area * dx
        degc = np.full(cells, self.air + 15.0)
        for _ in range(300):
            at = np.linspace(degc.min() - 1e-6, degc.max() + 1e-6, 30)
            lost = np.interp(degc, at, [self.loss(x) for x in at])
            above = np.where(np.abs(degc - self.air) > 1e-5, degc - self.air, 1)
            out = np.where(np.abs(degc - self.air) > 1e-5, lost / above, 0.5) * dx
            band, right = np.zeros((3, cells)), out * self.air + each ** 2 * cold * (1 - 20 * self.per_k)
            band[0, 1:] = band[2, :-1] = -along
            band[1] = 2 * along + out - each ** 2 * cold * self.per_k
            for end, k in zip(self.ends, (0, -1)):
                band[1, k] -= along
                made = amps ** 2 * JOINT_OHM / self.count
                if end is None:
                    right[k] += made
                    continue
                joint = JOINT_W_PER_K / self.count
                band[1, k] += joint * half / (joint + half)
                right[k] += joint * half / (joint + half) * end + half / (joint + half) * made
            new = solve_banded((1, 1), band, right)
            moved, degc = np.abs(new - degc).max(), degc + 0.6 * (new - degc)
            if moved < 1e-4:
                break
        metal_ohm = cold * np.sum(1 + self.per_k * (degc - 20)) / self.count
        return degc.max(), metal_ohm + 2 * JOINT_OHM


# Size of gauge, metres, how many, and the rest.
CASES = [
    (10, 0.18, 50, {}),
    (10, 0.18, 70, {"ends": (38.0, 52.0)}),
    (8, 1.9, 60, {"air": 41.0, "closed": True}),
    (16, 0.22, 44, {"count": 4, "bundled": True, "ends": (33.0, None)}),
    (2, 0.11, 190, {"metal": "aluminium", "ends": (31.0, 44.0), "air": 30.0}),
    (-1, 0.07, 260, {"ends": (28.0, 57.0), "air": 36.0, "closed": True}),
    (22, 0.31, 6, {"air": -18.0}),
]


def printed(rundown, awg, length_m, amps, more):
    size = f"{more.get('count', 1)} x {1 - awg}/0 AWG" if awg <= 0 else f"{more.get('count', 1)} x {awg} AWG"
    words = [rundown, "wire", size, "--length", f"{length_m * 100:g}cm", "--current", f"{amps}A", "--insulation", "200°C",
             "--air", f"{more.get('air', 25.0):g}°C", "--metal", more.get("metal", "copper"), "--json"]
    words += ["--closed"] * more.get("closed", False) + ["--bundled"] * more.get("bundled", False)
    for name, end in zip(("--cell", "--board"), more.get("ends", (None, None))):
        words += [] if end is None else [name, f"{end:g}°C"]
    return json.loads(subprocess.run(words, capture_output=True, check=True, text=True).stdout)["at"][0]


def main():
    wrong = 0
    for awg, length_m, amps, more in CASES:
        said = printed(sys.argv[1], awg, length_m, amps, more)
        degc, ohm = Lead(awg, length_m, **more).solve(amps)
        warmer = degc - more.get("air", 25.0)
        close = abs(said["hottest_degc"]["value"] - degc) < 0.02 * warmer and abs(said["resistance_ohm"]["value"] / ohm - 1) < 0.003
        print(f"{awg} AWG, {length_m} m, {amps} A {more}: {said['hottest_degc']['value']:.2f} °C and "
              f"{said['resistance_ohm']['value'] * 1e3:.4f} mΩ, a second time {degc:.2f} and {ohm * 1e3:.4f}{'' if close else '  WRONG'}")
        wrong += not close
    return wrong > 0


sys.exit(main())
