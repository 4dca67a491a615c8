"""From SI to what people read. The only module that converts on the way out.

A temperature and a temperature difference are different things here as well: `temperature_text` shifts the
zero, `difference_text` does not. Functions named ``..._text`` and `minutes`, `duration`, `mass`, `area`,
`length`, `micrometres`, `volume`, `energy`, `kilowatt_hours`, `minutes_range`,
`relative` return text; `celsius`, `in_minutes`, `in_kilowatt_hours`, `scaled` and `ramp_per_minute` return numbers for
files and figures.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import overload

from brazesoak.answer import FloatArray
from brazesoak_solvers.constants import KILOWATT_HOUR, ZERO_CELSIUS

NEVER = "never in this program"
"""What is said of a time that does not come."""


@overload
def celsius(temperature: float) -> float: ...
@overload
def celsius(temperature: FloatArray) -> FloatArray: ...
def celsius(temperature: float | FloatArray) -> float | FloatArray:
    """Temperature [degC] of a temperature [K], one or an array."""
    return temperature - ZERO_CELSIUS


@overload
def in_minutes(time: float) -> float: ...
@overload
def in_minutes(time: FloatArray) -> FloatArray: ...
def in_minutes(time: float | FloatArray) -> float | FloatArray:
    """Time [min] of a time [s], one or an array."""
    return time / 60.0


def in_kilowatt_hours(value: float) -> float:
    """Energy [kWh] of an energy [J]."""
    return value / KILOWATT_HOUR


def ramp_per_minute(rate: float) -> float:
    """Heating rate [K/min] of a rate [K/s]."""
    return rate * 60.0


def temperature_text(temperature: float) -> str:
    """Temperature [K] as degrees Celsius, for example ``730 °C``."""
    return f"{_whole(celsius(temperature))} °C"


def temperature_both(temperature: float) -> str:
    """Temperature [K] in both scales, for example ``730 °C (1346 °F)``."""
    return f"{temperature_text(temperature)} ({_whole(celsius(temperature) * 1.8 + 32.0)} °F)"


def difference_text(difference: float) -> str:
    """Temperature difference [K], for example ``30 K``, with one decimal below 10 K where it has one."""
    return f"{_few(difference)} K"


def ramp_text(rate: float | None) -> str:
    """Heating rate [K/s] as controllers want it, for example ``8 °C/min``; None: as fast as it can."""
    return "full power" if rate is None else f"{_few(ramp_per_minute(rate))} °C/min"


def minutes(time: float | None) -> str:
    """Time [s] to the nearest minute, for example ``37 min`` or ``1 h 52 min``; None: `NEVER`."""
    if time is None:
        return NEVER
    hours, rest = divmod(_half_up(in_minutes(time)), 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h" if rest == 0 else f"{hours} h {rest} min"


def scaled(value: float | None, by: float) -> float | None:
    """A figure for a table in JSON: times a factor, with three decimals; None stays."""
    return None if value is None else round(value * by, 3)


def minutes_not_before(time: float) -> str:
    """Like `minutes`, up to the whole minute: for what is not safe before."""
    return minutes(60.0 * math.ceil(in_minutes(time) - 1e-9))


def minutes_short(time: float | None) -> str:
    """Like `minutes`, for table cells: ``never`` instead of `NEVER`."""
    return "never" if time is None else minutes(time)


def hours_minutes(time: float | None) -> str:
    """Time [s] as hours and minutes for narrow tables, for example ``1:52``; None: ``never``."""
    if time is None:
        return "never"
    hours, rest = divmod(_half_up(in_minutes(time)), 60)
    return f"{hours}:{rest:02d}"


def duration(time: float | None) -> str:
    """Span [s] with as many digits as it deserves: ``0.4 s``, ``45 s``, ``4.5 min``; None: `NEVER`."""
    if time is None:
        return NEVER
    if time < 10.0:
        return f"{time:.2g} s"
    if time < 59.5:
        return f"{_whole(time)} s"
    return f"{_few(in_minutes(time))} min" if time < 594.0 else minutes(time)


def limit(time: float) -> str:
    """A span [s] that must not be exceeded, never told as more than it is: ``45 s``, ``11.5 min``, ``1 h``."""
    if time % 60.0 == 0.0:
        return minutes(time)
    return f"{math.floor(time + 1e-9)} s" if time < 119.5 else f"{math.floor(time / 6.0 + 1e-9) / 10.0:g} min"


def mass(value: float) -> str:
    """Mass [kg]: grams below 1 kg, for example ``850 g`` or ``1.42 kg``."""
    return f"{_three(value)} kg" if value >= 0.9995 else f"{_three(value * 1e3)} g"


def length(value: float) -> str:
    """Length [m] in millimetres, for example ``0.1 mm``."""
    return f"{_three(value * 1e3)} mm"


def micrometres(value: float) -> str:
    """Thickness [m] in whole micrometres, for example ``85 µm``."""
    return f"{_whole(value * 1e6)} µm"


def area(value: float) -> str:
    """Area [m2] in square centimetres, for example ``28.3 cm²``."""
    return f"{_three(value * 1e4)} cm²"


def volume(value: float) -> str:
    """Volume [m3]: cubic millimetres below 1 cm3, for example ``340 mm³`` or ``1.2 cm³``."""
    return f"{_three(value * 1e6)} cm³" if value >= 0.9995e-6 else f"{_three(value * 1e9)} mm³"


def energy(value: float) -> str:
    """Energy [J] in kilojoules or megajoules with kilowatt hours, for example ``1.2 MJ (0.333 kWh)``."""
    text = f"{_three(value * 1e-6)} MJ" if abs(value) >= 0.9995e6 else f"{_three(value * 1e-3)} kJ"
    return f"{text} ({_three(in_kilowatt_hours(value))} kWh)"


def kilowatt_hours(value: float) -> str:
    """Energy [J] in kilowatt hours for narrow tables, for example ``1.52 kWh``."""
    return f"{_three(in_kilowatt_hours(value))} kWh"


def minutes_range(times: Sequence[float]) -> str:
    """Shortest and longest of some times [s] in minutes, for example ``2.3 min`` or ``2.3 to 4.2 min``."""
    low, high = (_few(in_minutes(pick(times))) for pick in (min, max))
    return f"{low} min" if low == high else f"{low} to {high} min"


def relative(value: float) -> str:
    """A small relative error, for example ``3.2e-9``."""
    return re.sub(r"e([-+])0*(\d)", r"e\1\2", f"{value:.1e}").replace("e+", "e")


def typeset(text: str) -> str:
    """Units as job files and data files write them, in print: ``degC`` as °C, ``cm2`` as cm²."""
    degrees = re.sub(r"(?<=\d )deg(?=[CF]\b)", "°", text)
    return re.sub(r"((?<=\d )|(?<=/\()|(?<=/))([cm]?m)([23])\b", _raised, degrees)


def sentence(text: str) -> str:
    """The text typeset and trimmed, beginning with a capital letter and ending with a full stop."""
    trimmed = typeset(text.strip())
    if not trimmed:
        return ""
    ended = trimmed if trimmed[-1] in ".!?" else f"{trimmed}."
    return ended[0].upper() + ended[1:]


def application_version() -> str:
    """Version of the installed application; ``unknown`` when run from a bare source folder."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("brazesoak")
    except PackageNotFoundError:
        return "unknown"


def _raised(match: re.Match[str]) -> str:
    return match[2] + {"2": "²", "3": "³"}[match[3]]


def _half_up(value: float) -> int:
    """Nearest whole number, halves upwards, so that 36.5 and 37.5 do not round apart."""
    return math.floor(value + 0.5)


def _whole(value: float) -> str:
    return str(_half_up(value))


def _few(value: float) -> str:
    """One decimal below 10, but no decimal that is zero."""
    return f"{value:.1f}".removesuffix(".0") if abs(value) < 9.95 else _whole(value)


def _three(value: float) -> str:
    """Three significant digits without exponent or trailing zeros."""
    if value == 0.0:
        return "0"
    decimals = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
