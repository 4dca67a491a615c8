"""Text such as ``"6 mm"`` to a plain number in SI, and nothing else.

Value and unit are split here and the unit is looked up in a closed list, so that a message can name what is
accepted; the conversion itself is pint's. pint is loaded on the first conversion, never at import.
A temperature (``"750 degC"`` is 1023.15 K) and a difference (``"30 degC"`` is 30 K) are two dimensions.
"""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from brazesoak.errors import UnitError

if TYPE_CHECKING:
    import pint

_NUMBER = r"[+\-\u2212]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+\-]?[0-9]+)?"
_QUANTITY = re.compile(rf"\s*(?P<value>{_NUMBER})\s*(?P<unit>.*)", re.DOTALL)
_LONGEST_QUOTE = 40


@dataclass(frozen=True, slots=True)
class Dimension:
    """One kind of quantity a job file can hold."""

    noun: str
    """With its article, for messages."""
    si: str
    """The SI unit, in pint's spelling."""
    units: Mapping[str, str]
    """Accepted spelling -> pint's spelling. Spellings are canonical, see `_canonical`."""
    examples: tuple[str, ...]
    shown: str
    """The accepted units as the messages list them."""


def _spellings(*groups: tuple[str, str]) -> dict[str, str]:
    return {spelling: unit for names, unit in groups for spelling in names.split(",")}


_DURATIONS = _spellings(
    ("s,sec,secs,second,seconds", "second"),
    ("min,mins,minute,minutes", "minute"),
    ("h,hr,hrs,hour,hours", "hour"),
)
_DIFFERENCES = _spellings(("K,kelvin", "kelvin"), ("degC,C,celsius", "delta_degC"), ("degF,F,fahrenheit", "delta_degF"))

DIMENSIONS: Mapping[str, Dimension] = {
    "length": Dimension(
        "a length",
        "meter",
        _spellings(
            ("mm", "millimeter"),
            ("cm", "centimeter"),
            ("m", "meter"),
            ("um", "micrometer"),
            ("in,inch,inches", "inch"),
            ("ft,foot,feet", "foot"),
            ("thou", "thou"),
        ),
        ("6 mm", "0.25 in"),
        "um, mm, cm, m, thou, in, ft",
    ),
    "area": Dimension(
        "an area",
        "meter**2",
        _spellings(
            ("mm2", "millimeter**2"),
            ("cm2", "centimeter**2"),
            ("m2", "meter**2"),
            ("in2,sq in", "inch**2"),
            ("ft2,sq ft", "foot**2"),
        ),
        ("12 cm2", "2 in2"),
        "mm2, cm2, m2, in2, ft2",
    ),
    "mass": Dimension(
        "a mass",
        "kilogram",
        _spellings(("kg", "kilogram"), ("g", "gram"), ("lb,lbs", "pound"), ("oz", "ounce")),
        ("1.2 kg", "2 lb"),
        "g, kg, oz, lb",
    ),
    "time": Dimension("a time", "second", _DURATIONS, ("25 min", "1.5 h"), "s, min, h"),
    "temperature": Dimension(
        "a temperature",
        "kelvin",
        _spellings(("degC,C,celsius", "degC"), ("degF,F,fahrenheit", "degF"), ("K,kelvin", "kelvin")),
        ("750 degC", "1380 degF"),
        "degC, degF, K",
    ),
    "temperature_difference": Dimension(
        "a temperature difference", "kelvin", _DIFFERENCES, ("30 K", "54 degF"), "K, degC, degF"
    ),
    "ramp": Dimension(
        "a ramp",
        "kelvin/second",
        {f"{d}/{t}": f"{du}/{tu}" for d, du in _DIFFERENCES.items() for t, tu in _DURATIONS.items()},
        ("8 K/min", "300 degC/h"),
        "K, degC or degF per s, min or h",
    ),
    "power": Dimension("a power", "watt", _spellings(("W", "watt"), ("kW", "kilowatt")), ("2.5 kW", "900 W"), "W, kW"),
    "heat_transfer_coefficient": Dimension(
        "a heat transfer coefficient",
        "watt/meter**2/kelvin",
        _spellings(
            ("W/(m2 K),W/(m2K),W/m2/K,W/m2 K,W/m2K", "watt/meter**2/kelvin"),
            ("W/(m2 degC),W/m2/degC", "watt/meter**2/delta_degC"),
            ("BTU/(h ft2 degF),BTU/h/ft2/degF", "BTU/hour/foot**2/delta_degF"),
        ),
        ("7 W/(m2 K)",),
        "W/(m2 K), BTU/(h ft2 degF)",
    ),
    "conductance": Dimension(
        "a conductance",
        "watt/kelvin",
        _spellings(("W/K", "watt/kelvin"), ("W/degC", "watt/delta_degC"), ("BTU/(h degF)", "BTU/hour/delta_degF")),
        ("3 W/K",),
        "W/K, BTU/(h degF)",
    ),
    "heat_capacity": Dimension(
        "a heat capacity",
        "joule/kelvin",
        _spellings(
            ("J/K", "joule/kelvin"),
            ("J/degC", "joule/delta_degC"),
            ("kJ/K", "kilojoule/kelvin"),
            ("kJ/degC", "kilojoule/delta_degC"),
            ("BTU/degF", "BTU/delta_degF"),
        ),
        ("20 kJ/K",),
        "J/K, kJ/K, BTU/degF",
    ),
}
"""Every dimension by name."""


