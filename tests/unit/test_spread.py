from math import hypot

import pytest

from brazesoak.analysis.spread import Uncertain, emissivity_inputs, hold_spread, uncertain_inputs
from brazesoak.errors import SimulationError, TargetNotReachedError
from brazesoak.thermal.model import Inputs

from .jobs import LIBRARY, assembly, boss, joint, plate

USE = Inputs(7.0)


def uncertain(name: str, low: float, high: float) -> Uncertain:
    """An input whose hold is its film: `low` and `high` are the holds at its ends [s]."""
    return Uncertain(name, Inputs(low), Inputs(high), "low", "high", "made up")


def hold(inputs: Inputs) -> float:
    if inputs.film < 0.0:
        raise TargetNotReachedError("never", part="joint", reached=0.0, target=1.0)
    return inputs.film


def test_deviations_add_as_a_root_sum_of_squares() -> None:
    """By hand: up 30 and 40 make 50, down 60 and 80 make 100 (JCGM 100:2008, 5.1.2)."""
    spread = hold_spread(600.0, [uncertain("a", 630.0, 540.0), uncertain("b", 520.0, 640.0)], hold)
    assert spread.upwards == pytest.approx(hypot(30.0, 40.0))
    assert spread.downwards == pytest.approx(hypot(60.0, 80.0))
    assert [d.name for d in spread.drivers] == ["b", "a"]  # the larger first


def test_two_deviations_to_one_side_count_once() -> None:
    spread = hold_spread(600.0, [uncertain("a", 610.0, 640.0)], hold)
    assert (spread.upwards, spread.downwards) == (40.0, 0.0)


@pytest.mark.parametrize(("low", "high"), [(-1.0, 580.0), (580.0, -1.0), (-1.0, -1.0)])
def test_an_end_that_never_reaches_is_named_and_left_out(low: float, high: float) -> None:
    spread = hold_spread(600.0, [uncertain("b", 500.0, 640.0), uncertain("a", low, high)], hold)
    assert [d.name for d in spread.never] == ["a"]
    assert spread.drivers[0].name == "a"  # nothing is larger than never
    assert None in (spread.drivers[0].hold_at_low, spread.drivers[0].hold_at_high)
    assert spread.upwards == 40.0


def test_shifted_to_another_nominal() -> None:
    spread = hold_spread(100.0, [uncertain("a", 20.0, 160.0), uncertain("b", -1.0, 90.0)], hold).shifted(70.0)
    held = {d.name: (d.hold_at_low, d.hold_at_high) for d in spread.drivers}
    assert held == {"a": (0.0, 130.0), "b": (None, 60.0)}  # never below nothing
    assert (spread.nominal, spread.upwards, spread.downwards) == (70.0, 60.0, hypot(80.0, 10.0))


def test_what_is_uncertain_in_every_job() -> None:
    found = uncertain_inputs(USE, [uncertain("a", 1.0, 2.0)], (4.5, 10.0), "f", (-28.0, 28.0), "u", 5.5, "s")
    inputs = {u.name: (u.low, u.high) for u in found}
    assert inputs["a"] == (Inputs(1.0), Inputs(2.0))
    assert inputs["convection film"] == (Inputs(4.5), Inputs(10.0))
    assert inputs["evenness of the furnace"] == (Inputs(7.0, offset=-28.0), Inputs(7.0, offset=28.0))
    assert inputs["furnace thermocouple"] == (Inputs(7.0, offset=-5.5), Inputs(7.0, offset=5.5))
    assert inputs["gap width"] == (Inputs(7.0, gap_factor=0.5), Inputs(7.0, gap_factor=2.0))
    assert inputs["mass and specific heat"] == (
        Inputs(7.0, capacity_factor=0.95),
        Inputs(7.0, capacity_factor=1.05),
    )
    assert inputs["thermal conductivity"] == (
        Inputs(7.0, conductivity_factor=0.9),
        Inputs(7.0, conductivity_factor=1.1),
    )
    assert all(u.source for u in found)


def test_the_emissivity_of_each_named_surface_is_uncertain_and_says_its_numbers() -> None:
    brass = boss("one", "UNS C36000", "bright"), boss("two", "UNS C36000", "bright")
    joints = joint("one", "plate", "1"), joint("two", "plate", "2")
    (found,) = emissivity_inputs(USE, assembly(plate(surface=0.6), *brass, *joints))
    spread = LIBRARY.metal("UNS C36000").emissivity["bright"]
    assert found.name == "emissivity of bright free-machining brass"
    assert (found.low, found.high) == tuple(
        Inputs(7.0, emissivity=(("bright free-machining brass", where),)) for where in (-1.0, 1.0)
    )
    assert (found.low_text, found.high_text) == (f"{spread.low:.2g}", f"{spread.high:.2g}")
    assert found.source == spread.source


def test_a_surface_that_darkens_says_its_emissivity_at_both_ends() -> None:
    (found,) = emissivity_inputs(USE, assembly(plate(surface="bright"), boss(surface=0.6), joint("boss", "plate")))
    assert found.low_text.endswith(" hot")
    assert " cold, " in found.low_text


def test_an_even_furnace_is_not_uncertain() -> None:
    found = uncertain_inputs(USE, (), (4.5, 10.0), "f", (0.0, 0.0), "u", 5.5, "s")
    assert "evenness of the furnace" not in {u.name for u in found}


def test_a_heat_that_the_solver_cannot_finish_counts_as_never_and_is_counted() -> None:
    def fails(inputs: Inputs) -> float:
        if inputs.film == 640.0:
            raise SimulationError("the solver gave up")
        return hold(inputs)

    spread = hold_spread(600.0, [uncertain("a", -1.0, 620.0), uncertain("b", 500.0, 640.0)], fails).shifted(610.0)
    assert {d.name for d in spread.never} == {"a", "b"}
    assert spread.gave_up == 1  # the one that never reaches was finished
