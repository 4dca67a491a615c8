"""The fields of a chamber (`thermal.field`) beside the total exchange of its surfaces in three dimensions.

A cube of 10 litres with elements as strips of its side walls, a shelf at a sixth of its height and a block on props of
20 mm. View factors by rays (checked against closed forms in cases J1 to J4), total exchange areas of grey, diffuse
surfaces: Hottel and Sarofim, Radiative Transfer, McGraw-Hill 1967, ch. 3 (recalled). Each kind of surface has one
temperature. Sizes invented.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from brazesoak.bridge.discretise import discretise
from brazesoak.thermal.field import SHELF_HEIGHT, spaces
from brazesoak.thermal.furnace import Chamber, Interior, Layer, Lining, Piece, Shelf
from brazesoak.thermal.support import Support, parallel_rectangles
from brazesoak_solvers import March, Options, Probe, Watch
from brazesoak_solvers.constants import STEFAN_BOLTZMANN
from brazesoak_solvers.exchange import total_exchange
from brazesoak_solvers.facets import exposed_facets
from brazesoak_solvers.view_factors import view_factors_by_rays

from ..unit.jobs import body, model

SIDE, SHELF, THICK, PROPS = 0.2154, 0.194, 0.012, 0.020
FACE, ELEMENTS, TILE, STEEL = 0.75, 0.7, 0.8, 0.6
"""Emissivities of hot face, elements, shelf and load."""
HOT_FACE, HEATERS, PLATE, BOTTOM, LOAD = range(5)
BLOCKS = (0.05, 0.05, 0.05), (0.10, 0.08, 0.05), (0.12, 0.10, 0.10), (0.15, 0.12, 0.02)
STATES = {"cold load": (1033, 1300, 700, 293), "quick": (1000, 1150, 820, 850), "ramp": (950, 1100, 900, 850),
          "soak": (1020, 1060, 1015, 980)}  # fmt: skip
"""Temperatures of hot face, elements, shelf and load [K]."""


def _grid(planes: list[float]) -> np.ndarray:
    step = SIDE / 24
    parts = [np.linspace(a, b, max(1, round((b - a) / step)) + 1)[:-1] for a, b in pairwise(planes)]
    return np.append(np.concatenate(parts), planes[-1])


def exact(block: tuple[float, float, float], where: str) -> tuple[np.ndarray, np.ndarray]:
    """Areas [m2] and total exchange areas [m2] of hot face, elements, shelf, the block's underside and its rest."""
    half, x, y = 0.5 * SIDE, 0.5 * block[0], 0.5 * block[1]
    low = SHELF_HEIGHT * SIDE
    high, foot = low + THICK, low + THICK + PROPS
    top = foot + block[2]
    across = [[-half, -0.5 * SHELF, -w, w, 0.5 * SHELF, half] for w in (x, y)]
    edges = (_grid(across[0]), _grid(across[1]), _grid([0.0, low, high, foot, top, SIDE]))
    X, Y, Z = np.meshgrid(*(0.5 * (e[1:] + e[:-1]) for e in edges), indexing="ij")
    region = np.full(X.shape, -1)
    region[(np.maximum(abs(X), abs(Y)) < 0.5 * SHELF) & (low < Z) & (high > Z)] = 0
    region[(abs(X) < x) & (abs(Y) < y) & (foot < Z) & (top > Z)] = 1
    f = exposed_facets(edges, region)
    inside = np.all((f.place >= 0) & (f.place < np.array(region.shape)), axis=1)
    owner = np.where(inside, region[tuple(np.clip(f.place, 0, np.array(region.shape) - 1).T)], -1)
    patch = np.select([owner == 0, owner == 1], [PLATE, LOAD], HOT_FACE)
    patch[(owner == 1) & (f.axis == 2) & (f.centre[:, 2] < 0.5 * (foot + top))] = BOTTOM
    walls = (owner < 0) & ((f.axis < 2) if where == "sides" else (f.centre[:, 2] > SIDE - 1e-9))
    patch[walls & _strips(f.centre[:, 2 if where == "sides" else 1], f.area, walls)] = HEATERS
    views = view_factors_by_rays(edges, region, f, patch, rays=32_768)
    assert views.standard_error.max() < 0.005
    return views.area, total_exchange(views.F, views.area, np.array([FACE, ELEMENTS, TILE, STEEL, STEEL]))


