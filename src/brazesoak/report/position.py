"""How to stand the assembly in the furnace and in how many heats, as text and for machines."""

from __future__ import annotations

from typing import Any

from brazesoak.answer import Orientation, Plan, Posture
from brazesoak.report import format as fmt
from brazesoak.report.at_heat import is_tight


def position_sentence(plan: Plan) -> str:
    """The position, or the two of two heats; empty when the places of the parts are not known."""
    o = plan.orientation
    if o is None or not o.heats:
        return ""
    tight = frozenset(j.name for j in plan.at_heat if is_tight(j))
    if len(o.heats) == 1:
        (only,) = o.heats
        left = f" But {o.reason}." if only.too_high else ""
        return f"{fmt.sentence(only.words)[:-1]}: {_lies(only, tight)}.{left}"
    first, second = o.heats
    return (
        f"Two heats, as no one position does for all joints. First {first.words}: {_lies(first, tight)}. Then "
        f"{second.words}: {_lies(second, tight)}. {_again(o)}"
    )


def _lies(p: Posture, tight: frozenset[str]) -> str:
    """How the joints lie; of one whose gap is too `tight` at heat nothing is said to climb."""
    parts = []
    if p.flat:
        every = len(p.flat) == len(p.joints) > 1 and not p.too_high
        some = f"{_named(p.flat)} {'lie' if len(p.flat) > 1 else 'lies'} flat"
        parts.append("every joint lies flat" if every else some)
    for name, height in p.climbs:
        climbs = "but its gap is too narrow" if name in tight else "which its filler climbs"
        parts.append(f'"{name}" stands {fmt.length(height)} high, {climbs}')
    for name, height in p.too_high:
        parts.append(f'"{name}" stands {fmt.length(height)} high, more than its filler surely climbs')
    return "; ".join(parts)


def _named(names: tuple[str, ...]) -> str:
    quoted = [f'"{n}"' for n in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _again(o: Orientation) -> str:
    """What the second heat asks for."""
    held = "Pin or wire the first joints and flux them again before the second heat"
    if not o.remelts:
        return f"{held}; its filler melts {fmt.difference_text(o.margin)} or more below them."
    ways = [
        *([f"take {_or(o.lower)} in the second heat"] if o.lower else []),
        *([f"take {_or(o.higher)} in the first"] if o.higher else []),
    ]
    if not ways:
        return f"{held}: they melt again, and no filler of the library spares them."
    return (
        f"{held}: they melt again. Better {' or '.join(ways)}: with {fmt.difference_text(o.margin)} between the first "
        "solidus and the second liquidus the first joints stay solid."
    )


def _or(names: tuple[str, ...]) -> str:
    return " or ".join(names)


def position_json(o: Orientation) -> dict[str, Any]:
    """Heats, every posture that was tried, and fillers for two heats."""
    return {
        "reason": o.reason,
        "heats": [_posture(p) for p in o.heats],
        "tried": [_posture(p) for p in o.tried],
        "first_joints_remelt": o.remelts,
        "margin_K": round(o.margin, 9),
        "second_fillers": list(o.lower),
        "first_fillers": list(o.higher),
    }


def _posture(p: Posture) -> dict[str, Any]:
    return {
        "upright_axis": p.axis,
        "words": p.words,
        "joints": list(p.joints),
        "flat": list(p.flat),
        "climbs_mm": {name: round(height * 1e3, 9) for name, height in p.climbs},
        "too_high_mm": {name: round(height * 1e3, 9) for name, height in p.too_high},
    }
