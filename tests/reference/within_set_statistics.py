"""Reference values from SciPy for comparisons within a set, one case a line.

thirds n x.. low high         scipy.stats.ttest_ind(last third, first third): 95 % interval of last - first
pairs  n left.. right.. low high          scipy.stats.ttest_rel(left, right)
welch  n m left.. right.. low high        scipy.stats.ttest_ind(left, right, equal_var=False)
"""
import numpy as np
from scipy import stats

rng = np.random.default_rng(20261005)


def line(*parts):
    print(*(repr(float(p)) if not isinstance(p, (str, int)) else p for p in parts))


def interval(difference, error, df):
    reach = stats.t.ppf(0.975, df) * error
    return difference - reach, difference + reach


for n in (6, 7, 8, 9, 12, 20):
    x = rng.normal(90, 3, n)
    first, last = x[: n // 3], x[-(n // 3):]
    test = stats.ttest_ind(last, first)
    difference = last.mean() - first.mean()
    line("thirds", n, *x, *interval(difference, difference / test.statistic, 2 * (n // 3) - 2))
for n in (2, 3, 5, 12):
    left, right = rng.normal(90, 3, n), rng.normal(92, 3, n)
    test = stats.ttest_rel(left, right)
    difference = (left - right).mean()
    line("pairs", n, *left, *right, *interval(difference, difference / test.statistic, n - 1))
for n, m in ((2, 3), (5, 5), (4, 9)):
    left, right = rng.normal(90, 3, n), rng.normal(92, 1, m)
    test = stats.ttest_ind(left, right, equal_var=False)
    a, b = left.var(ddof=1) / n, right.var(ddof=1) / m
    difference = left.mean() - right.mean()
    df = (a + b) ** 2 / (a**2 / (n - 1) + b**2 / (m - 1))
    line("welch", n, m, *left, *right, *interval(difference, difference / test.statistic, df))
