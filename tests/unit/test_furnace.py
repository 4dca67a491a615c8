import numpy as np
import pytest

from brazesoak.thermal.furnace import Stage, profile

from .jobs import kelvin

START = kelvin(20.0)
STEPPED = profile(START, (Stage(kelvin(520.0), 0.125, 1200.0), Stage(kelvin(720.0), 0.1, 0.0)), hot=False)
"""500 K at 0.125 K/s, 20 min, 200 K at 0.1 K/s: corners at 0, 4000, 5200 and 7200 s."""


def test_corners_of_a_program() -> None:
    assert STEPPED.time == pytest.approx([0.0, 4000.0, 5200.0, 7200.0])
    assert STEPPED.temperature == pytest.approx([START, kelvin(520.0), kelvin(520.0), kelvin(720.0)])
    assert STEPPED.set_point == kelvin(720.0)


@pytest.mark.parametrize(
    ("t", "celsius"),
    [(-1.0, 20.0), (0.0, 20.0), (2000.0, 270.0), (4600.0, 520.0), (6200.0, 620.0), (1e6, 720.0)],
)
def test_between_and_beyond_the_corners(t: float, celsius: float) -> None:
    assert STEPPED.at(t) == pytest.approx(kelvin(celsius), abs=1e-9)


@pytest.mark.parametrize(
    ("celsius", "t"), [(10.0, 0.0), (270.0, 2000.0), (520.0, 4000.0), (620.0, 6200.0), (800.0, 7200.0)]
)
def test_when_it_first_comes_to_a_temperature(celsius: float, t: float) -> None:
    assert STEPPED.passes(kelvin(celsius)) == pytest.approx(t, abs=1e-6)


def test_a_ramp_down_takes_its_time_too() -> None:
    falling = profile(kelvin(600.0), (Stage(kelvin(500.0), 0.1, 0.0),), hot=False)
    assert falling.time == pytest.approx([0.0, 1000.0])
    assert falling.at(500.0) == pytest.approx(kelvin(550.0))


def test_without_a_rate_the_wanted_temperature_jumps() -> None:
    jump = profile(START, (Stage(kelvin(720.0), None, 0.0),), hot=False)
    assert jump.at(0.0) == kelvin(720.0)
    assert jump.temperature[0] == START  # what a furnace loaded cold begins at


def test_loaded_hot_the_furnace_stands_at_the_set_point() -> None:
    hot = profile(START, (Stage(kelvin(720.0), 0.1, 0.0),), hot=True)
    assert np.array([hot.at(0.0), hot.at(1e5), hot.set_point]) == pytest.approx(kelvin(720.0))
