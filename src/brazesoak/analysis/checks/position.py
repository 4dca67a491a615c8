"""What the position of the load in the furnace asks for: a second heat, a narrower gap, a plan for it as it stands."""

from __future__ import annotations

from collections.abc import Iterator

from ...answer import JointAtHeat, Notice, Orientation
from ..assumptions import PRACTICE
from ..settings import ABOVE_LIQUIDUS
from .case import Case, is_one, quoted

CLIMB = "Jurin's law, its constants from memory"
OWN_AXIS = "z"
"""Upright in the job's own position."""


def two_heats(case: Case) -> Iterator[Notice]:
    """Joints of which no one position does for all."""
    o = case.orientation
    if o is None or len(o.heats) < 2:
        return
    first, second = o.heats
    after = (
        f"its filler is liquid {o.margin:.0f} K or more below the solidus of the first, whose joints stay solid if it "
        f"is planned at the usual set-point, {ABOVE_LIQUIDUS:.0f} K above its liquidus"
        if not o.remelts
        else f"at its set-point {case.joints_named(first.joints)} {_verb(first.joints, 'melts', 'melt')} again"
    )
    yield Notice(
        "two-heats",
        f"no one position does for all joints: {quoted(first.joints)} {first.words}, then {quoted(second.joints)} "
        f"{second.words}. In the second heat {after}.",
        f"{_one_heat(case, o)}Pin or wire the first joints so that they hold without filler, and flux them again "
        f"before the second heat{_fillers(o)}. Plan each heat with its own filler and set-point; this plan is one heat "
        "with all joints.",
        f"heights of the joints: computed from their places; climb: {CLIMB}; {o.margin:.0f} K: the usual set-point "
        f"({PRACTICE}) and the evenness of the furnace",
    )


def _fillers(o: Orientation) -> str:
    """What to take so that the first joints stay solid; empty where they do."""
    if not o.remelts:
        return ""
    ways = [
        *([f"take {_or(o.lower)} in the second heat"] if o.lower else []),
        *([f"take {_or(o.higher)} in the first"] if o.higher else []),
    ]
    if not ways:
        return "; no filler of the library spares them"
    return (
        f". The second filler should melt lower than the first: {', or '.join(ways)} (in the order of brazesoak "
        f"choose); with {o.margin:.0f} K between the first solidus and the second liquidus the first joints stay solid"
    )


def _one_heat(case: Case, o: Orientation) -> str:
    """The gaps with which one heat would do, a sentence; empty where the trade has no gap so narrow."""
    told = {j.name: j for j in case.at_heat}
    gaps = [(name, narrow_gap(told[name], height)) for name, height in o.heats[0].too_high]
    if any(gap is None for _, gap in gaps):
        return ""
    which = " and ".join(f'of "{name}" {1e3 * gap:.2g} mm or less' for name, gap in gaps if gap is not None)
    return f"Make the gap {which} at heat, and one heat does. Else: "


def stands_too_high(case: Case) -> Iterator[Notice]:
    """A joint that stands higher than its filler climbs."""
    o = case.orientation
    if o is None or len(o.heats) != 1:
        return
    told = {j.name: j for j in case.at_heat}
    for name, height in o.heats[0].too_high:
        j = told[name]
        surely = f"surely climbs only {j.rise[0] * 1e3:.0f} mm" if j.rise else "may not climb so far"
        yield Notice(
            "stands-too-high",
            f"{case.joints_named([name])} stands {height * 1e3:.3g} mm high in the furnace, and its filler {surely} in "
            "its gap: the top stays empty.",
            f"{_lower(j, height)}, or stand that joint flat in a heat of its own.",
            f"computed: {CLIMB}",
        )


def _lower(j: JointAtHeat, height: float) -> str:
    """What fills a joint of a height [m]: the gap in which filler climbs it, if the trade still has it, or foil."""
    foil = "lay foil of the filler into the gap over its whole height"
    narrow = narrow_gap(j, height)
    return foil.capitalize() if narrow is None else f"Make the gap {narrow * 1e3:.2g} mm or less at heat, {foil}"


def narrow_gap(j: JointAtHeat, height: float) -> float | None:
    """The widest gap at heat in which the filler surely climbs a `height` [m], see `capillary_rise`: the rise goes with
    one over the gap. None where it is below what the trade still has."""
    if j.gap is None or j.rise is None:
        return None
    narrow = j.gap * j.rise[0] / height
    return None if narrow < j.clearance[0] else min(narrow, j.clearance[1])


def turned(case: Case) -> Iterator[Notice]:
    """A position that is not the one that was computed."""
    o = case.orientation
    other = [] if o is None else [p for p in o.heats if p.axis != OWN_AXIS]
    if not other:
        return
    best = " and ".join(
        f"{quoted(p.joints)} {_verb(p.joints, 'is', 'are')} best brazed with the load {p.words}" for p in other
    )
    yield Notice(
        "other-position",
        f"{best}; the hold, the shade and the thermocouple told here are those of the job's own position, its "
        f"{OWN_AXIS} axis upright.",
        'Write the places of the segments ("at", "axis", "along") as the load will stand, and plan that.',
        "computed: the side that looks down at the shelf, and what hides what, change with the position",
    )


def _verb(names: tuple[str, ...], one: str, more: str) -> str:
    return one if is_one(names) else more


def _or(names: tuple[str, ...]) -> str:
    return " or ".join(names)
