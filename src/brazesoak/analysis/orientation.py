"""How to stand the assembly in the furnace: which joints lie flat, and in how many heats. Lengths in metres.

Filler stays in a joint that lies flat. In one that stands it has to hold itself up: the height it climbs in the hot gap
(Jurin's law, see `joint_at_heat`) must be that of the joint, by the low value of the climb.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from ..answer import JointAtHeat, Orientation, Posture
from ..bridge.placement import AXES, Box, Placement, normal
from ..thermal.layout import NoLayout
from .choice import rank
from .choice_fillers import Need
from .settings import ABOVE_LIQUIDUS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from ..parts.assembly import Assembly, Joint
    from ..trade.library import Library

TOUCHING = 1e-6
"""Faces nearer than this touch [m]."""
SUGGESTED = 3
"""Fillers that are named at most."""


def orientation(
    assembly: Assembly,
    placement: Placement | NoLayout,
    at_heat: Sequence[JointAtHeat],
    library: Library,
    superheat: float,
    hotter: float,
) -> Orientation:
    """Postures of the assembly and the heats that its joints need; without heats where no places are known.

    A second filler's liquidus must lie `margin` below the first's solidus, so that its heat at this program's own
    set-point does not melt the first joints again, even where the furnace is hottest.

    Parameters
    ----------
    hotter : float      by which a place in the furnace may be above the set-point [K]
    """
    margin = ABOVE_LIQUIDUS + hotter
    if isinstance(placement, NoLayout):
        return Orientation(f"the places of the parts are not known ({placement.reason})", (), (), margin, (), ())
    boxes = placement.boxes
    lowest = assembly.segments[min(range(len(boxes)), key=lambda i: boxes[i][0][2])].name
    tried = tuple(_posture(assembly, boxes, at_heat, up, _words(up, placement.is_pile, lowest)) for up in (2, 0, 1))
    heats, why = _fewest(tried, [j.name for j in assembly.joints])
    if shut := [j.name for j in at_heat if is_closed(j)]:
        shut_names = ", ".join(f'"{n}"' for n in shut)
        why += f"; {shut_names} has no gap left at heat, and must have a wider one"
    if len(heats) < 2:
        return Orientation(why, heats, tried, margin, (), ())
    named = {j.name: j for j in assembly.joints}
    first, second = ([named[n] for n in h.joints] for h in heats)
    solidus = min(j.filler.solidus for j in first)
    later = max(j.filler.liquidus for j in second)
    if later <= solidus - margin:
        return Orientation(why, heats, tried, margin, (), ())
    lower = _suited(assembly, second, library, superheat, lambda low, high: high <= solidus - margin)
    higher = _suited(assembly, first, library, superheat, lambda low, high: low >= later + margin)
    return Orientation(why, heats, tried, margin, lower, higher, remelts=True)


def _words(up: int, is_pile: bool, lowest: str) -> str:
    if up == 2:
        return f'standing with "{lowest}" at the bottom'
    return "lying on its side" if is_pile else f"turned so that the {AXES[up]} axis of the job points up or down"


def is_closed(told: JointAtHeat) -> bool:
    """Whether a joint has no gap left at heat: no position helps it, and none is the worse for it."""
    return told.gap is not None and told.gap <= 0.0


def _posture(
    assembly: Assembly,
    boxes: Sequence[Box],
    at_heat: Sequence[JointAtHeat],
    up: int,
    words: str,
) -> Posture:
    flat, climbs, too_high = [], [], []
    for joint, told in zip(assembly.joints, at_heat, strict=True):
        height = _height(joint, [boxes[i] for i in joint.segments], up)
        if height == 0.0:
            flat.append(joint.name)
        elif is_closed(told) or (told.rise is not None and told.rise[0] >= height):
            climbs.append((joint.name, height))
        else:
            too_high.append((joint.name, height))
    return Posture(AXES[up], words, (*flat, *(n for n, _ in climbs)), tuple(flat), tuple(climbs), tuple(too_high))


def _height(joint: Joint, boxes: Sequence[Box], up: int) -> float:
    """How high the filler has to climb in a joint with the axis `up` upright; 0 where it lies flat [m]."""
    one, other = boxes
    if joint.fit != "plug" and normal(one, other) == up:
        return 0.0
    # Of a plug: its depth where it stands, its diameter where it lies.
    return max(min(one[1][up], other[1][up]) - max(one[0][up], other[0][up]), TOUCHING)


def _fewest(tried: Sequence[Posture], names: Sequence[str]) -> tuple[tuple[Posture, ...], str]:
    """The heats that do for all joints, one if one does, and why; of equal postures the first."""

    def worth(p: Posture) -> tuple[int, int]:
        return len(p.joints), len(p.flat)

    best = max(tried, key=worth)
    if len(best.joints) == len(names):
        return (best,), "in this position every joint lies flat or its filler holds itself up"
    pairs = [(a, b) for a, b in combinations(tried, 2) if {*a.joints, *b.joints} >= set(names)]
    if not pairs:
        left = ", ".join(f'"{n}"' for n, _ in best.too_high)
        return (best,), f"in no position do all joints do, even with two heats: {left} must have a narrower gap"
    a, b = max(pairs, key=lambda pair: max(worth(pair[0]), worth(pair[1])))
    first, second = (a, b) if worth(a) >= worth(b) else (b, a)
    rest = tuple(n for n in second.joints if n not in first.joints)
    return (first, _only(second, rest)), "no one position does for all joints: two heats, the load turned between them"


def _only(p: Posture, names: Iterable[str]) -> Posture:
    """The posture for these joints alone; the others are solid by then."""
    kept = set(names)
    flat = tuple(n for n in p.flat if n in kept)
    return Posture(
        p.axis, p.words, tuple(n for n in p.joints if n in kept), flat, tuple(c for c in p.climbs if c[0] in kept), ()
    )


def _suited(
    assembly: Assembly,
    joints: Sequence[Joint],
    library: Library,
    superheat: float,
    melts: Callable[[float, float], bool],
) -> tuple[str, ...]:
    """Fillers of the library for these joints whose solidus and liquidus [K] do, best first; none with cadmium."""
    metals = tuple(
        {assembly.segments[i].metal.id: assembly.segments[i].metal for j in joints for i in j.segments}.values()
    )
    lowest = min((s.metal for s in assembly.segments), key=lambda m: m.solidus.value)
    found = rank(Need(metals, lowest, superheat, ""), library.fillers, library.fluxes).fillers
    return tuple(f.name for f in found if melts(f.solidus, f.liquidus))[:SUGGESTED]
