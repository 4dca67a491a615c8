"""A heat-conduction problem as a graph: cells, faces between them, boundary faces to surroundings.

`Graph` gathers the parts and `Graph.problem` checks them and has them laid out as flat arrays for the kernels.
A lumped body is one cell; a grid of any dimension comes from `mesh.structured`; both may stand in one graph.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .arrays import FloatArray, IntArray
from .controlled import Controlled, Curve
from .controllers import lay_out
from .errors import ProblemError
from .exchange import through_walls
from .gathered import PATCH, pack
from .materials import Material
from .mesh import Mesh
from .packing import alike
from .problem import Problem
from .signals import Signal, Table


@dataclass
class Graph(Controlled):
    """Gathers cells, faces and boundary faces; every method returns the numbers of what it added."""

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
        self._has.materials.append(material)
        self._has.conductivity.append(
            self._curve((material.conductivity_temperature, material.conductivity), "conductivity")
        )
        return len(self._has.materials) - 1

    def cells(self, volume: ArrayLike, material: ArrayLike) -> IntArray:
        """Add cells of `volume` [m3] (> 0) filled with `material`."""
        volume = np.atleast_1d(np.asarray(volume, float)) * self._times
        which = np.broadcast_to(np.asarray(material, np.int64), volume.shape).copy()
        if not ((volume > 0.0) & np.isfinite(volume)).all():
            raise ProblemError("every cell must have a positive, finite volume")
        if ((which < 0) | (which >= len(self._has.materials))).any():
            raise ProblemError("a cell names a material that was not added")
        self._has.cells.append((volume, which))
        self._has.n += volume.size
        return np.arange(self._has.n - volume.size, self._has.n)

    def volume(self, cells: ArrayLike) -> FloatArray:
        """Volume of cells that were added [m3]."""
        return np.asarray(np.concatenate([volume for volume, _ in self._has.cells])[np.asarray(cells, np.int64)])

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
        start = sum(f[0].size for f in self._has.faces)
        a, b, A, sa, sb, c = alike(cell_a, cell_b, area, shape_a, shape_b, contact)
        if a.size == 0:
            return np.arange(start, start)
        if min(a.min(), b.min()) < 0 or max(a.max(), b.max()) >= self._has.n or (a == b).any():
            raise ProblemError("a face must join two different cells that were added")
        if not (A.min() > 0.0 and sa.min() > 0.0 and sb.min() > 0.0):
            raise ProblemError("area and shape factors of a face must be positive")
        if c.max() >= len(self._has.contacts):
            raise ProblemError("a face names a contact that was not added")
        if c.min() < 0 and ((c < 0) & np.isinf(sa) & np.isinf(sb)).any():
            raise ProblemError("a face between two lumped cells needs a contact; merge cells that have none")
        scaled = (x.astype(float) * self._times for x in (A, sa, sb))
        self._has.faces.append((a.astype(np.int64), b.astype(np.int64), *scaled, c.astype(np.int64)))
        return np.arange(start, start + a.size)

    def contact(self, *states: Curve) -> int:
        """Add a contact: conductance [W/(m2 K)] against mean interface temperature, one curve a state."""
        if not states:
            raise ProblemError("a contact needs at least one state")
        self._has.contacts.append([self._curve(s, "contact conductance") for s in states])
        return len(self._has.contacts) - 1

    def ambient(self, temperature: Signal) -> int:
        """Add surroundings of prescribed temperature [K]."""
        self._has.signals.add_ambient(temperature)
        self._has.environments.append(-1)
        return len(self._has.environments) - 1

    def surroundings(self, cell: int) -> int:
        """Add surroundings that are a cell of the graph, such as a furnace chamber."""
        self._check_cells(np.array([cell]))
        self._has.environments.append(int(cell))
        return len(self._has.environments) - 1

    def exchange(self, F: FloatArray, walls: int, enclosure: float = 0.0) -> IntArray:
        """Let patches of surface radiate to each other and to the walls, grey and diffuse.

        Parameters
        ----------
        F : float64[n + 1, n + 1]   view factors, closed and reciprocal; the last patch is the walls
        walls : int                 surroundings that the walls are
        enclosure : float           resistance of the walls referred to what of them the patches see, as in `boundary`:
            (1 - e_wall)/e_wall (1 - F[n, n]) of grey ones

        Returns
        -------
        int64[n]        surroundings of each patch, to be given to `boundary` as `walls`
        """
        if self._has.exchange is not None:
            raise ProblemError("radiation between patches was added already; put all patches into one matrix")
        if not 0 <= walls < len(self._has.environments) or not -1.0 < enclosure < np.inf:
            raise ProblemError("the walls need surroundings that were added and an enclosure above -1")
        first, through = len(self._has.environments), through_walls(F, enclosure)
        n = through.shape[0]
        self._has.environments.extend([PATCH] * n)
        self._has.exchange = (through, walls, first)
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
        enclosure : float               (1 - e_wall)/e_wall A/A_wall; 0 for a large or black enclosure; down to -1 where
            the surroundings are the radiosity of all and part of that is the surface's own
        flux : float64                  prescribed [W/m2]
        fixed : bool                    the surface has the temperature of `gas`; needs a finite shape factor
        """
        walls = gas if walls is None else walls
        if not (0 <= gas < len(self._has.environments) and 0 <= walls < len(self._has.environments)):
            raise ProblemError("a boundary face names surroundings that were not added")
        parts = alike(cell, area, shape, flux)
        c, q = parts[0].astype(np.int64), parts[3].astype(float)
        A, s = (x.astype(float) * self._times for x in parts[1:3])
        if c.size == 0:
            return
        if c.min() < 0 or c.max() >= self._has.n:
            raise ProblemError("a boundary face names a cell that was not added")
        if not (A.min() > 0.0 and s.min() > 0.0) or not -1.0 < enclosure < np.inf:
            raise ProblemError("area and shape factor of a boundary face must be positive, its enclosure above -1")
        patch = self._has.environments[walls] == PATCH
        if self._has.environments[gas] == PATCH or (patch and (enclosure != 0.0 or self._least(emissivity) <= 0.0)):
            raise ProblemError(
                "a patch is seen by radiation only: give it as walls, with an emissivity above 0 and no enclosure"
            )
        if fixed and (np.any(np.isinf(s)) or self._has.environments[gas] >= 0):
            raise ProblemError("a prescribed surface needs a finite shape factor and a prescribed surroundings")
        film_curve, eps_curve = self._curve(film, "film"), self._curve(emissivity, "emissivity")
        number = np.empty((5, c.size), np.int64)
        number.T[:] = film_curve, eps_curve, gas, walls, int(fixed)
        self._has.boundary.append((c, A, s, number[0], number[1], np.full(c.size, float(enclosure)), q, *number[2:]))

    @staticmethod
    def _least(curve: Curve) -> float:
        return float(np.min(curve[1] if isinstance(curve, tuple) else curve))

    def source(self, cells: ArrayLike, power: ArrayLike | Table | Callable[[float], ArrayLike]) -> None:
        """Add heat generated in `cells` [W each]: constant, a table against time, or a function of time.

        A tuple is a table: times [s] and the power of each of the cells [W], as in `Signal`.
        """
        where = np.atleast_1d(np.asarray(cells, np.int64))
        self._check_cells(where)
        self._has.signals.add_source(where, power)

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
        if self._has.n == 0:
            raise ProblemError("a problem needs at least one cell")
        start = np.broadcast_to(np.asarray(initial, float), (self._has.n,)).copy()
        if not np.all((start > 0.0) & np.isfinite(start)):
            raise ProblemError("temperatures are absolute and must be positive and finite")
        states = np.broadcast_to(np.asarray(contact_states, np.int64), (len(self._has.contacts),)).copy()
        most = np.array([len(c) for c in self._has.contacts], np.int64)
        if np.any(states < 0) or np.any(states >= most):
            raise ProblemError("a contact starts in a state that it does not have")
        F = None if self._has.exchange is None else self._has.exchange[0]
        times = np.union1d(np.asarray(breakpoints, float), self._has.signals.breakpoints())
        control = lay_out(self._has.sensors, self._has.controllers, start, len(self._has.contacts))
        start = np.concatenate([start, control.memory])
        states = np.concatenate([states, np.array(control.states, np.int64)])
        asked, changes = tuple(self._has.signals.asked), tuple(control.changes)
        return Problem(pack(self._has, control), start, times, states, F, asked, changes)
