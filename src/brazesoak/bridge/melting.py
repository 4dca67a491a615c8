"""When the filler of a joint melts and freezes, and what its contact is then."""

from __future__ import annotations

from brazesoak_solvers import Probe, Switch

from ..thermal.model import ThermalModel
from .discretise import DRY, FILLED, SOLID, Discrete


def warm_sides(d: Discrete) -> tuple[Probe, ...]:
    """Hottest point of each joint."""
    return tuple(Probe(p.index, "warm side", "greatest") for p in d.joints)


def switches(model: ThermalModel, d: Discrete) -> list[Switch]:
    """Molten is a joint when all of it is at the liquidus, solid when all of it is below the solidus, and again.

    Between the two it stays what it was, and a gap once filled is never dry again.
    """
    found = []
    for cold, warm, contact, number in zip(d.joints, warm_sides(d), model.contacts, d.contacts, strict=True):
        found += [
            Switch(cold, contact.liquidus, number, FILLED, after=DRY),
            Switch(warm, contact.solidus, number, SOLID, upwards=False, after=FILLED),
            Switch(cold, contact.liquidus, number, FILLED, after=SOLID),
        ]
    return found
