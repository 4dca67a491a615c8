"""The trade's rule of thumb beside the physics."""

from __future__ import annotations

from ..parts.assembly import Assembly
from ..thermal.model import Body

HOUR_PER_KILOGRAM = 3600.0
"""[s/kg] after the furnace reaches temperature. Common practice, no source."""
ALIKE = 0.15
"""Holds closer than this, relative, are called alike."""


def rule_of_thumb(mass: float) -> float:
    """One hour per kilogram [s]."""
    return HOUR_PER_KILOGRAM * mass


def too_long(rule: float, computed: float) -> str:
    """By how much a rule's time is longer than the computed one [s]; empty where it is not, or alike."""
    if computed <= 0.0 or rule > 20.0 * computed:
        return "far too long"
    return f"{rule / computed:.1f} times too long" if rule > (1.0 + ALIKE) * computed else ""


def rule_sentence(
    hold: float, clock_start: float, assembly: Assembly, bodies: tuple[Body, ...], set_point: float, copies: int = 1
) -> str:
    """Why the hold and the rule of one hour per kilogram differ, in one sentence.

    Parameters
    ----------
    hold, clock_start : float   recommended hold, and when the furnace reaches temperature [s]
    copies : int                of the assembly in the heat; the rule counts them all
    """
    mass, area = assembly.mass, sum(s.exposed_area for s in assembly.segments)
    rule = rule_of_thumb(copies * mass)
    grey = _mean_emissivity(bodies, set_point)
    tone = "dark" if grey > 0.6 else "bright" if grey < 0.35 else "half-dark"
    cause = (
        f"heat enters through the surface, here {1e4 * area / mass:.0f} cm2 for each kilogram, once hot on the whole "
        f"{tone} (emissivity {grey:.2f}), and the rule knows only the mass"
    )
    if clock_start > hold:
        cause = f"the load warms with the furnace for {clock_start / 60.0:.0f} min before the clock starts; {cause}"
    if excess := too_long(rule, hold):
        return f"One hour per kilogram would be {excess}: {cause}."
    if rule / hold < 1.0 - ALIKE:
        return f"One hour per kilogram would be too short, {rule / hold:.0%} of what is needed: {cause}."
    return f"One hour per kilogram comes out about right here, by chance: {cause}."


def _mean_emissivity(bodies: tuple[Body, ...], set_point: float) -> float:
    import numpy as np

    area = np.array([b.exposed_area for b in bodies])
    at_heat = np.array([np.interp(set_point - 50.0, *b.emissivity) for b in bodies])
    return float((area * at_heat).sum() / area.sum())
