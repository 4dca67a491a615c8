"""The answer for machines: strict JSON, documented key by key in ``answer.schema.json``.

Temperatures are in degrees Celsius, times in minutes from the start of the program, everything else in
the unit its key ends with. ``null`` for a time means that it does not come within the program.
"""

from __future__ import annotations

import json
import math
from typing import Any

from brazesoak.answer import Chances, FidelityRow, JointAnswer, Placing, Plan, SegmentAnswer, Window
from brazesoak.errors import SimulationError
from brazesoak.report.at_heat import at_heat_json
from brazesoak.report.format import celsius, in_minutes, ramp_per_minute
from brazesoak.report.position import position_json

SCHEMA_FILE = "answer.schema.json"
FORMAT_VERSION = 1
"""Rises when a key changes its meaning or goes away; new keys do not raise it."""

_DIGITS = 9
"""Decimals kept: far below any error of the model, and 730.0 stays 730.0 after the shift from kelvin."""


def plan_json(plan: Plan) -> dict[str, Any]:
    """The answer as plain dictionaries, lists, strings and finite numbers."""
    return {
        "format_version": FORMAT_VERSION,
        "title": plan.title,
        "job_path": plan.job_path,
        "furnace": plan.furnace,
        "furnace_is_ideal": plan.furnace_is_ideal,
        **_headline(plan),
        "segments": [_segment(segment) for segment in plan.segments],
        "joints": [_joint(joint, dict(plan.filler_amounts)) for joint in plan.joints],
        "joints_at_heat": [at_heat_json(joint) for joint in plan.at_heat],
        "limits": None if plan.window is None else _limits(plan.window),
        "position": None if plan.orientation is None else position_json(plan.orientation),
        "program": _program(plan),
        "drivers": _drivers(plan),
        "chances": None if plan.chances is None else _chances(plan.chances),
        "warnings": [
            {"code": item.code, "message": item.message, "action": item.action, "source": item.source}
            for item in plan.warnings
        ],
        "cautions": [
            {"hazard": item.hazard, "text": item.text, "source": item.source, "short": item.short or item.text}
            for item in plan.cautions
        ],
        "assumptions": [
            {"what": item.what, "value": item.value, "why": item.why, "table": item.table} for item in plan.assumptions
        ],
        "watch": list(plan.watch),
        "thermocouple": plan.thermocouple,
        "thermocouple_place": None if plan.placing is None else _placing(plan.placing),
        "energy": _energy(plan),
        "fidelities": [_fidelity(row) for row in plan.fidelities],
    }


def json_text(plan: Plan) -> str:
    """The answer as indented strict JSON."""
    return json.dumps(plan_json(plan), indent=2, ensure_ascii=False, allow_nan=False)


