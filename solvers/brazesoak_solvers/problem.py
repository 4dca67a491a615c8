"""A heat-conduction problem as a graph: cells, faces between them, boundary faces to surroundings.

`Graph` gathers the parts and `Graph.problem` checks them and lays them out as flat arrays for the kernels.
A lumped body is one cell; a grid of any dimension comes from `mesh.structured`; both may stand in one graph.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .arrays import (
    Arrays,
    BoundaryArrays,
    CurveArrays,
    ExchangeArrays,
    FaceArrays,
    FloatArray,
    IntArray,
    MaterialArrays,
    Signals,
    ThermostatArrays,
)
from .errors import ProblemError
from .materials import Material
from .mesh import Columns, Mesh

_PATCH = -1_000_000_000
"""Marks surroundings that are the sight of a patch: their temperature follows from those of the other patches."""
Curve = float | tuple[ArrayLike, ArrayLike]
"""A constant, or temperatures [K] and values between which it is linear; it holds its ends."""


@dataclass(frozen=True, slots=True)
class Problem:
    """A checked problem.

    Attributes
    ----------
    arrays : Arrays                 for the kernels
    initial : float64[n_cell]       initial temperature [K]
    signals : t -> Signals          the outside at time t [s]
    breakpoints : float64[n]        times at which `signals` has a kink or a jump [s]
    contact_states : int64[n_contact]   state of each contact at the start
    view_factors : float64[n_patch + 1, n_patch + 1] or None    between patches and walls, which are the last
    wall_emissivity : float
    """

    arrays: Arrays
    initial: FloatArray
    signals: Callable[[float], Signals]
    breakpoints: FloatArray
    contact_states: IntArray
    view_factors: FloatArray | None = None
    wall_emissivity: float = 1.0

    @property
    def n_cell(self) -> int:
        """Number of cells."""
        return int(self.arrays.V.size)


@dataclass
class Graph:
    """Gathers cells, faces and boundary faces; every method returns the numbers of what it added."""

    _materials: list[Material] = field(default_factory=list)
    _conductivity: list[int] = field(default_factory=list)
    _curves: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)
    _contacts: list[list[int]] = field(default_factory=list)
    _cells: list[tuple[FloatArray, IntArray]] = field(default_factory=list)
    _faces: list[Columns] = field(default_factory=list)
    _boundary: list[Columns] = field(default_factory=list)
    _environments: list[int] = field(default_factory=list)
    _ambients: list[float | Callable[[float], float]] = field(default_factory=list)
    _sources: list[tuple[IntArray, Callable[[float], ArrayLike] | FloatArray]] = field(default_factory=list)
    _thermostats: list[tuple[int, int, float, float, Callable[[float], float], Callable[[float], float]]] = field(
        default_factory=list
    )
    _exchange: tuple[FloatArray, int, float, int] | None = None
    _n: int = 0

    def material(self, material: Material) -> int:
        """Add a material."""
        self._materials.append(material)
        self._conductivity.append(
            self._curve((material.conductivity_temperature, material.conductivity), "conductivity")
        )
        return len(self._materials) - 1

    def cells(self, volume: ArrayLike, material: ArrayLike) -> IntArray:
        """Add cells of `volume` [m3] (> 0) filled with `material`."""
        volume = np.atleast_1d(np.asarray(volume, float))
        which = np.broadcast_to(np.asarray(material, np.int64), volume.shape).copy()
        if not (np.all(volume > 0.0) and np.all(np.isfinite(volume))):
            raise ProblemError("every cell must have a positive, finite volume")
        if np.any(which < 0) or np.any(which >= len(self._materials)):
            raise ProblemError("a cell names a material that was not added")
        self._cells.append((volume, which))
        self._n += volume.size
        return np.arange(self._n - volume.size, self._n)

    def mesh(
        self, mesh: Mesh, materials: Sequence[int], contacts: dict[tuple[int, int], int] | None = None
    ) -> IntArray:
        """Add every cell and inner face of a grid; outer faces are left to `boundary`.

        Parameters
        ----------
        mesh : Mesh
        materials : (int, ...)            material of each region
        contacts : {(low, high): contact} contact between two regions; without one they are bonded
        """
        cells = self.cells(mesh.volume, np.asarray(materials, np.int64)[mesh.region])
        f = mesh.faces
        low = np.minimum(mesh.region[f.cell_a], mesh.region[f.cell_b])
        high = np.maximum(mesh.region[f.cell_a], mesh.region[f.cell_b])
        contact = np.full(f.area.size, -1, np.int64)
        for (one, other), number in (contacts or {}).items():
            contact[(low == min(one, other)) & (high == max(one, other))] = number
        self.faces(cells[f.cell_a], cells[f.cell_b], f.area, f.shape_a, f.shape_b, contact)
        return cells

    def faces(
        self,
        cell_a: ArrayLike,
        cell_b: ArrayLike,
        area: ArrayLike,
        shape_a: ArrayLike = np.inf,
        shape_b: ArrayLike = np.inf,
        contact: ArrayLike = -1,
    ) -> IntArray:
        """Add faces between cells: area [m2], shape factors [m] (infinite: no inner resistance), contact or -1."""
        start = sum(f[0].size for f in self._faces)
        columns = np.broadcast_arrays(*(np.atleast_1d(x) for x in (cell_a, cell_b, area, shape_a, shape_b, contact)))
        a, b, A, sa, sb, c = columns
        if np.any(a == b) or np.any(a < 0) or np.any(b < 0) or np.any(a >= self._n) or np.any(b >= self._n):
            raise ProblemError("a face must join two different cells that were added")
        if not (np.all(np.asarray(A, float) > 0.0) and np.all(sa > 0.0) and np.all(sb > 0.0)):
            raise ProblemError("area and shape factors of a face must be positive")
        if np.any(c >= len(self._contacts)):
            raise ProblemError("a face names a contact that was not added")
        if np.any((c < 0) & np.isinf(sa) & np.isinf(sb)):
            raise ProblemError("a face between two lumped cells needs a contact; merge cells that have none")
        self._faces.append(
            (a.astype(np.int64), b.astype(np.int64), *(x.astype(float) for x in (A, sa, sb)), c.astype(np.int64))
        )
        return np.arange(start, start + a.size)

    def contact(self, *states: Curve) -> int:
        """Add a contact: conductance [W/(m2 K)] against mean interface temperature, one curve a state."""
        if not states:
            raise ProblemError("a contact needs at least one state")
        self._contacts.append([self._curve(s, "contact conductance") for s in states])
        return len(self._contacts) - 1

    def ambient(self, temperature: float | Callable[[float], float]) -> int:
        """Add surroundings of prescribed temperature [K], constant or a function of time [s]."""
        self._ambients.append(temperature)
        self._environments.append(-1)
        return len(self._environments) - 1

    def surroundings(self, cell: int) -> int:
        """Add surroundings that are a cell of the graph, such as a furnace chamber."""
        self._check_cells(np.array([cell]))
        self._environments.append(int(cell))
        return len(self._environments) - 1

    def exchange(self, F: FloatArray, walls: int, wall_emissivity: float) -> IntArray:
        """Let patches of surface radiate to each other and to the walls, grey and diffuse.

        Parameters
        ----------
        F : float64[n + 1, n + 1]   view factors, closed and reciprocal; the last patch is the walls
        walls : int                 surroundings that the walls are
        wall_emissivity : float     0 to 1

        Returns
        -------
        int64[n]        surroundings of each patch, to be given to `boundary` as `walls`
        """
        if self._exchange is not None:
            raise ProblemError("radiation between patches was added already; put all patches into one matrix")
        if F.ndim != 2 or F.shape[0] != F.shape[1] or F.shape[0] < 2:
            raise ProblemError("view factors must be a square matrix of the patches and the walls")
        if not 0 <= walls < len(self._environments) or not 0.0 < wall_emissivity <= 1.0:
            raise ProblemError("the walls need surroundings that were added and an emissivity from 0 to 1")
        first, n = len(self._environments), F.shape[0] - 1
        self._environments.extend([_PATCH] * n)
        self._exchange = (np.asarray(F, float), walls, wall_emissivity, first)
        return np.arange(first, first + n)

    def boundary(
        self,
        cell: ArrayLike,
        area: ArrayLike,
        shape: ArrayLike = np.inf,
        *,
        gas: int,
        walls: int | None = None,
        film: Curve = 0.0,
        emissivity: Curve = 0.0,
        enclosure: float = 0.0,
        flux: ArrayLike = 0.0,
        fixed: bool = False,
    ) -> None:
        """Add boundary faces, whose surface temperature is resolved.

        Heat into the surface: film (Tgas - Ts) + sigma (Twall^4 - Ts^4) / (1/emissivity + enclosure) + flux.

        Parameters
        ----------
        cell, area, shape : arrays      cell, area [m2] and shape factor to the surface [m]
        gas, walls : int                surroundings for convection and radiation; walls default to gas
        film : Curve                    heat transfer coefficient against surface temperature [W/(m2 K)]
        emissivity : Curve              against surface temperature, 0 to 1
        enclosure : float               (1 - e_wall)/e_wall A/A_wall; 0 for a large or black enclosure
        flux : float64                  prescribed [W/m2]
        fixed : bool                    the surface has the temperature of `gas`; needs a finite shape factor
        """
        walls = gas if walls is None else walls
        if not (0 <= gas < len(self._environments) and 0 <= walls < len(self._environments)):
            raise ProblemError("a boundary face names surroundings that were not added")
        columns = np.broadcast_arrays(*(np.atleast_1d(x) for x in (cell, area, shape, flux)))
        c, A, s, q = columns[0].astype(np.int64), *(x.astype(float) for x in columns[1:])
        if np.any(c < 0) or np.any(c >= self._n):
            raise ProblemError("a boundary face names a cell that was not added")
        if not (np.all(A > 0.0) and np.all(s > 0.0)) or enclosure < 0.0:
            raise ProblemError("area, shape factor and enclosure resistance of a boundary face must not be negative")
        patch = self._environments[walls] == _PATCH
        if self._environments[gas] == _PATCH or (patch and (enclosure > 0.0 or self._least(emissivity) <= 0.0)):
            raise ProblemError(
                "a patch is seen by radiation only: give it as walls, with an emissivity above 0 and no enclosure"
            )
        if fixed and (np.any(np.isinf(s)) or self._environments[gas] >= 0):
            raise ProblemError("a prescribed surface needs a finite shape factor and a prescribed surroundings")
        film_curve, eps_curve = self._curve(film, "film"), self._curve(emissivity, "emissivity")
        number = [np.full(c.size, x, np.int64) for x in (film_curve, eps_curve, gas, walls, int(fixed))]
        self._boundary.append((c, A, s, number[0], number[1], np.full(c.size, float(enclosure)), q, *number[2:]))

    @staticmethod
    def _least(curve: Curve) -> float:
        return float(np.min(curve[1] if isinstance(curve, tuple) else curve))

    def source(self, cells: ArrayLike, power: ArrayLike | Callable[[float], ArrayLike]) -> None:
        """Add heat generated in `cells` [W each], constant or a function of time."""
        where = np.atleast_1d(np.asarray(cells, np.int64))
        self._check_cells(where)
        self._sources.append(
            (where, power if callable(power) else np.broadcast_to(np.asarray(power, float), where.shape))
        )

    def thermostat(
        self,
        cell: int,
        sensed: int,
        *,
        gain: float,
        maximum: float,
        target: float | Callable[[float], float],
        feed: float | Callable[[float], float] = 0.0,
    ) -> None:
        """Heat `cell` with feed + gain (target - temperature of `sensed`), between 0 and `maximum` [W]."""
        self._check_cells(np.array([cell, sensed]))
        if not (gain > 0.0 and maximum > 0.0):
            raise ProblemError("a thermostat needs a positive gain and a positive maximum power")
        self._thermostats.append((int(cell), int(sensed), gain, maximum, _signal(target), _signal(feed)))

    def problem(
        self,
        initial: ArrayLike,
        breakpoints: ArrayLike = (),
        contact_states: ArrayLike = 0,
    ) -> Problem:
        """Check and lay out. `initial` temperature [K] of each cell, or one for all."""
        if self._n == 0:
            raise ProblemError("a problem needs at least one cell")
        start = np.broadcast_to(np.asarray(initial, float), (self._n,)).copy()
        if not np.all((start > 0.0) & np.isfinite(start)):
            raise ProblemError("temperatures are absolute and must be positive and finite")
        states = np.broadcast_to(np.asarray(contact_states, np.int64), (len(self._contacts),)).copy()
        most = np.array([len(c) for c in self._contacts], np.int64)
        if np.any(states < 0) or np.any(states >= most):
            raise ProblemError("a contact starts in a state that it does not have")
        F, _, eps, _ = self._exchange or (None, -1, 1.0, -1)
        times = np.unique(np.asarray(breakpoints, float))
        return Problem(self._arrays(), start, self._signals(), times, states, F, eps)

    def _check_cells(self, cells: IntArray) -> None:
        if np.any(cells < 0) or np.any(cells >= self._n):
            raise ProblemError("a surroundings, source or thermostat names a cell that was not added")

    def _curve(self, curve: Curve, name: str) -> int:
        if isinstance(curve, int | float | np.floating | np.integer):
            t, v = np.array([300.0]), np.array([float(curve)])
        else:
            t, v = (np.asarray(x, float) for x in curve)
        if t.shape != v.shape or np.any(np.diff(t) <= 0.0):
            raise ProblemError(f"{name}: needs as many values as temperatures, and temperatures that increase")
        if np.any(v < 0.0) or not np.all(np.isfinite(v)):
            raise ProblemError(f"{name}: must be finite and not negative")
        self._curves.append((t, v))
        return len(self._curves) - 1

    def _signals(self) -> Callable[[float], Signals]:
        ambients = [_signal(a) for a in self._ambients]
        targets, feeds = [t[4] for t in self._thermostats], [t[5] for t in self._thermostats]
        sources, n, none = self._sources, self._n, np.zeros(0)

        def signals(t: float) -> Signals:
            source = none
            if sources:
                source = np.zeros(n)
                for where, power in sources:
                    np.add.at(source, where, power(t) if callable(power) else power)
            return Signals(
                np.array([a(t) for a in ambients]),
                source,
                np.array([f(t) for f in targets]),
                np.array([f(t) for f in feeds]),
            )

        return signals

    def _arrays(self) -> Arrays:
        V = np.concatenate([c[0] for c in self._cells])
        mat = np.concatenate([c[1] for c in self._cells])
        faces = _columns(self._faces, 6, (0, 1, 5))
        bounds = _columns(self._boundary, 10, (0, 3, 4, 7, 8, 9))
        prescribed = iter(range(-1, -len(self._environments) - 2, -1))
        env = np.array([next(prescribed) if c == -1 else c for c in self._environments], np.int64)
        bcell = np.unique(
            np.array(
                [c for c in self._environments if c >= 0] + [c for t in self._thermostats for c in t[:2]], np.int64
            )
        )
        border = np.full(self._n, -1, np.int64)
        border[bcell] = np.arange(bcell.size)
        th = self._thermostats
        return Arrays(
            V,
            mat,
            _stack_materials(self._materials, self._conductivity),
            _stack_faces(faces, mat),
            BoundaryArrays(*bounds),
            _stack_curves(self._curves, self._contacts),
            ThermostatArrays(
                np.array([t[0] for t in th], np.int64),
                np.array([t[1] for t in th], np.int64),
                np.array([t[2] for t in th], float),
                np.array([t[3] for t in th], float),
            ),
            self._exchange_arrays(),
            env,
            border,
            bcell,
        )

    def _exchange_arrays(self) -> ExchangeArrays:
        patch = np.full(len(self._environments), -1, np.int64)
        if self._exchange is None:
            return ExchangeArrays(patch, np.zeros((0, 1)), np.zeros(0), np.array([-1]))
        F, walls, _, first = self._exchange
        n = F.shape[0] - 1
        patch[first : first + n] = np.arange(n)
        return ExchangeArrays(patch, np.zeros((n, n + 1)), np.ones(n), np.array([walls]))


def _signal(value: float | Callable[[float], float]) -> Callable[[float], float]:
    if callable(value):
        return value
    constant = float(value)
    return lambda _: constant


def _pointer(sizes: Sequence[int]) -> IntArray:
    return np.concatenate([[0], np.cumsum(np.asarray(sizes, np.int64))]).astype(np.int64)


def _columns(rows: Sequence[Columns], count: int, integer: Sequence[int]) -> list[Any]:
    """Join what was added piece by piece into one contiguous array a column."""
    types = [np.int64 if i in integer else np.float64 for i in range(count)]
    if not rows:
        return [np.zeros(0, t) for t in types]
    return [np.ascontiguousarray(np.concatenate(c), t) for c, t in zip(zip(*rows, strict=True), types, strict=True)]


def _stack_materials(materials: Sequence[Material], conductivity: Sequence[int]) -> MaterialArrays:
    return MaterialArrays(
        _pointer([m.capacity_left.size for m in materials]),
        np.concatenate([m.temperature for m in materials]),
        np.concatenate([m.enthalpy for m in materials]),
        np.concatenate([m.capacity_left for m in materials]),
        np.concatenate([m.capacity_right for m in materials]),
        np.array(conductivity, np.int64),
        np.array([min(m.capacity_left.min(), m.capacity_right.min()) for m in materials]),
    )


def _stack_faces(faces: Sequence[Any], mat: IntArray) -> FaceArrays:
    """Faces with the shape factor of both half cells in series, and which have a contact or two materials."""
    a, b, area, sa, sb, contact = faces
    with np.errstate(divide="ignore"):  # two lumped cells: their face is layered and does not use it
        s = 1.0 / (1.0 / sa + 1.0 / sb)
    layered = np.flatnonzero((contact >= 0) | (mat[a] != mat[b])).astype(np.int64)
    return FaceArrays(a, b, area, sa, sb, contact, s, layered)


def _stack_curves(curves: Sequence[tuple[FloatArray, FloatArray]], contacts: Sequence[Sequence[int]]) -> CurveArrays:
    none = np.zeros(0)
    return CurveArrays(
        _pointer([t.size for t, _ in curves]),
        np.concatenate([none, *(t for t, _ in curves)]),
        np.concatenate([none, *(v for _, v in curves)]),
        _pointer([len(c) for c in contacts]),
        np.array([i for c in contacts for i in c], np.int64),
    )
