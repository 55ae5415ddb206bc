#!/usr/bin/env python3
"""Writes supply/hydraulics/testdata/water_iapws.csv: IAPWS-95 at one atmosphere (saturated
liquid at 100 degC) with the viscosity and conductivity releases, and the
published check values are listed beside them by hand elsewhere.

Needs the Python library iapws (Debian: python3-iapws). Run from the module root.
"""
import csv

import iapws
from iapws import IAPWS95, iapws97

rows = [["celsius", "density", "viscosity", "specific_heat", "conductivity", "sound_speed",
         "vapour_pressure_if97", "vapour_pressure"]]
for c in range(0, 101):
    t = c + 273.15
    s = IAPWS95(T=t, x=0) if c == 100 else IAPWS95(T=t, P=0.101325)
    sat = IAPWS95(T=t, x=0).P if c > 0 else iapws97._PSat_T(t)
    rows.append([c] + ["%.10g" % v for v in (s.rho, s.mu, s.cp * 1e3, s.k, s.w, iapws97._PSat_T(t) * 1e6, sat * 1e6)])
f = open("supply/hydraulics/testdata/water_iapws.csv", "w")
f.write("# water at 101.325 kPa (saturated liquid at 100 degC), SI units\n")
f.write("# source: computed by internal/crosscheck/water.py with the Python library iapws %s:\n" % iapws.__version__)
f.write("# IAPWS R6-95(2018), viscosity R12-08, conductivity R15-11; vapour_pressure_if97 from R7-97(2012)\n")
csv.writer(f, lineterminator="\n").writerows(rows)