def to_si(text: object, dimension: str) -> float:
    """The value of `text` in SI: m, m2, kg, s, K, K/s, W, W/(m2 K), W/K or J/K.

    Parameters
    ----------
    text : str                 one number and one unit, for example ``"6 mm"``
    dimension : str            a key of `DIMENSIONS`

    Raises
    ------
    UnitError                  not a text, no number, no unit, unknown unit, unit of another kind, a value
                               that is not finite, a temperature below absolute zero

    Examples
    --------
    >>> to_si("25 min", "time")
    1500.0
    """
    kind = DIMENSIONS[dimension]
    if not isinstance(text, str):
        raise _error(f"{_not_text(text, kind)}; {_expected(kind)}", text, dimension)
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise _error(f"{quoted(text)} does not start with a number; {_expected(kind)}", text, dimension)
    unit = kind.units.get(_canonical(match["unit"]))
    if unit is None:
        raise _error(f"{quoted(text)} {_wrong_unit(match, dimension)}; {_expected(kind)}", text, dimension)
    value = _convert(float(match["value"].replace("\u2212", "-")), unit, kind.si)
    if not math.isfinite(value):
        raise _error(f"{quoted(text)} is too large a number; {_expected(kind)}", text, dimension)
    if dimension == "temperature" and value < 0.0:
        raise _error(f"{quoted(text)} is below absolute zero; {_expected(kind)}", text, dimension)
    return value


def pattern(dimension: str) -> str:
    """A regular expression, in the syntax JSON Schema uses, that the texts `to_si` accepts match."""
    # Longest first, so that engines without backtracking into alternatives still find "min" before "m".
    units = sorted(DIMENSIONS[dimension].units, key=lambda spelling: (-len(spelling), spelling))
    return rf"^\s*{_NUMBER}\s*({'|'.join(_tolerant(unit) for unit in units)})\s*$"


def quoted(value: object) -> str:
    """`value` as a message shows it: short, on one line, and a table or a list only by its kind."""
    if isinstance(value, str):
        text = "".join(c if c.isprintable() else "?" for c in value)
        return f'"{text}"' if len(text) <= _LONGEST_QUOTE else f'"{text[: _LONGEST_QUOTE - 3]}..."'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    # Python refuses to print integers of more than some thousand digits.
    if isinstance(value, int) and abs(value) >= 10**_LONGEST_QUOTE:
        return "a very long number"
    return str(value)[:_LONGEST_QUOTE]


def _canonical(unit: str) -> str:
    """One spelling for the many ways to type the same unit: ``W/m²·K``, ``cm^2``, ``° C``, ``K per min``."""
    text = unit.replace("\u00ba", "\u00b0").replace("\u02da", "\u00b0")
    text = unicodedata.normalize("NFKC", text).replace("\u03bc", "u").strip()
    text = re.sub(r"(\^|\*\*)(?=\s*2)", "", text)  # before a power only: "0 C^" is no temperature
    text = re.sub(r"(\bdeg(rees?)?|\u00b0)\s*", "deg", text)
    text = re.sub(r"\s+per\s+", "/", text)
    text = re.sub(r"\s*[\u00b7\u22c5*]\s*|\s+", " ", text)
    return re.sub(r"\s*([/()])\s*", r"\1", text)


def _tolerant(spelling: str) -> str:
    """The regular expression of what `_canonical` turns into `spelling`."""
    parts = {
        "deg": r"(deg(rees?)?|[\u00b0\u00ba\u02da])\s*",
        "2": r"((\^|\*\*)?2|\u00b2)",
        " ": r"(\s*[\u00b7\u22c5*]\s*|\s+)",
        "/": r"(\s*/\s*|\s+per\s+)",
        "(": r"\(\s*",
        ")": r"\s*\)",
        "um": r"[u\u00b5\u03bc]m",
    }
    return re.sub(r"deg|um|[2 /()]", lambda found: parts[found[0]], spelling)


def _not_text(value: object, kind: Dimension) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        unit = kind.examples[0].partition(" ")[2]
        number = quoted(value)
        return f'{number} has no unit; write it in quotes with its unit, such as "{number} {unit}"'
    return f"{quoted(value)} is not {kind.noun}"


def _wrong_unit(match: re.Match[str], dimension: str) -> str:
    """What is the matter with the unit, and what was probably meant."""
    written, unit = match["unit"].strip(), _canonical(match["unit"])
    if not unit:
        return "has no unit"
    if re.match(r",[0-9]", written):
        point = f"{match['value']}.{written[1:_LONGEST_QUOTE]}"
        return f"has a comma; write the decimal sign as a point, {quoted(point)}"
    if re.match(r"/[0-9]", written):
        return "is written as a fraction; write it as a decimal number"
    for other, kind in DIMENSIONS.items():
        if other != dimension and unit in kind.units:
            return f"is {kind.noun}, not {DIMENSIONS[dimension].noun}"
    known = list(DIMENSIONS[dimension].units)
    same_letters = [spelling for spelling in known if spelling.lower() == unit.lower()]
    near = same_letters or difflib.get_close_matches(unit[:_LONGEST_QUOTE], known, n=1, cutoff=0.7)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    return f"has the unknown unit {quoted(written)}{hint}"


def _expected(kind: Dimension) -> str:
    examples = " or ".join(f'"{example}"' for example in kind.examples)
    return f"expected {kind.noun} such as {examples} (units: {kind.shown})"


def _error(message: str, text: object, dimension: str) -> UnitError:
    return UnitError(message, text=text, expected=dimension)


def _convert(value: float, unit: str, si: str) -> float:
    return float(_registry().Quantity(value, unit).to(si).magnitude)


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()
