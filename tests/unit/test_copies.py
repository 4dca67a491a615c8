"""Several copies of a load in one heat: what they see of each other, and how they share the furnace."""

import json
from dataclasses import replace
from itertools import pairwise
from math import inf, log

import pytest

from brazesoak.analysis.copies import try_copies
from brazesoak.analysis.plan import make_plan
from brazesoak.bridge import chamber as chambers
from brazesoak.bridge.sides import box, sides
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.errors import JobFileError
from brazesoak.report.copies_text import copies_json_text, copies_text
from brazesoak.thermal.furnace import Chamber
from brazesoak.thermal.model import ThermalModel
from brazesoak.thermal.neighbours import Grid, Neighbours, arranged, most_copies, seen_of_neighbours

from .jobs import LIBRARY, bar, body, boss, contact, joint, lump, model, plate, prepared, read

KILN = 'name = "bench-kiln-3l"'
CUBE = (0.1, 0.1, 0.1)


def heat(m: ThermalModel, fidelity: str = "network") -> Simulation:
    return simulate(m, fidelity, lambda clock, last: max(clock, last), fineness=1)


@pytest.mark.parametrize(
    ("copies", "columns", "rows", "most"),
    [(1, 1, 1, 0), (2, 2, 1, 1), (4, 2, 2, 2), (6, 3, 2, 3), (7, 3, 3, 3), (8, 3, 3, 4), (9, 3, 3, 4)],
)
def test_the_copy_with_the_most_neighbours(copies: int, columns: int, rows: int, most: int) -> None:
    grid = arranged(copies, CUBE, 0.1)
    assert {grid.columns, grid.rows} == {columns, rows}
    # Cubes one edge apart: each face sees 0.1998 of the next (Howell C-11, recalled), and four faces look sideways.
    assert seen_of_neighbours(grid, CUBE) == pytest.approx(0.25 * most * 0.1998, abs=1e-4)


def test_view_between_long_sides_and_between_short_ones() -> None:
    # 2 by 1 by 1 m, a pair: beside each other over their long sides, 2 by 1 and 1 apart, F = 0.2859; end to end over
    # 1 by 1, F = 0.1998 (Howell C-11, recalled). Of 6 m2 that look sideways, 2 or 1 faces the other.
    side_by_side, in_line = Grid(2, 1, 2, 1.0), Grid(2, 2, 1, 1.0)
    assert seen_of_neighbours(side_by_side, (2.0, 1.0, 1.0)) == pytest.approx(2.0 / 6.0 * 0.2859, abs=1e-4)
    assert seen_of_neighbours(in_line, (2.0, 1.0, 1.0)) == pytest.approx(1.0 / 6.0 * 0.1998, abs=1e-4)
    assert seen_of_neighbours(Grid(9, 3, 3, 1e-5), CUBE) == pytest.approx(1.0, abs=1e-3)
    assert seen_of_neighbours(Grid(9, 3, 3, inf), CUBE) == 0.0
    # Far off, two surfaces see each other as points: A cos cos / (pi r2).
    assert seen_of_neighbours(Grid(9, 3, 3, 10.0), CUBE) == pytest.approx(0.01 / 3.14159 / 100.0, rel=1e-3)


def test_how_many_stand_in_a_space() -> None:
    assert most_copies(0.34, CUBE, 0.02) == 9  # 3 x 100 mm and 2 x 20 mm
    assert most_copies(0.339, CUBE, 0.02) == 4
    assert most_copies(0.34, (0.1, 0.2, 0.1), 0.02) == 3
    assert most_copies(0.34, (0.1, 0.1, 0.35), 0.02) == 0
    assert arranged(4, (0.1, 0.1, 0.1), 0.02).size((0.1, 0.1, 0.1)) == pytest.approx((0.22, 0.22))


def test_what_looks_sideways() -> None:
    pile = prepared(plate(), boss(), joint("boss", "plate"))
    assert sides(pile.assembly, pile.placement) == pytest.approx((2 * 0.21 * 0.006, 3.141593 * 0.04 * 0.03))
    assert box(pile.assembly, pile.placement) == pytest.approx((0.12, 0.09, 0.036))
    on_end = prepared(
        bar("a", at=["0 mm", "0 mm", "0 mm"], axis="x", along="z"),
        bar("b", at=["20 mm", "0 mm", "0 mm"], axis="x", along="z"),
        joint("a", "b", faces=["side", "side"]),
    )
    # 20 by 30 by 100 mm upright, all round, less the 30 by 100 mm that the joint covers: no more than is exposed.
    exposed = 2 * (0.02 * 0.03 + 0.02 * 0.1) + 0.03 * 0.1
    assert sides(on_end.assembly, on_end.placement) == pytest.approx((exposed, exposed), rel=1e-6)
    lumps = prepared(lump("a"), lump("b"), joint("a", "b", area="4 cm2"))
    assert sides(lumps.assembly, lumps.placement) == pytest.approx((0.01, 0.01))


