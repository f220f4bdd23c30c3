"""Rows of separation.rs: what readings with parts on and off tell, by numpy 2.4.6 and scipy 1.17.1.

Covariances by the pseudo-inverse, readings left out by solving anew, credit by going through every order.
"""

import itertools
import math

import numpy as np
from scipy.optimize import nnls
from scipy.stats import chi2

PER_DECIBEL = math.log(10) / 10

# Runs (background first), levels, half widths.
SYSTEMS = [
    (["100", "110", "101", "111", "110", "111"], [32.0, 41.2, 44.6, 46.1, 40.7, 46.5], [0.5] * 6),
    (["100", "111", "111", "100"], [30.0, 42.0, 42.4, 30.4], [0.5] * 4),
    (["1111", "1011", "1101", "1110", "1000"], [46.5, 45.8, 45.1, 42.9, 28.0], [0.5, 0.5, 1.0, 0.3, 0.5]),
    (["100", "120", "110", "111", "121"], [31.0, 44.3, 41.4, 44.1, 45.6], [0.5] * 5),
    (["10", "11", "11", "11"], [30.0, 40.0, 40.2, 44.0], [0.5] * 4),
    (["1000", "1100", "1010", "1001", "1111"], [31.0, 41.4, 43.0, 40.2, 46.2], [0.5, 0.5, 0.8, 0.5, 0.5]),
    (["1000", "1100", "1010", "1111"], [31.0, 36.4, 39.0, 46.0], [0.5, 0.5, 1.5, 0.5]),
]


def prepared(system):
    runs, levels, halves = system
    matrix = np.array([[int(digit) for digit in run] for run in runs], float)
    energies = 10 ** (np.array(levels) / 10)
    weights = 1 / (PER_DECIBEL * np.array(halves) / 1.96 * energies)
    return matrix, energies, weights


def solved(matrix, energies, weights):
    values, residual = nnls(matrix * weights[:, None], energies * weights)
    return values, residual**2, np.linalg.pinv((matrix * weights[:, None]).T @ (matrix * weights[:, None]), rcond=1e-12)


def row(*numbers):
    *inputs, expected = numbers
    print(f"(&[{', '.join(f'{float(number):.10g}' for number in inputs)}], {expected:.9g}),")


print("levels: system, counts, level; then half widths")
for at, (system, sums) in enumerate(zip(SYSTEMS, [["100", "010", "001", "111"], ["100", "011"], ["1000", "0100", "0010", "0001"], ["100", "010", "001", "021"], ["10", "01"], ["1000", "0010"], ["0011"]])):
    values, square, covariance = solved(*prepared(system))
    count = len(values)
    for code in sums:
        of = np.array([int(digit) for digit in code], float)
        row(at, int(code), 10 * math.log10(of @ values))
    for code in sums:
        of = np.array([int(digit) for digit in code], float)
        row(at, int(code), 1.96 * math.sqrt(of @ covariance @ of) / (PER_DECIBEL * (of @ values)))
print("chi-square and agreement of the fit")
for at, system in enumerate(SYSTEMS):
    values, square, covariance = solved(*prepared(system))
    freedom = len(system[0]) - np.linalg.matrix_rank(prepared(system)[0])
    row(at, 0, square)
    row(at, 1, chi2.sf(square, freedom) if freedom else 1.0)
print("chi-square distribution: square, freedom")
for square, freedom in [(0.5, 1), (3.841458821, 1), (10, 1), (5.991464547, 2), (1, 3), (7.814727903, 3), (20, 5), (18.307038053, 10), (40, 10), (50, 47), (79.08194449, 60), (150, 60), (0, 4)]:
    row(square, freedom, chi2.sf(square, freedom))
print("left out: system, reading, level by the others; then its half width; then their chi-square")
for at in [0, 3, 4]:
    matrix, energies, weights = prepared(SYSTEMS[at])
    for which in range(1, 4):
        keep = np.arange(len(energies)) != which
        values, square, covariance = solved(matrix[keep], energies[keep], weights[keep])
        of = matrix[which]
        for kind, number in enumerate([10 * math.log10(of @ values), 1.96 * math.sqrt(of @ covariance @ of) / (PER_DECIBEL * (of @ values)), square]):
            row(at, which, kind, number)
print("next: system, part watched, place among the offers; code of the state, half width afterwards")
for at, watched in [(3, 2), (5, 1), (5, 2), (5, 3)]:
    matrix, energies, weights = prepared(SYSTEMS[at])
    values, _, covariance = solved(matrix, energies, weights)
    most = matrix.max(axis=0).astype(int)
    states = []
    for state in itertools.product([1], *[range(count + 1) for count in most[1:]]):
        of = np.array(state, float)
        if any((of == run).all() for run in matrix):
            continue
        weight = 1 / (PER_DECIBEL * 0.5 / 1.96 * (of @ values))
        after = solved(np.vstack([matrix, of]), np.append(energies, of @ values), np.append(weights, weight))[2]
        states.append((after[watched, watched], "".join(map(str, state))))
    for place, (variance, code) in enumerate(sorted(states)[:3]):
        row(at, watched, place, 0, int(code))
        row(at, watched, place, 1, 1.96 * math.sqrt(variance) / (PER_DECIBEL * values[watched]))
print("rank: parts, runs by their digits; parts less rank, by singular values")
random = np.random.default_rng(20_27)
for _ in range(24):
    parts, count = int(random.integers(2, 7)), int(random.integers(1, 9))
    runs = np.hstack([np.ones((count, 1), int), random.integers(0, 3, (count, parts - 1))])
    print(f"(&[{', '.join(f'{float(number):.1f}' for number in [parts, *(int(''.join(map(str, run))) for run in runs)])}], {parts - np.linalg.matrix_rank(runs)}.0),")
