"""The kinds of value a job file holds, as types for the models: each reads, checks and describes itself.

After validation all quantities are plain floats in SI. The upper limits catch a slip of the unit ("60 m" for
"60 mm"); they are not advice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, partial
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, WithJsonSchema
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from brazesoak.errors import UnitError
from brazesoak.jobfile.units import DIMENSIONS, pattern, quoted, to_si
from brazesoak_solvers.constants import KILOWATT_HOUR

SURFACES = ("bright", "oxidised", "fluxed")
"""Surface conditions every metal of the library has an emissivity for."""

UNIFORMITY_CLASSES = ("class 1", "class 2", "class 3", "class 4", "class 5", "class 6")
"""Of furnaces, AMS 2750."""
LOWEST_EMISSIVITY = 0.02
HIGHEST_EMISSIVITY = 1.0
HIGHEST_PRICE = 1e6
"""Of a kilowatt hour, in whatever money."""
PRESSED = ': the roughness of machined faces keeps them that far apart; write gap = "0.01 mm" for parts that touch'
_LONGEST_NAME = 80
_LONGEST_PATH = 1000


def refused(message: str) -> PydanticCustomError:
    """The error a validator raises: `message` continues "<where>: "."""
    # The message travels as a value, so that braces in what the user wrote are not read as a template.
    return PydanticCustomError("refused", "{message}", {"message": message})


_limit = cache(to_si)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with a unit within limits, which are written as in a job file."""

    dimension: str
    high: str
    low: str | None = None
    """Smallest allowed value."""
    above: str | None = None
    """Limit that is itself not allowed."""
    way_out: str = ""
    """What to write instead of a value that is too small, where the limit does not say it all."""

    def read(self, text: object) -> float:
        """The value in SI; refuses what is no quantity of this dimension or outside the limits."""
        try:
            value = to_si(text, self.dimension)
        except UnitError as error:
            raise refused(str(error)) from None
        if self.above is not None and value <= _limit(self.above, self.dimension):
            raise refused(f"{quoted(text)} is too small; it must be greater than {self.above}")
        if self.low is not None and value < _limit(self.low, self.dimension):
            raise refused(f"{quoted(text)} is too small; it must be at least {self.low}{self.way_out}")
        if value > _limit(self.high, self.dimension):
            raise refused(f"{quoted(text)} is too large; it must be at most {self.high}; check the unit")
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validation by `read` alone."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """What editors are told: a text of this form."""
        kind = DIMENSIONS[self.dimension]
        return {"type": "string", "pattern": pattern(self.dimension), "examples": list(kind.examples)}


def _read_emissivity(value: object) -> float:
    number = _number(value)
    if number is None or not LOWEST_EMISSIVITY <= number <= HIGHEST_EMISSIVITY:
        raise refused(
            f"{quoted(value)} is not an emissivity; expected a number from {LOWEST_EMISSIVITY} to "
            f"{HIGHEST_EMISSIVITY:g} without quotes, such as 0.75"
        )
    return number


def _read_uniformity(value: object) -> str | float:
    """A class by its name, or a difference [K]."""
    if value in UNIFORMITY_CLASSES:
        return str(value)
    try:
        return Quantity("temperature_difference", low="0 K", high="300 K").read(value)
    except PydanticCustomError as error:
        if isinstance(value, str) and value.strip().lower().startswith("class"):
            classes = f"{UNIFORMITY_CLASSES[0]} to {UNIFORMITY_CLASSES[-1]}"
            raise refused(f"{quoted(value)} is no class; expected {classes}, or a difference such as 10 K") from None
        raise error


def _read_price(value: object) -> float:
    """Money for one joule, of a price for one kilowatt hour."""
    number = _number(value)
    if number is None or not 0.0 <= number <= HIGHEST_PRICE:
        raise refused(
            f"{quoted(value)} is not a price; expected a number from 0 to {HIGHEST_PRICE:g} without quotes, in "
            "your own money for one kWh, such as 0.30"
        )
    return number / KILOWATT_HOUR


def _read_confidence(value: object) -> float:
    number = _number(value)
    if number is None or not 0.0 < number < 1.0:
        raise refused(
            f"{quoted(value)} is not a confidence; expected a number above 0 and below 1 without quotes, such as 0.95"
        )
    return number


def _read_samples(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value not in _SAMPLES:
        raise refused(
            f"{quoted(value)} is not a number of samples; expected a power of two from {_SAMPLES[0]} to {_SAMPLES[-1]} "
            "without quotes, such as 64"
        )
    return value


def _read_copies(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_COPIES:
        raise refused(
            f"{quoted(value)} is not a number of copies; expected a whole number from 1 to {MOST_COPIES} without "
            "quotes, such as 4"
        )
    return value


MOST_COPIES = 1000
_SAMPLES = tuple(2**n for n in range(5, 17))


def _read_surface(value: object) -> str | float:
    if isinstance(value, str) and value in SURFACES:
        return value
    number = _number(value)
    if number is not None and LOWEST_EMISSIVITY <= number <= HIGHEST_EMISSIVITY:
        return number
    meant = ' (did you mean "oxidised"?)' if isinstance(value, str) and value.lower() == "oxidized" else ""
    words = ", ".join(f'"{word}"' for word in SURFACES)
    raise refused(
        f"{quoted(value)} is not a surface condition{meant}; expected {words} "
        f"or an emissivity from {LOWEST_EMISSIVITY} to {HIGHEST_EMISSIVITY:g} without quotes"
    )


def _read_text(longest: int, value: object) -> str:
    if not isinstance(value, str):
        raise refused(f"{quoted(value)} is not a text; write it in double quotes")
    name = value.strip()
    if not name:
        raise refused("the text is empty; write at least one character")
    if not name.isprintable():
        raise refused(f"{quoted(name)} holds a line break or a control character; remove it")
    if len(name) > longest:
        raise refused(f"{quoted(name)} is too long; at most {longest} characters fit")
    return name


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    # Compared before the conversion: a very long whole number does not fit a float. NaN compares false.
    return float(value) if abs(value) <= HIGHEST_EMISSIVITY else None


_EMISSIVITY_SCHEMA = {"type": "number", "minimum": LOWEST_EMISSIVITY, "maximum": HIGHEST_EMISSIVITY}

Length = Annotated[float, Quantity("length", above="0 mm", low="0.1 mm", high="10 m", way_out="; check the unit")]
Gap = Annotated[float, Quantity("length", low="0.01 mm", high="10 mm", way_out=PRESSED)]
ScaleThickness = Annotated[float, Quantity("length", above="0 mm", high="10 mm")]
Coordinate = Annotated[float, Quantity("length", low="-10 m", high="10 m")]
Area = Annotated[float, Quantity("area", above="0 mm2", high="100 m2")]
Mass = Annotated[float, Quantity("mass", above="0 g", high="5000 kg")]
Time = Annotated[float, Quantity("time", low="0 s", high="200 h")]
Lag = Annotated[float, Quantity("time", low="1 s", high="1 h")]
TipLag = Annotated[float, Quantity("time", low="0 s", high="10 min")]
Temperature = Annotated[float, Quantity("temperature", low="-60 degC", high="1800 degC")]
TemperatureDifference = Annotated[float, Quantity("temperature_difference", low="0 K", high="300 K")]
Band = Annotated[float, Quantity("temperature_difference", low="0.1 K", high="300 K")]
Offset = Annotated[float, Quantity("temperature_difference", low="-100 K", high="100 K")]
Ramp = Annotated[float, Quantity("ramp", above="0 K/min", high="100 K/s")]
Power = Annotated[float, Quantity("power", above="0 W", high="1000 kW")]
HeatTransferCoefficient = Annotated[
    float, Quantity("heat_transfer_coefficient", low="0 W/(m2 K)", high="10000 W/(m2 K)")
]
Conductance = Annotated[float, Quantity("conductance", low="0 W/K", high="10000 W/K")]
HeatCapacity = Annotated[float, Quantity("heat_capacity", above="0 J/K", high="1000000 kJ/K")]
Emissivity = Annotated[float, BeforeValidator(_read_emissivity), WithJsonSchema(_EMISSIVITY_SCHEMA)]
Uniformity = Annotated[
    str | float,
    BeforeValidator(_read_uniformity),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(UNIFORMITY_CLASSES)},
                {"type": "string", "pattern": pattern("temperature_difference"), "examples": ["10 K"]},
            ]
        }
    ),
]
Price = Annotated[
    float,
    BeforeValidator(_read_price),
    WithJsonSchema({"type": "number", "minimum": 0.0, "maximum": HIGHEST_PRICE}),
]
Confidence = Annotated[
    float,
    BeforeValidator(_read_confidence),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}),
]
Samples = Annotated[int, BeforeValidator(_read_samples), WithJsonSchema({"enum": list(_SAMPLES)})]
Copies = Annotated[
    int, BeforeValidator(_read_copies), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": MOST_COPIES})
]
Surface = Annotated[
    str | float,
    BeforeValidator(_read_surface),
    WithJsonSchema({"anyOf": [{"enum": list(SURFACES)}, _EMISSIVITY_SCHEMA]}),
]
Name = Annotated[
    str,
    BeforeValidator(partial(_read_text, _LONGEST_NAME)),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
Folder = Annotated[
    str,
    BeforeValidator(partial(_read_text, _LONGEST_PATH)),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
