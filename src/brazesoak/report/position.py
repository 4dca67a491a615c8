"""How to stand the assembly in the furnace and in how many heats, as text and for machines."""

from __future__ import annotations

from typing import Any

from brazesoak.answer import Orientation, Plan, Posture
from brazesoak.report import format as fmt
from brazesoak.report.at_heat import is_tight


def position_sentence(plan: Plan) -> str:
    """The position, or the two of two heats; the reason why there is none."""
    o = plan.orientation
    if o is None:
        return ""
    if not o.heats:
        return _not_known(plan, o)
    tight = frozenset(j.name for j in plan.at_heat if is_tight(j))
    if len(o.heats) == 1:
        (only,) = o.heats
        left = f" But {o.reason}." if only.too_high else ""
        return f"{fmt.sentence(only.words)[:-1]}: {_lies(only, tight)}.{left}"
    first, second = o.heats
    return (
        f"Two heats, as no one position does for all joints; see the warnings. First {first.words}: "
        f"{_lies(first, tight)}. Then {second.words}: {_lies(second, tight)}."
    )


def position_on_card(plan: Plan) -> str:
    """The position for somebody at the furnace: without what the answer says to the one at the desk."""
    o = plan.orientation
    return position_sentence(plan) if o is None or o.heats else f"{_flat_where_it_can_be(plan)}."


def _flat_where_it_can_be(plan: Plan) -> str:
    climbs = [j.rise[0] for j in plan.at_heat if j.rise and not is_tight(j)]
    surely = f": it surely climbs {fmt.length(round(min(climbs), 3))} in these gaps" if climbs else ""
    return f"Lay the joints flat where you can; in one that stands the filler must climb{surely}"


def _not_known(plan: Plan, o: Orientation) -> str:
    return (
        f'Not computed: {o.reason}. {_flat_where_it_can_be(plan)}. With the size and the place ("at") '
        "of every segment the answer tells which lie flat, and whether one heat will do."
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
