"""The systems of nnls_systems.txt, solved by scipy 1.17.1 (scipy.optimize.nnls).

One system per line: rows, columns, A row by row, b, x, norm of the residual.
"""

import numpy as np
from scipy.optimize import nnls

random = np.random.default_rng(20_25)
for _ in range(120):
    columns = int(random.integers(1, 8))
    rows = columns + int(random.integers(0, 8))
    matrix = np.round(random.uniform(-1, 1, (rows, columns)), 3)
    target = np.round(random.uniform(-1, 1.5, rows), 3)
    solution, residual = nnls(matrix, target)
    numbers = [*matrix.ravel(), *target, *solution, residual]
    print(rows, columns, *(f"{float(number):.15g}" for number in numbers))
