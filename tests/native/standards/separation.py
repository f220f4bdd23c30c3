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
for at, (system, sums) in enumerate(zip(SYSTEMS, [["100", "010", "001", "111"], ["100", "011"], ["1000", "0100", "0010", "0001"], ["100", "010", "001", "021"], ["10", "01"], ["1000", "0010"]])):
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
