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
    tell("mean", name, "", values.mean())
    fit = OLS(values, add_constant(orders)).fit()
    tell("slope", name, "", fit.params[1])
    tell("slope_low", name, "", fit.conf_int()[1][0])
    tell("slope_high", name, "", fit.conf_int()[1][1])
    tell("slope_chance", name, "", fit.pvalues[1])

names = list(groups)
values = numpy.array([value for name in names for _, value in groups[name]])
columns = numpy.array([[name == other for other in names] for name in names for _ in groups[name]])
layout = OLS(values, columns.astype(float)).fit()
tell("scatter", "", "", math.sqrt(layout.mse_resid))
tell("scatter_freedom", "", "", layout.df_resid)
outliers = layout.outlier_test(method="bonf")
for (name, order), (score, chance, raised) in zip(
    [(name, order) for name in names for order, _ in groups[name]], outliers
):
    tell("score", name, int(order), score)
    tell("score_chance", name, int(order), chance)
    tell("score_chance_of_all", name, int(order), raised)

# Tukey and Kramer's test takes one scatter for all, as the bench does.
tukey = stats.tukey_hsd(*([value for _, value in groups[name]] for name in names))
interval = tukey.confidence_interval(0.95)
for (i, first), (j, second) in itertools.combinations(enumerate(names), 2):
    tell("difference_low", first, second, interval.low[i, j])
    tell("difference_high", first, second, interval.high[i, j])
    tell("difference_chance", first, second, tukey.pvalue[i, j])
for count in (2, 3, 8, 20):
    for freedom in (5, 16, 60):
        tell("studentized_range", count, freedom, stats.studentized_range.isf(0.05, count, freedom))

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
