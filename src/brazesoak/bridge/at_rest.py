"""An empty furnace at rest at one temperature: what it loses, how hot its hot face and its elements are. SI."""

from __future__ import annotations

from dataclasses import dataclass

from scipy.optimize import brentq

from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from ..thermal.furnace import Chamber
from .lining import lining_grid


@dataclass(frozen=True, slots=True)
class AtRest:
    """Hot face, air and elements of a furnace at rest [K], and the power that keeps it so [W]."""

    hot_face: float
    air: float
    elements: float
    power: float


def at_rest(c: Chamber, inside: float, room: float, film: float) -> AtRest:
    """A furnace at rest whose display shows `inside` [K] in a room [K]; `film` is the air's [W/(m2 K)].

    The hot face takes from field and air what passes the lining and the openings; the elements give that and what the
    air carries off. A furnace that is one lump has one temperature.
    """
    b, loss = c.interior, steady_loss(c, inside, room, film)
    if b is None or inside <= room:
        return AtRest(inside, inside, inside, loss)
    share = _air_share(c, film)
    air = room + share * (inside - room)
    leak = b.air_leak * (air - room)
    through = (loss - leak) / (inside - room)  # its change with the few kelvin that the hot face is below is left out

    def taken(T: float, area: float, emissivity: float) -> float:
        return emissivity * area * STEFAN_BOLTZMANN * (inside**4 - T**4) + film * area * (air - T)

    def face(T: float) -> float:
        return taken(T, c.wall_area, c.wall_emissivity) - through * (T - room)

    hot_face = float(brentq(face, room, inside)) if through > 0.0 else inside
    power = through * (hot_face - room) + leak

    def elements(T: float) -> float:
        return taken(T, b.elements.area, b.elements.emissivity) + power

    highest = inside + 1.0
    while elements(highest) > 0.0:
        highest += 0.5 * inside
    return AtRest(hot_face, air, float(brentq(elements, room, highest)), power)


def steady_loss(chamber: Chamber, hot_face: float, room: float, film: float) -> float:
    """Heat lost in the steady state with all inside as hot as the hot face [K], to a room [K], in W."""
    lost = chamber.loss_conductance * (hot_face - room)
    b = chamber.interior
    if b is not None:
        lost += lining_grid(b.lining).steady_loss(hot_face, room)
        lost += b.air_leak * _air_share(chamber, film) * (hot_face - room)
    return lost


def _air_share(c: Chamber, film: float) -> float:
    """How far the air of an empty chamber is from the room's temperature to the walls' in the steady state."""
    if c.interior is None:
        return 1.0
    taken = film * (c.wall_area + c.interior.area)
    return taken / (taken + c.interior.air_leak) if taken > 0.0 else 1.0
