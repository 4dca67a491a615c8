from dataclasses import replace

import numpy as np
import pytest

from brazesoak.bridge.discretise import Discrete, discretise
from brazesoak.thermal.furnace import Chamber, Profile
from brazesoak.thermal.model import ThermalModel

from .jobs import bar, body, boss, joint, kelvin, lump, model, plate, prepared, tube

ROUNDING = 1e-12
CHAMBER = Chamber(2000.0, 15000.0, 1.5, 0.3, 0.75, 30.0, 10.0)
JOBS = {
    "axisymmetric": (plate(), boss(metal="UNS C36000"), joint("boss", "plate")),
    "blind plug": (plate(thickness="20 mm"), boss(), joint("boss", "plate", fit="plug", depth="15 mm")),
    "sleeve": (
        tube("ring", inner_diameter="40.2 mm"),
        tube("sleeve", outer_diameter="40 mm", inner_diameter="34 mm", length="70 mm"),
        joint("sleeve", "ring", fit="plug", depth="50 mm"),
    ),
    "overhang": (plate(length="45 mm", width="35 mm"), boss(), joint("boss", "plate")),
    "plane": (bar("low"), bar("high", width="25 mm"), joint("low", "high", fit="crossed")),
    "stack": (plate("a"), plate("b"), plate("c"), joint("a", "b", name="1"), joint("b", "c", name="2")),
    "own area": (plate(), boss(), joint("boss", "plate", area="5 cm2")),
}
NETWORK_ONLY = {"lumps": (lump("hub"), lump("fork", mass="1 kg"), joint("hub", "fork", area="9 cm2"))}


def thermal(parts: tuple[str, ...]) -> ThermalModel:
    job = prepared(*parts)
    return job.model(job.inputs)


def check_exact(m: ThermalModel, d: Discrete) -> None:
    """Volume, exposed area and joint area of the graph are those of the model."""
    P = d.problem.arrays
    owner = np.full(P.V.size, -1)
    for i, cells in enumerate(d.cells):
        owner[cells] = i
    assert (owner >= 0).all()
    n = len(m.bodies)
    assert np.bincount(owner, P.V, n) == pytest.approx([b.volume for b in m.bodies], rel=ROUNDING)
    exposed = np.bincount(owner[P.b.cell], P.b.A, n)
    assert exposed == pytest.approx([b.exposed_area for b in m.bodies], rel=ROUNDING)
    for c, number in zip(m.contacts, d.contacts, strict=True):
        at = P.f.contact == number
        assert P.f.A[at].sum() == pytest.approx(c.area, rel=ROUNDING)
        assert {frozenset(p) for p in zip(owner[P.f.a[at]], owner[P.f.b[at]], strict=True)} == {frozenset(c.bodies)}
    # Bodies that are not joined do not conduct to each other.
    bare = P.f.contact < 0
    assert (owner[P.f.a[bare]] == owner[P.f.b[bare]]).all()


@pytest.mark.parametrize("name", [*JOBS, *NETWORK_ONLY])
def test_network_keeps_mass_and_areas(name: str) -> None:
    m = thermal({**JOBS, **NETWORK_ONLY}[name])
    d = discretise(m, "network")
    assert d.n_cell == len(m.bodies)
    check_exact(m, d)


@pytest.mark.parametrize("fineness", [1, 2])
@pytest.mark.parametrize("name", JOBS)
def test_section_keeps_mass_and_areas(name: str, fineness: int) -> None:
    m = thermal(JOBS[name])
    d = discretise(m, "section", fineness)
    assert d.n_cell > 8
    check_exact(m, d)


def test_a_finer_grid_holds_the_coarse_one() -> None:
    m = thermal(JOBS["axisymmetric"])
    coarse, fine = (discretise(m, "section", f).planes[0] for f in (1, 2))
    for one, two in ((coarse.x_edges, fine.x_edges), (coarse.y_edges, fine.y_edges)):
        assert two[::2] == pytest.approx(one, abs=1e-15)


def test_grid_numbers_lead_to_cells_of_the_body_shown() -> None:
    m = thermal(JOBS["blind plug"])
    d = discretise(m, "section")
    grid = d.planes[0]
    for i, cells in enumerate(d.cells):
        assert set(grid.number[grid.body == i]) == set(cells)
    assert (grid.number[grid.body < 0] == -1).all()


def test_probes_watch_their_own_bodies() -> None:
    d = discretise(thermal(JOBS["plane"]), "section")
    assert [p.index for p in d.coldest] == [tuple(c) for c in d.cells]
    assert {(p.how, p.kind) for p in d.joints} == {("least", "cold side")}


@pytest.mark.parametrize("ramp", [(0.0, 5000.0), (0.0, 0.0)])
def test_a_furnace_loaded_cold_begins_cold_even_if_its_program_jumps(ramp: tuple[float, float]) -> None:
    walls = Profile(np.array(ramp), np.array([kelvin(20.0), kelvin(727.0)]))
    d = discretise(model(body(), body("b"), walls=walls, chamber=CHAMBER), "network")
    assert d.problem.initial[: d.problem.arrays.n_heat] == pytest.approx(kelvin(20.0))


def test_a_furnace_loaded_hot_begins_at_its_set_point_with_its_error() -> None:
    m = model(body(), body("b"), chamber=CHAMBER)  # the load is put in cold
    d = discretise(replace(m, surroundings=replace(m.surroundings, offset=-28.0)), "network")
    assert d.problem.initial[[*d.furnace.cells["chamber"], d.sensor]] == pytest.approx(kelvin(699.0))
    assert d.problem.initial[np.concatenate(d.cells)] == pytest.approx(kelvin(20.0))


def test_with_the_heater_off_there_is_no_controller() -> None:
    m = model(body(), body("b"), chamber=CHAMBER)
    on, off = (discretise(m, "network", heater=h).problem.arrays.c.row.size for h in ("program", "off"))
    assert (on, off) == (1, 0)
