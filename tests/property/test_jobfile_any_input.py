"""For any input: the reader answers with a job or with our own error, and units convert as pint does."""

import contextlib
import math
import re
import tomllib
from pathlib import Path
from typing import Any

import pint
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from brazesoak.errors import BrazesoakError, Fault, JobFileError, UnitError
from brazesoak.jobfile.lines import line_numbers
from brazesoak.jobfile.read import job_from_tables, read_job, read_job_text
from brazesoak.jobfile.starter import starter_text
from brazesoak.jobfile.units import DIMENSIONS, pattern, to_si

IN_A_FOLDER = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
QUICK = settings(max_examples=150, deadline=None)

REGISTRY = pint.UnitRegistry()

# What pint itself is asked for; written out, so that a slip in our list of units does not hide itself.
PINT_UNITS = [
    ("length", "mm", "millimeter", "meter"),
    ("length", "in", "inch", "meter"),
    ("area", "cm2", "centimeter ** 2", "meter ** 2"),
    ("mass", "lb", "pound", "kilogram"),
    ("time", "h", "hour", "second"),
    ("temperature", "degC", "degC", "kelvin"),
    ("temperature", "degF", "degF", "kelvin"),
    ("temperature_difference", "degC", "delta_degC", "kelvin"),
    ("temperature_difference", "degF", "delta_degF", "kelvin"),
    ("ramp", "K/min", "kelvin / minute", "kelvin / second"),
    ("ramp", "degF/h", "delta_degF / hour", "kelvin / second"),
    ("power", "kW", "kilowatt", "watt"),
    ("heat_transfer_coefficient", "W/(m2 K)", "watt / meter ** 2 / kelvin", "watt / meter ** 2 / kelvin"),
    ("conductance", "W/degC", "watt / delta_degC", "watt / kelvin"),
    ("heat_capacity", "kJ/K", "kilojoule / kelvin", "joule / kelvin"),
]

numbers = st.floats(min_value=1e-6, max_value=1e6)
scalars = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30) | st.dates()
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
lines = starter_text().split("\n")
toml_pieces = st.lists(
    st.sampled_from(
        [
            '"',
            "'",
            '"""',
            "[",
            "]",
            "[[",
            "{",
            "}",
            "=",
            ".",
            ",",
            "#",
            "\n",
            " ",
            "\\",
            "a",
            "1",
            "a = 1\n",
            "[[s]]\n",
        ]
    ),
    max_size=30,
).map("".join)


@QUICK
@given(number=numbers)
@pytest.mark.parametrize(("dimension", "unit", "pint_unit", "si"), PINT_UNITS)
def test_units_round_trip_through_pint(dimension: str, unit: str, pint_unit: str, si: str, number: float) -> None:
    value = to_si(f"{number!r} {unit}", dimension)
    back = REGISTRY.Quantity(value, si).to(pint_unit).magnitude
    # Offsets of up to 460 degrees are added and taken away again: round-off of the offset, not of the number.
    assert back == pytest.approx(number, rel=1e-12, abs=1e-12 * 500)


@QUICK
@given(low=numbers, rise=numbers, unit=st.sampled_from(["degC", "degF", "K"]))
def test_temperatures_differ_by_the_difference(low: float, rise: float, unit: str) -> None:
    step = to_si(f"{low + rise!r} {unit}", "temperature") - to_si(f"{low!r} {unit}", "temperature")
    # 1e-15 of the largest temperature is lost in the subtraction.
    assert step == pytest.approx(to_si(f"{rise!r} {unit}", "temperature_difference"), rel=1e-9, abs=1e-8)


@QUICK
@given(text=st.text(max_size=30) | st.from_regex(r"\A[+-]?[0-9.]{1,6} ?[a-zA-Z/()2° ^]{0,9}\Z"))
@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_any_text_is_a_finite_number_or_a_unit_error(dimension: str, text: str) -> None:
    try:
        value = to_si(text, dimension)
    except UnitError as caught:
        error = caught
    else:
        assert math.isfinite(value)
        assert "℃" in text or "℉" in text or re.search(pattern(dimension), text)
        return
    assert error.text == text
    assert str(error).isprintable()


