"""The shelf below the load: what looks down at it, how much of it is seen, and what that costs in time."""

from math import pi

import numpy as np
import pytest

from brazesoak.analysis.plan import make_plan
from brazesoak.bridge.simulate import simulate
from brazesoak.bridge.underside import undersides
from brazesoak.thermal.support import GAPS, ON_PROPS, ON_SHELF, parallel_rectangles, support

from .jobs import LIBRARY, bar, boss, joint, lump, plate, prepared, read, tube

KILN = 'name = "bench-kiln-3l"'


@pytest.mark.parametrize(
    ("a", "b", "distance", "factor"),
    [(1.0, 1.0, 1.0, 0.1998), (2.0, 1.0, 1.0, 0.2859), (1.0, 1.0, 0.1, 0.8270), (1.0, 1.0, 1e-3, 0.998)],
)
def test_parallel_rectangles(a: float, b: float, distance: float, factor: float) -> None:
    # J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11 (recalled): 0.1998, 0.2859, 0.8270;
    # close together all but a rim of the width of the gap is seen: 1 - 2 d/a. 1e-3: what was recalled.
    assert parallel_rectangles(a, b, distance) == pytest.approx(factor, abs=1e-3)


def below(*parts: str) -> tuple[float, ...]:
    p = prepared(*parts)
    return undersides(p.assembly, p.placement)


def test_undersides_of_piles_and_placed_parts() -> None:
    assert below(plate(), boss(), joint("boss", "plate")) == pytest.approx((0.12 * 0.09, 0.0))
    ring = (tube(), boss(diameter="60 mm"), joint("tube", "boss", faces=["end", "end"]))
    assert below(*ring)[0] == pytest.approx(0.25 * pi * (0.06**2 - 0.04**2))
    placed = (
        bar("a", at=["0 mm", "0 mm", "0 mm"]),
        bar("b", at=["0 mm", "0 mm", "20 mm"]),
        joint("a", "b", faces=["side", "side"]),
    )
    assert below(*placed) == pytest.approx((0.1 * 0.03, 0.0))
    on_end = (
        bar("a", at=["0 mm", "0 mm", "0 mm"], axis="x", along="z"),
        bar("b", at=["20 mm", "0 mm", "0 mm"], axis="x", along="z"),
        joint("a", "b", faces=["side", "side"]),
    )
    assert below(*on_end) == pytest.approx((0.02 * 0.03, 0.02 * 0.03))


def test_a_lump_stands_on_a_sixth_of_its_surface() -> None:
    parts = (lump("a"), lump("b", exposed_area="90 cm2"), joint("a", "b", area="4 cm2"))
    assert below(*parts) == pytest.approx((150e-4 / 6.0, 0.0))


def test_air_below_the_load_conducts_by_its_gap() -> None:
    gas = prepared().gas
    on, above = support(ON_SHELF, (0.01, 0.0), gas), support(ON_PROPS, (0.01, 0.0), gas)
    assert on is not None
    assert above is not None
    k = np.interp(900.0, gas.temperature, gas.conductivity)
    assert np.interp(900.0, *above.film) == pytest.approx(k / GAPS[ON_PROPS], rel=1e-3)
    assert np.interp(900.0, *on.film) == pytest.approx(k / GAPS[ON_SHELF], rel=0.01)  # the jump at the walls
    assert on.view > 0.99 > above.view > 0.5
    assert support("none", (0.01,), gas) is None
    assert support(ON_SHELF, (0.0,), gas) is None


@pytest.mark.parametrize("fidelity", ["network", "section", "solid"])
def test_a_load_on_the_shelf_is_slower_than_on_props_than_in_the_open(fidelity: str) -> None:
    found = {}
    for kind in ("none", "props", "shelf"):
        p = prepared(furnace=f'{KILN}\nsupport = "{kind}"')
        run = simulate(p.model(p.inputs), fidelity, lambda clock, last: max(clock, last), fineness=1)
        found[kind] = run.joints[0].target
        parts = run.load_heat + run.chamber_heat + run.shelf_heat + run.lining_heat + run.loss_heat
        assert run.heater_heat == pytest.approx(parts, rel=1e-6)
        # Cordierite, 0.1298 m square, 10 mm, 2000 kg/m3, 1020 J/(kg K), some 700 K warmer: 240 kJ.
        assert run.shelf_heat == pytest.approx(240e3, rel=0.05)
    assert found["none"] < found["props"] < found["shelf"] < found["none"] + 600.0


def test_one_temperature_a_part_means_one_answer_on_every_grid() -> None:
    # Copper: next to no difference inside the parts, so network, section and solid see the same shelf. 1 %: grids.
    parts = (plate(metal="UNS C11000"), boss(metal="UNS C11000"), joint("boss", "plate"))
    p = prepared(*parts, furnace=f'{KILN}\nsupport = "shelf"')
    times = []
    for fidelity in ("network", "section"):
        run = simulate(p.model(p.inputs), fidelity, lambda clock, last: max(clock, last))
        times.append(run.joints[0].liquidus)
    assert times[1] == pytest.approx(times[0], rel=0.01)


def test_a_guessed_underside_is_on_record() -> None:
    parts = lump("a"), lump("b"), joint("a", "b", area="4 cm2")
    plan = make_plan(read(*parts, furnace=KILN), LIBRARY)
    assert any(a.what == "underside" and "a sixth" in a.value for a in plan.assumptions)


def test_the_support_is_on_record() -> None:
    plan = make_plan(read(furnace=KILN, hold="samples = 64", fidelity="network"), LIBRARY)
    assert not any(a.what == "underside" for a in plan.assumptions)
    note = next(a for a in plan.assumptions if a.what == "support")
    assert note.value == "props 20 mm high on the shelf"
    assert plan.energy.shelf > 0.0
    ideal = prepared(furnace='name = "ideal"\nsupport = "shelf"').settings
    assert any(a.what == "furnace.support of the job file" and a.value == "not used" for a in ideal.assumptions)
    assert ideal.support == "none"
