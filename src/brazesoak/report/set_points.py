"""The map of set-points as a table, and for machines."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from brazesoak.report import format as fmt
from brazesoak.report.as_json import FORMAT_VERSION
from brazesoak.report.cautions import cautions_block
from brazesoak.report.layout import bullets, paragraph, table
from brazesoak.report.wording import job_lines

if TYPE_CHECKING:
    from brazesoak.analysis.set_points import Point, SetPoints

SCHEMA_FILE = "map.schema.json"
NONE_IS_ENOUGH = "none is enough"
"""Instead of a hold where too many heats never come to their target."""


def set_points_text(found: SetPoints, width: int = 100) -> str:
    """Table, recommendation, sources and cautions as plain text."""
    columns = _columns(found)
    rows = [tuple(cell(p) for cell in columns.values()) for p in found.points]
    plans = [p.plan for p in found.points if p.plan is not None]
    blocks = [*([job_lines(plans[0])] if plans else []), table(tuple(columns), rows, width)]
    broken = [f"{fmt.temperature_text(p.set_point)}: {fmt.sentence(p.why)}" for p in found.points if p.limits]
    if broken:
        blocks.append("LIMITS BROKEN\n" + bullets(broken, width))
    blocks.append(paragraph(advice(found), width))
    blocks.append("SOURCES\n" + bullets([fmt.sentence(note) for note in found.notes], width))
    if plans:
        blocks.append(cautions_block(plans[0].cautions, width))
    return "\n\n".join(blocks)


def advice(found: SetPoints) -> str:
    """What to set and why."""
    if found.best is None or found.best.plan is None:
        return fmt.typeset(found.reason)
    plan = found.best.plan
    return (
        f"Recommended: {fmt.temperature_text(found.best.set_point)} with a hold of {fmt.minutes(plan.hold_time)}. "
        f"{fmt.sentence(found.reason)} Computed as {plan.fidelity}."
    )


def in_band(found: SetPoints, p: Point) -> bool:
    """Whether a set-point lies in the trade's band."""
    return found.band[0] - 1e-6 <= p.set_point <= found.band[1] + 1e-6


def _columns(found: SetPoints) -> dict[str, Callable[[Point], str]]:
    """Heading and cell of each column; those that say nothing for this job are left out."""
    columns: dict[str, Callable[[Point], str]] = {
        "Set": lambda p: fmt.temperature_text(p.set_point) + (" *" if p is found.best else ""),
        "Trade's band": lambda p: "yes" if in_band(found, p) else "no",
        "Hold": _hold,
        "Total": lambda p: fmt.hours_minutes(p.held.hold_end) if p.held else "-",
        "Flux": _flux,
    }
    if any(p.scale is not None for p in found.points):
        columns["Scale"] = lambda p: "-" if p.scale is None else fmt.micrometres(p.scale)
    if any(p.sensitising_time is not None for p in found.points):
        columns["Sensitising"] = lambda p: "-" if p.sensitising_time is None else fmt.minutes(p.sensitising_time)
    if any(p.held and p.held.energy.heater is not None for p in found.points):
        columns["Heater"] = _heater
    columns["Limits broken"] = lambda p: ", ".join(dict.fromkeys(name for name, _ in p.limits)) or "none"
    return columns


def _hold(p: Point) -> str:
    if p.held is None:
        return NONE_IS_ENOUGH if p.plan else "-"
    return fmt.minutes(p.held.hold_time)


def _flux(p: Point) -> str:
    """Longest time any flux is at work, with its life."""
    if p.held is None:
        return "-"
    longest = max(p.held.joints, key=lambda joint: joint.flux_time)
    life = "no life known" if longest.flux_life is None else f"of {fmt.limit(longest.flux_life)}"
    return f"{fmt.minutes(longest.flux_time)} {life}"


def _heater(p: Point) -> str:
    heat = p.held.energy.heater if p.held else None
    return "-" if heat is None else fmt.energy(heat)


def set_points_json(found: SetPoints) -> dict[str, Any]:
    """The map as plain dictionaries, described key by key in ``map.schema.json``."""
    return {
        "format_version": FORMAT_VERSION,
        "band_C": [_round(fmt.celsius(T)) for T in found.band],
        "recommended_C": None if found.best is None else _round(fmt.celsius(found.best.set_point)),
        "reason": found.reason,
        "most_scale_um": _round(found.most_scale * 1e6),
        "points": [_point(found, p) for p in found.points],
        "notes": list(found.notes),
    }


def set_points_json_text(found: SetPoints) -> str:
    """Indented strict JSON."""
    return json.dumps(set_points_json(found), indent=2, ensure_ascii=False, allow_nan=False)


def _point(found: SetPoints, p: Point) -> dict[str, Any]:
    plan = p.held
    longest = max(plan.joints, key=lambda joint: joint.flux_time) if plan else None
    return {
        "set_point_C": _round(fmt.celsius(p.set_point)),
        "in_band": in_band(found, p),
        "works": p.works,
        "limits_broken": [{"name": name, "reason": reason} for name, reason in p.limits],
        "hold_time_min": None if plan is None else _minutes(plan.hold_time),
        "hold_end_min": None if plan is None else _minutes(plan.hold_end),
        "flux_time_min": None if longest is None else _minutes(longest.flux_time),
        "flux_life_min": None if longest is None else _minutes(longest.flux_life),
        "scale_um": None if p.scale is None else _round(p.scale * 1e6),
        "sensitising_time_min": _minutes(p.sensitising_time),
        "load_kJ": None if plan is None else _round(plan.energy.load * 1e-3),
        "heater_kJ": None if plan is None or plan.energy.heater is None else _round(plan.energy.heater * 1e-3),
    }


def _minutes(time: float | None) -> float | None:
    return None if time is None else _round(fmt.in_minutes(time))


def _round(value: float) -> float:
    return round(value, 9) + 0.0
