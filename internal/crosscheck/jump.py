#!/usr/bin/python3
"""Writes dwv/gravity/testdata/jump_scipy.csv: critical depth and the two depths of a hydraulic
jump in a circular drain. Area and hydrostatic force come from the integral of the width
by scipy.integrate.quad, the critical depth from the least specific energy by
scipy.optimize.minimize_scalar, the jump from equal momentum by brentq: no formula of the
segment or its centroid is shared with the Go code.

Needs scipy (Debian: python3-scipy). Run from the module root.
"""
import csv
import math

import scipy
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

G, INCH, GPM, FOOT = 9.80665, 0.0254, 3.785411784e-3 / 60, 0.3048


def width(z, d):
    return 2 * math.sqrt(max(z * (d - z), 0))


def area(y, d):
    end = math.acos(1 - 2 * y / d)
    return quad(lambda a: d * d / 2 * math.sin(a) ** 2, 0, end, epsabs=0, epsrel=1e-13)[0]


def force(y, d, q):
    """Momentum and hydrostatic force over rho g, by the depth below the surface of each strip."""
    end = math.acos(1 - 2 * y / d)
    still = quad(lambda a: (y - d / 2 * (1 - math.cos(a))) * d * d / 2 * math.sin(a) ** 2, 0, end, epsabs=0, epsrel=1e-13)[0]
    return still + q * q / (G * area(y, d))


f = open("dwv/gravity/testdata/jump_scipy.csv", "w")
f.write("# depths over the bore where the sheet of a stack enters a drain, at critical flow, and after a jump (1: the jump fills the drain)\n")
f.write("# source: computed by internal/crosscheck/jump.py with the Python library scipy %s\n" % scipy.__version__)
w = csv.writer(f, lineterminator="\n")
w.writerow(["stack_in", "drain_in", "flow_gpm", "entering", "critical", "sequent"])
for stack, drain, gpm in [(2, 3, 10), (2, 4, 20), (3, 4, 20), (3, 4, 45), (3, 6, 60), (4, 4, 25), (4, 5, 60), (4, 6, 100), (4, 8, 60), (4, 8, 140),
                          (6, 8, 200), (6, 10, 400), (8, 12, 700), (8, 15, 900)]:
    d, q = drain * INCH, gpm * GPM
    v = 3.0 * (gpm / stack) ** 0.4 * FOOT
    low, high = 1e-6 * d, (1 - 1e-9) * d
    y1 = brentq(lambda y: area(y, d) - q / v, low, high, xtol=1e-15)
    yc = minimize_scalar(lambda y: y + (q / area(y, d)) ** 2 / (2 * G), bounds=(0.01 * d, 0.9999 * d), method="bounded", options={"xatol": 1e-14}).x
    target = force(y1, d, q)
    y2 = d if force(high, d, q) < target else brentq(lambda y: force(y, d, q) - target, yc, high, xtol=1e-15)
    w.writerow([stack, drain, gpm, "%.12g" % (y1 / d), "%.7g" % (yc / d), "%.12g" % (y2 / d)])
