#!/usr/bin/python3
"""Writes dwv/gravity/testdata/normal_depth_scipy.csv: the lower depth at which a flow runs in
a circular pipe. The wetted area and perimeter come from the integral of the width by
scipy.integrate.quad, the depth from scipy.optimize.brentq, Manning's constant n from
fluids.V_Manning: no formula of the segment is shared with the Go code.

Needs scipy and fluids (Debian: python3-scipy, python3-fluids). Run from the module root.
"""
import csv
import math

import fluids
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq


def flow(y, d, s, n):
    """Flow at depth y (0..1 of the bore d): area and wetted perimeter over the half angle."""
    end = math.acos(1 - 2 * y)
    area = quad(lambda a: d * d / 2 * math.sin(a) ** 2, 0, end, epsabs=0, epsrel=1e-13)[0]
    wet = quad(lambda a: d, 0, end, epsabs=0, epsrel=1e-13)[0]
    return area * fluids.V_Manning(Rh=area / wet, S=s, n=n)


f = open("dwv/gravity/testdata/normal_depth_scipy.csv", "w")
f.write("# lower normal depth, as a share of the bore, of a flow given as a share of the full pipe's\n")
f.write("# source: computed by internal/crosscheck/depth.py with the Python libraries scipy %s and fluids %s\n" % (scipy.__version__, fluids.__version__))
w = csv.writer(f, lineterminator="\n")
w.writerow(["bore_mm", "one_in", "n", "flow_m3_s", "depth_ratio"])
for bore, one_in, n in [(52.5, 48, 0.009), (77.9, 96, 0.013), (102.3, 50, 0.01), (300, 400, 0.015)]:
    full = flow(1, bore / 1000, 1 / one_in, n)
    for share in [1e-6, 1e-4, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 1, 1.05, 1.07]:
        q = float("%.12g" % (share * full))
        y = brentq(lambda y: flow(y, bore / 1000, 1 / one_in, n) - q, 1e-6, 0.938, xtol=1e-15, rtol=1e-14)
        w.writerow([bore, one_in, n, "%.12g" % q, "%.14g" % y])
