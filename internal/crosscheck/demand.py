#!/usr/bin/python3
"""Writes supply/simultaneous/testdata/binomial_scipy.csv: how many of n fixtures are in use, by
scipy's binomial quantile, with the cumulative probabilities on both sides of it so
that a tie can be told from a difference. Probability 1 is left out: there this scipy
answers 0 while its own cumulative probability of 0 is 0.

Needs scipy (Debian: python3-scipy). Run from the module root.
"""
import csv

import scipy
from scipy.stats import binom

f = open("supply/simultaneous/testdata/binomial_scipy.csv", "w")
f.write("# smallest m with at least the confidence that m or fewer of count are in use\n")
f.write("# source: computed by internal/crosscheck/demand.py with the Python library scipy %s, stats.binom.ppf and cdf\n" % scipy.__version__)
w = csv.writer(f, lineterminator="\n")
w.writerow(["count", "probability", "confidence", "in_use", "below", "reached"])
for n in [1, 2, 5, 10, 30, 100, 301, 1000, 5000, 100000]:
    for p in [0, 0.001, 0.01, 0.03, 1 / 15, 0.2, 0.5, 0.9, 0.998575]:
        for c in [0.0005, 0.5, 0.95, 0.99, 0.999]:
            m = max(int(binom.ppf(c, n, p)), 0)
            w.writerow([n, "%.17g" % p, c, m, "%.12g" % binom.cdf(m - 1, n, p), "%.12g" % binom.cdf(m, n, p)])
