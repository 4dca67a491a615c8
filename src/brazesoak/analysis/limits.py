"""When a hold may end: not before the slowest joint is done, not after any ceiling. A rule on temperature histories.

The plan, the map of set-points and the comparison of programs all ask here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..answer import Assumption, Ceiling, FloatArray, Window
from .assumptions import PRACTICE, in_time
from .ceilings import (
    SENSITISING,
    flux_ceiling,
    scale_ceiling,
    scale_thickness,
    sensitising_ceiling,
    solidus_ceiling,
    time_between,
    zinc_ceiling,
)

if TYPE_CHECKING:
    from ..bridge.simulate import Simulation
    from ..parts.assembly import Assembly, Joint, Segment

SCALING = ("carbon steel", "alloy steel", "tool steel", "cast iron")
"""Families whose scale the law of iron tells; stainless grades scale far less."""
PLAIN_AUSTENITIC = "austenitic stainless"
"""Family that sensitises. The library holds plain grades only."""
THE_JOB = "the job file"
GENTLER = "a slower ramp, a hold to even out below the solidus, darker bright parts or a larger difference allowed"
"""What lowers a temperature difference."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the user allows.

    Attributes
    ----------
    flux : float or None            life of any flux above its clock temperature [s]; None: as the data of each say
    zinc : float                    brass under liquid filler [s]
    scale : float                   thickness on bare steel [m]
    sensitisation : float or None   plain austenitic steel in its sensitising range [s]; None: told, and no limit
    difference : float or None      between any two places of the load [K]; None: any
    below_solidus : float           least distance of every segment to its solidus [K]
    """

    flux: float | None
    zinc: float
    scale: float
    sensitisation: float | None
    below_solidus: float
    difference: float | None = None

    def flux_life(self, joint: Joint) -> tuple[float | None, str]:
        """For how long the flux of a joint is trusted [s], and who says so; None: nobody gives a figure."""
        return (joint.flux.stop_after, joint.flux.clock_source) if self.flux is None else (self.flux, THE_JOB)


@dataclass(frozen=True, slots=True, eq=False)
class Heat:
    """A heat as temperature histories.

    time : float64[n_time]                      rising [s]; what comes after `end` is the cooling
    joint_coldest, joint_hottest : float64[n_joint, n_time];    segment_hottest : float64[n_segment, n_time]    [K]
    end : float                                 of the hold [s]
    """

    time: FloatArray
    joint_coldest: FloatArray
    joint_hottest: FloatArray
    segment_hottest: FloatArray
    end: float

    @classmethod
    def of(cls, run: Simulation) -> Heat:
        """The histories of a computed heat."""
        return cls(run.time, run.joint, run.warm, run.hottest, run.hold_end)

    def cooling_as(self, other: Heat) -> Heat:
        """This heat to the end of its hold, then the cooling of another of the same parts."""
        until, after = self.time <= self.end + 1e-6, other.time > other.end + 1e-6

        def joined(one: FloatArray, cooled: FloatArray) -> FloatArray:
            return np.concatenate((one[..., until], cooled[..., after]), axis=-1)

        return Heat(
            joined(self.time, other.time + (self.end - other.end)),
            joined(self.joint_coldest, other.joint_coldest),
            joined(self.joint_hottest, other.joint_hottest),
            joined(self.segment_hottest, other.segment_hottest),
            self.end,
        )


def window(assembly: Assembly, limits: Limits, heat: Heat, earliest: float | None, nominal: float | None) -> Window:
    """When the hold may end.

    Parameters
    ----------
    earliest, nominal : float or None   floor with what the inputs may cost and with every input at its use value [s],
                                        see `ceilings.floor`; None: a joint never comes to its target
    """
    return Window(earliest, nominal, tuple(sorted(ceilings(assembly, limits, heat), key=lambda c: c.latest)))


def ceilings(assembly: Assembly, limits: Limits, heat: Heat) -> list[Ceiling]:
    """Every ceiling that these histories come to: of joints, then of segments."""
    found = []
    for j, coldest, hottest in zip(assembly.joints, heat.joint_coldest, heat.joint_hottest, strict=True):
        life, source = limits.flux_life(j)
        if life is not None:
            found.append(flux_ceiling(heat.time, hottest, j.flux.clock_from, life, j.name, source))
        if any(assembly.segments[i].metal.zinc_bearing for i in j.segments):
            found.append(zinc_ceiling(heat.time, coldest, j.filler.liquidus, limits.zinc, j.name))
    for s, hottest in zip(assembly.segments, heat.segment_hottest, strict=True):
        found.append(solidus_ceiling(heat.time, hottest, s.metal.solidus.value, limits.below_solidus, s.name))
        if scales(s):
            found.append(scale_ceiling(heat.time, hottest, heat.end, limits.scale, s.name))
        if s.metal.family == PLAIN_AUSTENITIC and limits.sensitisation is not None:
            found.append(sensitising_ceiling(heat.time, hottest, heat.end, limits.sensitisation, s.name))
    return [c for c in found if c is not None]


def scales(segment: Segment) -> bool:
    """Whether scale grows on a segment: bare or oxidised iron and steel; flux keeps the air away."""
    return segment.metal.family in SCALING and segment.surface != "fluxed"


def scale_on(segment: Segment, time: FloatArray, hottest: FloatArray) -> float | None:
    """Scale at the hottest place of a segment, cooling included where it is computed: what the limit is compared with
    [m]; None where none grows."""
    return scale_thickness(time, hottest) if scales(segment) else None


def sensitising_time(segment: Segment, time: FloatArray, hottest: FloatArray) -> float | None:
    """How long plain austenitic steel is in its sensitising range, cooling included [s]; None: another metal."""
    return time_between(time, hottest, *SENSITISING) if segment.metal.family == PLAIN_AUSTENITIC else None


def largest_within(coldest: FloatArray, hottest: FloatArray) -> float:
    """Largest difference inside one body at one time [K]. coldest, hottest : float64[n_body, n_time]"""
    return float((hottest - coldest).max())


def largest_across(coldest: FloatArray, hottest: FloatArray) -> float:
    """Largest difference between places of two bodies at one time [K].

    coldest, hottest : float64[n_body, n_time]
    """
    pairs = [(i, j) for i in range(len(coldest)) for j in range(len(coldest)) if i != j]
    return max(float((hottest[i] - coldest[j]).max()) for i, j in pairs)


def limits_note(given: set[str], limits: Limits, assembly: Assembly) -> Assumption | None:
    """Limits on the hold that the job leaves to practice, as far as its metals and fluxes know them."""
    fluxes = {j.flux.name: j.flux.stop_after for j in assembly.joints} if "flux" not in given else {}
    texts = [
        f"{name} {'of unknown life: try it on scrap' if life is None else in_time(life)}"
        for name, life in fluxes.items()
    ]
    if "zinc" not in given and any(s.metal.zinc_bearing for s in assembly.segments):
        texts.append(f"brass under liquid filler {in_time(limits.zinc)}")
    if "scale" not in given and any(scales(s) for s in assembly.segments):
        texts.append(f"scale {limits.scale * 1e3:.2g} mm")
    why = f"{PRACTICE}; [limits] of the job file takes your own"
    value = ", ".join(texts)
    return Assumption("limits on the hold", value, why, "limits", value) if texts else None
