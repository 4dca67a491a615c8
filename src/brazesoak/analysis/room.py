"""Whether the load and all its copies lie in the chamber, and clear of its walls. SI.

The chamber is taken as a cube of its volume; the load lies as its places say, copies beside each other on one level.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..parts.assembly import Assembly
from ..thermal.neighbours import Extents, Grid, most_copies

CLEARANCE = 0.02
"""A load stays this far from the walls, either side [m]. Common practice, no source."""
MOST_FILLED = 0.3
"""Share of the chamber that metal may fill. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Crowding:
    """Why there is no room: what is told of it, what to do, and whether the load does lie inside, only near a wall."""

    text: str
    action: str
    near: bool = False


def crowding(
    assembly: Assembly, box: Extents, placed: bool, grid: Grid | None, volume: float | None
) -> Crowding | None:
    """What crowds the chamber; None where nothing does or the furnace has no size.

    Parameters
    ----------
    box : Extents       around one load [m];  placed : bool    whether its places are known, so that the box is true
    grid : Grid or None     how copies stand; None of a single load
    volume : float or None  of the chamber [m3]
    """
    if volume is None:
        return None
    side = float(np.cbrt(volume))
    chamber = f"a chamber of {volume * 1e3:.0f} L, about {side * 1e3:.0f} mm each way"
    longest, subject, size = _longest(assembly, box, placed)
    if longest > side:
        lack = f"{(longest - side) * 1e3:.0f} mm more than the {side * 1e3:.0f} mm of {chamber.split(',')[0]}"
        return Crowding(f"{subject} is {size}, {lack}", "Measure the chamber; take a larger furnace.")
    filled = (1 if grid is None else grid.copies) * sum(s.volume for s in assembly.segments) / volume
    if filled > MOST_FILLED:
        text = f"the metal alone fills {filled:.0%} of {chamber}; with more than {MOST_FILLED:.0%} it heats unevenly"
        return Crowding(text, "Take a larger furnace, or less at a time.")
    if grid is not None:
        return _copies(grid, box, side, chamber)
    if longest > side - 2.0 * CLEARANCE:
        gap = 0.5 * (side - longest)
        text = (
            f"{subject} is {size} in {chamber}: {gap * 1e3:.0f} mm from the walls on either side, "
            f"{(CLEARANCE - gap) * 1e3:.0f} mm less than the {CLEARANCE * 1e3:.0f} mm wanted; elements heat what is so "
            "near unevenly"
        )
        return Crowding(text, "Turn the part, or take a larger furnace.", near=True)
    return None


def _longest(assembly: Assembly, box: Extents, placed: bool) -> tuple[float, str, str]:
    """The greatest length of the load [m], what is so long, and how its size is told.

    Where no places are known, no assembly is shorter than its longest part.
    """
    part = max(assembly.segments, key=lambda s: max(s.shape.sizes))
    length = max(part.shape.sizes)
    if placed and max(box) > length + 1e-6:
        return max(box), "the load", _size(box)
    return length, f'"{part.name}"', f"{length * 1e3:.0f} mm at its longest"


def _size(box: Sequence[float]) -> str:
    x, y, z = (f"{e * 1e3:.0f}" for e in box)
    return f"{x} by {y} mm and {z} mm high"


def _copies(grid: Grid, box: Extents, side: float, chamber: str) -> Crowding | None:
    """Copies that do not stand side by side."""
    room = most_copies(side - 2.0 * CLEARANCE, box, grid.spacing)
    if grid.copies <= room:
        return None
    x, y = grid.size(box)
    text = (
        f"{grid.copies} copies, {grid.columns} by {grid.rows} with {grid.spacing * 1e3:.0f} mm between them, take "
        f"{_size((x, y, box[2]))}; {chamber}, less {CLEARANCE * 1e3:.0f} mm at every wall, has room for {room}"
    )
    action = (
        "Take fewer copies, less space between them or a larger furnace; what stands on a second shelf is not computed."
    )
    return Crowding(text, action)