@IN_A_FOLDER
@given(content=st.binary(max_size=300))
@example(content=b"\xff\xfe\x00")
@example(content=b"a = 1\r")
def test_any_bytes(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(BrazesoakError) as caught:
        read_job(path)
    assert isinstance(caught.value, JobFileError)
    assert caught.value.faults


@QUICK
@given(text=st.text(max_size=200) | toml_pieces)
def test_any_text_is_no_job_but_no_crash(text: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read_job_text(text)
    for fault in caught.value.faults:
        assert fault.line is None or 1 <= fault.line <= text.count("\n") + 1
        assert fault.message.isprintable()
        assert fault.key.isprintable()


@QUICK
@given(number=st.integers(0, len(lines) - 1), text=st.text(max_size=40) | toml_pieces)
def test_starter_with_a_spoilt_line(number: int, text: str) -> None:
    with contextlib.suppress(BrazesoakError):
        read_job_text("\n".join([*lines[:number], text, *lines[number + 1 :]]))
    with contextlib.suppress(BrazesoakError):
        read_job_text("\n".join([*lines[:number], lines[number][: len(text)] + text, *lines[number + 1 :]]))


TABLES = tomllib.loads(starter_text())
PATHS = [
    ("title",),
    ("fidelity",),
    ("data",),
    ("furnace",),
    ("furnace", "name"),
    ("furnace", "wall_emissivity"),
    ("program", "set_point"),
    ("program", "steps"),
    ("program", "steps", 0),
    ("hold",),
    ("brazing",),
    ("brazing", "gap"),
    ("segment",),
    ("segment", 0),
    ("segment", 0, "name"),
    ("segment", 0, "shape"),
    ("segment", 0, "surface"),
    ("segment", 0, "diameter"),
    ("segment", 1, "any"),
    ("joint",),
    ("joint", 0),
    ("joint", 0, "between"),
    ("joint", 0, "faces"),
    ("joint", 0, "fit"),
    ("joint", 0, "depth"),
]


def _with(table: Any, path: tuple[Any, ...], value: Any) -> Any:
    if not path:
        return value
    if isinstance(table, list):
        return [_with(entry, path[1:], value) if n == path[0] else entry for n, entry in enumerate(table)]
    return {**table, path[0]: _with(table.get(path[0]), path[1:], value)}


@QUICK
@given(value=values)
@pytest.mark.parametrize("path", PATHS, ids=str)
def test_any_value_of_any_key(path: tuple[Any, ...], value: Any) -> None:
    faults: tuple[Fault, ...] = ()
    try:
        job_from_tables(_with(TABLES, path, value))
    except JobFileError as error:
        faults = error.faults
    for fault in faults:
        assert fault.message.isprintable()
        assert fault.key.isprintable()
        assert fault.message
        assert fault.key


keys = st.text(alphabet="abAB_-1", min_size=1, max_size=4)
plain = st.integers(0, 9).map(str) | st.sampled_from(['"a"', "'#'", '"]}"', "true", "[]", "{}", '["x", 1]', "{a = 1}"])


@QUICK
@given(
    tables=st.dictionaries(keys, st.dictionaries(keys, plain, max_size=4), max_size=4),
    blanks=st.integers(0, 3),
)
def test_lines_of_generated_files(tables: dict[str, dict[str, str]], blanks: int) -> None:
    written: list[str] = []
    expected: dict[tuple[str | int, ...], int] = {}
    for name, entries in tables.items():
        written += ["# [no] = 1"] * blanks + [f"[[{name}]] # {name} = 1"]
        expected[(name, 0)] = len(written)
        for key, value in entries.items():
            written.append(f"  {key} = {value}")
            expected[(name, 0, key)] = len(written)
    text = "\n".join(written)
    assert tomllib.loads(text).keys() == tables.keys()
    found = line_numbers(text)
    assert {location: found[location] for location in expected} == expected
