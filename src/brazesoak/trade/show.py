"""The trade data as plain text: a list of one kind, or one item with its properties and their sources."""

from __future__ import annotations

from collections.abc import Callable

from brazesoak.errors import UnknownNameError
from brazesoak_solvers.constants import ZERO_CELSIUS

from .furnace_records import Furnace
from .library import FOLDERS as KINDS
from .library import Library
from .lines import GAP, Lines, alloy, by, celsius, celsius_range, columns, entry, named, spread, title, watts
from .properties import Table
from .records import Filler, Flux, Metal
from .show_furnaces import furnace_lines, refractory_lines

_GRID = (20, 100, 200, 300, 400, 500, 600, 650, 700, 750, 800, 900, 1000)
"""Where properties are shown [degC]."""
_PEAK_GRID = (720, 735, 760)
"""Where they are shown as well for a steel whose specific heat has a peak [degC]."""
_PEAK = 3.0
"""A peak is this many times the value at room temperature."""


def list_text(library: Library, kind: str) -> str:
    """Every item of a kind, one to a line, no line longer than `WIDTH`.

    Raises
    ------
    UnknownNameError    `kind` is not one of `KINDS`
    """
    if kind == "metals":
        header: tuple[str, ...] = ("metal", "solidus", "liquidus", "name and designations")
        rows: list[tuple[str, ...]] = [
            (m.id, celsius(m.solidus.value), celsius(m.liquidus.value), named(m)) for m in library.metals
        ]
    elif kind == "fillers":
        header = ("filler", "ISO 17672", "solidus", "liquidus", "brazing range", "composition, mass %")
        rows = [
            (f.name, f.iso, celsius(f.solidus), celsius(f.liquidus), celsius_range(f.braze_low, f.braze_high), alloy(f))
            for f in library.fillers
        ]
    elif kind == "fluxes":
        header = ("flux", "active range", "form", "standard", "suited to")
        rows = [
            (f.name, celsius_range(f.active_low, f.active_high), f.form, f.standard, f.suited_text)
            for f in library.fluxes
        ]
    elif kind == "furnaces":
        header = ("furnace", "kind", "power", "name")
        rows = [(f.id, f.kind, watts(f.power), f.name) for f in library.furnaces]
    elif kind == "refractories":
        header = ("refractory", "use", "density", "at most", "name")
        rows = [
            (r.id, r.use, f"{r.density.value:g} kg/m3", celsius(r.service_limit.value), r.name)
            for r in library.refractories
        ]
    else:
        raise UnknownNameError("kind of trade data", kind, KINDS)
    return columns(header, rows)


def item_text(library: Library, name: str) -> str:
    """One item of any kind in full, no line longer than `WIDTH`.

    Raises
    ------
    UnknownNameError    nothing has that name; with the nearest names of all kinds
    """
    item = library.find(name)
    if isinstance(item, Metal):
        lines = _metal(item)
    elif isinstance(item, Filler):
        lines = _filler(item)
    elif isinstance(item, Flux):
        lines = _flux(item)
    elif isinstance(item, Furnace):
        lines = furnace_lines(item)
    else:
        lines = refractory_lines(item)
    return "\n".join([*lines, "", *entry("data file", str(item.path))])


def _metal(m: Metal) -> Lines:
    marks = {
        "holds zinc": m.zinc_bearing,
        "holds lead": m.lead_bearing,
        "can harden": m.hardenable,
        "not for flux brazing in air": not m.air_flux_brazing,
    }
    lines = title(m.name, m.id)
    lines += entry("designations", ", ".join(m.designations))
    lines += entry("close relatives", ", ".join(m.near))
    lines += entry("family", ", ".join([m.family, *(text for text, true in marks.items() if true)]))
    lines += entry("solidus", f"{celsius(m.solidus.value)} {by(m.solidus)}")
    lines += entry("liquidus", f"{celsius(m.liquidus.value)} {by(m.liquidus)}")
    lines += entry("density", f"{m.density.value:g} kg/m3 {by(m.density)}")
    lines += ["", "Emissivity (low, use, high)"]
    for surface, values in m.emissivity.items():
        lines += entry(surface, f"{spread(values)} {by(values)}")
    if m.emissivity_in_air is not None:
        points = zip(m.emissivity_in_air.temperature, m.emissivity_in_air.value, strict=True)
        text = ", ".join(f"{v:g} at {celsius(T)}" for T, v in points)
        lines += entry("bright, in air", f"{text} {by(m.emissivity_in_air)} {m.emissivity_in_air.note}")
    lines += ["", *_property_table(m), *_property_sources(m), ""]
    lines += entry("transformation", m.transformation)
    for caution in m.cautions:
        lines += entry("caution", caution)
    return lines + entry("other values found", m.alternatives)


