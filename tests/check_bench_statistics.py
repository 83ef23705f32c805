"""Statistics of tests/reference/bench_readings.csv by scipy and statsmodels, as CSV on stdout.

    python tests/check_bench_statistics.py > tests/reference/bench_statistics.csv
"""

import csv
import itertools
import math
import pathlib
import sys

import numpy
from scipy import stats
from statsmodels.api import OLS, add_constant
from statsmodels.robust import mad
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.power import TTestIndPower

data = pathlib.Path(__file__).parent / "reference" / "bench_readings.csv"
groups = {}
with open(data, newline="") as file:
    for row in csv.DictReader(file):
        groups.setdefault(row["group"], []).append((float(row["order"]), float(row["value"])))

out = csv.writer(sys.stdout, lineterminator="\n")
out.writerow(["what", "first", "second", "value"])


def tell(what, first, second, value):
    out.writerow([what, first, second, repr(float(value))])


for name, rows in groups.items():
    orders, values = map(numpy.array, zip(*rows))
    low, high = stats.t.interval(0.95, len(values) - 1, values.mean(), stats.sem(values))
    tell("mean", name, "", values.mean())
    tell("mean_low", name, "", low)
    tell("mean_high", name, "", high)
    fit = OLS(values, add_constant(orders)).fit()
    tell("slope", name, "", fit.params[1])
    tell("slope_low", name, "", fit.conf_int()[1][0])
    tell("slope_high", name, "", fit.conf_int()[1][1])
    tell("slope_chance", name, "", fit.pvalues[1])
    tell("kendall_tau", name, "", stats.kendalltau(orders, values).statistic)
    if len(values) >= 5:
        for order, score in zip(orders, (values - numpy.median(values)) / mad(values)):
            tell("score", name, int(order), score)

chances = []
pairs = list(itertools.combinations(groups, 2))
for first, second in pairs:
    a, b = ([value for _, value in groups[name]] for name in (first, second))
    test = stats.ttest_ind(a, b, equal_var=False)
    interval = test.confidence_interval(0.95)
    chances.append(test.pvalue)
    tell("difference_low", first, second, interval.low)
    tell("difference_high", first, second, interval.high)
    tell("difference_freedom", first, second, test.df)
    tell("difference_chance", first, second, test.pvalue)
for (first, second), chance in zip(pairs, multipletests(chances, method="holm")[1]):
    tell("holm", first, second, chance)

power = TTestIndPower()
for effect in (0.3, 0.75, 1.0, 1.5, 3.0):
    for repeats in (2, 3, 5, 9, 30):
        value = power.power(effect, repeats, 0.05)
        # Its noncentral t gives up where the power is one.
        if math.isfinite(value):
            tell("power", effect, repeats, value)
for difference in (1.5, 3.0, 5.0):
    for scatter in (0.5, 1.0, 1.5, 2.0, 3.0, 5.0):
        needed = 2
        while power.power(difference / scatter, needed, 0.05) < 0.8:
            needed += 1
        tell("repeats", difference, scatter, needed)
