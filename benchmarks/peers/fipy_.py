"""(c) FiPy: its mesh, terms, matrices and solver; properties and the surface balance in numpy as in (a).

The equation is written for the correction of a Newton step, as ``TransientTerm == DiffusionTerm + sources``
with a zero old value, which keeps enthalpy exact and lets the solver stop early. Contacts are faces whose
diffusion coefficient gives the series of both half cells and the contact. The mesh is built from the solid
cells only. Conjugate gradients without preconditioner are the fastest that the library has here: the cells
are nearly alike, its Jacobi preconditioner solves a sparse system each time (three times slower), and with its
incomplete LU, which is not symmetric, conjugate gradients stall.
"""

from __future__ import annotations

import os
from typing import Any

import numpy as np
from numpy.typing import NDArray

os.environ.setdefault("FIPY_SOLVERS", "scipy")

import fipy
from fipy.meshes.mesh import Mesh as FiPyMesh
from fipy.solvers.scipy import LinearCGSolver

from ..cases import Case
from ..melting import Run
from .hand import HandScript
from .implicit import Clock, March, march

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


def solid_mesh(case: Case) -> tuple[Any, IntArray]:
    """The solid cells of a 3-D case as the library's mesh, and for each face of the case the mesh's face."""
    place = np.argwhere(case.mesh.number >= 0)
    shape = np.array(case.mesh.number.shape) + 1
    used, faces = [], []
    for axis in range(3):
        others = [i for i in range(3) if i != axis]
        for side in (0, 1):
            corner = place.copy()
            corner[:, axis] += side
            used.append(3 * np.ravel_multi_index(corner.T, shape) + axis)
            quad = np.repeat(corner[None], 4, axis=0)
            quad[1, :, others[0]] += 1
            quad[2, :, others[0]] += 1
            quad[2, :, others[1]] += 1
            quad[3, :, others[1]] += 1
            faces.append(np.ravel_multi_index(np.moveaxis(quad, 2, 0), shape))
    key, first, number = np.unique(np.concatenate(used), return_index=True, return_inverse=True)
    quads = np.concatenate(faces, axis=1)[:, first]
    vertices, quads = np.unique(quads, return_inverse=True)
    grid = np.unravel_index(vertices, shape)
    mesh = FiPyMesh(
        np.stack([e[i] for e, i in zip(case.edges, grid, strict=True)]),
        quads.reshape(4, key.size), number.reshape(6, len(place)),
    )  # fmt: skip
    f = case.mesh.faces
    return mesh, number.reshape(6, -1)[2 * f.axis + 1, f.cell_a]


class FiPySystem(HandScript):
    """As the hand script, with the library's assembly and solver."""

    def __init__(self, case: Case) -> None:
        super().__init__(case)
        mesh, self.face = solid_mesh(case)
        self.face = self.face[self.v.order]
        self.y = fipy.CellVariable(mesh=mesh, value=0.0, hasOld=True)
        self.c, self.loss, self.rest = (fipy.CellVariable(mesh=mesh, value=0.0) for _ in range(3))
        self.k_face = fipy.FaceVariable(mesh=mesh, value=0.0)
        self.per_conductance = np.asarray(mesh._cellDistances / mesh._faceAreas)[self.face]
        self.equation = fipy.TransientTerm(coeff=self.c) == (
            fipy.DiffusionTerm(coeff=self.k_face) + self.rest - fipy.ImplicitSourceTerm(coeff=self.loss)
        )
        self.blank = np.zeros(self.k_face.value.size)

    def solve(self, a: float, c: FloatArray, rhs: FloatArray, rtol: float) -> tuple[FloatArray, int]:
        """One linear system, assembled and solved by the library."""
        solver = LinearCGSolver(tolerance=rtol, criterion="RHS", iterations=3000, precon=None)
        self.blank[self.face] = self.G * self.per_conductance
        self.k_face.value = self.blank
        self.c.value, self.loss.value, self.rest.value = c, self.D / self.V, rhs / (a * self.V)
        self.y.value = 0.0
        self.equation.solve(var=self.y, dt=a, solver=solver)
        return np.array(self.y.value), int(solver.actualIterations)


def run(case: Case, how: March, clock: Clock, *, step: float | None = None, tolerance: float | None = None) -> Run:
    """March a case with equal or adaptive steps."""
    return march(case, FiPySystem(case), how, clock, step=step, tolerance=tolerance)
