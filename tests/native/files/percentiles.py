"""Leq and percentiles of two small series, for oracles.rs. Made with numpy (version printed last)."""
import numpy as np

tenths = np.array([412 + (k * k * 7 + k * 13) % 211 for k in range(500)])
for levels in (tenths / 10, tenths / 10 + np.arange(500) / 997):
    exceeded = np.percentile(levels, [90, 50, 10])
    leq = 10 * np.log10(np.mean(10 ** (levels / 10)))
    print(*(f"{value:.9f}" for value in (leq, *exceeded, levels.max(), levels.min())))
print(np.__version__)
