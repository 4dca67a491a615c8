"""What a graph has gathered piece by piece, and how it is laid out as flat arrays for the kernels."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .arrays import Arrays, BoundaryArrays, ExchangeArrays, FloatArray, IntArray
from .controllers import Controller, Layout, Sensor
from .materials import Material, material
from .mesh import Columns
from .packing import columns, stack_curves, stack_faces, stack_materials
from .signals import SignalBook

PATCH = -1_000_000_000
"""Marks surroundings that are the sight of a patch: their temperature follows from those of the other patches."""


@dataclass
class Gathered:
    """What a graph has gathered, in the order in which it was added.

    materials, conductivity : each with the number of its curve
    curves : (temperatures [K], values)
    contacts : the curve of each state of each contact
    cells : (volume [m3], material)
    faces, boundary : columns, see `Graph.faces` and `Graph.boundary`
    environments : -1 prescribed, PATCH, or the cell that each of the surroundings is
    exchange : view factors as of `exchange.through_walls`, walls, first of the patches' surroundings
    n : cells
    """

    materials: list[Material] = field(default_factory=list)
    conductivity: list[int] = field(default_factory=list)
    curves: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)
    contacts: list[list[int]] = field(default_factory=list)
    cells: list[tuple[FloatArray, IntArray]] = field(default_factory=list)
    faces: list[Columns] = field(default_factory=list)
    boundary: list[Columns] = field(default_factory=list)
    environments: list[int] = field(default_factory=list)
    signals: SignalBook = field(default_factory=SignalBook)
    sensors: list[Sensor] = field(default_factory=list)
    controllers: list[Controller] = field(default_factory=list)
    exchange: tuple[FloatArray, int, int] | None = None
    n: int = 0


def pack(has: Gathered, control: Layout) -> Arrays:
    """All arrays of a problem. The memory of controllers stands behind the cells that were added."""
    memory = len(control.memory)
    V = np.concatenate([*(c[0] for c in has.cells), np.ones(memory)])
    mat = np.concatenate([*(c[1] for c in has.cells), np.full(memory, len(has.materials), np.int64)])
    materials, conductivity = has.materials, has.conductivity
    if memory:
        materials, conductivity = [*materials, material(1.0, 1.0)], [*conductivity, conductivity[0]]
    faces = columns(has.faces, 6, (0, 1, 5))
    bounds = columns(has.boundary, 10, (0, 3, 4, 7, 8, 9))
    prescribed = iter(range(-1, -len(has.environments) - 2, -1))
    env = np.array([next(prescribed) if c == -1 else c for c in has.environments], np.int64)
    bcell = np.unique(np.concatenate([control.border, np.array(has.environments, np.int64)]))
    bcell = bcell[bcell >= 0]
    border = np.full(V.size, -1, np.int64)
    border[bcell] = np.arange(bcell.size)
    rim = np.zeros(0, np.int64)
    if bcell.size:
        across = np.concatenate([faces[0][border[faces[1]] >= 0], faces[1][border[faces[0]] >= 0]])
        rim = np.unique(np.concatenate([bounds[0], across, control.arrays.place]))
        rim = rim[border[rim] < 0]
        border[rim] = -2 - np.arange(rim.size)
    return Arrays(
        V,
        mat,
        stack_materials(materials, conductivity),
        stack_faces(faces, mat, border),
        BoundaryArrays(*bounds),
        stack_curves(has.curves, has.contacts),
        control.arrays,
        _exchange_arrays(has),
        has.signals.arrays(),
        env,
        border,
        bcell,
        rim,
        has.n,
    )


def _exchange_arrays(has: Gathered) -> ExchangeArrays:
    patch = np.full(len(has.environments), -1, np.int64)
    if has.exchange is None:
        return ExchangeArrays(patch, np.zeros((0, 1)), np.zeros(0), np.array([-1]))
    F, walls, first = has.exchange
    n = F.shape[0]
    patch[first : first + n] = np.arange(n)
    return ExchangeArrays(patch, np.zeros((n, n + 1)), np.ones(n), np.array([walls]))
