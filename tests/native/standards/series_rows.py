"""Rows of level_series.rs and run_levels.rs. Needs Python with numpy 2.4.6 and scipy 1.17.1."""

import numpy as np
from scipy.fft import dct
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import ncf, nct, t, ttest_ind

TEN = [42.1, 41.8, 42.5, 47.3, 55.0, 43.0, 42.2, 41.9, 44.4, 42.0]
WAVE = [42.1, 42.6, 43.0, 42.8, 42.2, 41.9, 41.7, 42.0, 42.5, 42.9]


def made(count, alike, spread):
    """A log without a random generator: a chaotic sequence, smoothed. Given to 0.01 dB."""
    x, last, out = 0.3, 0.0, []
    for _ in range(count):
        x = 3.9 * x * (1 - x)
        last = alike * last + (x - 0.5)
        out.append(round(45 + spread * last, 2))
    return out


def mean_error(levels, breaks=()):
    """Standard error of the energy mean in dB, independent samples, by scipy's cosine transform of the energies."""
    energy = 10 ** (np.array(levels) / 10)
    n = len(energy)
    apart = energy - energy.mean()
    later = np.array([at for at in range(1, n) if at not in breaks])
    seen = (apart[later] * apart[later - 1]).sum() / (apart**2).sum() * n / (len(later) + 1)
    alike = np.clip((n * seen + 1) / (n - 3), -0.5, 0.97) if n >= 10 else 0.0
    count = min(8, (n - 1) // 2)
    turn = np.pi * np.arange(1, count + 1) / n
    fall = np.abs(1 - alike * np.exp(1j * turn)) ** 2 / (1 - alike) ** 2
    density = np.mean(dct(energy, type=2, norm="ortho")[1 : count + 1] ** 2 * fall)
    return 10 / np.log(10) * np.sqrt(density / n) / energy.mean(), min(n, n * energy.var(ddof=1) / density)


print("// percentiles: numpy.percentile, linear")
for name, values in (("1..100", list(range(1, 101))), ("TEN", TEN)):
    for share in (10, 50, 90, 0, 100, 33):
        print(f"// {name} L{share} {np.percentile(values, 100 - share):.10g}")
print("// autocorrelation")
d = np.array(WAVE) - np.mean(WAVE)
for lag in range(1, 4):
    print(f"(&[{lag}.0], {np.sum(d[lag:] * d[:-lag]) / np.sum(d * d):.6f}),")
print("// effective count, the sum written out")
for n, phi in ((60, 0.5), (60, 0.9), (100, 0.3679), (100, 0.8), (600, 0.5), (600, 0.9), (3600, 0.95), (7, -0.6), (1, 0.9)):
    k = np.arange(1, n)
    print(f"(&[{n}.0, {phi}], {n / (1 + 2 * np.sum((1 - k / n) * float(phi) ** k)):.6f}),")
print("// standard error and effective count of made(count, alike, spread)")
for args in ((5, 0.5, 2.0), (12, 0.5, 2.0), (60, 0.0, 3.0), (120, 0.8, 2.0), (600, 0.95, 1.0)):
    se, eff = mean_error(made(*args))
    print(f"(&[{args[0]}.0, {args[1]}, {args[2]:.1f}], {se:.9f}, {eff:.6f}),")
print("// Welch: scipy.stats.ttest_ind")
before, after = [48.2, 48.6, 47.9, 48.4, 48.8, 48.1], [45.1, 45.6, 44.8, 45.9, 45.3, 45.2]
for one, other in ((before, after), ([48.2, 48.6], [48.0, 47.1, 47.5]), ([40.0, 41.0], [40.2, 40.3])):
    test = ttest_ind(other, one, equal_var=False)
    interval = test.confidence_interval(0.95)
    level = lambda v: 10 * np.log10(np.mean(10 ** (np.array(v) / 10)))
    print(f"// {one} {other}: dof {test.df:.9f} half {(interval.high - interval.low) / 2:.9f} p {test.pvalue:.6e} by {level(other) - level(one):.9f}")
print("// two one-sided tests: scipy.stats.t; difference, standard error, dof, margin")
for by, se, dof, margin in ((0.2, 0.3, 6.0, 1.0), (-0.9, 0.2, 16.0, 1.0), (-1.2, 0.3, 4.5, 1.0), (0.0, 0.5, 2.0, 1.0)):
    p = max(t.sf((by + margin) / se, dof), t.cdf((by - margin) / se, dof))
    print(f"(&[{by}, {se}, {dof}, {margin}], {p:.10f}),")


def shared(n, ratio):
    c = t.ppf(0.975, 2 * n - 2)
    d = ratio * np.sqrt(n / 2)
    return nct.sf(c, 2 * n - 2, d) + nct.cdf(-c, 2 * n - 2, d)


def welch(n, ratio):
    a = (n - 1) / 2
    d = ratio * np.sqrt(n / 2)

    def at(angle):
        split = np.sin(angle) ** 2
        c = t.ppf(0.975, (n - 1) / (split**2 + (1 - split) ** 2))
        # Both tails of a noncentral t: a noncentral F of its square.
        shown = ncf.sf(c**2, 1, 2 * n - 2, d**2) if d > 0 else 2 * t.sf(c, 2 * n - 2)
        return shown * (2 * np.sin(angle) * np.cos(angle)) ** (n - 2)

    whole = quad(lambda angle: (2 * np.sin(angle) * np.cos(angle)) ** (n - 2), 0, np.pi / 4, epsabs=1e-12)[0]
    return quad(at, 0, np.pi / 4, epsabs=1e-11)[0] / whole


CASES = ((2, 1.29), (2, 2.0), (3, 0.0), (3, 0.68), (3, 0.92), (4, 0.7), (5, 0.44), (5, 0.6), (10, 0.4), (30, 0.2), (100, 0.12), (2, 6.0))
print("// chance, shared spread: scipy.stats.nct; runs, difference (spread 0.3)")
for n, d in CASES:
    print(f"(&[{n}.0, {d}], {shared(n, d / 0.3):.9f}),")
print("// chance, Welch: ncf averaged over the split by scipy.integrate.quad")
for n, d in CASES:
    print(f"(&[{n}.0, {d}], {welch(n, d / 0.3):.9f}),")
print("// smallest difference shown at 80 %, spread 0.3: shared, Welch")
for n in (2, 3, 4, 5, 8, 12):
    row = [0.3 * brentq(lambda r: f(n, r) - 0.8, 0.01, most / n**0.5, xtol=1e-12) for f, most in ((shared, 10), (welch, 17))]
    print(f"// {n}: {row[0]:.7f} {row[1]:.7f}")
print("// just significant: t.ppf(0.975, 2n - 2) * 0.3 * sqrt(2/n)")
for n in (2, 3, 5, 20):
    print(f"(&[{n}.0, 0.3], {t.ppf(0.975, 2 * n - 2) * 0.3 * np.sqrt(2 / n):.7f}),")
print("// runs needed: difference, spread, chance")
for d, s, c in ((1.0, 0.3, 0.8), (0.5, 0.3, 0.8), (0.3, 0.3, 0.9), (2.0, 0.3, 0.8), (0.2, 0.5, 0.8)):
    for name, f in (("shared", shared), ("welch", welch)):
        n = 2
        while f(n, d / s) < c:
            n += 1
        print(f"// {name} {d} {s} {c}: {n}")
print("// time: spread, alike, step, wanted")
for s, phi, step, h in ((0.8, 0.3679, 1.0, 0.3), (0.1, 0.8, 0.5, 0.3), (2.0, 0.95, 1.0, 0.5)):
    n = 1
    k = lambda n: np.arange(1, n)
    eff = lambda n: n / (1 + 2 * np.sum((1 - k(n) / n) * phi ** k(n)))
    while eff(n) < max(20, (t.ppf(0.975, 8) * s / h) ** 2):
        n += 1
    print(f"(&[{s}, {phi}, {step}, {h}], {n * step}),")


def dependence(levels, window=40):
    """How many samples of a log stand for one: the middle correlation of neighbours within windows, by Kendall's correction."""
    log, shares, length = np.array(levels), [], window
    for start in range(0, len(log), window):
        part = log[start : start + window]
        if len(part) >= min(window, len(log)):
            apart, length = part - part.mean(), len(part)
            shares.append((apart[1:] * apart[:-1]).sum() / (apart**2).sum())
    share = np.clip((sorted(shares)[len(shares) // 2] + 1 / length) / (1 - 3 / length), 0, 0.99)
    return min((1 + share) / (1 - share), 10)


print("// dependence of made(count, alike, 2)")
for n, phi in ((5, 0.9), (25, 0.8), (39, 0.9), (41, 0.9), (79, 0.8), (85, 0.8), (130, 0.8), (130, 0.9), (400, 0.95)):
    print(f"(&[{n}.0, {phi}], {dependence(made(n, phi, 2)):.12g}),")
print("// standard error and effective count with breaks: made(count, alike, 2), breaks")
for n, phi, breaks in ((120, 0.8, (30, 31, 60, 119)), (40, 0.6, (1, 20)), (9, 0.9, ()), (10, 0.9, (5,)), (600, -0.9, ()), (300, 1.0, ())):
    se, eff = mean_error(made(n, phi, 2), breaks)
    print(f"(&[{n}.0, {phi}{''.join(f', {at}.0' for at in breaks)}], {se:.9f}, {eff:.6f}),")
