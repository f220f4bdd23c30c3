"""Rows of scipy.rs (this file cannot be called scipy.py: Python would import it in place of the library). Needs Python with scipy 1.17.1."""

import numpy as np
from scipy.stats import t

for confidence in (0.9, 0.95, 0.99, 0.999):
    for freedom in (1, 2, 3, 4, 5, 9, 10, 16, 19, 29, 9.780502, 120, 10000):
        print(f"(&[{confidence}, {float(freedom)}], {t.ppf((1 + confidence) / 2, freedom):.12g}),")
print("// outside")
for point, freedom in ((0.5, 1), (2.0, 3), (14.482317, 9.780502), (1.96, 1000), (3.3, 2.5), (40.0, 30)):
    print(f"(&[{point}, {float(freedom)}], {2 * t.sf(point, freedom):.12e}),")
print("// readings")
for values in ([41.0, 42.0, 41.5], [38.2, 38.9], [45.0, 45.2, 44.7, 45.9, 45.1]):
    half = t.ppf(0.975, len(values) - 1) * np.std(values, ddof=1) / len(values) ** 0.5
    print(f"(&{values}, {half:.4f}),")
