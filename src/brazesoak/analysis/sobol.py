"""Scrambled Sobol points: those of scipy.stats.qmc, bit for bit, without a third of a second to load it.

Direction numbers: S. Joe and F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635-2654, their table new-joe-kuo-6. Scrambled
by a random lower triangular matrix and a shift (J. Matousek, J. Complexity 14 (1998) 527-556, recalled).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..answer import FloatArray

BITS = 30
_TABLE = (
    (1, (1,)), (3, (1,)), (7, (1, 3)), (11, (1, 3, 1)), (13, (1, 1, 1)), (19, (1, 1, 3, 3)), (25, (1, 3, 5, 13)),
    (37, (1, 1, 5, 5, 17)), (41, (1, 1, 5, 5, 5)), (47, (1, 1, 7, 11, 19)), (55, (1, 1, 5, 1, 1)),
    (59, (1, 1, 1, 3, 11)), (61, (1, 3, 5, 5, 31)), (67, (1, 3, 3, 9, 7, 49)), (91, (1, 1, 1, 15, 21, 21)),
    (97, (1, 3, 1, 13, 27, 49)), (103, (1, 1, 1, 15, 7, 5)), (109, (1, 3, 1, 15, 13, 25)), (115, (1, 1, 5, 5, 19, 61)),
    (131, (1, 3, 7, 11, 23, 15, 103)),
)  # fmt: skip
"""By dimension: a primitive polynomial over two elements, its coefficients as bits, and the first direction numbers."""
MOST = len(_TABLE)
"""Dimensions that the table has; scipy gives points of more."""


def sobol(dimensions: int, samples: int, seed: int) -> FloatArray:
    """Points of the unit cube, float64[samples, dimensions]; `samples` is a power of two."""
    rng = np.random.default_rng(seed)
    if dimensions > MOST:
        from scipy.stats import qmc

        return np.asarray(qmc.Sobol(dimensions, scramble=True, rng=rng).random(samples))
    rng = rng.spawn(1)[0]
    shift = rng.integers(2, size=(dimensions, BITS), dtype=np.uint32) @ (1 << np.arange(BITS))
    v = _scrambled(np.array([_directions(*row) for row in _TABLE[:dimensions]]), rng)
    points = shift[None, :].astype(np.int64)
    for bit in range(samples.bit_length() - 1):  # in the order of Gray's code the second half mirrors the first
        points = np.concatenate([points, points[::-1] ^ v[:, bit]])
    found: FloatArray = np.asarray(points * 2.0**-BITS, np.float64)
    return found


def _directions(polynomial: int, first: tuple[int, ...]) -> list[int]:
    """Direction numbers of one dimension, the most significant first."""
    degree, v = polynomial.bit_length() - 1, list(first)
    for j in range(len(v), BITS):
        if degree == 0:  # the first dimension counts in halves
            v.append(1)
            continue
        new = v[j - degree] ^ v[j - degree] << degree
        for k in range(1, degree):
            if polynomial >> (degree - k) & 1:
                new ^= v[j - k] << k
        v.append(new)
    return [x << (BITS - 1 - j) for j, x in enumerate(v)]


def _scrambled(v: NDArray[np.int64], rng: np.random.Generator) -> NDArray[np.int64]:
    """Direction numbers whose bits are mixed, each into those below it."""
    mix = np.tril(rng.integers(2, size=(v.shape[0], BITS, BITS), dtype=np.uint32), -1).astype(np.int64)
    mix += np.eye(BITS, dtype=np.int64)
    weight = np.arange(BITS - 1, -1, -1)
    bits = v[:, :, None] >> weight & 1
    mixed = np.einsum("dpk,djk->djp", mix, bits) & 1
    found: NDArray[np.int64] = (mixed << weight).sum(axis=2)
    return found
