"""What cooling means for the metals: whether a load may be quenched, and which steels may harden in air."""

from __future__ import annotations

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..parts.assembly import Assembly, Segment

HARDENED_FROM = 993.15
"""A steel hotter than this, 720 degC, was at least in part austenite (EN 1993-1-2 has its peak at 735 degC) [K]."""
IN_AIR = {"tool steel": 0.0, "martensitic stainless": 0.0, "alloy steel": 20.0 / 60.0, "cast iron": 20.0 / 60.0,
          "carbon steel": 300.0 / 60.0}  # fmt: skip
"""Cooling rate from 700 to 500 degC above which a family may harden [K/s]. Common practice, no source."""
QUENCHED_BELOW = 300.0 + ZERO_CELSIUS
"""Tin-bearing fillers crack when quenched from above [K]; source: the caution on quenching in the safety data."""
BRITTLE = ("cast iron", "carbide")


def quench(assembly: Assembly) -> tuple[bool, str]:
    """Whether the load may be quenched to loosen its flux, and why, one sentence. Common practice, no source."""
    segments = assembly.segments
    hard = [s for s in segments if s.metal.hardenable or s.metal.family in BRITTLE]
    if hard:
        return False, f'"{hard[0].name}" ({hard[0].metal.name.lower()}) may harden or crack in water'
    families = sorted({s.metal.family for s in segments})
    if len(families) > 1:
        return False, f"{' and '.join(families)} shrink differently, and the joint would be strained hot"
    if families[0] in IN_AIR:
        return False, "steel quenched from a red heat may harden and warps; the library does not know its carbon"
    if families[0] == "titanium":
        return False, "titanium brazed in air is not for service"
    return True, (
        f"all parts are {families[0]}, which does not harden: into warm water once the load is below "
        f"{QUENCHED_BELOW - ZERO_CELSIUS:.0f} degC and never hotter, with tongs and a face shield, for steam and flux "
        "spatter; a part with a closed bore never"
    )


def may_harden(segment: Segment, peak: float, rate: float | None) -> bool:
    """Whether a segment that was as hot as `peak` [K] may have hardened at a cooling rate [K/s]; None: not known."""
    least = IN_AIR.get(segment.metal.family)
    if least is None or peak < HARDENED_FROM or rate is None:
        return False
    return rate > least