LUMP_FURNACE = Chamber(4000.0, 8000.0, 4.0, 0.8, 0.8, 20.0, 40.0)


def test_copies_far_apart_each_have_their_share_of_the_furnace(monkeypatch: pytest.MonkeyPatch) -> None:
    # Exact: the same equations, divided by 4, of the room, too, which is but a very large body here.
    parts = (body(mass=1.2, area=0.03), body("b", mass=0.4, area=0.01))
    c = LUMP_FURNACE
    quarter = replace(c, power=c.power / 4, heat_capacity=c.heat_capacity / 4, loss_conductance=c.loss_conductance / 4,
                      wall_area=c.wall_area / 4)  # fmt: skip
    four = replace(model(*parts, chamber=c), neighbours=Neighbours(4, (0.02, 0.005), 0.0))
    together = heat(four)
    monkeypatch.setattr(chambers, "ROOM_CAPACITY", chambers.ROOM_CAPACITY / 4.0)
    alone = heat(model(*parts, chamber=quarter))
    for name in ("solidus", "liquidus", "target"):
        assert getattr(together.joints[0], name) == pytest.approx(getattr(alone.joints[0], name), rel=1e-9)
    for name in ("load_heat", "chamber_heat", "loss_heat", "heater_heat"):
        assert getattr(together, name) == pytest.approx(4.0 * getattr(alone, name), rel=1e-9)
    assert together.balance_error < 1e-6


def test_two_copies_are_two_assemblies_in_one_furnace() -> None:
    # The same two pairs of bodies written out, in a furnace with lining, elements and air: nothing else is shared.
    surroundings = prepared(furnace=KILN, program='ramp = "8 K/min"').settings.surroundings
    pair = (body("a", mass=0.5, area=0.02), body("b", mass=0.3, area=0.01))
    both = (*pair, body("c", mass=0.5, area=0.02), body("d", mass=0.3, area=0.01))
    written = replace(model(*both, contacts=(contact(), contact(bodies=(2, 3)))), surroundings=surroundings)
    copied = replace(model(*pair), surroundings=surroundings, neighbours=Neighbours(2, (0.01, 0.004), 0.0))
    one, other = heat(written), heat(copied)
    assert other.joints[0].target == pytest.approx(one.joints[0].target, abs=0.1)  # steps differ by their errors
    assert other.load_heat == pytest.approx(one.load_heat, rel=1e-6)
    assert other.heater_heat == pytest.approx(one.heater_heat, rel=1e-4)


@pytest.mark.parametrize("fidelity", ["network", "section", "solid"])
def test_far_apart_and_with_ample_power_copies_heat_as_one_does(fidelity: str) -> None:
    one = prepared(furnace='name = "ideal"', program='ramp = "8 K/min"')
    alone = one.model(one.inputs)
    far = replace(alone, neighbours=Neighbours(9, sides(one.assembly, one.placement), 0.0))
    near = replace(far, neighbours=Neighbours(9, sides(one.assembly, one.placement), 0.6))
    first = heat(alone, fidelity).joints[0].target
    assert first is not None
    assert heat(far, fidelity).joints[0].target == pytest.approx(first, rel=1e-9)
    shaded = heat(near, fidelity).joints[0].target
    assert shaded is not None
    assert first + 5.0 < shaded < first + 600.0


def test_shade_takes_radiation_and_leaves_convection() -> None:
    # All of the surface hidden: only the air heats it, m c dT/dt = h A (Tg - T), lumped heating in closed form
    # (Incropera and DeWitt, section 5.1, recalled).
    hidden = replace(
        model(body(mass=0.1, area=0.02), body("b", mass=0.1, area=0.02), walls=727.0, film=20.0),
        neighbours=Neighbours(2, (0.02, 0.02), 1.0 - 1e-12),
    )
    run = heat(hidden)
    tau = 0.1 * 500.0 / (20.0 * 0.02)
    expected = tau * log((727.0 - 20.0) / (727.0 - 652.0))
    assert run.joints[0].liquidus == pytest.approx(expected, abs=0.2)


