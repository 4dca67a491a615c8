import pytest

from brazesoak.analysis.hold import nominal_hold, recommended_hold, target_temperature, time_above

from .jobs import kelvin


@pytest.mark.parametrize(
    ("superheat", "set_point", "target"),
    [
        (30.0, 727.0, 682.0),  # liquidus plus superheat
        (60.0, 727.0, 707.0),  # not above the set-point less 20 K
        (30.0, 702.0, 682.0),  # just fits
        (30.0, 662.0, 652.0),  # never below the liquidus itself
        (0.0, 727.0, 652.0),
    ],
)
def test_target(superheat: float, set_point: float, target: float) -> None:
    assert target_temperature(kelvin(652.0), superheat, kelvin(set_point)) == pytest.approx(kelvin(target))


def test_nominal_hold_runs_from_the_clock_to_the_end_of_the_minutes() -> None:
    assert nominal_hold(clock_start=3600.0, last_target=4200.0, wanted=300.0) == 900.0
    assert nominal_hold(clock_start=3600.0, last_target=3500.0, wanted=300.0) == 200.0
    # Melted long before the furnace shows its set-point: no hold at all, never a negative one.
    assert nominal_hold(clock_start=3600.0, last_target=3000.0, wanted=300.0) == 0.0


@pytest.mark.parametrize(
    ("nominal", "allowance", "minutes"),
    [
        (0.0, 0.0, 0),
        (60.0, 0.0, 1),
        (60.1, 0.0, 2),
        (900.0, 125.0, 18),
        (900.0, -50.0, 15),
        (60.0 + 1e-9, 0.0, 1),
    ],
)
def test_recommended_hold_is_whole_minutes_and_never_shorter(nominal: float, allowance: float, minutes: int) -> None:
    assert recommended_hold(nominal, allowance) == 60.0 * minutes


def test_time_above() -> None:
    assert time_above(100.0, 400.0) == 300.0
    assert time_above(500.0, 400.0) == 0.0
    assert time_above(None, 400.0) == 0.0
