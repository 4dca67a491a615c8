"""Round parts on a rectilinear grid: cut cells converge to the round body, a staircase does not.

Every case states its exact answer. A piece of surface is as far from the cell that it heats as it is, see
`cutcells._Parts.felt`; errors of either sign are left, so that orders are counted over two halvings.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from brazesoak.bridge.placement import Placement
from brazesoak.bridge.simulate import FINENESS, estimate, simulate
from brazesoak.thermal.model import ThermalModel
from brazesoak_solvers import Graph, material, structured
from brazesoak_solvers.cutcells import cut
from brazesoak_solvers.sections import Body, Layer, Rectangle

from .build import history, passings
from .build_3d import cut_cylinder, staircase
from .exact import theta, theta_mean

K, ALPHA = 40.0, 1e-5
RADIUS, HEIGHT = 0.03, 0.055
GAS, START = 1293.15, 293.15
LAW = {"k": K, "capacity": K / ALPHA, "gas": GAS, "start": START}
LEVEL = 0.3
"""Share of the first difference to the gas that is left at the time looked for, as of a melt time."""
PRODUCT = "product of series, Carslaw & Jaeger 2nd ed. sec. 1.15 and 7.7 (recalled)"


def seconds_to_level(problem) -> tuple[float, float]:  # type: ignore[no-untyped-def]
    """When the mean and the coldest cell have come to the level [s]."""
    share = problem.arrays.V / problem.arrays.V.sum()
    at = GAS - (GAS - START) * LEVEL
    mean, coldest = passings(
        problem, [(lambda T: float(share @ T), at), (lambda T: float(T.min()), at)], 1e6, tolerance=0.01
    )
    return mean, coldest


def exact_times(film: float, ends: bool) -> tuple[float, float]:
    """When mean and centre of a finite (or, with ends insulated, an endless) cylinder come to the level [s]."""
    half = 0.5 * HEIGHT

    def left(t: float, plane, cylinder) -> float:  # type: ignore[no-untyped-def]
        across = plane(film * half / K, ALPHA * t / half**2) if ends else 1.0
        return float(cylinder(film * RADIUS / K, ALPHA * t / RADIUS**2) * across) - LEVEL

    mean = brentq(
        lambda t: left(t, lambda *n: theta_mean("plane", *n), lambda *n: theta_mean("cylinder", *n)), 1.0, 1e6
    )
    centre = brentq(
        lambda t: left(t, lambda *n: theta("plane", *n, 0.0), lambda *n: theta("cylinder", *n, 0.0)), 1.0, 1e6
    )
    return mean, centre


@cache
def cut_times(film: float, ends: bool, fineness: int) -> tuple[float, float]:
    return seconds_to_level(cut_cylinder(RADIUS, HEIGHT, fineness, film=film, ends=ends, **LAW))


def orders(errors: list[np.ndarray]) -> np.ndarray:
    """Observed order between successive halvings."""
    e = np.abs(errors)
    return np.log2(e[:-1] / e[1:])


def test_free_boss_in_constant_gas(record):
    """60 mm x 55 mm, k 40, alpha 1e-5, film 1333: Biot 1 of the radius, 20 into 1020 degC, 30 % left.

    Exact: plane(z) x cylinder(r). Error below 0.3 % on the default grid, and order at least 1.5 over two halvings.
    """
    exact = np.array(exact_times(1333.0, True))
    errors = [np.array(cut_times(1333.0, True, n)) - exact for n in (1, 2, 4)]
    for place, right, error in zip(("mean", "centre"), exact, errors[1], strict=True):
        record(f"cut boss Bi 1 {place}", PRODUCT, right, right + error, "s", tolerance=0.003 * right)
    assert (orders(errors).mean(axis=0) >= 1.5).all()


def test_free_boss_of_small_biot_number(record):
    """The same with a tenth of the film: 0.05 % on the default grid, for areas and mass are exact."""
    exact = np.array(exact_times(133.3, True))
    found = np.array(cut_times(133.3, True, FINENESS))
    for place, right, value in zip(("mean", "centre"), exact, found, strict=True):
        record(f"cut boss Bi 0.1 {place}", PRODUCT, right, value, "s", tolerance=0.0005 * right)


@pytest.mark.parametrize("film", [133.3, 1333.0])
@pytest.mark.parametrize("fineness", [1, 2, 3, 4])
def test_the_error_stated_from_two_grids_covers_the_true_one(fineness: int, film: float) -> None:
    """The same boss, on grids that lie differently to its side; the stated error belongs to the finer of each two."""
    exact = exact_times(film, True)
    coarse, fine = (cut_times(film, True, n) for n in (fineness, 2 * fineness))
    for right, c, f in zip(exact, coarse, fine, strict=True):
        assert abs(f - right) <= estimate(c, f, "solid", curved=True)


@pytest.mark.parametrize("fineness", [FINENESS, 2 * FINENESS])
def test_a_staircase_does_not_converge(fineness: int) -> None:
    """Side of the same boss, ends insulated, Biot 0.1: the reason for cut cells.

    With cells in or out by their centre, the side is 4/pi too large on every grid (its steps have the length of
    the square round the circle), and the melt time a fifth to a quarter too short: pi/4 of it where the film
    rules. The cut cells on the same grid are within 0.05 %.
    """
    problem, side = staircase(RADIUS, HEIGHT, fineness, film=133.3, **LAW)
    assert side / (2.0 * np.pi * RADIUS * HEIGHT / 8.0) == pytest.approx(4.0 / np.pi, rel=1e-9)
    exact = np.array(exact_times(133.3, False))
    stairs = np.array(seconds_to_level(problem)) / exact - 1.0
    assert (stairs > -0.25).all()
    assert (stairs < -0.2).all()
    assert np.abs(np.array(cut_times(133.3, False, fineness)) / exact - 1.0).max() < 0.0005


# ---- whole jobs -----------------------------------------------------------------------------------------------------


def model_of(*parts: str) -> ThermalModel:
    """A job put into the hot ideal furnace, so that no ramp hides a difference; without shade."""
    from ..unit.jobs import prepared

    job = prepared(*parts, program='loading = "hot"')
    return replace(job.model(job.inputs), shade=False)


def boss_on_disc() -> ThermalModel:
    from ..unit.jobs import boss, joint

    return model_of(
        boss("disc", diameter="120 mm", height="8 mm"),
        boss(metal="UNS C36000", diameter="60 mm", height="55 mm"),
        joint("boss", "disc"),
    )


def melt_times(model: ThermalModel, fidelity: str, fineness: int = FINENESS, tolerance: float = 0.02) -> np.ndarray:
    """Solidus, liquidus and target of every joint [s]."""
    run = simulate(model, fidelity, lambda clock, last: last, fineness=fineness, tolerance=tolerance)
    return np.array([[j.solidus, j.liquidus, j.target] for j in run.joints]).ravel()


def test_boss_on_round_plate_converges_to_the_section(record):
    """Melt times in three dimensions against the axisymmetric section of the same job.

    The section's limit by Richardson from two grids of second order. Error on the default grid below 1 %
    (0.3 % found), observed order at least 1.5.
    """
    model = boss_on_disc()
    coarse, fine = (melt_times(model, "section", n) for n in (4, 8))
    limit = (4.0 * fine - coarse) / 3.0
    errors = [melt_times(model, "solid", n) - limit for n in (1, 2, 4)]
    for what, right, error in zip(("solidus", "liquidus", "target"), limit, errors[1], strict=True):
        record(f"cut boss on disc {what}", "section, extrapolated", right, right + error, "s", tolerance=0.01 * right)
    assert (orders(errors) >= 1.5).all()


def test_plug_in_a_round_plate_converges_to_the_section(record):
    """A curved joint, its two sides cut by the same grid: below 0.2 % on the default grid (0.07 % found), and 0.1 %
    on the next, against the section's limit by Richardson."""
    from ..unit.jobs import boss, joint

    model = model_of(
        boss("disc", diameter="120 mm", height="20 mm"),
        boss(metal="UNS C36000", diameter="40 mm", height="55 mm"),
        joint("boss", "disc", fit="plug", depth="15 mm"),
    )
    coarse, fine = (melt_times(model, "section", n) for n in (4, 8))
    limit = (4.0 * fine - coarse) / 3.0
    for fineness, share in ((2, 0.002), (4, 0.001)):
        for what, right, found in zip(
            ("solidus", "liquidus", "target"), limit, melt_times(model, "solid", fineness), strict=True
        ):
            name = f"cut plug {what}, fineness {fineness}"
            record(name, "section, extrapolated", right, found, "s", tolerance=share * right)


