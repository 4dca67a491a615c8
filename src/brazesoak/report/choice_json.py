"""The chooser's answer for machines: keys as the values of `choices`, told in ``choice.schema.json``."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from typing import Any

from brazesoak.choices import Choices, FillerChoice, FluxChoice
from brazesoak.report.format import celsius

_KELVIN = {"ceiling", "solidus", "liquidus", "set_point", "active_low", "active_high"}


def choice_json_text(choices: Choices) -> str:
    """Indented strict JSON."""
    return json.dumps(_plain(choices), indent=2, ensure_ascii=False, allow_nan=False)


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    if not is_dataclass(value):
        return value
    found: dict[str, Any] = {}
    for field in fields(value):
        inner = getattr(value, field.name)
        if field.name in _KELVIN:
            found[f"{field.name}_C"] = round(celsius(inner), 6)
        else:
            found[field.name] = _plain(inner)
    if isinstance(value, FillerChoice | FluxChoice):
        found["points"] = round(value.points, 6)
    return found
