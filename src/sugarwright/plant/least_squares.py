"""Least squares for a few hundred unknowns, to be compiled.

NumPy's own hands the work to a threaded library, which on a busy machine waits seconds for its
threads, and whose last digits depend on how many there were. Here the sums have one order.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def least_squares(matrix: Floats, target: Floats) -> Floats:
    """Solve ``matrix x = target`` in the sense of least squares.

    Parameters
    ----------
    matrix : (rows, unknowns), of full rank and with a condition number of 1e5 or less, which the
        normal equations square: half of the digits are left
    target : (rows,)

    Returns
    -------
    The unknowns.

    Notes
    -----
    Normal equations, Cholesky factor, two triangular solutions; any text on numerical linear
    algebra.

    Examples
    --------
    >>> least_squares(np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 2.0]]), np.array([1.0, 3.0, 5.0]))
    array([1., 2.])
    """
    rows, unknowns = matrix.shape
    normal = np.zeros((unknowns, unknowns))
    answer = np.zeros(unknowns)
    for row in range(rows):
        for i in range(unknowns):
            answer[i] += matrix[row, i] * target[row]
            for j in range(i + 1):
                normal[i, j] += matrix[row, i] * matrix[row, j]
    for i in range(unknowns):
        for j in range(i + 1):
            rest = normal[i, j]
            for k in range(j):
                rest -= normal[i, k] * normal[j, k]
            normal[i, j] = math.sqrt(rest) if i == j else rest / normal[j, j]
        for k in range(i):
            answer[i] -= normal[i, k] * answer[k]
        answer[i] /= normal[i, i]
    for i in range(unknowns - 1, -1, -1):
        for k in range(i + 1, unknowns):
            answer[i] -= normal[k, i] * answer[k]
        answer[i] /= normal[i, i]
    return answer