def test_one_temperature_a_part_means_one_shade_on_every_grid() -> None:
    parts = (plate(metal="UNS C11000"), boss(metal="UNS C11000"), joint("boss", "plate"))
    p = prepared(*parts, load='copies = 9\nspacing = "10 mm"')
    m = replace(p.model(p.inputs), shade=False)
    times = [heat(m, fidelity).joints[0].liquidus for fidelity in ("network", "section", "solid")]
    assert times[1] == pytest.approx(times[0], rel=0.01)
    assert times[2] == pytest.approx(times[0], rel=0.01)


def test_a_plan_tells_of_its_copies() -> None:
    job = {"furnace": KILN, "fidelity": "network", "program": 'ramp = "8 K/min"'}
    one = make_plan(read(**job), LIBRARY)
    four = make_plan(read(**job, load='copies = 4\nspacing = "10 mm"'), LIBRARY)
    assert four.total_mass == pytest.approx(4.0 * one.total_mass)
    assert four.rule_of_thumb == pytest.approx(4.0 * one.rule_of_thumb)
    assert four.energy.load == pytest.approx(4.0 * one.energy.load, rel=0.02)
    note = next(a for a in four.assumptions if a.what == "copies")
    assert note.value == "4, 2 by 2, 10 mm apart"
    found = [w for w in four.warnings if w.code == "does-not-fit"]
    # 3 L: 144 mm each way; two of 120 by 90 mm with 10 mm between take 250 by 190 mm.
    assert "250 by 190 mm" in found[0].message
    assert "room for 0" in found[0].message
    assert not any(w.code == "does-not-fit" for w in one.warnings)


def test_copies_heat_each_other_less_than_the_furnace_does() -> None:
    # Where they fit: in a small furnace the display, which sees so much cold load, lets the heaters give more.
    job = {"furnace": 'name = "kiln-60l"', "fidelity": "network", "program": 'ramp = "8 K/min"'}
    crowds = ("", 'copies = 4\nspacing = "10 mm"', 'copies = 9\nspacing = "10 mm"')
    times = [make_plan(read(**job, load=load), LIBRARY).joints[0].passes_target for load in crowds]
    assert times == sorted(times)  # type: ignore[type-var]
    assert len(set(times)) == 3


def test_copies_need_their_spacing() -> None:
    with pytest.raises(JobFileError, match="spacing: missing; 4 copies"):
        read(load="copies = 4")
    with pytest.raises(JobFileError, match="whole number from 1"):
        read(load="copies = 0")
    assert read(load='copies = 4\nspacing = "1 in"').job.load.spacing == pytest.approx(0.0254)
    assert prepared(load='spacing = "1 in"').neighbours is None


def test_how_many_fit_and_what_each_number_costs() -> None:
    # Bars of 100 by 30 mm, two high; 10 L are 215 mm each way, less 40 mm: 175 mm hold one by four at 10 mm.
    parts = (
        bar("a", at=["0 mm", "0 mm", "0 mm"]),
        bar("b", at=["0 mm", "0 mm", "20 mm"]),
        joint("a", "b", faces=["side", "side"]),
    )
    job = {"furnace": 'name = "bench-kiln-10l"', "program": 'ramp = "8 K/min"'}
    found = try_copies(read(*parts, **job, load='spacing = "10 mm"'), LIBRARY)
    assert found.room_for == 4
    assert [r.copies for r in found.rows] == [1, 2, 4]
    for one, more in pairwise(found.rows):
        assert one.total is not None
        assert more.total is not None
        assert one.heater is not None
        assert more.heater is not None
        assert more.total > one.total
        assert one.heater < more.heater < 2.0 * one.heater  # the furnace itself is heated once
    text = copies_text(found, "Bars")
    assert "Room for 4 at 10 mm" in text
    assert "large or thick parts need longer than told here" in " ".join(text.split())
    assert "Biot number" not in text
    thick = copies_text(replace(found, thick=(("bar", 0.2),)), "Bars")
    assert '"bar" (Biot number 0.20) is thick' in " ".join(thick.split())
    solid = copies_text(replace(found, fidelity="solid"), "Bars")
    assert "need longer" not in solid
    assert json.loads(copies_json_text(found))["rows"][2]["heater_kJ"] == pytest.approx(found.rows[2].heater * 1e-3)  # type: ignore[operator]
    none = try_copies(
        read(plate(length="300 mm"), boss(), joint("boss", "plate"), **job, load='spacing = "10 mm"'), LIBRARY
    )
    assert none.rows == ()
    assert "Room for 0" in copies_text(none, "Plate")


def test_a_number_of_copies_needs_a_spacing_and_a_chamber() -> None:
    with pytest.raises(JobFileError, match="how many there is room for"):
        try_copies(read(furnace=KILN), LIBRARY)
    with pytest.raises(JobFileError, match="has no size"):
        try_copies(read(load='spacing = "10 mm"'), LIBRARY)
