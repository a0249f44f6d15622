"""Writes ageing.json: areas, Welch tests, regression intervals and t quantiles by numpy and scipy.

Run by hand: python3 ageing_golden.py > ageing.json   (numpy 2.4.6, scipy 1.17.1 made the committed file)
"""
import json

import numpy as np
import scipy
from scipy import integrate, stats

rng = np.random.default_rng(20261125)
x = np.cumsum(rng.uniform(1.6, 2.2, 160)) + 1600.0
y = 0.05 + 1e-4 * (x - 1600) + 0.4 / (1 + ((x - 1727) / 11) ** 2) + 0.02 * rng.standard_normal(x.size)
y += 0.1 * np.exp(-(((x - 1785) / 9) ** 2))

areas = []
for lo, hi, b0, b1 in [(1680, 1800, 1660, 1810), (1701.3, 1744.9, 1690, 1745), (1650, 1850, 1650, 1850)]:
    inside = (x > lo) & (x < hi)
    xs = np.concatenate([[lo], x[inside], [hi]])
    ys = np.interp(xs, x, y)
    y0, y1 = np.interp([b0, b1], x, y)
    line = y0 + (y1 - y0) * (xs - b0) / (b1 - b0)
    areas.append({"low": lo, "high": hi, "baseline_low": b0, "baseline_high": b1,
                  "area": float(integrate.trapezoid(ys - line, xs))})

welch = []
for n, m, shift, spread in [(5, 5, 0.3, 1.0), (3, 7, 1.0, 3.0), (12, 4, 0.0, 0.2)]:
    a, b = rng.normal(0, 1, n), rng.normal(shift, spread, m)
    found = stats.ttest_ind(a, b, equal_var=False)
    interval = found.confidence_interval(0.95)
    welch.append({"a": a.tolist(), "b": b.tolist(), "p": float(found.pvalue), "df": float(found.df),
                  "low": float(interval.low), "high": float(interval.high)})

cx = np.array([0.0052, 0.0081, 0.0091, 0.0103, 0.0108, 0.0122, 0.0144])
cy = np.array([1.33, 2.06, 2.30, 2.45, 2.43, 2.84, 3.06])
line = stats.linregress(cx, cy)
n = cx.size
s = np.sqrt(np.sum((cy - line.intercept - line.slope * cx) ** 2) / (n - 2))
t = stats.t.ppf(0.975, n - 2)
prediction = []
for at in (0.006, 0.0095, 0.0135):
    half = t * s * np.sqrt(1 + 1 / n + (at - cx.mean()) ** 2 / np.sum((cx - cx.mean()) ** 2))
    prediction.append({"x": at, "value": float(line.intercept + line.slope * at), "half": float(half)})

print(json.dumps({
    "made_by": f"numpy {np.__version__}, scipy {scipy.__version__}",
    "x": x.tolist(), "y": y.tolist(), "areas": areas, "welch": welch,
    "line": {"x": cx.tolist(), "y": cy.tolist(), "slope": float(line.slope),
             "slope_half": float(t * line.stderr), "prediction": prediction},
    "t": [{"p": p, "df": df, "t": float(stats.t.ppf(p, df))} for p in (0.6, 0.9, 0.975, 0.9995) for df in (1, 2.5, 7.31, 40, 300)],
}, indent=1))
