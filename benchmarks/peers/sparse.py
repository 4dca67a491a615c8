"""A sparse matrix whose pattern stays: entries are summed into fixed places, sorted once."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.linalg import SuperLU, splu

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
MOST = 3000


class FixedPattern:
    """Maps entries given as row, column and value, the same rows and columns every time, to a CSR array."""

    def __init__(self, row: IntArray, col: IntArray, n: int) -> None:
        key, self.place = np.unique(row * n + col, return_inverse=True)
        indptr = np.concatenate([[0], np.cumsum(np.bincount(key // n, minlength=n))])
        self.matrix = csr_array((np.zeros(key.size), (key % n).astype(np.int32), indptr.astype(np.int32)), shape=(n, n))
        self.once = key.size == row.size
        if self.once:  # no entry is a sum: the values need only be put in order
            self._order = np.argsort(self.place)
        self.diagonal = np.searchsorted(key, np.arange(n) * (n + 1))

    def fill(self, values: FloatArray) -> csr_array:
        """The matrix with these entries; it is the same object every time."""
        if self.once:
            np.take(values, self._order, out=self.matrix.data)
        else:
            self.matrix.data[:] = np.bincount(self.place, values, self.matrix.data.size)
        return self.matrix


def symmetric_lu(A: Any) -> SuperLU:
    """Factors by scipy's SuperLU, ordered for a symmetric pattern: half the fill of its default ordering."""
    return splu(A, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def conjugate_gradients(A: csr_array, diagonal: FloatArray, b: FloatArray, rtol: float) -> tuple[FloatArray, int]:
    """Solve A x = b by conjugate gradients with Jacobi's preconditioner; returns x and the iterations.

    Written out, because scipy's own takes a norm and several temporaries more in every iteration. Stops when
    the residual in the preconditioner's norm is `rtol` of the right-hand side's.
    """
    inverse = 1.0 / diagonal
    x = inverse * b
    target = rtol * rtol * (b @ x)
    r = b - A @ x
    p = inverse * r
    rz = r @ p
    count = 0
    while rz > target:
        if count == MOST:
            raise RuntimeError(f"conjugate gradients did not converge in {count} iterations")
        q = A @ p
        alpha = rz / (p @ q)
        x += alpha * p
        q *= alpha
        r -= q
        z = inverse * r
        last, rz = rz, r @ z
        p *= rz / last
        p += z
        count += 1
    return x, count
