"""The trade data as plain text: a list of one kind, or one item with its properties and their sources."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from brazesoak.errors import UnknownNameError
from brazesoak_solvers.constants import ZERO_CELSIUS

from .furnace_records import Furnace
from .library import Library
from .properties import Table
from .records import Datum, Filler, Flux, Metal, Spread

WIDTH = 100
"""Widest line."""
KINDS = ("metals", "fillers", "fluxes", "furnaces")
_LABEL = 20
_GAP = "  "
_GRID = (20, 100, 200, 300, 400, 500, 600, 650, 700, 750, 800, 900, 1000)
"""Where properties are shown [degC]."""
_PEAK_GRID = (720, 735, 760)
"""Where they are shown as well for a steel whose specific heat has a peak [degC]."""
_PEAK = 3.0
"""A peak is this many times the value at room temperature."""

Lines = list[str]


def list_text(library: Library, kind: str) -> str:
    """Every item of a kind, one to a line, no line longer than `WIDTH`.

    Raises
    ------
    UnknownNameError    `kind` is not one of `KINDS`
    """
    if kind == "metals":
        header: tuple[str, ...] = ("metal", "solidus", "liquidus", "name and designations")
        rows: list[tuple[str, ...]] = [
            (m.id, _c(m.solidus.value), _c(m.liquidus.value), _named(m)) for m in library.metals
        ]
    elif kind == "fillers":
        header = ("filler", "ISO 17672", "solidus", "liquidus", "brazing range", "composition, mass %")
        rows = [
            (f.name, f.iso, _c(f.solidus), _c(f.liquidus), _range(f.braze_low, f.braze_high), _alloy(f))
            for f in library.fillers
        ]
    elif kind == "fluxes":
        header = ("flux", "active range", "form", "standard", "suited to")
        rows = [
            (f.name, _range(f.active_low, f.active_high), f.form, f.standard, f.suited_text) for f in library.fluxes
        ]
    elif kind == "furnaces":
        header = ("furnace", "kind", "power", "name")
        rows = [(f.id, f.kind, _watts(f.power), f.name) for f in library.furnaces]
    else:
        raise UnknownNameError("kind of trade data", kind, KINDS)
    return _columns(header, rows)


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
    else:
        lines = _furnace(item)
    return "\n".join([*lines, "", *_entry("data file", str(item.path))])


def _metal(m: Metal) -> Lines:
    marks = {
        "holds zinc": m.zinc_bearing,
        "holds lead": m.lead_bearing,
        "can harden": m.hardenable,
        "not for flux brazing in air": not m.air_flux_brazing,
    }
    lines = _title(m.name, m.id)
    lines += _entry("designations", ", ".join(m.designations))
    lines += _entry("close relatives", ", ".join(m.near))
    lines += _entry("family", ", ".join([m.family, *(text for text, true in marks.items() if true)]))
    lines += _entry("solidus", f"{_c(m.solidus.value)} {_by(m.solidus)}")
    lines += _entry("liquidus", f"{_c(m.liquidus.value)} {_by(m.liquidus)}")
    lines += _entry("density", f"{m.density.value:g} kg/m3 {_by(m.density)}")
    lines += ["", "Emissivity (low, use, high)"]
    for surface, spread in m.emissivity.items():
        lines += _entry(surface, f"{_spread(spread)} {_by(spread)}")
    if m.emissivity_in_air is not None:
        points = zip(m.emissivity_in_air.temperature, m.emissivity_in_air.value, strict=True)
        text = ", ".join(f"{v:g} at {_c(T)}" for T, v in points)
        lines += _entry("bright, in air", f"{text} {_by(m.emissivity_in_air)} {m.emissivity_in_air.note}")
    lines += ["", *_property_table(m), *_property_sources(m), ""]
    lines += _entry("transformation", m.transformation)
    for caution in m.cautions:
        lines += _entry("caution", caution)
    return lines + _entry("other values found", m.alternatives)


def _property_table(m: Metal) -> Lines:
    columns: tuple[tuple[str, Table, Callable[[float], str]], ...] = (
        ("specific heat J/(kg K)", m.specific_heat, lambda v: f"{v:.0f}"),
        ("conductivity W/(m K)", m.thermal_conductivity, lambda v: f"{v:.1f}"),
        ("mean expansion 1e-6/K", m.expansion, lambda v: f"{v * 1e6:.1f}"),
    )
    lines = [_GAP.join(["     °C", *(f"{title:>22}" for title, _, _ in columns)])]
    cp = m.specific_heat.value
    grid = sorted(_GRID + _PEAK_GRID) if cp.max() > _PEAK * cp[0] else _GRID
    for celsius in grid:
        T = celsius + ZERO_CELSIUS
        cells = [show(t.at(T)) if _covers(t, T) else "-" for _, t, show in columns]
        if any(cell != "-" for cell in cells):
            lines.append(_GAP.join([f"{celsius:>7}", *(f"{cell:>22}" for cell in cells)]))
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
        read = "none" if table.published_up_to is None else f"up to {_c(table.published_up_to)}"
        form = "formula" if table.formula else f"{table.temperature.size} points, straight between"
        note = f" {table.note}" if table.note else ""
        text = f"{_range(*table.valid_range)}, {form}; read in a source: {read} {_by(table)}{note}"
        lines += _entry(name, text)
    return lines


def _filler(f: Filler) -> Lines:
    marks = [text for text, true in (("CADMIUM", f.cadmium), ("phosphorus", f.phosphorus)) if true]
    lines = _title(f"Filler metal {f.name}", f.id)
    lines += _entry("designations", ", ".join(f.designations))
    lines += _entry("family", ", ".join([f.family, *marks]))
    lines += _entry("composition", f"{_alloy(f)} mass %")
    lines += _entry("melts", f"{_c(f.solidus)} to {_c(f.liquidus)}, {f.melting_width:.0f} K wide {_by(f)}")
    lines += _entry("brazing range", _range(f.braze_low, f.braze_high))
    lines += _entry("density", f"{f.density:g} kg/m3 ({f.density_confidence}: {f.density_source})")
    fusion = f"{f.heat_of_fusion / 1e3:g} kJ/kg ({f.heat_of_fusion_confidence}: {f.heat_of_fusion_source})"
    return lines + _entry("heat of fusion", fusion) + _entry("note", f.note)


def _flux(f: Flux) -> Lines:
    limits = [
        f"{text} after {time / 60:g} min"
        for text, time in (("warn", f.warn_after), ("stop", f.stop_after))
        if time is not None
    ]
    lines = _title(f"Flux {f.name}", f.id)
    lines += _entry("standard", f.standard)
    lines += _entry("form", f.form)
    lines += _entry("active range", f"{_range(f.active_low, f.active_high)} {_by(f)}")
    lines += _entry("constituents", f.constituents)
    lines += _entry("suited to", f.suited_text)
    lines += _entry("taken as", ", ".join(f.suited_families) or "the source does not say")
    lines += _entry("furnace", "yes" if f.furnace_use else "no: made for the torch")
    lines += _entry("residue", f.residue)
    lines += _entry("life test required", f.life_test_required)
    lines += _entry("working life", f.working_life_note)
    clock = f"counted above {_c(f.clock_from)}; {', '.join(limits) or 'no limit known'} ({f.clock_source})"
    return lines + _entry("clock", clock) + _entry("note", f.note)


def _furnace(f: Furnace) -> Lines:
    lines = _title(f.name, f.id)
    lines += _entry("kind", f.kind)
    chamber = (
        ("power", f.power, "W"),
        ("lump heat capacity" if f.interior else "heat capacity", f.chamber_heat_capacity, "J/K"),
        ("lump loss" if f.interior else "loss conductance", f.loss_conductance, "W/K"),
        ("wall area", f.wall_area, "m2"),
        ("volume", None if f.volume is None else f.volume * 1e3, "L"),
    )
    for name, value, unit in chamber:
        lines += [] if value is None else _entry(name, f"{value:g} {unit}")
    lines += _interior(f)
    lines += _entry("convection", f"{_spread(f.film)} W/(m2 K) {_by(f.film)}")
    lines += _entry("wall emissivity", f"{_spread(f.wall_emissivity)} {_by(f.wall_emissivity)}")
    lines += _entry("uniformity", f"{_spread(f.uniformity)} K {_by(f.uniformity)}")
    ramp = "full power" if f.default_ramp is None else f"{f.default_ramp * 60:g} K/min"
    lines += _entry("default ramp", ramp)
    lines += _entry("sensor lag", f"{f.sensor_time_constant:g} s")
    lines += _entry("clock band", f"{f.clock_band:g} K")
    lines += _entry("control band", f"{f.control_band:g} K ({f.control_source})")
    pid = (f.pid_band, f.integral_time, f.derivative_time)
    if None not in pid:
        lines += _entry("PID", "band {:g} K, integral {:g} s, derivative {:g} s".format(*pid))
    lines += [] if f.hysteresis is None else _entry("on-off", f"{f.hysteresis:g} K either way")
    lines += _entry("source", f"{f.confidence}: {f.source}")
    lines += _entry("notes", f.notes)
    if f.derivation:
        lines += ["", "Computed from"]
        for name, text in f.derivation:
            lines += _entry(name, text, label=38)
    return lines


def _interior(f: Furnace) -> Lines:
    """The bodies of a furnace, its lining from the hot face outwards."""
    if f.interior is None:
        return []
    i, wire = f.interior, f.interior.elements
    lines = _entry("inside", f"{i.inside * 1e3:g} mm, a cube ({i.confidence}: {i.source})")
    for layer in i.layers:
        text = f"{layer.thickness * 1e3:g} mm {layer.name}, {layer.density:g} kg/m3"
        lines += _entry("lining", f"{text} ({layer.confidence}: {layer.source})")
    lines += _entry("openings", f"{i.openings_conductance:g} W/K, leak of air {i.air_leak:g} W/K")
    lines += _entry("case", f"{i.case_mass:g} kg, {i.outer_film:g} W/(m2 K) to the room")
    text = (
        f"{wire.surface_load * 1e-4:g} W/cm2, wire of {wire.wire_diameter * 1e3:g} mm, emissivity {wire.emissivity:g}"
    )
    lines += _entry("elements", f"{text} ({wire.confidence}: {wire.source})")
    if i.shelf is not None:
        text = f"{i.shelf.thickness * 1e3:g} mm {i.shelf.name}, {i.shelf.area:g} m2"
        lines += _entry("shelf", f"{text} ({i.shelf.confidence}: {i.shelf.source})")
    for p in i.pieces:
        text = f"{p.mass:g} kg, {p.area:g} m2, emissivity {p.emissivity:g}"
        lines += _entry(p.name, f"{text} ({p.confidence}: {p.source})")
    return lines


def _title(name: str, id_: str) -> Lines:
    return [f"{name} [{id_}]", "-" * min(WIDTH, len(name) + len(id_) + 3)]


def _entry(label_: str, text: str, label: int = _LABEL) -> Lines:
    """A label and its text, wrapped under itself; nothing where there is no text."""
    if not text:
        return []
    return _wrap(text, f"{label_:<{label}}")


def _wrap(text: str, start: str) -> Lines:
    """The text after `start`, wrapped under itself."""
    indent = " " * len(start)
    return textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=indent, break_on_hyphens=False)


def _columns(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Aligned columns; the last one wraps."""
    table = [tuple(header), *(tuple(row) for row in rows)]
    widths = [max(len(row[i]) for row in table) for i in range(len(header) - 1)]
    lines: Lines = []
    for row in table:
        start = _GAP.join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=False)) + _GAP
        lines += _wrap(row[-1], start) or [start.rstrip()]
        if row is table[0]:
            lines.append(_GAP.join("-" * n for n in [*widths, max(len(r[-1]) for r in table)])[:WIDTH])
    return "\n".join(lines)


def _by(item: Datum | Spread | Table | Filler | Flux) -> str:
    return f"({item.confidence}: {item.source})"


def _named(m: Metal) -> str:
    return f"{m.name}: {', '.join(m.designations)}" if m.designations else m.name


def _watts(power: float | None) -> str:
    return "" if power is None else f"{power:g} W"


def _spread(s: Spread) -> str:
    return f"{s.low:g}, {s.use:g}, {s.high:g}"


def _range(low: float, high: float) -> str:
    return f"{_number(low)}..{_c(high)}"


def _alloy(f: Filler) -> str:
    return " ".join(f"{element}{share:g}" for element, share in f.composition.items())


def _c(T: float) -> str:
    return f"{_number(T)} °C"


def _number(T: float) -> str:
    return f"{np.round(T - ZERO_CELSIUS):.0f}"
