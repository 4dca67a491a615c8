"""(b) scikit-fem: trilinear elements on hexahedra, lumped heat capacity, backward Euler in enthalpy.

Two ways to use the library. ``kept``: the element matrices for unit conductivity are assembled by the library
once and only scaled by each element's conductivity afterwards, into a fixed pattern. Without it the stiffness
is assembled by the library at every Newton step, as its documentation shows. Film and radiation act on the
nodes through the library's integral of their shape functions; the contacts are mass matrices between doubled
nodes. Jacobi-preconditioned conjugate gradients beat scipy's sparse factorisation on these grids.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from skfem import Basis, BilinearForm, ElementHex1, FacetBasis, LinearForm
from skfem.helpers import dot, grad

from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from ..cases import Case
from ..melting import Run
from .fem_grid import hexahedra
from .implicit import Clock, March, march
from .sparse import FixedPattern, conjugate_gradients
from .tables import Solids

FloatArray = NDArray[np.float64]


@BilinearForm
def _stiffness(u, v, w):  # type: ignore[no-untyped-def]
    return w["k"] * dot(grad(u), grad(v))


@BilinearForm
def _unit_stiffness(u, v, _):  # type: ignore[no-untyped-def]
    return dot(grad(u), grad(v))


@BilinearForm
def _mass(u, v, _):  # type: ignore[no-untyped-def]
    return u * v


@LinearForm
def _weight(v, _):  # type: ignore[no-untyped-def]
    return 1.0 * v


class Elements:
    """Trilinear elements as a `System`."""

    def __init__(self, case: Case, kept: bool) -> None:
        grid = hexahedra(case)
        self.case, self.kept, self.sides = case, kept, grid.sides
        self.basis = Basis(grid.mesh, ElementHex1(), intorder=2)
        self.V = _weight.assemble(self.basis)
        self.solids = Solids(case.metal, grid.region)
        self.t, self.n = grid.mesh.t, grid.region.size
        A = _weight.assemble(FacetBasis(grid.mesh, ElementHex1(), facets=grid.exposed, intorder=2))
        self.hA, self.eA = case.film * A, STEFAN_BOLTZMANN * np.array(case.emissivity)[grid.region] * A
        unit = _unit_stiffness.elemental(self.basis)
        joint = FacetBasis(grid.mesh, ElementHex1(), facets=grid.contact, intorder=2)
        m = _mass.elemental(joint)
        p = grid.partner
        on = (p[m.indices[0]] >= 0) & (p[m.indices[1]] >= 0)  # the element's other nodes have no part in it
        (i, j), h = m.indices[:, on], case.contact * m.data[on]
        diagonal = np.arange(self.n)
        self.pattern = FixedPattern(
            np.concatenate([unit.indices[0], i, p[i], i, p[i], diagonal]).astype(np.int64),
            np.concatenate([unit.indices[1], j, p[j], p[j], j, diagonal]).astype(np.int64),
            self.n,
        )
        rest = np.concatenate([np.zeros(unit.data.size), h, h, -h, -h, np.zeros(self.n)])
        self.contacts = self.pattern.fill(rest).copy()
        # Entries of the stiffness are sums of element conductivities times constants: a product with a matrix.
        element = np.tile(np.arange(self.t.shape[1]), unit.data.size // self.t.shape[1])
        shape = (self.contacts.data.size, self.t.shape[1])
        self.scaled = coo_array((unit.data, (self.pattern.place[: unit.data.size], element)), shape=shape).tocsr()
        self.cells = case.cells_of()

    def start(self, temperature: float) -> FloatArray:
        """Enthalpy of every node."""
        return self.solids.enthalpy(temperature)

    def evaluate(self, H: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Flow and heat capacity."""
        self.T, c, k = self.solids.state(H)
        if self.kept:
            self.K = self.pattern.matrix
            self.K.data[:] = self.scaled @ k[self.t].mean(axis=0) + self.contacts.data
        else:
            self.K = _stiffness.assemble(self.basis, k=self.basis.interpolate(k)) + self.contacts
        T3 = self.T**3
        self.D = self.hA + 4.0 * self.eA * T3
        Tf = self.case.furnace
        return self.hA * (Tf - self.T) + self.eA * (Tf**4 - T3 * self.T) - self.K @ self.T, c

    def solve(self, a: float, c: FloatArray, rhs: FloatArray, rtol: float) -> tuple[FloatArray, int]:
        """One linear system."""
        own = self.V * c + a * self.D
        A = a * self.K
        if self.kept:
            A.data[self.pattern.diagonal] += own
            diagonal = A.data[self.pattern.diagonal]
        else:
            A.setdiag(A.diagonal() + own)
            diagonal = A.diagonal()
        return conjugate_gradients(A, diagonal, rhs, rtol)

    def reading(self) -> FloatArray:
        """Middle of the coldest element of each part, and the colder side of each contact's facets."""
        middle = self.T[self.t].mean(axis=0)
        sides = [min(self.T[low].mean(axis=0).min(), self.T[high].mean(axis=0).min()) for low, high in self.sides]
        return np.array([*(middle[c].min() for c in self.cells), *sides])


def run(
    case: Case,
    how: March,
    clock: Clock,
    *,
    kept: bool = True,
    step: float | None = None,
    tolerance: float | None = None,
) -> Run:
    """March a case with equal or adaptive steps."""
    return march(case, Elements(case, kept), how, clock, step=step, tolerance=tolerance)
