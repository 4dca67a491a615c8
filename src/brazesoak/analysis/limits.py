"""The ceilings of a whole load: flux and zinc of every joint, solidus of every segment. Kelvin, seconds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .ceilings import Ceiling, flux_spent, solidus_ceiling
from .checks.joints import LONG_AT_HEAT
from .settings import BELOW_SOLIDUS

if TYPE_CHECKING:
    from ..answer import FloatArray
    from ..parts.assembly import Assembly


def load_ceilings(
    assembly: Assembly,
    flux_began: Sequence[float | None],
    melted: Sequence[float | None],
    time: FloatArray,
    hottest: FloatArray,
) -> tuple[Ceiling, ...]:
    """Every ceiling that applies to the heat.

    Parameters
    ----------
    flux_began, melted : (float or None, ...)   of each joint: when its flux begins to work at its hottest point, and
                                                when its coldest point passes the liquidus [s]; None: never
    time : float64[n_time];  hottest : float64[n_segment, n_time]   hottest place of each segment [K]
    """
    found = []
    for joint, began, liquid in zip(assembly.joints, flux_began, melted, strict=True):
        if joint.flux.stop_after is not None and began is not None:
            found.append(flux_spent(began, joint.flux.stop_after, joint.name))
        if any(assembly.segments[i].metal.zinc_bearing for i in joint.segments) and liquid is not None:
            reason = f"brass at {joint.name} is above the liquidus for more than {LONG_AT_HEAT / 60.0:.0f} min"
            found.append(Ceiling("zinc", liquid + LONG_AT_HEAT, reason, "a smaller superheat"))
    for segment, T in zip(assembly.segments, hottest, strict=True):
        limit = solidus_ceiling(time, T, segment.metal.solidus.value, BELOW_SOLIDUS)
        found += [limit] if limit else []
    return tuple(found)
