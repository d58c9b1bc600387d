"""Reference values from SciPy for what chance does to a comparison, one case a line.

own    difference standard_error df share    scipy.stats.nct: |t| beyond the 0.975 quantile of t
known  difference standard_error mdc share   scipy.stats.norm
share  count of confidence low high          scipy.stats.binomtest(...).proportion_ci(method="exact")
mdc15  n df share                            1.5 x MDC95 of one set, n days a side, the SEM from df own
                                             degrees of freedom (0: known)
"""
import numpy as np
from scipy import stats


def line(*parts):
    print(*(repr(float(p)) if not isinstance(p, (str, int)) else p for p in parts))


def own(difference, error, df):
    t = stats.t.ppf(0.975, df)
    statistic = stats.nct(df, abs(difference) / error)  # either sign is as far
    with np.errstate(divide="ignore"):  # SciPy's own, on its way to the far tail
        return statistic.sf(t) + statistic.cdf(-t)


def known(difference, error, mdc):
    return stats.norm.cdf((difference - mdc) / error) + stats.norm.cdf((-difference - mdc) / error)


for df in (1, 4, 5, 6, 10, 40):
    for difference in (0.1, 0.5, 1.0, 3.0, -3.0, 6.0):
        line("own", difference, 1.3, df, own(difference, 1.3, df))
for mdc in (0.5, 2.0, 4.0):
    for difference in (0.0, 1.0, -3.0):
        line("known", difference, 1.3, mdc, known(difference, 1.3, mdc))
for count, of in ((0, 10), (1, 10), (10, 10), (7, 20), (101, 2000), (1970, 2000)):
    for confidence in (0.95, 0.999):
        ci = stats.binomtest(count, of).proportion_ci(confidence, method="exact")
        line("share", count, of, confidence, ci.low, ci.high)
for n in (1, 2, 3):
    error = np.sqrt(2.0 / n)
    real = 1.5 * 1.96 * np.sqrt(2.0)
    line("mdc15", n, 0, known(real, error, 1.96 * error))
    for df in (5, 6, 10):
        line("mdc15", n, df, own(real, error, df))
