#!/usr/bin/python3
"""Writes supply/heat/testdata/cooling_scipy.csv: how long water that stands in a pipe takes to
cool. The heat balance dT/dt = -(T - ambient)/(R C) is stepped by scipy.integrate.solve_ivp
up to the event of the end temperature; R is the integral of dr/(2 pi r k) over wall and
insulation by scipy.integrate.quad and the film outside, C the heat held by the water, its
density and specific heat from the Python library iapws. No logarithm is taken.

Needs scipy and iapws (Debian: python3-scipy, python3-iapws). Run from the module root.
"""
import csv
import math

import iapws
import scipy
from iapws import IAPWS95
from scipy.integrate import quad, solve_ivp

f = open("supply/heat/testdata/cooling_scipy.csv", "w")
f.write("# time in which standing water cools in a pipe; lengths in mm, W/(m K), W/(m2 K), degC, s\n")
f.write("# source: computed by internal/crosscheck/cooling.py with the Python libraries scipy %s and iapws %s\n" % (scipy.__version__, iapws.__version__))
w = csv.writer(f, lineterminator="\n")
w.writerow(["bore", "wall", "conductivity", "insulation", "insulation_conductivity", "film", "from", "to", "ambient", "seconds"])
for row in [
    (19.939, 1.143, 339, 0, 0, 10, 60, 40, 20),
    (19.939, 1.143, 339, 25, 0.036, 10, 60, 40, 20),
    (13.84, 1.02, 339, 13, 0.04, 8, 49, 40.6, 21),
    (12.3, 1.8, 0.41, 0, 0, 9, 60, 45, 15),
    (26.2, 2.9, 0.41, 20, 0.035, 10, 55, 30, 10),
    (50.8, 1.6, 339, 40, 0.038, 10, 70, 20.5, 20),
    (25, 2, 15, 9, 0.04, 25, 5, 15, 20),
]:
    bore, wall, k, thick, ki, film, start, end, ambient = row
    r1 = bore / 2000
    r2 = r1 + wall / 1000
    r3 = r2 + thick / 1000
    r = quad(lambda x: 1 / (2 * math.pi * x * k), r1, r2, epsrel=1e-12)[0]
    if thick:
        r += quad(lambda x: 1 / (2 * math.pi * x * ki), r2, r3, epsrel=1e-12)[0]
    r += 1 / (2 * math.pi * r3 * film)
    s = IAPWS95(T=start + 273.15, P=0.101325)
    c = s.rho * s.cp * 1000 * quad(lambda x: 2 * math.pi * x, 0, r1)[0]

    def reached(t, y):
        return y[0] - end

    reached.terminal = True
    out = solve_ivp(lambda t, y: [-(y[0] - ambient) / (r * c)], (0, 40 * r * c), [start], events=reached, method="DOP853", rtol=1e-12, atol=1e-12)
    w.writerow(list(row) + ["%.9g" % out.t_events[0][0]])
