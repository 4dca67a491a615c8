"""The shortest program for machines; keys and units as in `programs_json`."""

from __future__ import annotations

import json
from typing import Any

from brazesoak.programs import Found, Tried
from brazesoak.report.best_text import job_lines
from brazesoak.report.format import celsius, in_minutes
from brazesoak.report.programs_json import broken_json, tried_json


def best_json_text(found: Found) -> str:
    """Indented strict JSON."""
    return json.dumps(best_json(found), indent=2, ensure_ascii=False, allow_nan=False)


def best_json(found: Found) -> dict[str, Any]:
    """As plain dictionaries, lists, strings and finite numbers; `best` is null where no program
    loaded cold keeps the limits, `answer` says which one `job_file` sets: ``best``, ``loaded_hot`` or null."""
    plan = found.answer_plan or found.plan
    answer = found.answer
    return {
        "title": plan.title,
        "job_path": plan.job_path,
        "fidelity": plan.fidelity,
        "best": _or_none(found.best),
        "answer": None if answer is None else "best" if answer is found.best else "loaded_hot",
        "job_file": None if answer is None else job_lines(answer.program),
        "own": tried_json(found.own),
        "nearest": _or_none(found.nearest),
        "loaded_hot": _or_none(found.hot),
        "impossible": [{**broken_json(i.least), "alone": i.alone} for i in found.impossible],
        "by_difference": [tried_json(t) for t in found.by_difference],
        "by_flux": [tried_json(t) for t in found.by_flux],
        "ceilings": [
            {"limit": c.name, "latest_min": round(in_minutes(c.latest), 6), "reason": c.reason}
            for c in (plan.window.ceilings if plan.window else ())
        ],
        "set_points_C": [round(celsius(T), 6) for T in found.set_points],
        "tried": len(found.tried),
        "within_limits": sum(t.works for t in found.tried),
        "seed": found.seed,
        "warnings": [{"code": w.code, "message": w.message, "action": w.action} for w in plan.warnings],
        "cautions": [{"hazard": c.hazard, "text": c.text, "source": c.source} for c in plan.cautions],
    }


def _or_none(tried: Tried | None) -> dict[str, Any] | None:
    return None if tried is None else tried_json(tried)
