"""Rows of closed_forms.rs that are given to more digits than a printed table.

Needs Python with mpmath 1.4.1. Works everything out with 50 digits, from the definitions, and prints Rust rows.
"""

from mpmath import asin, ln, log10, mp, mpf, pi, sin, sqrt

mp.dps = 50


def f(*texts):
    return [mpf(t) for t in texts]


def lg(x):
    return log10(x)


def e(level):
    return mpf(10) ** (mpf(level) / 10)


def upper_limit(w, hw, o, ho):
    w, hw, o, ho = f(w, hw, o, ho)
    spread = sqrt((e(w) * hw / mpf("1.96")) ** 2 + (e(o) * ho / mpf("1.96")) ** 2)
    most = e(w) - e(o) + mpf("1.645") * ln(10) / 10 * spread
    return 10 * lg(most) if most > 0 else "f64::NAN"


def share_u(p, hp, r, hr):
    p, hp, r, hr = f(p, hp, r, hr)
    s = e(p) / (e(p) + e(r))
    return s * (1 - s) * ln(10) / 10 * sqrt(hp**2 + hr**2)


def ceiling_u(p, hp, r, hr):
    p, hp, r, hr = f(p, hp, r, hr)
    return e(p) / (e(p) + e(r)) * sqrt(hp**2 + hr**2)


def bracketed_u(a, ha, b, hb):
    a, ha, b, hb = f(a, ha, b, hb)
    own = sqrt((e(a) * ha) ** 2 + (e(b) * hb) ** 2) / (e(a) + e(b))
    return max(own, mpf("1.96") * abs(a - b) / 2)


def budget(levels, k, target):
    """What the k loudest may be together; background last, never treated."""
    *sources, room = [mpf(x) for x in levels]
    sources.sort(reverse=True)
    rest = sum((e(x) for x in sources[int(k):]), e(room))
    return 10 * lg(e(target) - rest)


TABLES = {
    "level_of_share": [((a, s), 10 * lg(e(a) * mpf(s))) for a, s in [("50", "0.1"), ("47.3", "0.588")]],
    "share": [((p, w), e(p) / e(w)) for p, w in [("44", "50.97"), ("45", "47.3063"), ("30", "30")]],
    "ceiling": [((p, r), 10 * lg((e(p) + e(r)) / e(r))) for p, r in [("45", "41"), ("30", "46"), ("46", "30")]],
    "smallest_set": [
        ((t, "44", "38", "41", "33"), budget(("44", "38", "41", "33"), k, t))
        for t, k in [("44", 1), ("40", 2), ("37", 3)]
    ],
    "upper_limit": [
        (x, upper_limit(*x))
        for x in [
            ("40", "0.5", "40", "0.5"),
            ("45", "0.5", "44.5", "0.5"),
            ("45", "2", "43", "1"),
            ("40", "0.5", "41", "0.5"),
            ("40", "0.5", "40.1", "0.5"),
        ]
    ],
    "share_half_width": [(x, share_u(*x)) for x in [("45", "0.5", "41", "0.8"), ("30", "1", "50", "0.2")]],
    "ceiling_half_width": [(x, ceiling_u(*x)) for x in [("45", "0.5", "41", "0.8"), ("30", "1", "50", "0.2")]],
    "bracketed_half_width": [(x, bracketed_u(*x)) for x in [("38", "0.5", "39", "0.5"), ("38", "0.5", "38.1", "0.7")]],
    "resolution": [((d,), mpf("1.96") * mpf(d) / sqrt(12)) for d in ("1", "0.1")],
    "combine": [((a, b, c), sqrt(sum(mpf(x) ** 2 for x in (a, b, c)))) for a, b, c in [("0.3", "0.5658", "0.2")]],
    "current_rise_time": [
        ((r, l, i, v), -mpf(l) / mpf(r) * ln(1 - mpf(i) * mpf(r) / mpf(v)))
        for r, l, i, v in [("1.5", "0.0028", "1.2", "24"), ("2.4", "0.0038", "0.8", "12"), ("1", "0.0015", "1", "24")]
    ],
    "roller": [((d,), pi * mpf(d)) for d in ("11", "7.3")],
    "roller_steps": [((d, g), 3200 * mpf(g) / (pi * mpf(d))) for d, g in [("11", "3"), ("7.3", "1")]],
    "calibrated": [((s, c, m), mpf(s) * mpf(c) / mpf(m)) for s, c, m in [("80", "100", "99.1"), ("400", "50", "50.3")]],
    "calibrated_half_width": [
        ((s, c, m, h), mpf(s) * mpf(c) / mpf(m) * mpf(h) / mpf(m))
        for s, c, m, h in [("80", "100", "99.1", "0.5"), ("400", "50", "50.3", "1")]
    ],
    "dead_band_steps": [((x,), 2 / pi * asin(mpf(x))) for x in ("0", "0.25", "1")],
    "coil_current": [((i, n), sin(pi / 2 * mpf(i) / mpf(n))) for i, n in [("3", "16"), ("8", "16"), ("100", "256")]],
    "exposure_level": [((l, t), mpf(l) + 10 * lg(mpf(t))) for l, t in [("43.5", "7200")]],
    "quiet_ratio": [
        ((a, b), ((mpf(b) / 40) ** (1 / mpf("0.35")) - mpf("0.0005")) / ((mpf(a) / 40) ** (1 / mpf("0.35")) - mpf("0.0005")))
        for a, b in [("38", "28"), ("30", "20"), ("25", "30")]
    ],
}

for name, rows in TABLES.items():
    print(f"// {name}")
    for inputs, value in rows:
        shown = value if isinstance(value, str) else mp.nstr(value, 15)
        print(f"(&[{', '.join(t if '.' in t else t + '.0' for t in inputs)}], {shown}),")
