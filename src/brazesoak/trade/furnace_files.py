"""The data file of a furnace to its record: the furnace itself, its controller and the bodies of its chamber."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal, cast

from brazesoak.errors import UnknownNameError
from brazesoak_solvers.constants import ZERO_CELSIUS

from .fields import Fields
from .files import identity
from .furnace_records import (
    ChamberPiece,
    Furnace,
    FurnaceInterior,
    FurnaceShelf,
    HeatingElements,
    LiningLayer,
    Refractory,
)
from .quantities import confidence, datum, measure, spread, table

Find = Callable[[str], Refractory]
"""The refractory of a name; UnknownNameError with the nearest names."""
SHELF_AT = 600.0 + ZERO_CELSIUS
"""Temperature at which the properties of a shelf are taken [K]: half of the way up, and of the heat it takes."""

THICKEST = 2.0
"""A lining this many times as thick as its chamber is wide: from 2.24 on its shape factors tell no area any more."""

_BODIES = ("interior", "lining", "elements", "piece", "shelf")
_INTERIOR = {
    "inside": "mm", "outer_film": "W/(m2 K)", "openings_conductance": "W/K", "air_leak": "W/K", "case_mass": "kg",
    "case_specific_heat": "J/(kg K)",
}  # fmt: skip
_ELEMENTS = {
    "surface_load": "W/cm2", "wire_diameter": "mm", "radiating_share": "1", "density": "kg/m3",
    "specific_heat": "J/(kg K)", "emissivity": "1",
}  # fmt: skip
_SHELF = {
    "thickness": "mm", "area": "m2", "density": "kg/m3", "specific_heat": "J/(kg K)", "conductivity": "W/(m K)",
    "emissivity": "1",
}  # fmt: skip
_PIECE = {"mass": "kg", "specific_heat": "J/(kg K)", "area": "m2", "emissivity": "1"}
_CHAMBER = {"power": "W", "heat_capacity": "J/K", "loss_conductance": "W/K", "wall_area": "m2", "volume": "L"}
_CONTROL = {"sensor_time_constant": "s", "clock_band": "K", "control_band": "K"}
_CONTROLLER = {
    "pid_band": ("K", 0.1), "integral_time": ("s", 1.0), "derivative_time": ("s", 0.0), "hysteresis": ("K", 0.1),
}  # fmt: skip


def refractory(f: Fields, path: Path) -> Refractory:
    """Refractory of a file under ``refractories/``."""
    id_, name = identity(f, path), f.text("name")
    return Refractory(
        id_,
        name,
        f.text("use", choices=("lining", "shelf")),
        datum(f, "service_limit", "degC"),
        datum(f, "density", "kg/m3"),
        table(f, "conductivity", "W/(m K)", f"conductivity of {name}"),
        table(f, "specific_heat", "J/(kg K)", f"specific heat of {name}"),
        f.text("notes", ""),
        path,
    )


def furnace(f: Fields, path: Path, find: Find) -> Furnace:
    """Furnace of a file under ``furnaces/``; `find` finds what its lining and shelf are made of."""
    kind = f.text("kind", choices=("ideal", "chamber"))
    chamber: dict[str, float | None] = dict.fromkeys(_CHAMBER)
    if kind == "chamber":
        section = f.section("chamber")
        chamber = {key: measure(section, key, unit, 1e-9) for key, unit in _CHAMBER.items()}
        section.close()
    control = f.section("control")
    figures: dict[str, Any] = {key: measure(control, key, unit, 0.0) for key, unit in _CONTROL.items()}
    figures |= {
        key: measure(control, key, unit, least) if control.has(key) else None
        for key, (unit, least) in _CONTROLLER.items()
    }
    ramp = measure(control, "default_ramp", "K/min", 1e-9) if control.has("default_ramp") else None
    control_source = control.text("source")
    confidence(control)
    control.close()
    derivation = f.section("derivation") if f.has("derivation") else Fields({})
    return Furnace(
        id=identity(f, path),
        name=f.text("name"),
        kind=cast(Literal["ideal", "chamber"], kind),
        film=spread(f, "film", "W/(m2 K)"),
        wall_emissivity=spread(f, "wall_emissivity", "1"),
        power=chamber["power"],
        chamber_heat_capacity=chamber["heat_capacity"],
        loss_conductance=chamber["loss_conductance"],
        wall_area=chamber["wall_area"],
        volume=chamber["volume"],
        **figures,
        uniformity=spread(f, "uniformity", "K", signed=True),
        default_ramp=ramp,
        control_source=control_source,
        interior=_interior(f, find) if kind == "chamber" and any(f.has(key) for key in _BODIES) else None,
        derivation=tuple((key, str(derivation.raw(key))) for key in derivation.names()),
        source=f.text("source"),
        confidence=confidence(f),
        notes=f.text("notes", ""),
        path=path,
    )


def _interior(f: Fields, find: Find) -> FurnaceInterior:
    """The bodies of a chamber furnace: lining from the hot face outwards, elements, what stands inside."""
    layers = tuple(_layer(table_, find) for table_ in f.sections("lining"))
    if not layers:
        f.fault("lining", "is missing", "a furnace told in bodies needs its lining; begin each layer with [[lining]]")
    section, heater = f.section("interior"), f.section("elements")
    figures = {key: measure(section, key, unit, 0.0) for key, unit in _INTERIOR.items()}
    if not figures["inside"] > 0.0:
        section.fault("inside", "is 0", "give the edge of the cube inside the lining")
    elif sum(layer.thickness for layer in layers) > THICKEST * figures["inside"]:
        section.fault(
            "inside",
            "is less than half of the lining's thickness",
            "no shape factors of edges and corners are known for it; correct inside or the thickness of a layer",
        )
    wire = {key: measure(heater, key, unit, 1e-9) for key, unit in _ELEMENTS.items()}
    elements = HeatingElements(**wire, source=heater.text("source"), confidence=confidence(heater))
    pieces = tuple(_piece(table_) for table_ in f.sections("piece"))
    found = FurnaceInterior(
        **figures, layers=layers, elements=elements, pieces=pieces,
        shelf=_shelf(f.section("shelf"), find) if f.has("shelf") else None,
        source=section.text("source"), confidence=confidence(section),
    )  # fmt: skip
    heater.close()
    section.close()
    return found


def _layer(f: Fields, find: Find) -> LiningLayer:
    """A layer of a material of the library, or with properties of its own."""
    thickness, source, sure = measure(f, "thickness", "mm", 1e-3), f.text("source"), confidence(f)
    if f.has("material"):
        m = _material(f, find)
        found = LiningLayer(m.name, thickness, m.density.value, m.conductivity, m.specific_heat, source, sure)
    else:
        name = f.text("name")
        found = LiningLayer(
            name,
            thickness,
            measure(f, "density", "kg/m3", 1e-9),
            table(f, "conductivity", "W/(m K)", f"conductivity of {name}"),
            table(f, "specific_heat", "J/(kg K)", f"specific heat of {name}"),
            source,
            sure,
        )
    f.close()
    return found


def _material(f: Fields, find: Find) -> Refractory:
    """What a layer or a shelf is made of; of a name that nobody knows, any: the file is refused."""
    try:
        return find(f.text("material"))
    except UnknownNameError as error:
        near = ", ".join(f'"{s}"' for s in error.suggestions)
        hint = f"did you mean {near}?" if near else "see brazesoak data refractories"
        f.fault("material", f'is "{f.raw("material")}", which is no refractory of the library', hint)
        return find(_STAND_IN)


_STAND_IN = "dense-fireclay-brick"


def _shelf(f: Fields, find: Find) -> FurnaceShelf:
    """A shelf of a material of the library, or with properties of its own."""
    if f.has("material"):
        m = _material(f, find)
        own = ("thickness", "area", "emissivity")
        figures = {key: measure(f, key, _SHELF[key], 1e-9) for key in own} | {
            "density": m.density.value,
            "specific_heat": m.specific_heat.at(SHELF_AT, "hold"),
            "conductivity": m.conductivity.at(SHELF_AT, "hold"),
        }
        name = m.name.removesuffix(" shelf")
    else:
        figures, name = {key: measure(f, key, unit, 1e-9) for key, unit in _SHELF.items()}, f.text("name")
    found = FurnaceShelf(name=name, **figures, source=f.text("source"), confidence=confidence(f))
    f.close()
    return found


def _piece(f: Fields) -> ChamberPiece:
    figures = {key: measure(f, key, unit, 1e-9) for key, unit in _PIECE.items()}
    found = ChamberPiece(name=f.text("name"), **figures, source=f.text("source"), confidence=confidence(f))
    f.close()
    return found
