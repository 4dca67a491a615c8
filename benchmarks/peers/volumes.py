"""Finite volumes in vectorised numpy: net heat flow into every cell and the symmetric part of its Jacobian.

The same equations as the engine's: half cells and contact in series, mean conductivity inside a part, and the
surface of every boundary face resolved between half cell, film and radiation.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from ..cases import Case
from .tables import Solids

FloatArray = NDArray[np.float64]


class Volumes:
    """A case laid out for vectorised evaluation; keeps surface temperatures as the next guess."""

    def __init__(self, case: Case) -> None:
        f, outer, region = case.mesh.faces, case.mesh.outer, case.mesh.region
        joint = region[f.cell_a] != region[f.cell_b]
        self.n, self.V = case.n_cell, case.mesh.volume
        self.solids = Solids(case.metal, region)
        # Faces inside parts first, then those with a contact.
        self.order = np.concatenate([np.flatnonzero(~joint), np.flatnonzero(joint)])
        self.a, self.b = f.cell_a[self.order], f.cell_b[self.order]
        self.bonded = int((~joint).sum())
        inside, across = self.order[: self.bonded], self.order[self.bonded :]
        self.half_series = 0.5 / (1.0 / f.shape_a[inside] + 1.0 / f.shape_b[inside])
        self.ra, self.rb = 1.0 / f.shape_a[across], 1.0 / f.shape_b[across]
        self.contact = 1.0 / (case.contact * f.area[across])
        at = np.flatnonzero(case.exposed)
        self.cell, self.A, self.s = outer.cell[at], outer.area[at], outer.shape[at]
        self.eps = np.array(case.emissivity)[region[self.cell]]
        self.hA, self.eA = case.film * self.A, STEFAN_BOLTZMANN * self.eps * self.A
        self.Tf, self.T_start = case.furnace, case.start
        self.Ts = np.full(at.size, case.start)
        where = np.empty(f.area.size, np.int64)
        where[self.order] = np.arange(f.area.size)
        self.parts = case.cells_of()
        self.joints = [where[faces] - self.bonded for faces in case.joint_faces()]

    def conductances(self, k: FloatArray) -> FloatArray:
        """Conductance of every face, in the order of `a` and `b` [W/K]."""
        G = np.empty(self.a.size)
        n = self.bonded
        np.multiply(self.half_series, k[self.a[:n]] + k[self.b[:n]], out=G[:n])
        G[n:] = 1.0 / (self.ra / k[self.a[n:]] + self.contact + self.rb / k[self.b[n:]])
        return G

    def surroundings(self, T: FloatArray, k: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Heat from the furnace into every cell [W] and what it falls by for each kelvin of the cell [W/K].

        The surface temperature moves by one Newton step each time; it settles along with the cells.
        """
        gs, Tc = self.s * k[self.cell], T[self.cell]
        for _ in range(1 if self.Ts[0] != self.T_start else 6):
            Ts2 = self.Ts * self.Ts
            slope = self.hA + 4.0 * self.eA * Ts2 * self.Ts
            q = self.hA * (self.Tf - self.Ts) + self.eA * (self.Tf**4 - Ts2 * Ts2)
            Ts = (gs * Tc + q + slope * self.Ts) / (gs + slope)
            q -= slope * (Ts - self.Ts)
            self.Ts = Ts
        return np.bincount(self.cell, q, self.n), np.bincount(self.cell, slope * gs / (gs + slope), self.n)

    def flows(self, T: FloatArray, k: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Net heat flow into every cell [W], conductance of every face and own loss of every cell [W/K]."""
        G = self.conductances(k)
        q = G * (T[self.a] - T[self.b])
        F, D = self.surroundings(T, k)
        F += np.bincount(self.b, q, self.n)
        F -= np.bincount(self.a, q, self.n)
        return F, G, D

    def reading(self, T: FloatArray, k: FloatArray) -> FloatArray:
        """Temperature of every place that the case watches [K]."""
        a, b = self.a[self.bonded :], self.b[self.bonded :]
        ra, rb = self.ra / k[a], self.rb / k[b]
        q = (T[a] - T[b]) / (ra + self.contact + rb)
        colder = np.minimum(T[a] - q * ra, T[b] + q * rb)
        return np.array([*(T[c].min() for c in self.parts), *(colder[j].min() for j in self.joints)])
