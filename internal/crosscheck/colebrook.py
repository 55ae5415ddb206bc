#!/usr/bin/env python3
"""Writes supply/hydraulics/testdata/colebrook_fluids.csv: the Colebrook friction factor by
the Python library fluids, checked here by substituting it in the equation with
50-digit arithmetic, with two explicit approximations, over Reynolds numbers 4e3 to 1e8 and relative roughness 0 to
0.05.

Needs fluids (Debian: python3-fluids). Run from the module root.
"""
import csv
from decimal import Decimal, getcontext

import fluids
from fluids.friction import Colebrook, Haaland, Swamee_Jain_1976

getcontext().prec = 50
f = open("supply/hydraulics/testdata/colebrook_fluids.csv", "w")
f.write("# Darcy friction factor by Colebrook\n")
f.write("# source: computed by internal/crosscheck/colebrook.py with the Python library fluids %s\n" % fluids.__version__)
w = csv.writer(f, lineterminator="\n")
w.writerow(["reynolds", "relative_roughness", "friction_factor", "swamee_jain", "haaland"])
for i in range(0, 45):
    re = float("%.6g" % (4e3 * 10 ** (i / 44 * 4.39794000867)))
    for rr in [0, 1e-9, 1e-7, 1e-6, 5e-6, 1e-5, 5e-5, 1e-4, 5e-4, 1e-3, 3e-3, 1e-2, 2e-2, 0.03, 0.05]:
        fd = Colebrook(re, rr, tol=-1)
        x = 1 / Decimal(fd).sqrt()
        r = x + 2 * (Decimal(rr) / Decimal("3.7") + Decimal("2.51") / Decimal(re) * x).log10()
        assert abs(r) < 1e-12, (re, rr, r)
        w.writerow(["%.17g" % re, "%.17g" % rr, "%.16g" % fd,
                    "%.10g" % Swamee_Jain_1976(re, rr), "%.10g" % Haaland(re, rr)])
