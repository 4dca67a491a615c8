"""A heat-conduction problem as a graph: cells, faces between them, boundary faces to surroundings.

`Graph` gathers the parts and `Graph.problem` checks them and lays them out as flat arrays for the kernels.
A lumped body is one cell; a grid of any dimension comes from `mesh.structured`; both may stand in one graph.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from .arrays import (
    Arrays,
    BoundaryArrays,
    ExchangeArrays,
    FloatArray,
    IntArray,
    Signals,
)
from .controllers import Change, Controller, Layout, Sensor, Target, lay_out
from .errors import ProblemError
from .materials import Material, material
from .mesh import Columns, Mesh
from .packing import columns, stack_curves, stack_faces, stack_materials
from .signals import Asked, Signal, SignalBook, Table, signals_of

_PATCH = -1_000_000_000
"""Marks surroundings that are the sight of a patch: their temperature follows from those of the other patches."""
_ANY = np.array([300.0])
"""Temperature of the one point of a constant [K]."""
Curve = float | tuple[ArrayLike, ArrayLike]
"""A constant, or temperatures [K] and values between which it is linear; it holds its ends."""


@dataclass(frozen=True, slots=True)
class Problem:
    """A checked problem.

    Attributes
    ----------
    arrays : Arrays                 for the kernels
    initial : float64[n_cell]       initial temperature [K]
    breakpoints : float64[n]        times at which a signal has a kink or a jump [s]
    contact_states : int64[n]       state of each contact at the start, and then of what is discrete in controllers
    view_factors : float64[n_patch + 1, n_patch + 1] or None    between patches and walls, which are the last
    wall_emissivity : float
    asked : (Asked, ...)            signals that are functions; all others are tables of `arrays`
    changes : (Change, ...)         corners of the programs of controllers
    """

    arrays: Arrays
    initial: FloatArray
    breakpoints: FloatArray
    contact_states: IntArray
    view_factors: FloatArray | None = None
    wall_emissivity: float = 1.0
    asked: tuple[Asked, ...] = ()
    changes: tuple[Change, ...] = ()

    def signals(self, time: float) -> Signals:
        """What the outside does at a time [s]."""
        return signals_of(self.arrays.s, self.asked, self.n_cell, time)

    @property
    def n_cell(self) -> int:
        """Number of cells."""
        return int(self.arrays.V.size)

    def cell_of(self, sensor: int) -> int:
        """The cell that holds the reading of a sensor of the graph."""
        return self.arrays.n_heat - 1 - sensor

    def clock_of(self, controller: int) -> int | None:
        """The cell that holds the time [s] of a controller's program; None of one that has a constant target."""
        cell = int(self.arrays.c.row["program"][controller])
        return None if cell < 0 else cell


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
    _signals: SignalBook = field(default_factory=SignalBook)
    _sensors: list[Sensor] = field(default_factory=list)
    _controllers: list[Controller] = field(default_factory=list)
    _exchange: tuple[FloatArray, int, float, int] | None = None
    _n: int = 0
    _times: float = 1.0

    @contextmanager
    def repeated(self, times: float) -> Iterator[None]:
        """What is added inside stands for itself `times` over: volumes, areas and shape factors count so often."""
        if times <= 0.0:
            raise ProblemError("what is repeated must stand for a positive number")
        before, self._times = self._times, self._times * times
        try:
            yield
        finally:
            self._times = before

    def material(self, material: Material) -> int:
        """Add a material."""
        self._materials.append(material)
        self._conductivity.append(
            self._curve((material.conductivity_temperature, material.conductivity), "conductivity")
        )
        return len(self._materials) - 1

    def cells(self, volume: ArrayLike, material: ArrayLike) -> IntArray:
        """Add cells of `volume` [m3] (> 0) filled with `material`."""
        volume = np.atleast_1d(np.asarray(volume, float)) * self._times
        which = np.broadcast_to(np.asarray(material, np.int64), volume.shape).copy()
        if not ((volume > 0.0) & np.isfinite(volume)).all():
            raise ProblemError("every cell must have a positive, finite volume")
        if ((which < 0) | (which >= len(self._materials))).any():
            raise ProblemError("a cell names a material that was not added")
        self._cells.append((volume, which))
        self._n += volume.size
        return np.arange(self._n - volume.size, self._n)

    def volume(self, cells: ArrayLike) -> FloatArray:
        """Volume of cells that were added [m3]."""
        return np.asarray(np.concatenate([volume for volume, _ in self._cells])[np.asarray(cells, np.int64)])

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
        parts = np.broadcast_arrays(*(np.atleast_1d(x) for x in (cell_a, cell_b, area, shape_a, shape_b, contact)))
        a, b, A, sa, sb, c = parts
        if ((a == b) | (a < 0) | (b < 0) | (a >= self._n) | (b >= self._n)).any():
            raise ProblemError("a face must join two different cells that were added")
        if not ((A > 0.0) & (sa > 0.0) & (sb > 0.0)).all():
            raise ProblemError("area and shape factors of a face must be positive")
        if (c >= len(self._contacts)).any():
            raise ProblemError("a face names a contact that was not added")
        if ((c < 0) & np.isinf(sa) & np.isinf(sb)).any():
            raise ProblemError("a face between two lumped cells needs a contact; merge cells that have none")
        scaled = (x.astype(float) * self._times for x in (A, sa, sb))
        self._faces.append((a.astype(np.int64), b.astype(np.int64), *scaled, c.astype(np.int64)))
        return np.arange(start, start + a.size)

    def contact(self, *states: Curve) -> int:
        """Add a contact: conductance [W/(m2 K)] against mean interface temperature, one curve a state."""
        if not states:
            raise ProblemError("a contact needs at least one state")
        self._contacts.append([self._curve(s, "contact conductance") for s in states])
        return len(self._contacts) - 1

    def ambient(self, temperature: Signal) -> int:
        """Add surroundings of prescribed temperature [K]."""
        self._signals.add_ambient(temperature)
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
        parts = np.broadcast_arrays(*(np.atleast_1d(x) for x in (cell, area, shape, flux)))
        c, q = parts[0].astype(np.int64), parts[3].astype(float)
        A, s = (x.astype(float) * self._times for x in parts[1:3])
        if ((c < 0) | (c >= self._n)).any():
            raise ProblemError("a boundary face names a cell that was not added")
        if not ((A > 0.0) & (s > 0.0)).all() or enclosure < 0.0:
            raise ProblemError("area and shape factor of a boundary face must be positive, its enclosure not negative")
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

    def source(self, cells: ArrayLike, power: ArrayLike | Table | Callable[[float], ArrayLike]) -> None:
        """Add heat generated in `cells` [W each]: constant, a table against time, or a function of time.

        A tuple is a table: times [s] and the power of each of the cells [W], as in `Signal`.
        """
        where = np.atleast_1d(np.asarray(cells, np.int64))
        self._check_cells(where)
        self._signals.add_source(where, power)

    def sensor(self, cells: ArrayLike, weights: ArrayLike, lag: float) -> int:
        """Add a sensor that follows the mean of `cells` by `weights` with a time constant of `lag` [s], taking no heat.

        Returns
        -------
        int     what a controller can sense; `Problem.cell_of` gives the cell that holds the reading
        """
        self._sensors.append(Sensor.of(cells, weights, lag))
        self._check_cells(self._sensors[-1].cells)
        return -len(self._sensors)

    def controller(
        self,
        cell: int,
        sensed: int,
        *,
        gain: float,
        maximum: float,
        target: Target,
        integral_time: float = np.inf,
        derivative_time: float = 0.0,
        feed: Curve = 0.0,
        holdback: float = np.inf,
    ) -> int:
        """Heat `cell` by the temperature of `sensed`, with at least nothing and at most `maximum` [W].

        Power: feed + gain (e + z - derivative_time ds/dt), with deviation e = target - s and dz/dt = e/integral_time,
        which stands still while the power is at the limit that z drives it to; s is filtered for ds/dt.

        Parameters
        ----------
        sensed : int                    a cell or a sensor
        gain, maximum : float           [W/K], [W]
        target : Target                 a temperature [K], or the times [s] and temperatures of a program
        integral_time, derivative_time : float      [s]; infinite and 0 for none
        feed : Curve                    power given at no deviation [W] against the target [K]
        holdback : float                the program waits while its target is so far above `sensed` [K]

        Returns
        -------
        int     number of the controller
        """
        curve = self._curve(feed, "feed")
        return self._control(
            Controller(int(cell), int(sensed), maximum, target, holdback, gain, integral_time, derivative_time, curve)
        )

    def relay(
        self,
        cell: int,
        sensed: int,
        *,
        maximum: float,
        target: Target,
        hysteresis: float,
        holdback: float = np.inf,
    ) -> int:
        """Heat `cell` with `maximum` [W] or not at all: on at `hysteresis` [K] below the target, off at as much above.

        Parameters and returns: as of `controller`.
        """
        return self._control(Controller(int(cell), int(sensed), maximum, target, holdback, hysteresis=hysteresis))

    def _control(self, controller: Controller) -> int:
        sensed = controller.sensed
        if sensed < -len(self._sensors):
            raise ProblemError("a controller names a sensor that was not added")
        self._check_cells(np.array([controller.cell, max(sensed, 0)]))
        self._controllers.append(controller)
        return len(self._controllers) - 1

    def problem(
        self,
        initial: ArrayLike,
        breakpoints: ArrayLike = (),
        contact_states: ArrayLike = 0,
    ) -> Problem:
        """Check and lay out. The memory of controllers stands behind the cells that were added.

        Parameters
        ----------
        initial : float64       temperature [K] of each cell, or one for all
        breakpoints : float64   times at which a signal that is a function has a kink or a jump [s]; those of tables
            are found
        contact_states : int64  of each contact, or one for all
        """
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
        times = np.union1d(np.asarray(breakpoints, float), self._signals.breakpoints())
        control = lay_out(self._sensors, self._controllers, start, len(self._contacts))
        start = np.concatenate([start, control.memory])
        states = np.concatenate([states, np.array(control.states, np.int64)])
        asked, changes = tuple(self._signals.asked), tuple(control.changes)
        return Problem(self._arrays(control), start, times, states, F, eps, asked, changes)

    def _check_cells(self, cells: IntArray) -> None:
        if np.any(cells < 0) or np.any(cells >= self._n):
            raise ProblemError("a surroundings, source or controller names a cell that was not added")

    def _curve(self, curve: Curve, name: str) -> int:
        if isinstance(curve, tuple):
            t, v = (np.asarray(x, float) for x in curve)
        else:
            t, v = _ANY, np.array([float(curve)])
        if t.shape != v.shape or (t[1:] <= t[:-1]).any():
            raise ProblemError(f"{name}: needs as many values as temperatures, and temperatures that increase")
        if not ((v >= 0.0) & np.isfinite(v)).all():
            raise ProblemError(f"{name}: must be finite and not negative")
        self._curves.append((t, v))
        return len(self._curves) - 1

    def _arrays(self, control: Layout) -> Arrays:
        memory = len(control.memory)
        V = np.concatenate([*(c[0] for c in self._cells), np.ones(memory)])
        mat = np.concatenate([*(c[1] for c in self._cells), np.full(memory, len(self._materials), np.int64)])
        materials, conductivity = self._materials, self._conductivity
        if memory:
            materials, conductivity = [*materials, material(1.0, 1.0)], [*conductivity, conductivity[0]]
        faces = columns(self._faces, 6, (0, 1, 5))
        bounds = columns(self._boundary, 10, (0, 3, 4, 7, 8, 9))
        prescribed = iter(range(-1, -len(self._environments) - 2, -1))
        env = np.array([next(prescribed) if c == -1 else c for c in self._environments], np.int64)
        bcell = np.unique(np.concatenate([control.border, np.array(self._environments, np.int64)]))
        bcell = bcell[bcell >= 0]
        border = np.full(V.size, -1, np.int64)
        border[bcell] = np.arange(bcell.size)
        return Arrays(
            V,
            mat,
            stack_materials(materials, conductivity),
            stack_faces(faces, mat),
            BoundaryArrays(*bounds),
            stack_curves(self._curves, self._contacts),
            control.arrays,
            self._exchange_arrays(),
            self._signals.arrays(),
            env,
            border,
            bcell,
            self._n,
        )

    def _exchange_arrays(self) -> ExchangeArrays:
        patch = np.full(len(self._environments), -1, np.int64)
        if self._exchange is None:
            return ExchangeArrays(patch, np.zeros((0, 1)), np.zeros(0), np.array([-1]))
        F, walls, _, first = self._exchange
        n = F.shape[0] - 1
        patch[first : first + n] = np.arange(n)
        return ExchangeArrays(patch, np.zeros((n, n + 1)), np.ones(n), np.array([walls]))
