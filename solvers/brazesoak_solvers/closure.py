"""Sampled view factors made to agree: reciprocity and closure, at the least cost by their variances."""

from __future__ import annotations

import numpy as np

from .arrays import FloatArray, IntArray


def balance(sampled: FloatArray, area: FloatArray, rays: IntArray) -> FloatArray:
    """Bring sampled factors to reciprocity and closure, at the least cost in terms of their variances.

    Parameters
    ----------
    sampled : float64[replicates, n, n]     shares of rays; rows of patches that sent none are ignored
    area : float64[n];  rays : int64[n]     all rays of each patch

    Notes
    -----
    Both estimates of an exchange area X = A_i F_ij are weighted by the inverse of their variance,
    X (A_i - X) / rays_i, with X pooled over everything. The correction that closes all rows and
    is least in units of the variances v is v_ij (l_i + l_j), with l from a linear system. All replicates get
    the same linear map, so their scatter after it is that of the result. What no ray found stays 0.
    """
    n = area.size
    own = area[:, None] * sampled
    silent = rays == 0
    pooled = own.mean(axis=0)
    pooled = (pooled + pooled.T) / np.where(silent[:, None] | silent[None, :], 1.0, 2.0)
    counted = np.maximum(rays, 1)[:, None]
    w = rays[:, None] / np.maximum(area[:, None] - pooled, area[:, None] / counted)
    total = np.where(np.eye(n, dtype=bool), w, w + w.T)
    # The exchange of a silent patch with itself is free: its row closes by it alone.
    total[silent, silent] = 1.0
    share = w / (w + w.T + np.diag(2.0 * silent))
    X = share * own + np.swapaxes(share * own, 1, 2)
    v = X.mean(axis=0) / total
    v[silent, silent] = area[silent] ** 2
    for _ in range(n * n):
        closed = _close(X, area, v)
        negative = closed.mean(axis=0) < 0.0
        if not negative.any():
            break
        X, v = np.where(negative, 0.0, X), np.where(negative, 0.0, v)
    return closed / area[:, None]


def _close(X: FloatArray, area: FloatArray, v: FloatArray) -> FloatArray:
    """Symmetric X [m2] with rows that sum to `area`, by the least change in units of the variances v [m4]."""
    off = v - np.diag(v.diagonal())
    M = v + np.diag(off.sum(axis=1))
    # Scaled, so that small patches weigh as much as large ones. Two patches that see each other only make M
    # singular, but then their rows need nothing.
    scale = 1.0 / np.sqrt(M.diagonal())
    inverse = np.linalg.pinv(M * scale[:, None] * scale[None, :], rcond=1e-12, hermitian=True)
    for _ in range(3):  # the second and third time take up the rounding of the first
        pull = scale * ((area - X.sum(axis=2)) * scale @ inverse)
        X = X + off * (pull[:, :, None] + pull[:, None, :]) + v.diagonal() * pull[:, :, None] * np.eye(area.size)
    return X
