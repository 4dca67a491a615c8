"""Several copies of the load in one heat: what is taken for granted about them."""

from __future__ import annotations

from ..answer import Assumption
from ..thermal.layout import NoLayout
from .prepared import Prepared


def copies_note(prepared: Prepared) -> tuple[Assumption, ...]:
    """How copies are computed; nothing of a single load."""
    grid, beside = prepared.grid, prepared.neighbours
    if grid is None or beside is None:
        return ()
    x, y, z = (1e3 * e for e in prepared.box)
    cube = "; no places are known: a cube of the same surface" if isinstance(prepared.placement, NoLayout) else ""
    value = f"{grid.copies}, {grid.columns} by {grid.rows}, {grid.spacing * 1e3:.0f} mm apart"
    why = (
        "all are taken as the one with the most neighbours, which is the slowest; those are as warm as it and hide "
        f"{beside.view:.0%} of the furnace from its sides (boxes of {x:.0f} by {y:.0f} by {z:.0f} mm face to face"
        f"{cube}; copies across a corner are left out), the air reaches every side, and each has its equal share of "
        "the furnace; energies are those of all"
    )
    return (Assumption("copies", value, why),)
