"""Radiant exchange of grey, diffuse patches that enclose each other.

With emissive powers e = sigma T^4 [W/m2], the irradiation of patch i is sum_j W_ij e_j, and the net heat into
it is sum_j S_ij (e_j - e_i), with total exchange areas S_ij = eps_i A_i W_ij. Both hold all reflections.
Source: Hottel and Sarofim, Radiative Transfer, McGraw-Hill 1967, ch. 3 (recalled).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .arrays import FloatArray
from .constants import STEFAN_BOLTZMANN
from .errors import ProblemError

_TOLERANCE = 1e-6


def irradiation(F: ArrayLike, emissivity: ArrayLike) -> FloatArray:
    """What each patch receives per emissive power of each patch, reflections included.

    Parameters
    ----------
    F : float64[n, n]        view factors; rows sum to 1
    emissivity : float64[n]  0 to 1; 0: a patch that reflects all, or an adiabatic one

    Returns
    -------
    float64[n, n]            W = (I - F rho)^-1 F eps, rho = 1 - eps; rows sum to 1. For an adiabatic patch
        given with emissivity 0, W @ e is its own emissive power [W/m2].

    Raises
    ------
    ProblemError    rows of F that do not sum to 1, emissivities out of range, patches that nothing absorbs
    """
    F, eps = np.asarray(F, float), np.asarray(emissivity, float)
    if F.ndim != 2 or F.shape != (eps.size, eps.size):
        raise ProblemError(f"{eps.size} emissivities do not fit view factors of shape {F.shape}")
    _check_closed(F)
    if not np.all((eps >= 0.0) & (eps <= 1.0)):
        raise ProblemError("an emissivity must lie between 0 and 1")
    try:
        W = np.linalg.solve(np.eye(eps.size) - F * (1.0 - eps), F * eps)
    except np.linalg.LinAlgError:
        W = np.zeros_like(F)
    if not np.allclose(W.sum(axis=1), 1.0, atol=_TOLERANCE):
        raise ProblemError("some patches see only patches of emissivity 0: nothing absorbs their radiation")
    return W


def through_walls(F: ArrayLike, enclosure: float) -> FloatArray:
    """View factors of patches, with what comes from grey walls around them as if these were black.

    The walls' radiosity is that of what lies behind them less `enclosure` times the heat that passes, per area of walls
    that the patches see; so a wall that reflects gives each patch a share of what all send it.

    Parameters
    ----------
    F : float64[n + 1, n + 1]   view factors, closed and reciprocal; the last patch is the walls
    enclosure : float           above -1: (1 - e_wall)/e_wall (1 - F[n, n]) of grey walls, see `Graph.boundary`

    Returns
    -------
    float64[n, n + 1]           rows sum to 1; some are negative where the enclosure is

    Raises
    ------
    ProblemError    view factors that are not a square matrix, negative, or not closed
    """
    F = np.asarray(F, float)
    if F.ndim != 2 or F.shape[0] != F.shape[1] or F.shape[0] < 2:
        raise ProblemError("view factors must be a square matrix of the patches and the walls")
    _check_closed(F)
    to_walls, shown = F[:-1, -1:], F[-1:, :-1] / max(1.0 - F[-1, -1], 1e-300)
    back = enclosure / (1.0 + enclosure)
    return np.hstack([F[:-1, :-1] + back * to_walls * shown, to_walls / (1.0 + enclosure)])


def patch_irradiation(F: FloatArray, emissivity: ArrayLike) -> FloatArray:
    """What each patch receives per emissive power of each patch and of black walls, reflections included.

    F, returns : float64[n, n + 1]      as of `through_walls`; rows sum to 1
    emissivity : float64[n]             of the patches, above 0, at most 1
    """
    eps = np.asarray(emissivity, float)
    seen = np.hstack([F[:, :-1] * eps, F[:, -1:]])
    return np.asarray(np.linalg.solve(np.eye(eps.size) - F[:, :-1] * (1.0 - eps), seen))


def _check_closed(F: FloatArray) -> None:
    if np.any(F < 0.0) or np.max(np.abs(F.sum(axis=1) - 1.0)) > _TOLERANCE:
        raise ProblemError("view factors must not be negative, and each row must sum to 1")


def total_exchange(F: ArrayLike, area: ArrayLike, emissivity: ArrayLike) -> FloatArray:
    """Total exchange areas [m2]: symmetric, rows sum to emissivity times area.

    Parameters
    ----------
    F : float64[n, n]        view factors, closed and reciprocal
    area : float64[n]        [m2], > 0
    emissivity : float64[n]  0 to 1

    Raises
    ------
    ProblemError    as `irradiation`, or areas and factors that are not reciprocal
    """
    F, A, eps = np.asarray(F, float), np.asarray(area, float), np.asarray(emissivity, float)
    W = irradiation(F, eps)
    if A.shape != eps.shape or not np.all(A > 0.0):
        raise ProblemError(f"{eps.size} emissivities take as many positive areas")
    X = A[:, None] * F
    if np.any(np.abs(X - X.T) > _TOLERANCE * np.minimum(A[:, None], A[None, :])):
        raise ProblemError("view factors and areas are not reciprocal: A_i F_ij must equal A_j F_ji")
    S = (A * eps)[:, None] * W
    return np.asarray(0.5 * (S + S.T))


def net_heat(S: FloatArray, T: ArrayLike) -> FloatArray:
    """Heat into each patch [W] at temperatures T [K]; sums to zero."""
    apart = _powers_apart(np.asarray(T, float))
    return np.asarray(STEFAN_BOLTZMANN * np.sum(S * apart, axis=1))


def _powers_apart(T: FloatArray) -> FloatArray:
    """T_j^4 - T_i^4, factored: close temperatures keep their digits."""
    one, other = T[:, None], T[None, :]
    return np.asarray((other - one) * (other + one) * (other**2 + one**2))


def merge(S: FloatArray, group: ArrayLike) -> FloatArray:
    """Exchange areas [m2] between groups of patches of one temperature each; group : int64[n], from 0."""
    group = np.asarray(group, np.int64)
    member = (group[:, None] == np.arange(group.max() + 1)).astype(float)
    return member.T @ S @ member  # type: ignore[no-any-return]


def eliminate(S: FloatArray, adiabatic: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Take out patches that keep no heat (re-radiating walls, thin shields).

    Parameters
    ----------
    S : float64[n, n]       total exchange areas [m2]
    adiabatic : bool[n]     patches to take out; m are left

    Returns
    -------
    float64[m, m]           exchange areas among those left [m2]
    float64[n - m, m]       emissive power of each one out per emissive power of each left; rows sum to 1

    Raises
    ------
    ProblemError    a patch to be taken out exchanges nothing with those left (an emissivity of 0, say)
    """
    out = np.asarray(adiabatic, bool)
    among, to_rest = S[np.ix_(out, out)], S[np.ix_(out, ~out)]
    L = np.diag(among.sum(axis=1) + to_rest.sum(axis=1)) - among
    try:
        share = np.linalg.solve(L, to_rest)
    except np.linalg.LinAlgError:
        share = np.zeros_like(to_rest)
    if not np.allclose(share.sum(axis=1), 1.0, atol=_TOLERANCE):
        raise ProblemError("an adiabatic patch exchanges nothing with those that are left")
    left = S[np.ix_(~out, ~out)] + to_rest.T @ share
    return 0.5 * (left + left.T), share
