"""The furnaces of the library side by side, each empty and at full power."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import FurnaceRow
from ..bridge.chamber import empty_heat, steady_loss
from ..thermal.furnace import Profile, Surroundings
from .chambers import library_chamber

if TYPE_CHECKING:
    from ..trade.records import Furnace

TO = 750.0 + ZERO_CELSIUS
"""Where the furnaces are compared [K]: a usual set-point for silver brazing. Common practice, no source."""
ROOM = 20.0 + ZERO_CELSIUS


def compare_furnaces(furnaces: Iterable[Furnace]) -> tuple[FurnaceRow, ...]:
    """Every furnace with a chamber, in the order given; an ideal one has no heat of its own."""
    rows = []
    for furnace in furnaces:
        chamber = library_chamber(furnace)
        if chamber is None or furnace.volume is None:
            continue
        program = Profile(np.array([0.0, 1.0]), np.array([ROOM, TO]))
        s = Surroundings(program, furnace.film.use, chamber, furnace.clock_band, ROOM)
        holding = steady_loss(chamber, TO, ROOM, s.film)
        empty = empty_heat(s, TO)
        rows.append(FurnaceRow(furnace.id, chamber.power, furnace.volume, empty.time, empty.heat, holding))
    return tuple(rows)
