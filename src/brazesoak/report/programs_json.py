"""Programs side by side for machines: keys end with the unit; temperatures in degrees Celsius, times in minutes."""

from __future__ import annotations

import json
from typing import Any

from brazesoak.programs import Broken, Compared, Outcome, Program, Tried
from brazesoak.report.format import celsius, in_kilowatt_hours, in_minutes, ramp_per_minute

_DIGITS = 6


def compared_json_text(found: Compared) -> str:
    """Indented strict JSON."""
    return json.dumps(compared_json(found), indent=2, ensure_ascii=False, allow_nan=False)


def compared_json(found: Compared) -> dict[str, Any]:
    """As plain dictionaries, lists, strings and finite numbers."""
    plan, best = found.plan, found.shortest
    return {
        "title": plan.title,
        "job_path": plan.job_path,
        "fidelity": plan.fidelity,
        "confidence": None if plan.chances is None else plan.chances.confidence,
        "programs": [tried_json(t) for t in found.tried],
        "shortest": None if best is None else best.name,
        "warnings": [{"code": w.code, "message": w.message, "action": w.action} for w in plan.warnings],
        "cautions": [{"hazard": c.hazard, "text": c.text, "source": c.source} for c in plan.cautions],
    }


def tried_json(t: Tried) -> dict[str, Any]:
    """One program and what came of it; `heat` is null where it never arrives."""
    heat = None if t.outcome is None else _heat(t.outcome)
    return {"name": t.name, **program_json(t.program), "works": t.works, "refused": t.refused or None, "heat": heat}


def program_json(program: Program) -> dict[str, Any]:
    """What is to be set; a rate of null: as fast as the furnace can."""
    legs = [
        {
            "to_C": _round(celsius(leg.to)),
            "ramp_K_min": None if leg.rate is None else _round(ramp_per_minute(leg.rate)),
            "hold_min": _minutes(leg.hold),
        }
        for leg in program.legs
    ]
    return {
        "loading": "hot" if program.hot else "cold",
        "set_point_C": _round(celsius(program.set_point)),
        "legs": legs,
    }


def _heat(o: Outcome) -> dict[str, Any]:
    return {
        "total_min": _minutes(o.total),
        "hold_min": _minutes(o.hold),
        "clock_start_min": _minutes(o.clock_start),
        "flux_min": _minutes(o.flux),
        "joints": [
            {"name": j.name, "solidus_to_liquidus_min": _minutes(j.between), "flux_min": _minutes(j.flux)}
            for j in o.joints
        ],
        "first_to_last_joint_liquid_min": _minutes(o.melting_spread),
        "difference_within_K": None if o.within is None else _round(o.within),
        "difference_between_K": _round(o.across),
        "heater_kWh": None if o.heater is None else _round(in_kilowatt_hours(o.heater)),
        "load_kWh": _round(in_kilowatt_hours(o.load)),
        "ramps_take_min": [None if t is None else _minutes(t) for t in o.takes],
        "ramps_rest_min": [None if t is None else _minutes(t) for t in o.rests],
        "empty_furnace_min": None if o.before is None else _minutes(o.before),
        "empty_furnace_kWh": None if o.before_heat is None else _round(in_kilowatt_hours(o.before_heat)),
        "broken": [broken_json(b) for b in o.broken],
    }


def broken_json(b: Broken) -> dict[str, Any]:
    """A limit, and by how much it is broken."""
    over = {"over_min": _minutes(b.over)} if b.is_time else {"over_K": _round(b.over)}
    return {"limit": b.name, "reason": b.reason, **over, "remedy": b.remedy}


def _minutes(time: float) -> float:
    return _round(in_minutes(time))


def _round(value: float) -> float:
    return round(value, _DIGITS)
