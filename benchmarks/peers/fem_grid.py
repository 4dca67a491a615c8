"""A case's grid as hexahedra for scikit-fem: nodes are doubled at contacts, so that each is of one part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skfem import MeshHex

from ..cases import Case

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CORNERS = np.array([(0, 0, 0), (0, 0, 1), (0, 1, 0), (1, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 1)])
"""Corners of a hexahedron in the library's order."""


@dataclass(frozen=True, slots=True, eq=False)
class Hexahedra:
    """Elements in the order of the case's cells.

    region : int64[n_node]      region of each node
    exposed, contact : int64    facets that see the furnace; facets on the higher side of a contact
    partner : int64[n_node]     node on the other side of the contact, or -1
    sides : [(int64[4, n], int64[4, n])]    for each watched contact, nodes of its facets on both sides
    """

    mesh: MeshHex
    region: IntArray
    exposed: IntArray
    contact: IntArray
    partner: IntArray
    sides: list[tuple[IntArray, IntArray]]


def hexahedra(case: Case) -> Hexahedra:
    """The grid of a 3-D case whose contacts all lie across the last axis."""
    place = np.argwhere(case.mesh.number >= 0)
    shape = np.array(case.mesh.number.shape) + 1
    corner = place[:, None, :] + CORNERS[None]
    flat = np.ravel_multi_index(np.moveaxis(corner, 2, 0), shape)
    key = case.mesh.region[:, None] * np.prod(shape) + flat
    unique, t = np.unique(key, return_inverse=True)
    region, where = unique // np.prod(shape), unique % np.prod(shape)
    p = np.stack([e[i] for e, i in zip(case.edges, np.unravel_index(where, shape), strict=True)])
    mesh = MeshHex(np.ascontiguousarray(p), np.ascontiguousarray(t.reshape(key.shape).T.astype(np.int32)))
    sides = [_sides(case, faces, t.reshape(key.shape)) for faces in case.joint_faces()]
    partner = np.full(unique.size, -1, np.int64)
    for low, high in sides:
        partner[high] = low
    outside = mesh.boundary_facets()
    touching = [set(map(tuple, np.sort(nodes, axis=0).T.tolist())) for pair in sides for nodes in pair]
    low_sets, high_sets = set().union(*touching[0::2]), set().union(*touching[1::2])
    names = [tuple(n) for n in np.sort(mesh.facets[:, outside], axis=0).T.tolist()]
    is_low, is_high = (np.array([n in s for n in names]) for s in (low_sets, high_sets))
    return Hexahedra(mesh, region, outside[~is_low & ~is_high], outside[is_high], partner, sides)


def _sides(case: Case, faces: IntArray, t: IntArray) -> tuple[IntArray, IntArray]:
    """Nodes on both sides of some faces: upper corners of the cell below, lower corners of the cell above."""
    f = case.mesh.faces
    upper, lower = np.flatnonzero(CORNERS[:, 2] == 1), np.flatnonzero(CORNERS[:, 2] == 0)
    # The same order of x and y on both sides pairs the nodes.
    upper = upper[np.lexsort(CORNERS[upper, :2].T)]
    lower = lower[np.lexsort(CORNERS[lower, :2].T)]
    return t[f.cell_a[faces]][:, upper].T, t[f.cell_b[faces]][:, lower].T
