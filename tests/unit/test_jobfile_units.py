"""Text to SI: accepted spellings, temperature against difference, and what every refusal says."""

import re
import subprocess
import sys

import pytest

from brazesoak.errors import UnitError
from brazesoak.jobfile.units import DIMENSIONS, pattern, quoted, to_si

ROUND_OFF = 1e-12  # a conversion is one or two multiplications in double precision

# Definitions: inch 0.0254 m and pound 0.45359237 kg (international yard and pound agreement, 1959);
# K = degC + 273.15 and degF = 1.8 degC + 32 (NIST SP 811, appendix B); BTU 1055.056 J (as ISO 31-4 gives it).
BTU = 1055.056
ACCEPTED = [
    ("6 mm", "length", 0.006),
    ("0.25 in", "length", 0.00635),
    ("4 thou", "length", 1.016e-4),
    ("100 µm", "length", 1e-4),
    ("100um", "length", 1e-4),
    (" 1.5e1  cm ", "length", 0.15),
    (".5 ft", "length", 0.1524),
    ("12 cm2", "area", 0.0012),
    ("12 cm^2", "area", 0.0012),
    ("12 cm²", "area", 0.0012),
    ("12 cm**2", "area", 0.0012),
    ("2 sq in", "area", 2 * 0.0254**2),
    ("1.2 kg", "mass", 1.2),
    ("2 lb", "mass", 0.90718474),
    ("16 oz", "mass", 0.45359237),
    ("25 min", "time", 1500.0),
    ("1.5 h", "time", 5400.0),
    ("0 s", "time", 0.0),
    ("750 degC", "temperature", 1023.15),
    ("750 °C", "temperature", 1023.15),
    ("750 ℃", "temperature", 1023.15),
    ("750ºC", "temperature", 1023.15),
    ("750 deg C", "temperature", 1023.15),
    ("750 degrees C", "temperature", 1023.15),
    ("1380 degF", "temperature", (1380 - 32) / 1.8 + 273.15),
    ("1023 K", "temperature", 1023.0),
    ("-20 degC", "temperature", 253.15),
    ("−20 degC", "temperature", 253.15),
    ("30 K", "temperature_difference", 30.0),
    ("30 degC", "temperature_difference", 30.0),
    ("54 degF", "temperature_difference", 30.0),
    ("8 K/min", "ramp", 8 / 60),
    ("300 degC/h", "ramp", 300 / 3600),
    ("300 °C / hr", "ramp", 300 / 3600),
    ("300 degC per hour", "ramp", 300 / 3600),
    ("50 degF/min", "ramp", 50 / 1.8 / 60),
    ("2.5 kW", "power", 2500.0),
    ("7 W/(m2 K)", "heat_transfer_coefficient", 7.0),
    ("7 W/(m²·K)", "heat_transfer_coefficient", 7.0),
    ("7 W/(m^2*K)", "heat_transfer_coefficient", 7.0),
    ("7 W/m2/K", "heat_transfer_coefficient", 7.0),
    ("1 BTU/(h ft2 degF)", "heat_transfer_coefficient", BTU / 3600 / 0.3048**2 * 1.8),
    ("3 W/K", "conductance", 3.0),
    ("3 W/°C", "conductance", 3.0),
    ("20 kJ/K", "heat_capacity", 20000.0),
    ("1 BTU/degF", "heat_capacity", BTU * 1.8),
]


@pytest.mark.parametrize(("text", "dimension", "expected"), ACCEPTED)
def test_accepted_text(text: str, dimension: str, expected: float) -> None:
    assert to_si(text, dimension) == pytest.approx(expected, rel=ROUND_OFF, abs=0.0)


