"""Boxes whose walls are patches, and the closed forms of their view factors."""

from collections.abc import Sequence

import numpy as np
from scipy.integrate import dblquad

from brazesoak_solvers.facets import Facets, exposed_facets

INCROPERA = "Incropera tables 13.1-13.2"
LOW, HIGH = 0, 1


def discs(r1: float, r2: float, gap: float) -> float:
    """Coaxial parallel discs, from 1 to 2 (Howell C-41, Incropera table 13.2; recalled)."""
    R1, R2 = r1 / gap, r2 / gap
    S = 1.0 + (1.0 + R2**2) / R1**2
    return 0.5 * (S - np.sqrt(S**2 - 4.0 * (r2 / r1) ** 2))


def perpendicular(h: float, w: float) -> float:
    """Perpendicular rectangles, common edge 1, from the w wide to the h high one (Howell C-14; recalled)."""
    H, W = h**2, w**2
    s = np.sqrt(H + W)
    logs = np.log((1.0 + W) * (1.0 + H) / (1.0 + W + H))
    logs += W * np.log(W * (1.0 + W + H) / ((1.0 + W) * (W + H)))
    logs += H * np.log(H * (1.0 + H + W) / ((1.0 + H) * (H + W)))
    return (w * np.arctan(1.0 / w) + h * np.arctan(1.0 / h) - s * np.arctan(1.0 / s) + 0.25 * logs) / (np.pi * w)


def parallel(x: float, y: float) -> float:
    """Aligned parallel rectangles x by y, 1 apart (Howell C-11; recalled)."""
    X, Y = np.sqrt(1.0 + x**2), np.sqrt(1.0 + y**2)
    sides = x * Y * np.arctan(x / Y) + y * X * np.arctan(y / X) - x * np.arctan(x) - y * np.arctan(y)
    return 2.0 / (np.pi * x * y) * (np.log(X * Y / np.sqrt(1.0 + x**2 + y**2)) + sides)


def unequal_squares(a: float, b: float, gap: float, nodes: int = 24) -> float:
    """Coaxial parallel squares of sides a and b, from a to b, by Gauss quadrature of the kernel over both."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    d = (0.5 * a * x[:, None] - 0.5 * b * x[None, :]) ** 2
    W = (0.25 * a * b * w[:, None] * w[None, :]).ravel()
    kernel = gap**2 / (np.pi * (gap**2 + d.ravel()[:, None] + d.ravel()[None, :]) ** 2)
    return float(W @ kernel @ W) / a**2


def boss_to_annulus(r: float, outer: float, height: float) -> float:
    """Side of a cylinder to the annulus around its foot, by quadrature of the kernel over height and annulus.

    An element at height z of the side sees the point at (x, y) of the plate that lies in front of its tangent
    plane, x > r: cosines z / d and (x - r) / d.
    """

    def strip(z: float, x: float) -> float:
        # Over y in closed form: integral of dy / (c2 + y2)2.
        c2 = z**2 + (x - r) ** 2
        y = np.sqrt(max(outer**2 - x**2, 0.0))
        c = np.sqrt(c2)
        return z * (x - r) * (y / (c2 * (c2 + y**2)) + np.arctan(y / c) / c**3) / np.pi

    value, _ = dblquad(strip, r, outer, 0.0, height, epsabs=1e-9, epsrel=1e-8)
    return value / height


def box(*edges: Sequence[float], solid=None) -> tuple[list[np.ndarray], np.ndarray, Facets]:
    """Edges, regions and facets of a box; `solid(x, y, z)` is the region of places, negative if empty."""
    x = [np.asarray(e, float) for e in edges]
    middle = np.meshgrid(*[0.5 * (e[1:] + e[:-1]) for e in x], indexing="ij")
    region = np.full(middle[0].shape, -1) if solid is None else np.broadcast_to(solid(*middle), middle[0].shape)
    return x, region, exposed_facets(x, region)


def is_wall(facets: Facets, region: np.ndarray) -> np.ndarray:
    """Facets that belong to the box itself."""
    return np.any((facets.place < 0) | (facets.place >= np.array(region.shape)), axis=1)


def wall(facets: Facets, region: np.ndarray, axis: int, end: int) -> np.ndarray:
    """Facets of one wall of the box: that at the LOW or the HIGH end of an axis."""
    return is_wall(facets, region) & (facets.axis == axis) & (facets.side == 1 - end)