print("credit: levels now, levels then (-999 for silence), rest (-999 for none)")
for before, after, rest in [([40, 40], [None, None], 30), ([44.1, 41, 39.5, 38.6], [None] * 4, 31), ([45, 42, 38], [40, 36, 38], None), ([50, 30], [45, None], 35)]:
    energy = lambda level: 0 if level is None else 10 ** (level / 10)
    credit = np.zeros(len(before))
    orders = list(itertools.permutations(range(len(before))))
    for order in orders:
        now = list(before)
        for which in order:
            total = sum(map(energy, now)) + energy(rest)
            now[which] = after[which]
            credit[which] += 10 * math.log10(total / (sum(map(energy, now)) + energy(rest))) / len(orders)
    for which, number in enumerate(credit):
        print(before, after, rest, which, f"{number:.9g}")
print("apart: system, more, less; level difference, its half width; surplus of energy, its standard uncertainty; both as shares of the loudest")
for at, more, less in [(0, "010", "001"), (3, "020", "001"), (3, "010", "100"), (2, "0010", "0101"), (5, "0100", "0011")]:
    values, _, covariance = solved(*prepared(SYSTEMS[at]))
    one, other = [np.array([int(digit) for digit in code], float) for code in (more, less)]
    weights = one / (one @ values) - other / (other @ values)
    top = prepared(SYSTEMS[at])[1].max()
    row(at, int(more), int(less), 0, 10 * math.log10(one @ values / (other @ values)))
    row(at, int(more), int(less), 1, 1.96 * math.sqrt(weights @ covariance @ weights) / PER_DECIBEL)
    row(at, int(more), int(less), 2, (one - other) @ values / top)
    row(at, int(more), int(less), 3, math.sqrt((one - other) @ covariance @ (one - other)) / top)
print("share: system, part, whole; share, its half width")
for at, part, whole in [(0, "010", "111"), (3, "020", "121"), (2, "0100", "1111"), (5, "0011", "1111")]:
    values, _, covariance = solved(*prepared(SYSTEMS[at]))
    one, other = [np.array([int(digit) for digit in code], float) for code in (part, whole)]
    share = one @ values / (other @ values)
    weights = (one - share * other) / (other @ values)
    row(at, int(part), int(whole), 0, share)
    row(at, int(part), int(whole), 1, 1.96 * math.sqrt(weights @ covariance @ weights))
print("limit: system, counts; one-sided")
for at, code in [(0, "010"), (2, "0100"), (3, "021"), (5, "0010")]:
    values, _, covariance = solved(*prepared(SYSTEMS[at]))
    of = np.array([int(digit) for digit in code], float)
    row(at, int(code), 10 * math.log10(of @ values + 1.645 * math.sqrt(of @ covariance @ of)))
print("blame: system, counts, reading; the part of the variance that goes when this reading alone is known exactly")
for at, code in [(0, "010"), (3, "001"), (2, "0100")]:
    matrix, energies, weights = prepared(SYSTEMS[at])
    of = np.array([int(digit) for digit in code], float)
    pull = (of @ np.linalg.pinv(matrix * weights[:, None])) ** 2
    for which, part in enumerate(pull / pull.sum()):
        row(at, int(code), which, part)
print("next, with the prior: system, parts watched, all off allowed, place; code, resolves, part, half width before, after, what is left")
for at, watched, off in [(3, [1, 2], 0), (3, [2], 0), (1, [1, 2], 1), (1, [1], 1), (5, [1, 2, 3], 0), (2, [1], 1), (6, [1, 2, 3], 0), (6, [1], 0)]:
    matrix, energies, weights = prepared(SYSTEMS[at])
    values = solved(matrix, energies, weights)[0]
    if at == 1:
        # The split of two that are not told apart is free. Ours gives all to the last one.
        values[1:] = [0, values[1] + values[2]]
    top, width = energies.max(), len(values)
    known = lambda of: np.linalg.matrix_rank(np.vstack([matrix, of])) == np.linalg.matrix_rank(matrix)
    single = lambda part: np.eye(width)[part]
    scales = {part: max(values[part], 0.05 * top) if known(single(part)) else top for part in watched}
    information = np.eye(width) / (3 * top) ** 2 + (matrix * weights[:, None]).T @ (matrix * weights[:, None])
    before = np.linalg.inv(information)
    whole = sum(before[part, part] / scales[part] ** 2 for part in watched)
    states = []
    most = matrix.max(axis=0).astype(int)
    for state in [*itertools.product([1], *[range(count + 1) for count in most[1:]]), *([(1, *[0] * (width - 1))] if off else [])]:
        of = np.array(state, float)
        if any((of == run).all() for run in matrix) or any(state == other[-1] for other in states):
            continue
        weight = 1 / (PER_DECIBEL * 0.5 / 1.96 * max(of @ values, 1e-6 * top))
        after = np.linalg.inv(information + weight**2 * np.outer(of, of))
        narrowed = {part: (before[part, part] - after[part, part]) / scales[part] ** 2 for part in watched}
        part = max(narrowed, key=narrowed.get)
        decibels = lambda variance: 1.96 * math.sqrt(variance[part, part]) / (PER_DECIBEL * scales[part])
        left = sum(after[part, part] / scales[part] ** 2 for part in watched) / whole
        states.append((left, sum(state), part, decibels(before), decibels(after), 0.0 if known(of) else 1.0, state))
    for place, (left, _, part, wide, narrow, resolves, state) in enumerate(sorted(states)[:3]):
        print(at, watched, off, place, "".join(map(str, state)), resolves, part, f"{wide:.9g} {narrow:.9g} {left:.9g}")
