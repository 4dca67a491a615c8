"""Properties of a solid as the core wants them: volumetric heat capacity and conductivity, piecewise linear in T.

Enthalpy is then piecewise quadratic and exact: no step over a peak of the heat capacity can lose heat, and
temperature follows from enthalpy in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .arrays import FloatArray
from .errors import ProblemError


@dataclass(frozen=True, slots=True)
class Material:
    """One solid.

    Attributes
    ----------
    temperature : float64[n + 1]              ends of the intervals of the heat capacity [K], strictly increasing
    capacity_left, capacity_right : float64[n]   rho cp at both ends of each interval [J/(m3 K)], > 0
    conductivity_temperature, conductivity : float64[m]     [K], strictly increasing, and [W/(m K)], > 0

    Outside the temperatures given, the values at the ends hold.
    """

    temperature: FloatArray
    capacity_left: FloatArray
    capacity_right: FloatArray
    conductivity_temperature: FloatArray
    conductivity: FloatArray

    @property
    def enthalpy(self) -> FloatArray:
        """Enthalpy above the first temperature at each temperature [J/m3], float64[n + 1]."""
        mean = 0.5 * (self.capacity_left + self.capacity_right)
        return np.concatenate([[0.0], np.cumsum(mean * np.diff(self.temperature))])

    def with_corners(self, at: FloatArray) -> Material:
        """The same with further ends of intervals [K]."""
        t = self.temperature
        if (t[np.minimum(np.searchsorted(t, at), t.size - 1)] == at).all():
            return self
        arrays = t, self.capacity_left, self.capacity_right, at
        edges, left, right = _divided(*(x.tobytes() for x in arrays))
        return replace(self, temperature=edges, capacity_left=left, capacity_right=right)


@lru_cache(maxsize=128)
def _divided(*arrays: bytes) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ends of intervals and capacities at both with further ends; kept, since many bodies are of one metal."""
    t, left, right, at = (np.frombuffer(x) for x in arrays)
    edges = np.union1d(t, at)
    inside = np.searchsorted(t, edges[:-1], side="right") - 1  # -1 and the last: below and above all that there was
    j = np.clip(inside, 0, left.size - 1)
    slope = (right[j] - left[j]) / (t[j + 1] - t[j])
    low, high = (np.clip(x, t[j], t[j + 1]) - t[j] for x in (edges[:-1], edges[1:]))
    return edges, left[j] + slope * low, left[j] + slope * high


def material(
    capacity: ArrayLike,
    conductivity: ArrayLike,
    capacity_temperature: ArrayLike = (300.0,),
    conductivity_temperature: ArrayLike = (300.0,),
    latent: tuple[tuple[float, float, float], ...] = (),
) -> Material:
    """A solid from tables of rho cp and of k, with latent heats spread evenly over a range.

    Parameters
    ----------
    capacity : float64[n]                   rho cp [J/(m3 K)], linear between `capacity_temperature`
    conductivity : float64[m]               [W/(m K)], linear between `conductivity_temperature`
    capacity_temperature : float64[n]       [K], increasing; two equal temperatures make a jump
    conductivity_temperature : float64[m]   [K], strictly increasing
    latent : ((from, to, heat), ...)        added heat [J/m3], even between two temperatures [K]

    Raises
    ------
    ProblemError    lengths differ, temperatures decrease, or a value is not positive
    """
    if isinstance(capacity, float) and isinstance(conductivity, float) and not latent:
        return _plain(capacity, conductivity)
    tc, c = _table(capacity_temperature, capacity, "capacity")
    tk, k = _table(conductivity_temperature, conductivity, "conductivity")
    if (tk[1:] <= tk[:-1]).any():
        raise ProblemError("conductivity: temperatures must be strictly increasing")
    edges = np.unique(np.concatenate([tc, [t for low, high, _ in latent for t in (low, high)]]) if latent else tc)
    # The values at the ends hold outside: no latent heat may reach an end, nor an interval be missing.
    if any(low <= edges[0] for low, _, _ in latent):
        edges = np.concatenate([[edges[0] - 1.0], edges])
    if edges.size == 1 or any(high >= edges[-1] for _, high, _ in latent):
        edges = np.concatenate([edges, [edges[-1] + 1.0]])
    if not latent and tc.size == 1:
        return Material(edges, c, c, tk, k)
    if not latent and edges.size == tc.size:  # no jump, and nothing was added
        return Material(edges, c[:-1], c[1:], tk, k)
    left, right = _one_sided(edges[:-1], tc, c, "right"), _one_sided(edges[1:], tc, c, "left")
    middle = 0.5 * (edges[1:] + edges[:-1])
    for low, high, heat in latent:
        if not (high > low and heat >= 0.0):
            raise ProblemError(f"latent heat {heat} J/m3 between {low} K and {high} K: need to > from, heat >= 0")
        inside = (middle > low) & (middle < high)
        left[inside] += heat / (high - low)
        right[inside] += heat / (high - low)
    return Material(edges, left, right, tk, k)


@lru_cache(maxsize=64)
def _plain(capacity: float, conductivity: float) -> Material:
    """A solid whose properties are the same at any temperature; kept, for furnaces are made of them."""
    (tc, c), (tk, k) = _table(300.0, capacity, "capacity"), _table(300.0, conductivity, "conductivity")
    return Material(np.append(tc, tc + 1.0), c, c, tk, k)


def _table(temperature: ArrayLike, value: ArrayLike, name: str) -> tuple[FloatArray, FloatArray]:
    t = np.atleast_1d(np.asarray(temperature, float))
    v = np.atleast_1d(np.asarray(value, float))
    if t.shape != v.shape or t.ndim != 1:
        raise ProblemError(f"{name}: {v.size} values for {t.size} temperatures")
    if (t[1:] < t[:-1]).any() or not np.isfinite(t).all():
        raise ProblemError(f"{name}: temperatures must increase")
    if not ((v > 0.0) & np.isfinite(v)).all():
        raise ProblemError(f"{name}: every value must be positive and finite")
    return t, v


def _one_sided(x: FloatArray, t: FloatArray, v: FloatArray, side: str) -> FloatArray:
    """Linear interpolation that takes the value from the right (or left) where `t` holds a jump."""
    at = np.searchsorted(t, x, side="right" if side == "right" else "left")
    low, high = np.clip(at - 1, 0, t.size - 1), np.clip(at, 0, t.size - 1)
    span = np.where(t[high] > t[low], t[high] - t[low], 1.0)
    return np.asarray(v[low] + (v[high] - v[low]) * np.clip((x - t[low]) / span, 0.0, 1.0))