def answer_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of `plan_json`."""
    from importlib.resources import files

    schema: dict[str, Any] = json.loads(files("brazesoak.report").joinpath(SCHEMA_FILE).read_text(encoding="utf-8"))
    return schema


def _headline(plan: Plan) -> dict[str, Any]:
    return {
        "set_point_C": _celsius(plan.set_point),
        "set_point_reason": plan.set_point_reason,
        "hold_time_min": _minutes(plan.hold_time),
        "hold_doubt": plan.hold_doubt,
        "hold_time_nominal_min": _minutes(plan.hold_time_nominal),
        "hold_time_low_min": _minutes(plan.hold_time_low),
        "hold_time_high_min": _minutes(plan.hold_time_high),
        "clock_start_min": _minutes(plan.clock_start),
        "clock_band_K": _number(plan.clock_band),
        "display": plan.display,
        "overshoot_K": _number(plan.overshoot),
        "hold_end_min": _minutes(plan.hold_end),
        "superheat_K": _number(plan.superheat),
        "wanted_time_above_target_min": _minutes(plan.minutes_at_target),
        "ruling_joint": plan.ruling_joint,
        "ruling_reason": plan.ruling_reason,
        "rule_of_thumb_min": _minutes(plan.rule_of_thumb),
        "rule_sentence": plan.rule_sentence,
        "fidelity": plan.fidelity,
        "fidelity_reason": plan.fidelity_reason,
        "energy_balance_error": _exact(plan.energy_balance_error),
        "cells": plan.cells,
        "loaded_hot": plan.loaded_hot,
        "total_mass_kg": _number(plan.total_mass),
        "copies": plan.copies,
        "joints_solid_min": _minutes(plan.joints_solid),
        "safe_to_open_min": _minutes(plan.safe_to_open),
        "cooling": _cooling(plan),
        "opening_temperature_C": _celsius(plan.opening_temperature),
        "largest_difference_within_K": _optional(plan.largest_within, 1.0),
        "largest_difference_between_K": _optional(plan.largest_across, 1.0),
        "empty_furnace_min": _minutes(plan.empty_time),
        "empty_furnace_kJ": _optional(plan.empty_heat, 1e-3),
    }


def _segment(segment: SegmentAnswer) -> dict[str, Any]:
    return {
        "name": segment.name,
        "metal": segment.metal,
        "surface": segment.surface,
        "mass_kg": _number(segment.mass),
        "mass_on_grid_kg": _optional(segment.mass_on_grid, 1.0),
        "exposed_area_cm2": _number(segment.exposed_area * 1e4),
        "exposed_area_on_grid_cm2": _optional(segment.exposed_area_on_grid, 1e4),
        "thickest_section_mm": _number(segment.thickest_section * 1e3),
        "biot": _number(segment.biot),
        "passes_solidus_min": _minutes(segment.passes_solidus),
        "passes_liquidus_min": _minutes(segment.passes_liquidus),
        "peak_C": _celsius(segment.peak),
        "solidus_margin_K": _number(segment.solidus_margin),
        "scale_um": _optional(segment.scale, 1e6),
        "sensitising_time_min": _minutes(segment.sensitising_time),
    }


def _joint(joint: JointAnswer, amounts: dict[str, float]) -> dict[str, Any]:
    amount = amounts.get(joint.name)
    return {
        "name": joint.name,
        "segments": list(joint.segments),
        "filler": joint.filler,
        "filler_amount_mm3": _optional(amount, 1e9),
        "flux": joint.flux,
        "area_cm2": _number(joint.area * 1e4),
        "area_on_grid_cm2": _optional(joint.area_on_grid, 1e4),
        "gap_mm": _number(joint.gap * 1e3),
        "solidus_C": _celsius(joint.solidus),
        "liquidus_C": _celsius(joint.liquidus),
        "target_C": _celsius(joint.target),
        "passes_solidus_min": _minutes(joint.passes_solidus),
        "passes_liquidus_min": _minutes(joint.passes_liquidus),
        "passes_target_min": _minutes(joint.passes_target),
        "time_above_target_min": _minutes(joint.time_above_target),
        "time_between_solidus_and_liquidus_min": _minutes(joint.time_between_solidus_and_liquidus),
        "flux_time_min": _minutes(joint.flux_time),
        "time_error_min": _minutes(joint.time_error),
        "flux_life_min": _minutes(joint.flux_life),
        "flux_active_C": None if joint.flux_active is None else _celsius(joint.flux_active),
    }


def _limits(window: Window) -> dict[str, Any]:
    return {
        "works": window.works,
        "message": window.message,
        "remedy": window.remedy,
        "earliest_min": _minutes(window.earliest),
        "nominal_min": _minutes(window.nominal),
        "ceilings": [
            {
                "name": c.name,
                "latest_min": _minutes(c.latest),
                "violated": c in window.violated,
                "reason": c.reason,
                "remedy": c.remedy,
                "source": c.source,
            }
            for c in window.ceilings
        ],
    }


def _program(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "action": step.action,
            "temperature_C": None if step.temperature is None else _celsius(step.temperature),
            "rate_K_per_min": None if step.rate is None else _number(ramp_per_minute(step.rate)),
            "duration_min": _minutes(step.duration),
            "note": step.note,
            "takes_min": _minutes(step.takes),
        }
        for step in plan.program
    ]


def _drivers(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "name": driver.name,
            "low_input": driver.low_input,
            "high_input": driver.high_input,
            "hold_at_low_min": _minutes(driver.hold_at_low),
            "hold_at_high_min": _minutes(driver.hold_at_high),
            "source": driver.source,
        }
        for driver in plan.drivers
    ]


def _chances(chances: Chances) -> dict[str, Any]:
    return {
        "confidence": chances.confidence,
        "percentiles": [
            {
                "share": p.share,
                "hold_min": _minutes(p.hold),
                "standard_error_min": _minutes(p.standard_error),
                "hold_of_half_min": _minutes(p.hold_of_half),
                "passes_target_min": {name: _minutes(time) for name, time in p.passes_target.items()},
                "settling": [{"samples": n, "hold_min": _minutes(hold)} for n, hold in p.settling],
            }
            for p in chances.percentiles
        ],
        "samples": chances.samples,
        "seed": chances.seed,
        "never": _number(chances.never),
        "gave_up": chances.gave_up,
        "sampled_as": chances.sampled_as,
        "cells": chances.cells,
        "checked_on_cells": chances.checked_on,
        "model_error_min": _minutes(chances.model_error),
        "margin_min": _minutes(chances.margin),
        "measure": chances.measure,
    }


def _placing(placing: Placing) -> dict[str, Any]:
    return {
        "segment": placing.segment,
        "place": placing.place,
        "reading_C": _celsius(placing.reading),
        "expected_min": _minutes(placing.expected),
        "hold_min": _minutes(placing.hold),
        "needed_low_min": _minutes(placing.low),
        "needed_high_min": _minutes(placing.high),
        "needed_from_display_low_min": _minutes(placing.display_low),
        "needed_from_display_high_min": _minutes(placing.display_high),
        "thermocouple": placing.thermocouple,
        "time_constant_s": _number(placing.time_constant),
        "behind_K": _number(placing.behind),
        "delay_min": _minutes(placing.delay),
        "candidates": [
            {
                "place": c.place,
                "reading_C": _celsius(c.reading),
                "needed_low_min": _minutes(c.low),
                "needed_high_min": _minutes(c.high),
            }
            for c in placing.candidates
        ],
    }


def _cooling(plan: Plan) -> dict[str, Any] | None:
    way = plan.cooling
    if way is None:
        return None
    rates = [{"segment": n, "K_per_min": None if r is None else _number(r * 60.0)} for n, r in way.rates]
    return {
        "how": way.how,
        "safe_to_handle_min": _minutes(way.safe_to_handle),
        "from_700_to_500_C": rates,
        "may_quench": way.may_quench,
        "quench": way.quench,
    }


def _energy(plan: Plan) -> dict[str, Any]:
    heat = plan.energy
    values = {
        "load_kJ": heat.load,
        "chamber_kJ": heat.chamber,
        "shelf_kJ": heat.shelf,
        "door_kJ": heat.door,
        "lining_kJ": heat.lining,
        "losses_kJ": heat.losses,
        "heater_kJ": heat.heater,
    }
    in_kilojoules = {key: None if value is None else _number(value * 1e-3) for key, value in values.items()}
    return {**in_kilojoules, "cost": None if heat.cost is None else _number(heat.cost)}


def _fidelity(row: FidelityRow) -> dict[str, Any]:
    return {
        "fidelity": row.fidelity,
        "cells": row.cells,
        "hold_time_nominal_min": _minutes(row.hold_time_nominal),
        "ruling_joint": row.ruling_joint,
        "passes_target_min": {name: _minutes(time) for name, time in row.passes_target.items()},
        "energy_balance_error": _exact(row.energy_balance_error),
        "time_error_min": _minutes(row.time_error),
        "wall_time_s": _number(row.wall_time),
    }


def _celsius(temperature: float) -> float:
    return _number(celsius(temperature))


def _minutes(time: float | None) -> float | None:
    return None if time is None else _number(in_minutes(time))


def _optional(value: float | None, factor: float) -> float | None:
    return None if value is None else _number(value * factor)


def _number(value: float) -> float:
    return round(_exact(value), _DIGITS) + 0.0  # + 0.0 turns -0.0 into 0.0


def _exact(value: float) -> float:
    """The value as a plain float. An answer with a hole in it must not leave as one without."""
    if not math.isfinite(value):
        raise SimulationError(
            f"the answer holds {value} where a finite number was expected, so it cannot be given as JSON. "
            "This is a fault of the program: please report it together with the job file."
        )
    return float(value)
