"""The figures of SMALL_FAN in src/formulas/loudness.rs.

Needs Python with mosqito 1.2.1 (and its numpy, scipy, matplotlib). Prints the level in dB(A), the loudness in sone and
the loudness level in phon (ISO 532-1, stationary, free field) of one assumed small-fan spectrum, moved up and down.
"""

import numpy as np
from mosqito.sq_metrics.loudness.loudness_zwst._calc_slopes import _calc_slopes
from mosqito.sq_metrics.loudness.loudness_zwst._main_loudness import _main_loudness

# Third octaves 25 Hz to 12.5 kHz, dB.
FAN = np.array(
    [38, 39, 40, 41, 42, 42, 43, 44, 43, 42, 41, 40, 40, 39, 38, 37, 36, 35, 34, 33, 31, 29, 27, 25, 22, 19, 16, 12],
    float,
)
# A weighting at the same bands, IEC 61672-1 Table 3.
A = np.array(
    [-44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2]
    + [-1.9, -0.8, 0, 0.6, 1, 1.2, 1.3, 1.2, 1, 0.5, -0.1, -1.1, -2.5, -4.3]
)


def phon(sone):
    return 40 + 10 * np.log2(sone) if sone >= 1 else 40 * (sone + 0.0005) ** 0.35


own = 10 * np.log10(np.sum(10 ** ((FAN + A) / 10)))
print(f"# the spectrum itself: {own:.2f} dB(A)")
# Even levels are the table in the code; odd ones check it between its points.
for level in [*range(16, 92, 2), *range(17, 91, 6)]:
    sone = float(_calc_slopes(_main_loudness(FAN + level - own, "free"))[0])
    print(level, round(sone, 4), round(phon(sone), 3))
