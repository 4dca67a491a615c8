"""Numbers of a data file with unit, source and confidence, to SI. Units are written in the file and fixed."""

from __future__ import annotations

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from . import records
from .fields import Fields
from .formulas import FORMULAS
from .properties import Table
from .records import Datum, Spread

ABSOLUTE_ZERO = -ZERO_CELSIUS
"""[degC]"""
_ROUNDING = 0.01
"""A table beside a formula is for reading; it may be rounded, not different."""
_FACTORS = {
    "1": 1.0,
    "K": 1.0,
    "s": 1.0,
    "W": 1.0,
    "W/cm2": 1e4,
    "kg": 1.0,
    "W/K": 1.0,
    "J/K": 1.0,
    "m2": 1.0,
    "L": 1e-3,
    "mm": 1e-3,
    "K/min": 1.0 / 60.0,
    "kg/m3": 1.0,
    "kJ/kg": 1e3,
    "J/(kg K)": 1.0,
    "W/(m K)": 1.0,
    "W/(m2 K)": 1.0,
    "Pa s": 1.0,
    "1e-6/K mean from 20 C": 1e-6,
}
"""What one of a data file's units is in SI."""


def datum(parent: Fields, key: str, unit: str) -> Datum:
    """A number with unit and source; ``degC`` becomes kelvin."""
    f = parent.section(key)
    _unit(f, unit)
    least = ABSOLUTE_ZERO if unit == "degC" else 1e-12
    value = f.number("value", unit, least)
    low, high = f.optional_number("low", unit, least), f.optional_number("high", unit, least)
    if not (value if low is None else low) <= value <= (value if high is None else high):
        f.fault("low", "is above value, or value is above high", "give low <= value <= high")
    found = Datum(
        _si(value, unit),
        f.text("source"),
        confidence(f),
        None if low is None else _si(low, unit),
        None if high is None else _si(high, unit),
        f.text("note", ""),
    )
    f.close()
    return found


def spread(parent: Fields, key: str, unit: str, signed: bool = False) -> Spread:
    """A number between a low and a high one."""
    f = parent.section(key)
    _unit(f, unit)
    low, use, high = (f.number(k, unit, -np.inf if signed else 0.0) for k in ("low", "use", "high"))
    if not low <= use <= high:
        f.fault("use", f"is {use:g}, not between low ({low:g}) and high ({high:g})", "give low <= use <= high")
    if unit == "1" and high > 1.0:
        f.fault("high", f"is {high:g}", "an emissivity is at most 1")
    factor = _FACTORS[unit]
    found = Spread(low * factor, use * factor, high * factor, f.text("source"), confidence(f), f.text("note", ""))
    f.close()
    return found


def table(parent: Fields, key: str, unit: str, quantity: str) -> Table:
    """A property against temperature."""
    f = parent.section(key)
    _unit(f, unit)
    temperature = np.array(f.numbers("temperature_C", "degC"), dtype=np.float64)
    value = np.array(f.numbers("value", unit), dtype=np.float64) * _FACTORS[unit]
    if temperature.size != value.size:
        f.fault("value", f"has {value.size} numbers for {temperature.size} temperatures", "give one for each")
    if np.any(np.diff(temperature) <= 0.0):
        f.fault("temperature_C", "is not increasing", "put the points in order of temperature, each once")
    if np.any(value <= 0.0):
        f.fault("value", f"holds {value.min():g}", "every value must be greater than 0")
    name = f.text("formula", choices=tuple(FORMULAS)) if f.has("formula") else None
    low, high = (temperature[0], temperature[-1]) if temperature.size else (0.0, 0.0)
    if name in FORMULAS:
        low, high = FORMULAS[name].breaks[0], FORMULAS[name].breaks[-1]
        _agree(f, name, temperature, value)
    published = f.optional_number("published_up_to_C", "degC", ABSOLUTE_ZERO)
    notes = [f.text(k, "") for k in ("note", "alternative_formula", "formula_text")]
    for array in (kelvin := temperature + ZERO_CELSIUS, value):
        array.setflags(write=False)
    found = Table(
        kelvin,
        value,
        f.text("source"),
        confidence(f),
        (float(low) + ZERO_CELSIUS, float(high) + ZERO_CELSIUS),
        name,
        None if published is None else published + ZERO_CELSIUS,
        "; ".join(n for n in notes[:2] if n),
        quantity,
    )
    f.close()
    return found


def _agree(f: Fields, name: str, temperature: np.ndarray, value: np.ndarray) -> None:
    """The points beside a formula must be the formula's."""
    formula = FORMULAS[name]
    outside = (temperature < formula.breaks[0]) | (temperature > formula.breaks[-1])
    if np.any(outside):
        f.fault("temperature_C", f'holds points outside the range of "{name}"', "leave them out")
    elif temperature.size == value.size and np.any(abs(formula.at(temperature) - value) > _ROUNDING * abs(value)):
        f.fault("value", f'is over 1 % from the formula "{name}"', "mend the points or leave out the formula")


def confidence(f: Fields) -> str:
    """How sure the source is, one of `records.CONFIDENCES`."""
    return f.text("confidence", choices=records.CONFIDENCES)


def _unit(f: Fields, unit: str) -> None:
    f.text("unit", choices=(unit,))


def _si(value: float, unit: str) -> float:
    return value + ZERO_CELSIUS if unit == "degC" else value * _FACTORS[unit]


def celsius(f: Fields, key: str) -> float:
    """A temperature in degC, as kelvin."""
    return f.number(key, "degC", ABSOLUTE_ZERO) + ZERO_CELSIUS


def measure(parent: Fields, key: str, unit: str, least: float) -> float:
    """A number with a unit, whose source stands elsewhere."""
    f = parent.section(key)
    _unit(f, unit)
    value = f.number("value", unit, least) * _FACTORS[unit]
    f.close()
    return value