def _property_table(m: Metal) -> Lines:
    columns: tuple[tuple[str, Table, Callable[[float], str]], ...] = (
        ("specific heat J/(kg K)", m.specific_heat, lambda v: f"{v:.0f}"),
        ("conductivity W/(m K)", m.thermal_conductivity, lambda v: f"{v:.1f}"),
        ("mean expansion 1e-6/K", m.expansion, lambda v: f"{v * 1e6:.1f}"),
    )
    lines = [GAP.join(["     °C", *(f"{title:>22}" for title, _, _ in columns)])]
    cp = m.specific_heat.value
    grid = sorted(_GRID + _PEAK_GRID) if cp.max() > _PEAK * cp[0] else _GRID
    for degrees in grid:
        T = degrees + ZERO_CELSIUS
        cells = [show(t.at(T)) if _covers(t, T) else "-" for _, t, show in columns]
        if any(cell != "-" for cell in cells):
            lines.append(GAP.join([f"{degrees:>7}", *(f"{cell:>22}" for cell in cells)]))
    return lines


def _covers(table: Table, T: float) -> bool:
    return table.valid_range[0] <= T <= table.valid_range[1]


def _property_sources(m: Metal) -> Lines:
    lines: Lines = ["", "Sources of the table (a dash is outside the range of the source)"]
    named = (
        ("specific heat", m.specific_heat),
        ("conductivity", m.thermal_conductivity),
        ("mean expansion", m.expansion),
    )
    for name, table in named:
        read = "none" if table.published_up_to is None else f"up to {celsius(table.published_up_to)}"
        form = "formula" if table.formula else f"{table.temperature.size} points, straight between"
        note = f" {table.note}" if table.note else ""
        text = f"{celsius_range(*table.valid_range)}, {form}; read in a source: {read} {by(table)}{note}"
        lines += entry(name, text)
    return lines


def _filler(f: Filler) -> Lines:
    marks = [text for text, true in (("CADMIUM", f.cadmium), ("phosphorus", f.phosphorus)) if true]
    lines = title(f"Filler metal {f.name}", f.id)
    lines += entry("designations", ", ".join(f.designations))
    lines += entry("family", ", ".join([f.family, *marks]))
    lines += entry("composition", f"{alloy(f)} mass %")
    lines += entry("melts", f"{celsius(f.solidus)} to {celsius(f.liquidus)}, {f.melting_width:.0f} K wide {by(f)}")
    lines += entry("brazing range", celsius_range(f.braze_low, f.braze_high))
    lines += entry("density", f"{f.density:g} kg/m3 ({f.density_confidence}: {f.density_source})")
    fusion = f"{f.heat_of_fusion / 1e3:g} kJ/kg ({f.heat_of_fusion_confidence}: {f.heat_of_fusion_source})"
    return lines + entry("heat of fusion", fusion) + entry("note", f.note)


def _flux(f: Flux) -> Lines:
    limits = [
        f"{text} after {time / 60:g} min"
        for text, time in (("warn", f.warn_after), ("stop", f.stop_after))
        if time is not None
    ]
    lines = title(f"Flux {f.name}", f.id)
    lines += entry("standard", f.standard)
    lines += entry("form", f.form)
    lines += entry("active range", f"{celsius_range(f.active_low, f.active_high)} {by(f)}")
    lines += entry("constituents", f.constituents)
    lines += entry("suited to", f.suited_text)
    lines += entry("taken as", ", ".join(f.suited_families) or "the source does not say")
    lines += entry("furnace", "yes" if f.furnace_use else "no: made for the torch")
    lines += entry("residue", f.residue)
    lines += entry("life test required", f.life_test_required)
    lines += entry("working life", f.working_life_note)
    clock = f"counted above {celsius(f.clock_from)}; {', '.join(limits) or 'no limit known'} ({f.clock_source})"
    return lines + entry("clock", clock) + entry("note", f.note)
