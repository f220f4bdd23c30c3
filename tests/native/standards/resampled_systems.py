"""The systems of resampled_systems.txt, solved by scipy 1.17.1 (scipy.optimize.nnls) and numpy 2.4.6 (numpy.percentile).

One system per line: rows, columns, draws, A row by row, b, the rows drawn, x, norm of the residual, then for each column
the 2.5th, 50th and 97.5th percentile of the drawn solutions.
"""

import numpy as np
from scipy.optimize import nnls

random = np.random.default_rng(20_26)
for _ in range(12):
    columns = int(random.integers(1, 7))
    rows = 3 * columns + int(random.integers(4, 10))
    draws = 40
    matrix = random.integers(0, 3, (rows, columns)).astype(float)
    target = np.round(matrix @ random.integers(0, 40, columns) + random.normal(0, 8, rows), 2)
    drawn = random.integers(0, rows, (draws, rows))
    solution, residual = nnls(matrix, target)
    again = np.array([nnls(matrix[which], target[which])[0] for which in drawn])
    parts = np.percentile(again, [2.5, 50, 97.5], axis=0).T
    numbers = [*matrix.ravel(), *target, *drawn.ravel(), *solution, residual, *parts.ravel()]
    print(rows, columns, draws, *(f"{float(number):.12g}" for number in numbers))
