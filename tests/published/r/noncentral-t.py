# Reference values of the noncentral t, because R's own are good to about 1e-12 absolute only:
#   python3 tests/published/r/noncentral-t.py
# The Poisson mixture of incomplete betas (Lenth 1989, AS 243), summed in 150 digits so that its cancellation does no
# harm; our own code integrates instead, so that the two share nothing.
import json, os
import mpmath
from mpmath import mp, mpf, betainc, beta, exp, gamma, ncdf, sqrt

mp.dps = 150
T = [-10, -4, -2, -0.3, 0, 0.5, 1, 1.7, 2.1, 3, 4.5, 8, 20]
DF = [1, 2, 3, 5, 9, 14, 19, 33, 59, 98, 198, 500]
NCP = [0, 0.5, 1, 1.5, 2.236, 3, 4.5, 8]


def lower(t, df, ncp):
    if t < 0:
        return 1 - lower(-t, df, -ncp)
    x, b = t * t / (df + t * t), df / 2
    half = ncp * ncp / 2
    p, q = exp(-half), ncp * exp(-half) / (sqrt(mpf(2)) * gamma(mpf(3) / 2))
    odd, even = [betainc(a, b, 0, x, regularized=True) for a in (mpf(1) / 2, mpf(1))]
    total = mpf(0)
    for j in range(2000):
        total += p * odd + q * even
        if j > half and abs(p) + abs(q) < mpf(10) ** -140:
            break
        odd -= x ** (j + mpf(1) / 2) * (1 - x) ** b / ((j + mpf(1) / 2) * beta(j + mpf(1) / 2, b))
        even -= x ** (j + 1) * (1 - x) ** b / ((j + 1) * beta(j + 1, b))
        p *= half / (j + 1)
        q *= half / (j + mpf(3) / 2)
    return ncdf(-ncp) + total / 2


def column(upper):
    # The order of R's expand.grid: t fastest, then df, then ncp.
    values = (lower(mpf(t), mpf(df), mpf(ncp)) for ncp in NCP for df in DF for t in T)
    return [float(1 - value if upper else value) for value in values]


out = {
    "source": f"mpmath {mpmath.__version__}, 150 digits (noncentral-t.py)",
    "axes": {"t": T, "df": DF, "ncp": NCP},
    "lines": {"lower": "P(T <= t)", "upper": "P(T > t)"},
    "lower": column(False),
    "upper": column(True),
}
with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "noncentral-t.json"), "w") as file:
    json.dump(out, file, separators=(",", ":"))
