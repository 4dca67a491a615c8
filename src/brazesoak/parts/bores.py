"""The bores of tubes and rings: how much of their wall is left bare, and what their ends let in. SI."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

from ..errors import GeometryError
from .contacts import CLOSE, through
from .shapes import RoundFace, Shape, overlap_area

if TYPE_CHECKING:
    from .assembly import Joint


@dataclass(frozen=True, slots=True)
class _Effect:
    """Of a joint on a bore: how many ends no longer lead outside, how much of them it closes [m2], and whether it
    leads on into another bore."""

    lost: int
    closed: float
    leads_on: bool = False


def bores(shaped: Sequence[Shape], joints: Sequence[Joint]) -> list[tuple[float, float]]:
    """Bare wall of each segment's own bore, and what is open of its two ends together [m2].

    Bores that open into each other are one cavity: it is closed where none of its ends leads outside.
    """
    ends = {i: 2 for i, shape in enumerate(shaped) if shape.bore}
    cavity = {i: i for i in ends}
    wall = {i: pi * shaped[i].bore * shaped[i].heights["end"] for i in ends}
    opening = {i: 2.0 * _hole(shaped[i].bore) for i in ends}
    for joint in joints:
        effects = {i: _effect(i, joint, shaped) for i in joint.segments if i in ends}
        for i, effect in effects.items():
            ends[i] -= effect.lost
            opening[i] -= effect.closed
            if joint.fit == "plug" and i == joint.segments[1]:
                wall[i] -= pi * shaped[i].bore * joint.depth
        if len(effects) == 2 and all(e.leads_on for e in effects.values()):
            one, other = (cavity[i] for i in joint.segments)
            cavity = {i: one if n == other else n for i, n in cavity.items()}
    outside = {n: sum(max(ends[i], 0) for i in ends if cavity[i] == n) for n in cavity.values()}
    return [
        (max(wall[i], 0.0), max(opening[i], 0.0) if outside[cavity[i]] > 0 else 0.0) if i in ends else (0.0, 0.0)
        for i in range(len(shaped))
    ]


def _hole(diameter: float) -> float:
    return 0.25 * pi * diameter**2


def _effect(i: int, joint: Joint, shaped: Sequence[Shape]) -> _Effect:
    """What a joint does to the bore of segment `i`."""
    me, other = shaped[i], shaped[joint.segments[1 - joint.segments.index(i)]]
    hole = _hole(me.bore)
    if other.kind == "lump":
        return _Effect(1, hole)  # its form is not known: closed, to be on the safe side
    if joint.fit != "plug":
        return _effect_of_flat(i, joint, me, other)
    if i == joint.segments[1]:
        ends = 2 if joint.depth >= me.heights["end"] - CLOSE else 1
        return _Effect(ends, ends * (hole - _hole(other.bore)), ends == 1 and other.bore > 0.0)
    if joint.depth >= through(other, joint) - CLOSE:
        return _Effect(0, 0.0)
    return _Effect(1, 0.0, True) if other.bore else _Effect(1, hole)


def _effect_of_flat(i: int, joint: Joint, me: Shape, other: Shape) -> _Effect:
    """The same for a flat joint: what the other's face leaves open."""
    hole = _hole(me.bore)
    try:
        face = other.faces[joint.faces[1 - joint.segments.index(i)]]
        covered = overlap_area(RoundFace(me.bore), face, joint.fit == "crossed")
    except GeometryError:  # the other's own bore is wider
        covered = 0.0
    if covered >= (1.0 - CLOSE) * hole:
        return _Effect(1, hole)
    return _Effect(1, covered, True) if other.bore else _Effect(0, covered)
