import math

import numpy as np
import pytest

from brazesoak.analysis.assumptions import in_time
from brazesoak.report import format as fmt


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0 min"),
        (37 * 60.0, "37 min"),
        (36.5 * 60, "37 min"),
        (3600.0, "1 h"),
        (112 * 60.0, "1 h 52 min"),
        (3599.0, "1 h"),
    ],
)
def test_minutes(seconds: float, text: str) -> None:
    assert fmt.minutes(seconds) == text


def test_a_time_that_never_comes_says_so() -> None:
    assert fmt.minutes(None) == fmt.duration(None) == "never in this program"
    assert fmt.minutes_short(None) == fmt.hours_minutes(None) == "never"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.42, "0.42 s"),
        (45.0, "45 s"),
        (59.7, "1 min"),
        (270.0, "4.5 min"),
        (593.9, "9.9 min"),
        (2220.0, "37 min"),
    ],
)
def test_duration_has_the_digits_it_deserves(seconds: float, text: str) -> None:
    assert fmt.duration(seconds) == text


def test_hours_minutes() -> None:
    assert [fmt.hours_minutes(x) for x in (0.0, 540.0, 6720.0)] == ["0:00", "0:09", "1:52"]


def test_temperatures_in_both_scales() -> None:
    # 730 degC = 1346 degF exactly, by the definition F = 1.8 C + 32.
    assert fmt.temperature_text(1003.15) == "730 °C"
    assert fmt.temperature_both(1003.15) == "730 °C (1346 °F)"


def test_a_difference_is_not_shifted() -> None:
    assert fmt.difference_text(30.0) == "30 K"
    assert fmt.difference_text(2.5) == "2.5 K"


def test_celsius_and_minutes_take_arrays() -> None:
    assert np.allclose(fmt.celsius(np.array([273.15, 373.15])), [0.0, 100.0], rtol=0, atol=1e-12)
    assert np.array_equal(fmt.in_minutes(np.array([60.0, 90.0])), [1.0, 1.5])


def test_ramp() -> None:
    assert fmt.ramp_text(8.0 / 60.0) == "8 °C/min"
    assert fmt.ramp_text(None) == "full power"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (fmt.mass(1.32), "1.32 kg"),
        (fmt.mass(0.9999), "1 kg"),
        (fmt.mass(0.0613), "61.3 g"),
        (fmt.mass(120.0), "120 kg"),
        (fmt.area(28.3e-4), "28.3 cm²"),
        (fmt.length(1e-4), "0.1 mm"),
        (fmt.length(8.05e-5), "0.0805 mm"),
        (fmt.volume(3.4e-7), "340 mm³"),
        (fmt.volume(1.2e-6), "1.2 cm³"),
        (fmt.energy(5.9e5), "590 kJ (0.164 kWh)"),
        (fmt.energy(3.6e6), "3.6 MJ (1 kWh)"),
        (fmt.energy(0.0), "0 kJ (0 kWh)"),
    ],
)
def test_quantities(text: str, expected: str) -> None:
    assert text == expected


@pytest.mark.parametrize(("value", "text"), [(3.2e-9, "3.2e-9"), (1e-12, "1.0e-12"), (0.0, "0.0e0"), (0.5, "5.0e-1")])
def test_relative(value: float, text: str) -> None:
    assert fmt.relative(value) == text
    assert math.isclose(float(text), value)


def test_sentence() -> None:
    assert fmt.sentence(" its boss is heavy ") == "Its boss is heavy."
    assert fmt.sentence("Stop!") == "Stop!"
    assert fmt.sentence("  ") == ""


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("20 degC", "20 °C"),
        ("28.3 cm2 and 57 m3/min", "28.3 cm² and 57 m³/min"),
        ("7 W/(m2 K)", "7 W/(m² K)"),
        ("joint m2 to degC", "joint m2 to degC"),
    ],
)
def test_typeset_touches_units_only(written: str, printed: str) -> None:
    assert fmt.typeset(written) == printed


def test_what_is_not_safe_before_is_told_up_to_the_whole_minute() -> None:
    assert [fmt.minutes_not_before(x) for x in (60.0, 60.1, 89.0, 3599.0, 3601.0)] == [
        "1 min", "2 min", "2 min", "1 h", "1 h 1 min",
    ]  # fmt: skip


def test_a_limit_is_never_told_as_more_than_it_is() -> None:
    spans = (10.0, 45.9, 150.0, 645.0, 690.0, 3600.0, 4500.0, 3599.0)
    told = ["10 s", "45 s", "2.5 min", "10.7 min", "11.5 min", "1 h", "1 h 15 min", "59.9 min"]
    assert [fmt.limit(x) for x in spans] == told
    assert [in_time(x) for x in spans[:5]] == told[:5]
    assert (in_time(3600.0), in_time(3599.0)) == ("60 min", "59.9 min")
