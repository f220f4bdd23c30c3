"""Numbers behind the sheets `runs` and `enough`, by numpy 2.4.6 and scipy 1.17.1.

First the chances and smallest changes in `src/formulas/power.rs`: Welch's test of two sets of n normal values with equal
spread, by quadrature over the chi distribution of the pooled spread and the beta distribution of its split, and by simulation.
Then the changes and half widths in `src/sheets/runs/cases.txt`.
"""

import numpy as np
from scipy import integrate, optimize, stats

SPREAD = 0.3


def beyond(t, freedom, shift):
    chi = stats.chi(freedom)
    root = np.sqrt(freedom)
    part = lambda u: chi.pdf(u * root) * root * (stats.norm.cdf(shift - t * u) + stats.norm.cdf(-shift - t * u))
    last = 1 + 12 / np.sqrt(2 * freedom)
    return integrate.quad(part, 0, 1, epsabs=1e-11)[0] + integrate.quad(part, 1, last, epsabs=1e-11)[0]


def power(shift, n, points=40):
    place, weight = np.polynomial.legendre.leggauss(points)
    angle = (place + 1) / 2 * np.pi / 4
    weight = weight * (np.sin(angle) * np.cos(angle)) ** (n - 2)
    freedom = (n - 1) / (np.sin(angle) ** 4 + np.cos(angle) ** 4)
    return sum(w * beyond(stats.t.ppf(0.975, nu), 2 * n - 2, shift) for w, nu in zip(weight, freedom)) / weight.sum()


for n, change in [(2, 1.29), (2, 2), (3, 0.92), (3, 1), (4, 0.7), (5, 0.44), (5, 0.6), (10, 0.4), (30, 0.2), (100, 0.12)]:
    print("power", n, change, f"{power(change / (SPREAD * np.sqrt(2 / n)), n):.6f}")
for n in (2, 3, 4, 5, 6, 8, 10, 12):
    error = SPREAD * np.sqrt(2 / n)
    smallest = error * optimize.brentq(lambda shift: power(shift, n, 24) - 0.8, 1, 30, xtol=1e-6)
    print("just, smallest", n, f"{stats.t.ppf(0.975, 2 * n - 2) * error:.4f} {smallest:.4f}")
random = np.random.default_rng(1)
for n, change in [(2, 2), (3, 1), (5, 0.6)]:
    x, y = random.normal(0, SPREAD, (400_000, n)), random.normal(change, SPREAD, (400_000, n))
    one, other = x.var(1, ddof=1) / n, y.var(1, ddof=1) / n
    freedom = (one + other) ** 2 / (one**2 + other**2) * (n - 1)
    t = (y.mean(1) - x.mean(1)) / np.sqrt(one + other)
    print("simulated", n, change, np.mean(2 * stats.t.sf(abs(t), freedom) < 0.05))

STEP = 0.1 / np.sqrt(12)


def level(energy):
    return 10 * np.log10(energy)


def energy(of):
    return 10 ** (np.asarray(of) / 10)


def change(before, after, steps_before=None, steps_after=None):
    before, after = np.array(before), np.array(after)
    parts = [(of.var(ddof=1) / len(of), len(of) - 1) for of in (before, after)]
    display = 0.0
    for of, steps in ((before, steps_before), (after, steps_after)):
        display += np.sum((np.full(len(of), STEP if steps is None else steps) / len(of)) ** 2)
    total = sum(variance for variance, _ in parts) + display
    freedom = total**2 / sum(variance**2 / nu for variance, nu in parts) if any(v for v, _ in parts) else 1e6
    by = level(energy(after).mean()) - level(energy(before).mean())
    return f"{by:.4f} ± {stats.t.ppf(0.975, freedom) * np.sqrt(total):.4f}, {freedom:.2f} degrees of freedom"


print("two each", change([47.4, 47.6], [45.0, 45.2]))
print("six each", change([48.2, 48.6, 47.9, 48.4, 48.8, 48.1], [45.1, 45.6, 44.8, 45.9, 45.3, 45.2]))
print("same", change([45.0, 45.1], [45.1, 45.0]))
print("cannot tell", change([47.0, 48.0], [45.5, 46.9]))
print("louder", change([39.0, 39.1], [41.0, 41.1]))
job = lambda homing, fill: level((60 * energy(homing) + 540 * energy(fill)) / 600)
share = lambda homing, fill: np.hypot(60 * energy(homing), 540 * energy(fill)) / (60 * energy(homing) + 540 * energy(fill))
before, after = [(50.0, 40.0), (50.1, 40.1)], [(44.0, 40.0), (44.1, 40.1)]
steps = lambda of: np.array([STEP * share(*run) for run in of])
print("job", change([job(*run) for run in before], [job(*run) for run in after], steps(before), steps(after)))
alone = lambda with_room, room: level(energy(with_room) - energy(room))
ratio = energy(-3.01)
room = np.hypot(STEP, ratio * 0.5 / 1.96) / (1 - ratio)
print("room", change([alone(40.01, 37.0)] * 2, [alone(37.01, 34.0)] * 2, room, room))