def test_where_biot_is_small_all_fidelities_agree() -> None:
    """With a hundredfold conductivity one temperature a part is enough: network, section and solid within 2 %."""
    model = boss_on_disc()
    quick = tuple(replace(b, conductivity=(b.conductivity[0], 100.0 * b.conductivity[1])) for b in model.bodies)
    network, section, solid = (melt_times(replace(model, bodies=quick), f) for f in ("network", "section", "solid"))
    assert section == pytest.approx(network, rel=0.02)
    assert solid == pytest.approx(network, rel=0.02)
    assert solid == pytest.approx(section, rel=0.001)  # same mass and areas: nearer to each other than to one


TURNS = {"as it stands": "xyz", "on its side": "yzx", "on its end": "zxy", "mirrored": "yxz"}
"""What x, y and z of the job become."""


def turned_job(to: str) -> ThermalModel:
    """A boss and an upright rib on a plate, nothing symmetric, with its axes renamed."""
    from ..unit.jobs import boss, joint, plate

    new = dict(zip("xyz", to, strict=True))

    def where(axis: str, along: str | None, *at: float) -> dict[str, object]:
        place = [f"{at['xyz'.index(next(o for o, n in new.items() if n == name))]} mm" for name in "xyz"]
        return {"at": place, "axis": new[axis], **({"along": new[along]} if along else {})}

    return model_of(
        plate(thickness="8 mm", **where("z", "x", 0.0, 0.0, 0.0)),
        boss(metal="UNS C36000", surface="bright", **where("z", None, -30.0, 10.0, 8.0)),
        plate("rib", length="40 mm", width="20 mm", **where("y", "x", 35.0, -5.0, 18.0)),
        joint("boss", "plate", "one"),
        joint("rib", "plate", "two", faces=["edge", "face"]),
    )


