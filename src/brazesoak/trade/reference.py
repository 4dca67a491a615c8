"""What belongs to no single metal, filler or furnace: cautions, air, clearances, common practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from . import files
from .fields import Fields
from .properties import Table
from .quantities import confidence, spread, table
from .records import Caution, Spread

DATA = Path(__file__).parent / "data"
Row = Mapping[str, str | float | list[float]]

_ROWS = {
    "practice": ("joint_practice",),
    "soak-rules": ("soak_rule", "worked"),
    "contact": ("contact",),
    "furnace-facts": ("furnace_class", "thermocouple", "refractory", "surface", "convection", "power"),
    "emissivity-points": ("emissivity_point",),
}
"""Tables of rows in each file."""
_CLEARANCES = ("silver", "silver-cadmium", "copper-phosphorus", "brass", "copper", "carbide")


@dataclass(frozen=True, slots=True)
class Air:
    """Dry air at 101325 Pa against temperature.

    thermal_conductivity [W/(m K)], dynamic_viscosity [Pa s], density [kg/m3] : Table
    """

    thermal_conductivity: Table
    dynamic_viscosity: Table
    density: Table


@dataclass(frozen=True, slots=True)
class Practice:
    """Common practice and reference tables.

    Attributes
    ----------
    clearances : {family: Spread}   radial gap at brazing temperature [m] by filler family, and ``carbide``
    air : Air
    tables : {name: (row, ...)}     rows as in the data files, in the units written there, each with source
                                    and confidence: joint_practice, soak_rule, worked, contact,
                                    furnace_class, thermocouple, refractory, surface, convection, power,
                                    emissivity_point
    flux_clock : row                defaults behind the clocks of the flux files
    """

    clearances: Mapping[str, Spread]
    air: Air
    tables: Mapping[str, tuple[Row, ...]]
    flux_clock: Row


@cache
def cautions() -> tuple[Caution, ...]:
    """Every safety caution: hazard, in short, text, source, confidence."""
    return files.read_file(DATA / "safety.toml", _cautions)[0]


@cache
def practice() -> Practice:
    """Clearances, air and the tables of common practice."""
    air = files.read_file(DATA / "air.toml", _air)[0]
    read = {name: files.read_file(DATA / f"{name}.toml", _rows)[0] for name in _ROWS}
    clearances, flux_clock = read["practice"][1:]
    tables = {name: rows for found in read.values() for name, rows in found[0].items()}
    return Practice(clearances, air, tables, flux_clock)


@cache
def digests(what: str) -> dict[Path, str]:
    """SHA-256 of the files behind `cautions` (``safety``) or `practice` (``practice``)."""
    names = ("safety",) if what == "safety" else ("air", *_ROWS)
    return {DATA / f"{n}.toml": files.digest(DATA / f"{n}.toml") for n in names}


def _cautions(f: Fields, path: Path) -> tuple[Caution, ...]:
    found = []
    for c in f.sections("caution"):
        found.append(Caution(c.text("hazard"), c.text("short"), c.text("text"), c.text("source"), confidence(c)))
        c.close()
    return tuple(found)


def _air(f: Fields, path: Path) -> Air:
    return Air(
        table(f, "thermal_conductivity", "W/(m K)", "conductivity of air"),
        table(f, "dynamic_viscosity", "Pa s", "viscosity of air"),
        table(f, "density", "kg/m3", "density of air"),
    )


def _rows(f: Fields, path: Path) -> tuple[dict[str, tuple[Row, ...]], dict[str, Spread], Row]:
    """Tables of rows, clearances and flux clock of a file, as far as it has them."""
    tables: dict[str, tuple[Row, ...]] = {}
    for name in _ROWS[path.stem]:
        rows = f.sections(name)
        for row in rows:
            row.text("source")
            confidence(row)
        tables[name] = tuple({key: row.raw(key) for key in row.names()} for row in rows)
    if path.stem != "practice":
        return tables, {}, {}
    clearance, clock = f.section("clearance"), f.section("flux_clock")
    clearances = {family: spread(clearance, family, "mm") for family in _CLEARANCES}
    return tables, clearances, {key: clock.raw(key) for key in clock.names()}
