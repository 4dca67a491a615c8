"""A furnace, and what its lining and shelf are made of, as plain text."""

from __future__ import annotations

from .furnace_records import Furnace, Refractory
from .lines import Lines, by, celsius, entry, spread, title


def furnace_lines(f: Furnace) -> Lines:
    """A furnace in full."""
    lines = title(f.name, f.id)
    lines += entry("kind", f.kind)
    chamber = (
        ("power", f.power, "W"),
        ("lump heat capacity" if f.interior else "heat capacity", f.chamber_heat_capacity, "J/K"),
        ("lump loss" if f.interior else "loss conductance", f.loss_conductance, "W/K"),
        ("wall area", f.wall_area, "m2"),
        ("volume", None if f.volume is None else f.volume * 1e3, "L"),
    )
    for name, value, unit in chamber:
        lines += [] if value is None else entry(name, f"{value:g} {unit}")
    lines += _interior(f)
    lines += entry("convection", f"{spread(f.film)} W/(m2 K) {by(f.film)}")
    lines += entry("wall emissivity", f"{spread(f.wall_emissivity)} {by(f.wall_emissivity)}")
    lines += entry("uniformity", f"{spread(f.uniformity)} K {by(f.uniformity)}")
    ramp = "full power" if f.default_ramp is None else f"{f.default_ramp * 60:g} K/min"
    lines += entry("default ramp", ramp)
    lines += entry("sensor lag", f"{f.sensor_time_constant:g} s")
    lines += entry("clock band", f"{f.clock_band:g} K")
    lines += entry("control band", f"{f.control_band:g} K ({f.control_source})")
    pid = (f.pid_band, f.integral_time, f.derivative_time)
    if None not in pid:
        lines += entry("PID", "band {:g} K, integral {:g} s, derivative {:g} s".format(*pid))
    lines += [] if f.hysteresis is None else entry("on-off", f"{f.hysteresis:g} K either way")
    lines += entry("source", f"{f.confidence}: {f.source}")
    lines += entry("notes", f.notes)
    if f.derivation:
        lines += ["", "Computed from"]
        for name, text in f.derivation:
            lines += entry(name, text, label=38)
    return lines


def _interior(f: Furnace) -> Lines:
    """The bodies of a furnace, its lining from the hot face outwards."""
    if f.interior is None:
        return []
    i, wire = f.interior, f.interior.elements
    lines = entry("inside", f"{i.inside * 1e3:g} mm, a cube ({i.confidence}: {i.source})")
    for layer in i.layers:
        text = f"{layer.thickness * 1e3:g} mm {layer.name}, {layer.density:g} kg/m3"
        lines += entry("lining", f"{text} ({layer.confidence}: {layer.source})")
    lines += entry("openings", f"{i.openings_conductance:g} W/K, leak of air {i.air_leak:g} W/K")
    lines += entry("case", f"{i.case_mass:g} kg, {i.outer_film:g} W/(m2 K) to the room")
    text = (
        f"{wire.surface_load * 1e-4:g} W/cm2, wire of {wire.wire_diameter * 1e3:g} mm, emissivity {wire.emissivity:g}"
    )
    lines += entry("elements", f"{text} ({wire.confidence}: {wire.source})")
    if i.shelf is not None:
        text = f"{i.shelf.thickness * 1e3:g} mm {i.shelf.name}, {i.shelf.area:g} m2"
        lines += entry("shelf", f"{text} ({i.shelf.confidence}: {i.shelf.source})")
    for p in i.pieces:
        text = f"{p.mass:g} kg, {p.area:g} m2, emissivity {p.emissivity:g}"
        lines += entry(p.name, f"{text} ({p.confidence}: {p.source})")
    return lines


def refractory_lines(r: Refractory) -> Lines:
    """A refractory in full."""
    lines = title(r.name, r.id)
    lines += entry("use", r.use)
    lines += entry("at most", f"{celsius(r.service_limit.value)} {by(r.service_limit)}")
    lines += entry("density", f"{r.density.value:g} kg/m3 {by(r.density)}")
    for name, table, unit in (
        ("conductivity", r.conductivity, "W/(m K)"), ("specific heat", r.specific_heat, "J/(kg K)")
    ):  # fmt: skip
        points = zip(table.temperature, table.value, strict=True)
        lines += entry(name, ", ".join(f"{v:g} at {celsius(T)}" for T, v in points) + f" {unit} {by(table)}")
    return lines + entry("notes", r.notes)