def _strips(height: np.ndarray, area: np.ndarray, walls: np.ndarray) -> np.ndarray:
    """Rows of facets of the walls, spread evenly, that together have 0.0625 m2 less at most one row."""
    rows, number = np.unique(np.round(height, 9), return_inverse=True)
    total = np.bincount(number[walls], area[walls], rows.size)
    whole = np.floor(np.cumsum(total) * 0.0625 / total.sum() / total[total > 0.0].max())
    return np.asarray(np.diff(whole, prepend=0.0)[number] > 0.0)


def by_fields(block: tuple[float, float, float], area: float, T: tuple[int, ...]) -> float:
    """Heat into the block by the furnace of the product [W], with no film and everything held by huge capacities."""
    foot, surface = block[0] * block[1], 2.0 * (block[0] * block[1] + block[2] * (block[0] + block[1]))
    at, no_film = np.array([300.0]), (np.array([300.0]), np.zeros(1))
    brick = Layer(0.1, (at, np.array([1e9])), (at, np.array([0.1])))
    shelf = Shelf(THICK, SHELF**2, 1e12, 1.5, TILE)
    inside = Interior(Lining(SIDE, (brick,), 10.0, 1.0), Piece("", 1e9, area, ELEMENTS), (), 1.0, 0.0, shelf)
    c = Chamber(1.0, 1.0, 0.0, 6.0 * SIDE**2, FACE, 30.0, 30.0, inside)
    assert spaces(c)[0].opening == pytest.approx(SIDE**2 - SHELF**2)  # past the edges of the shelf
    view = parallel_rectangles(np.sqrt(foot), np.sqrt(foot), PROPS)
    m = model(*(body(n, mass=1e5, area=0.5 * surface, emissivity=STEEL) for n in "ab"), chamber=c, film=0.0)
    d = discretise(
        replace(m, support=Support("props", (0.5 * foot, 0.5 * foot), view, no_film)), "network", heater="off"
    )
    start = d.problem.initial.copy()
    furnace = d.furnace.cells
    for cells, value in zip(
        (furnace["lining"], furnace["elements"], furnace["shelf"], *d.cells), (*T, T[3]), strict=True
    ):
        start[cells] = value
    march = March(replace(d.problem, initial=start), Options(tolerance=1e-3))
    march.run(1.0, Watch(march.problem, (Probe((0,)),)))
    watch = Watch(march.problem, (Probe((0,)),))
    march.run(2.0, watch)
    return float(sum(watch.energy_gain(cells) for cells in d.cells))


@pytest.mark.parametrize(("where", "soaking", "heating"), [("sides", 0.05, 0.10), ("roof", 0.11, 0.11)])
@pytest.mark.parametrize("block", BLOCKS)
def test_a_load_takes_up_what_total_exchange_says(
    block: tuple[float, float, float], where: str, soaking: float, heating: float
) -> None:
    """Elements in the side walls, which is assumed: within 5 % on the ramp and while it soaks, within 10 % where parts
    of the furnace are hundreds of kelvin apart; with elements in the roof within 11 %.
    """
    area, S = exact(block, where)
    for name, T in STATES.items():
        powers = np.array([*T[:3], T[3], T[3]], float) ** 4
        net = STEFAN_BOLTZMANN * (S @ powers - S.sum(axis=1) * powers)
        found = by_fields(block, float(area[HEATERS]), T)
        limit = soaking if name in ("soak", "ramp") else heating
        assert found == pytest.approx(net[LOAD] + net[BOTTOM], rel=limit)
