"""What was gathered piece by piece, joined into flat arrays for the kernels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .arrays import CurveArrays, FaceArrays, FloatArray, IntArray, MaterialArrays
from .materials import Material
from .mesh import Columns


def pointer(sizes: Sequence[int]) -> IntArray:
    """Where each part starts, and where the last ends."""
    return np.concatenate([[0], np.cumsum(np.asarray(sizes, np.int64))]).astype(np.int64)


def alike(*values: ArrayLike) -> list[Any]:
    """Arrays of one length; a single value stands for as many. numpy's own way takes as long as all else of a heat."""
    arrays = [np.asarray(x) for x in values]
    n = next((x.size for x in arrays if x.ndim and x.size != 1), 1)
    found = []
    for x in arrays:
        if x.size == 1 and x.shape != (n,):
            one, x = x, np.empty(n, x.dtype)
            x.fill(one.item())
        found.append(x if x.shape == (n,) else np.broadcast_to(x, n))
    return found


def columns(rows: Sequence[Columns], count: int, integer: Sequence[int]) -> list[Any]:
    """Join what was added piece by piece into one contiguous array a column."""
    types = [np.int64 if i in integer else np.float64 for i in range(count)]
    if not rows:
        return [np.zeros(0, t) for t in types]
    return [np.ascontiguousarray(np.concatenate(c), t) for c, t in zip(zip(*rows, strict=True), types, strict=True)]


def stack_materials(materials: Sequence[Material], conductivity: Sequence[int]) -> MaterialArrays:
    """Tables of all materials, each with the number of its curve of conductivity, whose corners are among the ends of
    the intervals."""
    materials = [m if m.conductivity.size == 1 else m.with_corners(m.conductivity_temperature) for m in materials]
    c0, c1 = (np.concatenate([getattr(m, name) for m in materials]) for name in ("capacity_left", "capacity_right"))
    span = np.concatenate([np.diff(m.temperature) for m in materials])
    k = [np.interp(m.temperature, m.conductivity_temperature, m.conductivity) for m in materials]
    return MaterialArrays(
        pointer([m.capacity_left.size for m in materials]),
        np.concatenate([m.temperature for m in materials]),
        np.concatenate([m.enthalpy for m in materials]),
        c0,
        c1,
        (c1 - c0) / span,
        np.concatenate([x[:-1] for x in k]),
        np.concatenate([np.diff(x) for x in k]) / span,
        np.array(conductivity, np.int64),
        np.array([min(m.capacity_left.min(), m.capacity_right.min()) for m in materials]),
    )


def stack_faces(faces: Sequence[Any], mat: IntArray, border: IntArray) -> FaceArrays:
    """Faces with the shape factor of both half cells in series, which have a contact or two materials, and which a
    border cell."""
    a, b, area, sa, sb, contact = faces
    with np.errstate(divide="ignore"):  # two lumped cells: their face is layered and does not use it
        s = 1.0 / (1.0 / sa + 1.0 / sb)
    layered = np.flatnonzero((contact >= 0) | (mat[a] != mat[b])).astype(np.int64)
    bordering = np.flatnonzero((border[a] >= 0) | (border[b] >= 0)).astype(np.int64)
    return FaceArrays(a, b, area, sa, sb, contact, s, layered, bordering)


def stack_curves(curves: Sequence[tuple[FloatArray, FloatArray]], contacts: Sequence[Sequence[int]]) -> CurveArrays:
    """Curves, and which of them each state of each contact has."""
    none = np.zeros(0)
    return CurveArrays(
        pointer([t.size for t, _ in curves]),
        np.concatenate([none, *(t for t, _ in curves)]),
        np.concatenate([none, *(v for _, v in curves)]),
        pointer([len(c) for c in contacts]),
        np.array([i for c in contacts for i in c], np.int64),
    )
