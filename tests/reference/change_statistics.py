"""Reference values from SciPy for the statistics of change, one case a line.

theilsen  n x.. y.. slope low high intercept     scipy.stats.theilslopes(y, x, 0.95)
kendall   n x.. y.. p                            scipy.stats.kendalltau, asymptotic, no continuity correction
t         p df quantile                          scipy.stats.t.ppf
normal    p quantile                             scipy.stats.norm.ppf
"""
import numpy as np
from scipy import stats

rng = np.random.default_rng(20261005)


def line(*parts):
    print(*(repr(float(p)) if not isinstance(p, (str, int)) else p for p in parts))


for case in range(60):
    n = int(rng.integers(4, 25))
    x = np.sort(rng.integers(0, 60, n)).astype(float) if case % 2 else np.arange(n) * 7.0
    if np.unique(x).size < 2:
        continue
    y = rng.normal(100, 5, n) + rng.normal(0, 0.3) * x
    if case % 3 == 0:
        y = np.round(y / 3.0)  # ties in value
    fit = stats.theilslopes(y, x, 0.95)
    line("theilsen", n, *x, *y, fit.slope, fit.low_slope, fit.high_slope, fit.intercept)
    if np.unique(y).size > 1:
        line("kendall", n, *x, *y, stats.kendalltau(x, y, method="asymptotic").pvalue)

for p in (0.6, 0.9, 0.95, 0.975, 0.995):
    line("normal", p, stats.norm.ppf(p))
    for df in (1, 2, 3, 5, 8, 13, 40, 200):
        line("t", p, df, stats.t.ppf(p, df))
