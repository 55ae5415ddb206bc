#!/usr/bin/python3
"""Writes dwv/gravity/testdata/stack_balance.csv: the sheet of water that falls down the wall of
a stack, from first principles. Its speed no longer grows where the friction of the wall
carries its weight; the friction is that of a rough pipe (Colebrook, by the Python
library fluids) of the same hydraulic radius, with the 0.00085 ft that Moody gives for
cast iron. The length is that over which dV/dt = g - friction brings a sheet at rest to
a share of that speed, integrated by scipy. No exponent or factor is shared with the
Go code, which uses the fitted formulas of the National Bureau of Standards.

Needs scipy and fluids (Debian: python3-scipy, python3-fluids). Run from the module root.
"""
import csv
import math

import fluids
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq

G, NU = 9.80665, 1.1e-6
INCH, GPM, FOOT = 0.0254, 3.785411784e-3 / 60, 0.3048
ROUGH = 0.00085 * FOOT

f = open("dwv/gravity/testdata/stack_balance.csv", "w")
f.write("# speed at which wall friction carries a sheet of water in a stack, and the fall by which it has 99 and 99.9 percent of it\n")
f.write("# source: computed by internal/crosscheck/stack.py with the Python libraries fluids %s (Colebrook, roughness 0.00085 ft, Moody) and scipy %s\n" % (fluids.__version__, scipy.__version__))
w = csv.writer(f, lineterminator="\n")
w.writerow(["bore_in", "flow_gpm", "velocity_ft_s", "length_99_ft", "length_999_ft"])
for bore, flows in [(2, [17, 23, 28]), (3, [52, 67, 83]), (4, [111, 144, 180]), (6, [328, 424, 530]), (8, [706, 913, 1140])]:
    for gpm in flows:
        d, q = bore * INCH, gpm * GPM

        def friction(v):
            """Deceleration by the wall of the sheet of area q/v."""
            hydraulic = 4 * (q / v) / (math.pi * d)
            return fluids.friction_factor(Re=v * hydraulic / NU, eD=ROUGH / hydraulic) * v * v / (2 * hydraulic)

        top = brentq(lambda v: friction(v) - G, q / (math.pi * d * d / 4) * 1.001, 60, xtol=1e-13)
        fall = [quad(lambda v: v / (G - friction(v)), 0.2 * top, share * top, epsrel=1e-8, limit=200)[0]
                # the first fifth of the speed, where the sheet is thick, is free fall
                + (0.2 * top) ** 2 / (2 * G) for share in (0.99, 0.999)]
        w.writerow([bore, gpm, "%.6g" % (top / FOOT)] + ["%.6g" % (x / FOOT) for x in fall])
