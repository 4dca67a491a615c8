"""Where two bodies of cut cells touch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import FloatArray, IntArray
from .cutcells import CutBody
from .mesh import Columns


@dataclass(frozen=True, slots=True)
class Touching:
    """Where two bodies touch: numbers of their open faces, flat or curved, and the area they share [m2]."""

    one: IntArray
    other: IntArray
    area: FloatArray

    @classmethod
    def nowhere(cls) -> Touching:
        """Two bodies that do not touch."""
        return cls(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0))


def touching(one: CutBody, other: CutBody, shape: tuple[int, ...]) -> tuple[Touching, Touching]:
    """Flat and curved faces that two bodies share on a grid of `shape` cells."""
    flat = _shared(_flat_keys(one, shape, 1), _flat_keys(other, shape, 0), one.flat_area, other.flat_area)
    back = _shared(_flat_keys(one, shape, 0), _flat_keys(other, shape, 1), one.flat_area, other.flat_area)
    both = Touching(*(np.concatenate(x) for x in zip(_columns(flat), _columns(back), strict=True)))
    return both, _shared(*_round_keys(one, other, shape), one.round_area, other.round_area)


def _columns(t: Touching) -> Columns:
    return t.one, t.other, t.area


def _flat_keys(c: CutBody, shape: tuple[int, ...], side: int) -> IntArray:
    """One number for the plane and the place on it of each open flat face of one side; -1 for the other side."""
    place = c.place[c.flat_cell].copy()
    place[np.arange(place.shape[0]), c.flat_axis] += c.flat_side
    key = np.ravel_multi_index(place.T, tuple(n + 1 for n in shape)) * 3 + c.flat_axis
    return np.where(c.flat_side == side, key, -1)


def _round_keys(one: CutBody, other: CutBody, shape: tuple[int, ...]) -> tuple[IntArray, IntArray]:
    """One number for the place and the circle of each curved face: only surfaces of one circle touch."""
    circles = np.round(np.concatenate([one.round_circle, other.round_circle]), 9)
    which = np.unique(circles, axis=0, return_inverse=True)[1].ravel()
    place = np.concatenate([c.place[c.round_cell] for c in (one, other)])
    key = np.ravel_multi_index(place.T, shape) * circles.shape[0] + which
    return key[: one.round_cell.size], key[one.round_cell.size :]


def _shared(one: IntArray, other: IntArray, area_one: FloatArray, area_other: FloatArray) -> Touching:
    """Faces of two bodies with the same key; where one cuts the face and the other fills it, the smaller is shared."""
    mine, theirs = np.flatnonzero(one >= 0), np.flatnonzero(other >= 0)
    _, i, j = np.intersect1d(one[mine], other[theirs], return_indices=True)
    i, j = mine[i], theirs[j]
    return Touching(i, j, np.minimum(area_one[i], area_other[j]))
