"""Checks on a plan: each finds something that would spoil the heat, and says what, why, what to do and its source."""

from __future__ import annotations

from ...answer import Notice
from . import cooling, fluxes, furnaces, joints, limits, metals, parts, position
from .case import Case
from .parts import biot, doubt, uneven_inside

__all__ = ["Case", "biot", "check_plan", "doubt", "uneven_inside"]


def check_plan(case: Case) -> tuple[Notice, ...]:
    """Every notice on a plan, the gravest kind first, each once."""
    checks = (
        metals.not_in_air, metals.cadmium, metals.melts, parts.sealed, metals.phosphorus, parts.blind_holes,
        metals.brass_on_brass, metals.near_solidus,
        limits.no_hold, joints.set_point_band, fluxes.working_range, fluxes.metals, fluxes.use, fluxes.life,
        position.two_heats, position.stands_too_high,
        joints.liquation, joints.gaps, joints.cooling_strain, metals.transformation, joints.long_at_heat,
        limits.sensitised, limits.uneven, furnaces.never, furnaces.not_sure, parts.inner_gradients, parts.far_ends,
        parts.undeclared, position.turned, cooling.opened_hot, cooling.softens, cooling.hardens,
        furnaces.no_room, furnaces.one_lump, furnaces.overshoot, furnaces.program_waits,
        furnaces.ramp_not_followed,
    )  # fmt: skip
    found = [notice for check in checks for notice in check(case)]
    return tuple(dict.fromkeys(found))