@cache
def turned_times(to: str) -> np.ndarray:
    return melt_times(turned_job(to), "solid", 1)


@pytest.mark.parametrize("name", list(TURNS)[1:])
def test_turning_the_whole_assembly_changes_nothing(name: str) -> None:
    """Axes renamed (and mirrored): the same times to 1e-6; only the order of the sums differs."""
    assert turned_times(TURNS[name]) == pytest.approx(turned_times("xyz"), rel=1e-6)


def test_one_cell_thick_is_two_dimensions() -> None:
    """A bar one cell long, its ends insulated, against a section of the same cells: equal but for rounding."""
    x, y = np.linspace(0.0, 0.03, 7), np.linspace(0.0, 0.05, 9)
    body = Body(2, (Layer(0.0, 0.01, Rectangle(0.0, 0.03, 0.0, 0.05)),))
    part = cut(body, [x, y, np.array([0.0, 0.01])])
    found = []
    for flat in (False, True):
        graph = Graph()
        solid = graph.material(material(K / ALPHA, K))
        if flat:
            mesh = structured([x, y], "plane", depth=0.01)
            cells, outer = graph.mesh(mesh, [solid]), mesh.outer
            side = (outer.cell, outer.area, outer.shape)
        else:
            cells = graph.cells(part.volume, solid)
            graph.faces(cells[part.a], cells[part.b], part.area, part.shape_a, part.shape_b)
            at = part.flat_axis < 2
            side = (part.flat_cell[at], part.flat_area[at], part.flat_shape[at])
        graph.boundary(cells[side[0]], side[1], side[2], gas=graph.ambient(GAS), film=500.0, emissivity=0.7)
        found.append(history(graph.problem(START), [30.0, 200.0], tolerance=0.05))
    for solid_T, flat_T in zip(*found, strict=True):
        assert solid_T == pytest.approx(flat_T, rel=1e-9)


def test_a_pile_of_plates_lags_a_little_behind_its_stack() -> None:
    """A stack of one dimension spreads what the sides take up across the whole depth at once; a solid does not.

    Three plates of 6 mm, 120 x 90 mm: the middle of a joint is 4 % later, put into the hot furnace. So the tool
    chooses the solid.
    """
    from ..unit.jobs import joint, plate

    parts = (plate("a"), plate("b"), plate("c"), joint("a", "b", "1"), joint("b", "c", "2"))
    model = model_of(*parts)
    assert isinstance(model.placement, Placement)
    later = melt_times(model, "solid") / melt_times(model, "section") - 1.0
    assert (later > 0.0).all()
    assert (later < 0.06).all()
