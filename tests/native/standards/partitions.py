"""The series of partitions.txt and their cheapest partitions, by dynamic programming over all starts, with numpy 2.4.6's variance.

One series per line: shortest, penalty, floor, number of samples, samples, cost, changes.
"""

import numpy as np

random = np.random.default_rng(3_14)


def cheapest(levels, shortest, penalty, floor):
    count = len(levels)
    least, origin = [np.inf] * (count + 1), [0] * (count + 1)
    least[0] = -penalty
    for end in range(shortest, count + 1):
        for start in range(end - shortest + 1):
            cost = least[start] + penalty + (end - start) * np.log(np.var(levels[start:end]) + floor)
            if cost < least[end]:
                least[end], origin[end] = cost, start
    changes, end = [], count
    while origin[end]:
        end = origin[end]
        changes.append(end)
    return least[count], changes[::-1]


for line in range(80):
    shortest = int(random.choice([1, 2, 5, 10]))
    penalty = float(random.choice([0.5, 4, 15, 50]))
    floor = float(random.choice([1e-6, 1e-6, 0.01, 1]))
    digits = int(random.choice([0, 1, 3]))
    levels = []
    while len(levels) < 12 + line:
        stay = int(random.integers(1, 30))
        levels += list(40 + random.choice([0, 0.6, 5, 20]) + random.choice([0, 0.2, 1, 4]) * random.standard_normal(stay))
    levels = [round(float(level), digits) for level in levels[: 12 + line]]
    cost, changes = cheapest(levels, shortest, penalty, floor)
    print(shortest, penalty, floor, len(levels), *levels, f"{cost:.10g}", *changes)
