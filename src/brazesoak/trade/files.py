"""One data file to one record: units of the file to SI, every entry checked, all faults named at once."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from brazesoak.errors import DataFileError

from . import records
from .fields import Fields
from .quantities import celsius, confidence, datum, spread, table
from .records import Filler, Flux, Metal

Record = TypeVar("Record")


def read_file(path: Path, read: Callable[[Fields, Path], Record]) -> tuple[Record, str]:
    """The record a data file describes, and the SHA-256 of the file.

    Raises
    ------
    DataFileError   not readable, not TOML, or one or more entries missing, unknown or wrong; all are named
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        message = f"{path}: cannot be read ({error.strerror}); check that it exists and that you may read it"
        raise DataFileError(message, path=path) from None
    try:
        fields = Fields(tomllib.loads(content.decode("utf-8")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        message = f"{path}: is not a TOML file in UTF-8: {error}; mend it there"
        raise DataFileError(message, path=path) from None
    record = read(fields, path)
    fields.close()
    fields.raise_faults(path)
    return record, hashlib.sha256(content).hexdigest()


def digest(path: Path) -> str:
    """SHA-256 of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def metal(f: Fields, path: Path) -> Metal:
    """Metal of a file under ``metals/``."""
    id_ = identity(f, path)
    name = f.text("name")
    solidus, liquidus = datum(f, "solidus", "degC"), datum(f, "liquidus", "degC")
    if solidus.value > liquidus.value:
        f.fault("solidus", "is above the liquidus", "give the lower temperature as the solidus")
    emissivity = f.section("emissivity")
    surfaces = {s: spread(emissivity, s, "1") for s in records.SURFACES}
    emissivity.close()
    in_air = f"emissivity in air of {name}"
    return Metal(
        id=id_,
        name=name,
        designations=f.texts("designations", ()),
        near=f.texts("near", ()),
        family=f.text("family", choices=records.METAL_FAMILIES),
        density=datum(f, "density", "kg/m3"),
        specific_heat=table(f, "specific_heat", "J/(kg K)", f"specific heat of {name}"),
        thermal_conductivity=table(f, "thermal_conductivity", "W/(m K)", f"conductivity of {name}"),
        expansion=table(f, "expansion", "1e-6/K mean from 20 C", f"expansion of {name}"),
        solidus=solidus,
        liquidus=liquidus,
        emissivity=surfaces,
        emissivity_in_air=table(f, "emissivity_in_air", "1", in_air) if f.has("emissivity_in_air") else None,
        transformation=f.text("transformation", ""),
        cautions=f.texts("cautions", ()),
        air_flux_brazing=f.boolean("air_flux_brazing"),
        zinc_bearing=f.boolean("zinc_bearing"),
        lead_bearing=f.boolean("lead_bearing"),
        hardenable=f.boolean("hardenable"),
        alternatives=f.text("alternatives", ""),
        path=path,
    )


def filler(f: Fields, path: Path) -> Filler:
    """Filler of a file under ``fillers/``."""
    density, fusion = datum(f, "density", "kg/m3"), datum(f, "heat_of_fusion", "kJ/kg")
    composition = f.section("composition_percent")
    share = {element: composition.number(element, "mass %", 0.0) for element in composition.names()}
    solidus, liquidus, low, high = (
        celsius(f, key) for key in ("solidus_C", "liquidus_C", "braze_low_C", "braze_high_C")
    )
    if solidus > liquidus:
        f.fault("solidus_C", "is above liquidus_C", "give the lower temperature as the solidus")
    if low > high:
        f.fault("braze_low_C", "is above braze_high_C", "exchange them")
    return Filler(
        id=identity(f, path),
        aws=f.text("aws", ""),
        iso=f.text("iso", ""),
        family=f.text("family", choices=records.FILLER_FAMILIES),
        composition=share,
        solidus=solidus,
        liquidus=liquidus,
        braze_low=low,
        braze_high=high,
        density=density.value,
        density_source=density.source,
        density_confidence=density.confidence,
        heat_of_fusion=fusion.value,
        heat_of_fusion_source=fusion.source,
        heat_of_fusion_confidence=fusion.confidence,
        cadmium=f.boolean("cadmium"),
        phosphorus=f.boolean("phosphorus"),
        source=f.text("source"),
        confidence=confidence(f),
        note=f.text("note", ""),
        path=path,
    )


def flux(f: Fields, path: Path) -> Flux:
    """Flux of a file under ``fluxes/``."""
    low, high = celsius(f, "active_low_C"), celsius(f, "active_high_C")
    if low >= high:
        f.fault("active_low_C", "is not below active_high_C", "give the lower end of the active range first")
    clock = f.section("clock")
    warn, stop = (clock.optional_number(key, "min", 0.0) for key in ("warn_after_min", "stop_after_min"))
    clock_source, clock_from = clock.text("source"), celsius(clock, "from_C")
    confidence(clock)
    clock.close()
    return Flux(
        id=identity(f, path),
        name=f.text("name"),
        standard=f.text("standard", ""),
        form=f.text("form", ""),
        active_low=low,
        active_high=high,
        constituents=f.text("constituents", ""),
        suited_text=f.text("suited_text"),
        suited_families=f.texts("suited_families", choices=records.METAL_FAMILIES),
        furnace_use=f.boolean("furnace_use"),
        residue=f.text("residue", ""),
        life_test_required=f.text("life_test_required", ""),
        working_life_note=f.text("working_life_note", ""),
        clock_from=clock_from,
        warn_after=None if warn is None else 60.0 * warn,
        stop_after=None if stop is None else 60.0 * stop,
        clock_source=clock_source,
        source=f.text("source"),
        confidence=confidence(f),
        note=f.text("note", ""),
        path=path,
    )


def identity(f: Fields, path: Path) -> str:
    """The id of a record, which must be the name of its file."""
    found = f.text("id")
    if found and found != path.stem:
        f.fault("id", f'is "{found}"', f'it must be the file\'s name, "{path.stem}": rename one of the two')
    return found