@pytest.mark.parametrize(("text", "dimension", "expected"), ACCEPTED)
def test_json_schema_pattern_accepts_what_the_reader_accepts(text: str, dimension: str, expected: float) -> None:
    # Characters for whole units, such as the single "degree Celsius" sign, are the reader's kindness only.
    assert "℃" in text or re.search(pattern(dimension), text)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_spelling_converts_and_matches_its_pattern(dimension: str) -> None:
    for spelling in DIMENSIONS[dimension].units:
        assert to_si(f"600 {spelling}", dimension) > 0.0
        assert re.search(pattern(dimension), f"600 {spelling}")


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_examples_shown_in_messages_are_accepted(dimension: str) -> None:
    for example in DIMENSIONS[dimension].examples:
        assert to_si(example, dimension) > 0.0


@pytest.mark.parametrize(
    ("text", "dimension", "hint"),
    [
        ("12 mm2", "length", "is an area, not a length"),
        ("12 mm", "area", "is a length, not an area"),
        ("8 K", "ramp", "is a temperature"),
        ("8 K/min", "temperature_difference", "is a ramp"),
        ("3 W/K", "power", "is a conductance"),
        ("60", "length", "has no unit"),
        ("60 ", "length", "has no unit"),
        (60, "length", '"60 mm"'),
        (60.5, "temperature", '"60.5 degC"'),
        (True, "length", "true is not a length"),
        (None, "length", "is not a length"),
        (["6 mm"], "length", "a list is not a length"),
        ({"a": 1}, "mass", "a table is not a mass"),
        ("", "length", "does not start with a number"),
        ("thick", "length", "does not start with a number"),
        ("nan mm", "length", "does not start with a number"),
        ("inf mm", "length", "does not start with a number"),
        ("1e400 mm", "length", "too large a number"),
        ("1e308 kg", "power", "is a mass"),
        ("0,25 in", "length", '"0.25 in"'),
        ("1/4 in", "length", "as a decimal number"),
        ("6 MM", "length", 'did you mean "mm"'),
        ("2 KW", "power", 'did you mean "kW"'),
        ("6 milimeter", "length", "unknown unit"),
        ("5 min 30 s", "time", "unknown unit"),
        ("-274 degC", "temperature", "below absolute zero"),
        ("-1 K", "temperature", "below absolute zero"),
        ("6 mm\nx", "length", "unknown unit"),
        ("6 {message}", "length", "{message}"),
        ("٣ mm", "length", "does not start with a number"),
    ],
)
def test_refused_text_says_why_and_what_is_expected(text: object, dimension: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        to_si(text, dimension)
    assert caught.value.text == text
    assert caught.value.expected == dimension
    message = str(caught.value)
    assert hint in message
    assert DIMENSIONS[dimension].examples[0] in message
    assert "\n" not in message


def test_temperature_and_difference_are_apart() -> None:
    assert to_si("30 degC", "temperature") - to_si("30 degC", "temperature_difference") == pytest.approx(273.15)
    assert to_si("30 K", "temperature") == to_si("30 K", "temperature_difference")


def test_a_negative_difference_is_converted_not_refused() -> None:
    assert to_si("-54 degF", "temperature_difference") == pytest.approx(-30.0, rel=ROUND_OFF)


@pytest.mark.parametrize(
    "value", ["x" * 500, 10**5000, -(10**5000), "a\nb\x00", {"a": "x" * 500}, [1] * 500], ids=range(6)
)
def test_quoted_values_are_short_and_on_one_line(value: object) -> None:
    assert len(quoted(value)) <= 42
    assert quoted(value).isprintable()


def test_importing_the_reader_loads_no_heavy_library() -> None:
    code = (
        "import sys, brazesoak.jobfile.read, brazesoak.jobfile.starter, brazesoak.jobfile.job_schema;"
        "heavy = ('pint', 'numpy', 'numba', 'scipy', 'matplotlib', 'brazesoak_solvers._jit');"  # its constants may be
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("text", ["0C^", "5 K**", "6 mm^"])
def test_a_power_sign_without_a_power_is_refused(text: str) -> None:
    """Found by `test_any_text_is_a_finite_number_or_a_unit_error`."""
    with pytest.raises(UnitError):
        to_si(text, "length" if "m" in text else "temperature_difference")
