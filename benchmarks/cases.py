"""The problems that every code solves: one grid, one set of tables, one furnace.

A grid is given as cells and faces, which is geometry only and is not timed; each code makes of it what it
needs. The round boss is a staircase here on purpose: all codes see the same cells. Sizes are invented for
the benchmark; the steel is that of EN 1993-1-2 with its peak of specific heat at 735 degC, the brass that of
the project's own data file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from brazesoak.trade.library import Library
from brazesoak_solvers import Mesh, graded_edges, structured
from brazesoak_solvers.constants import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

START = 20.0 + ZERO_CELSIUS
FURNACE = 760.0 + ZERO_CELSIUS
FILM = 8.0
CONTACT = 1000.0
HOUR = 3600.0
THRESHOLDS = (618.0 + ZERO_CELSIUS, 652.0 + ZERO_CELSIUS)
"""Solidus and liquidus of a common silver filler, BAg-7 of AWS A5.8 [K]."""


@dataclass(frozen=True, slots=True, eq=False)
class Metal:
    """Tables of a solid, linear between their points.

    capacity : (float64[n] [K], float64[n] [J/(m3 K)]);  conductivity : (float64[m] [K], float64[m] [W/(m K)])
    """

    name: str
    capacity: tuple[FloatArray, FloatArray]
    conductivity: tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """One problem: a grid whose regions are parts, put into a hot furnace at time 0.

    Attributes
    ----------
    mesh : Mesh
    part : (str, ...)           name of the part that each region belongs to
    metal : (Metal, ...)        of each region
    emissivity : (float, ...)   of each region
    joined : ((low, high), ...) regions that touch through a contact; no others touch
    exposed : bool[n_outer]     outer faces that see the furnace; the others are planes or axes of symmetry
    """

    name: str
    mesh: Mesh
    part: tuple[str, ...]
    metal: tuple[Metal, ...]
    emissivity: tuple[float, ...]
    joined: tuple[tuple[int, int], ...]
    exposed: NDArray[np.bool_]
    edges: tuple[FloatArray, ...]
    film: float = FILM
    furnace: float = FURNACE
    start: float = START
    contact: float = CONTACT
    end: float = HOUR

    @property
    def n_cell(self) -> int:
        """Number of cells."""
        return int(self.mesh.volume.size)

    @property
    def places(self) -> tuple[str, ...]:
        """What is watched: the coldest cell of each part, then the colder side of each kind of contact."""
        parts = tuple(dict.fromkeys(self.part))
        return (*parts, *dict.fromkeys(f"{self.part[b]} to {self.part[a]}" for a, b in self.joined))

    def cells_of(self) -> list[IntArray]:
        """Cells of each part, in the order of `places`."""
        names = np.array(self.part)[self.mesh.region]
        return [np.flatnonzero(names == part) for part in dict.fromkeys(self.part)]

    def joint_faces(self) -> list[IntArray]:
        """Faces of each kind of contact, in the order of `places`."""
        f, region = self.mesh.faces, self.mesh.region
        low = np.minimum(region[f.cell_a], region[f.cell_b])
        high = np.maximum(region[f.cell_a], region[f.cell_b])
        found: dict[str, list[IntArray]] = {}
        for a, b in self.joined:
            at = np.flatnonzero((low == a) & (high == b))
            found.setdefault(f"{self.part[b]} to {self.part[a]}", []).append(at)
        return [np.concatenate(x) for x in found.values()]


@cache
def metals() -> tuple[Metal, Metal]:
    """Steel of EN 1993-1-2 and free-machining brass, from the data files."""
    library = Library()
    found = []
    for name in ("carbon-steel", "brass-c36000"):
        m = library.metal(name)
        T, cp = m.specific_heat.nodes()
        found.append(Metal(name, (T, m.density.value * cp), m.thermal_conductivity.nodes()))
    return found[0], found[1]


def plate_with_boss_and_ribs(cell: float) -> Case:
    """P1: steel plate 240 x 160 x 8 mm; on it a brass boss 60 mm by 55 mm and two ribs 110 x 40 x 8 mm.

    Parameters
    ----------
    cell : float    widest cell [m]; every face of a part is an edge of the grid
    """
    s = 1e-3
    x = graded_edges(np.array([0.0, 65.0, 175.0, 240.0]) * s, cell)
    y = graded_edges(np.array([0.0, 24.0, 32.0, 128.0, 136.0, 160.0]) * s, cell)
    z = graded_edges(np.array([0.0, 8.0, 48.0, 63.0]) * s, cell)
    px, py, pz = np.meshgrid(*(0.5 * (e[1:] + e[:-1]) for e in (x, y, z)), indexing="ij")
    above = pz > 8.0 * s
    region = np.full(px.shape, -1, np.int64)
    region[~above] = 0
    region[above & (np.hypot(px - 120.0 * s, py - 80.0 * s) < 30.0 * s)] = 1
    rib = above & (pz < 48.0 * s) & (px > 65.0 * s) & (px < 175.0 * s)
    region[rib & (py > 24.0 * s) & (py < 32.0 * s)] = 2
    region[rib & (py > 128.0 * s) & (py < 136.0 * s)] = 3
    steel, brass = metals()
    mesh = structured([x, y, z], "cartesian", region)
    return Case(
        f"P1 3-D {cell * 1e3:g} mm", mesh, ("plate", "boss", "rib", "rib"), (steel, brass, steel, steel),
        (0.8, 0.6, 0.8, 0.8), ((0, 1), (0, 2), (0, 3)), np.ones(mesh.outer.area.size, bool), (x, y, z),
    )  # fmt: skip


def boss_in_plate(cell: float) -> Case:
    """P2: half section of a brass boss, 60 mm by 55 mm, in a hole of a steel disc of 200 mm by 8 mm."""
    r = graded_edges((0.0, 0.03, 0.1), cell)
    z = graded_edges((0.0, 0.008, 0.055), cell)
    R, Z = np.meshgrid(*(0.5 * (e[1:] + e[:-1]) for e in (r, z)), indexing="ij")
    region = np.where(R < 0.03, 1, np.where(Z < 0.008, 0, -1))
    steel, brass = metals()
    mesh = structured([r, z], "axisymmetric", region)
    return Case(
        "P2 axisymmetric", mesh, ("plate", "boss"), (steel, brass), (0.8, 0.6), ((0, 1),),
        np.ones(mesh.outer.area.size, bool), (r, z),
    )  # fmt: skip


def seconds_apart(one: Sequence[float], other: Sequence[float], *, found_by_both: bool = False) -> float:
    """Largest relative difference of two lists of melt times.

    Infinite where only one has a time, unless only those found by both are asked for.
    """
    a, b = np.asarray(one, float), np.asarray(other, float)
    both = ~np.isnan(a) & ~np.isnan(b)
    if not found_by_both and np.any(np.isnan(a) != np.isnan(b)):
        return float("inf")
    return float(np.max(np.abs(a[both] - b[both]) / b[both], initial=0.0))
