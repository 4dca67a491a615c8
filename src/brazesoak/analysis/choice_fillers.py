"""What speaks for and against a filler metal: rules on compositions and temperatures, each with its source.

The weights of the ranking are common practice, no source: they order what may be used, and bar nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..choices import Reason
from .assumptions import PRACTICE, celsius
from .checks.joints import VERY_WIDE, WIDE
from .checks.metals import IRON_OR_NICKEL, TRANSFORMATION, TRANSFORMING
from .settings import ABOVE_LIQUIDUS, BELOW_SOLIDUS

if TYPE_CHECKING:
    from ..trade.records import Filler, Metal

ANNEX = "AWS A5.8, annex on intended use (recalled)"
STAINLESS = {"austenitic stainless", "ferritic stainless", "martensitic stainless"}
COPPERS = {"copper", "bronze"}
NARROW = 35.0
"""Melting width that goes through quickly even in a furnace [K]. Common practice, no source."""
COOL = 973.15
"""Set-point at which the count of points for heat begins [K], 700 degC. Common practice, no source."""
PER_POINT = 25.0
"""Kelvin of set-point that cost a point; half as many with brass. Common practice, no source."""
MEETS = {"Zn", "Sn", "Ni", "Mn"}
"""A silver filler with none of these wets steel poorly. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a filler is to suit.

    metals : (Metal, ...)           that it is to join
    lowest : Metal                  of the whole load, with the lowest solidus: all of it goes into the furnace
    superheat : float               wanted above the liquidus [K]
    cadmium_source : str            source of the ban on cadmium
    allow_cadmium, wet : bool       fillers with cadmium may be used; the parts will stand in water
    """

    metals: tuple[Metal, ...]
    lowest: Metal
    superheat: float
    cadmium_source: str
    allow_cadmium: bool = False
    wet: bool = False

    @property
    def families(self) -> set[str]:
        """Of the metals."""
        return {m.family for m in self.metals}

    @property
    def ceiling(self) -> float:
        """What no set-point may pass [K]."""
        return self.lowest.solidus.value - BELOW_SOLIDUS


def set_point(filler: Filler) -> float:
    """Set-point that a plan would take for it [K]."""
    return filler.liquidus + ABOVE_LIQUIDUS


def bars(f: Filler, need: Need) -> Iterator[Reason]:
    """Every reason for which this filler must not be used."""
    if f.cadmium and not need.allow_cadmium:
        yield Reason("cadmium", "it holds cadmium, whose vapour can kill", need.cadmium_source)
    barred = sorted(need.families & IRON_OR_NICKEL)
    if f.phosphorus and barred:
        text = f"its phosphorus makes brittle phosphides on {_and(barred)}, with the iron or nickel in it"
        yield Reason("phosphorus", text, "AWS A5.8, annex; AWS Brazing Handbook, 5th ed. (both recalled)")
    if f.phosphorus and "carbide" in need.families:
        yield Reason("phosphorus", "its phosphorus makes brittle phosphides with the cobalt of the carbide", PRACTICE)
    if f.family == "copper":
        text = "copper is for furnaces with protective gas; in air the parts scale away at its 1100 °C"
        yield Reason("atmosphere", text, ANNEX)
    if f.composition.get("Li", 0.0) > 0.0:
        yield Reason("atmosphere", "it holds lithium and is made for furnaces with protective gas", ANNEX)
    if f.family == "brass" and any(m.zinc_bearing for m in need.metals):
        yield Reason("brass-on-brass", "it is a brass itself and melts where the brass of the parts does", f.source)
    if set_point(f) > need.ceiling + 1e-6:
        text = (
            f"its set-point (liquidus plus {ABOVE_LIQUIDUS:.0f} K) passes {celsius(need.ceiling)}, which is "
            f"{BELOW_SOLIDUS:.0f} K below the solidus of {need.lowest.name.split(',')[0].lower()}"
        )
        yield Reason("too-hot", text, f"{PRACTICE} for the margins; solidus: {need.lowest.solidus.source}")


def weighs(f: Filler, need: Need) -> Iterator[Reason]:
    """Everything that speaks for or against a filler that may be used."""
    yield from _melting(f)
    yield from _heat(f, need)
    yield from _stainless(f, need)
    yield from _wetting(f, need)
    if f.cadmium:
        yield Reason("cadmium", "it holds cadmium, whose vapour can kill: the last resort", need.cadmium_source, -10.0)
    if f.phosphorus and need.families == {"copper"}:
        yield Reason("self-fluxing", "its phosphorus makes it its own flux on copper", ANNEX, 1.0)
    if f.composition.get("Sn", 0.0) > 0.0:
        text = "with its tin it is weak while hot: no quench from above 300 °C"
        yield Reason("hot-short", text, "a trade question-and-answer text (read)")
    if f.confidence == "memory":
        yield Reason("recalled", "its melting range is recalled: see the standard or its data sheet", f.source, -0.5)


def _melting(f: Filler) -> Iterator[Reason]:
    width, source = f.melting_width, f"melting range: {f.source}; limit: {PRACTICE}"
    if width <= NARROW:
        text = "it melts at one temperature" if width < 1.0 else f"it melts over only {width:.0f} K"
        yield Reason("narrow", f"{text}, and does not part in a slow heat", source, 3.0)
    elif width > WIDE:
        text = f"it melts over {width:.0f} K: heated slowly it parts into a runny part and an unmelted skull"
        yield Reason("liquation", text, source, -4.0 if width > VERY_WIDE else -2.0)


def _heat(f: Filler, need: Need) -> Iterator[Reason]:
    T = set_point(f)
    brass = any(m.zinc_bearing for m in need.metals)
    points = (COOL - T) / (0.5 * PER_POINT if brass else PER_POINT)
    why = "brass loses zinc, metal scales and flux tires faster" if brass else "metal scales and flux tires faster"
    yield Reason("heat", f"its set-point is {celsius(T)}: the hotter, the more {why}", PRACTICE, points)
    if f.braze_high + 0.5 < T:
        text = f"that set-point passes the end of its brazing range, {celsius(f.braze_high)}: give one in the job"
        yield Reason("above-range", text, f.source, -2.0)
    low, high = TRANSFORMATION
    if low <= f.liquidus + need.superheat <= high and need.families & TRANSFORMING:
        text = "its target lies inside the transformation of steel, where the last degrees cost most time"
        yield Reason("transformation", text, "EN 1993-1-2:2005, 3.4.1.2", -0.5)


def _stainless(f: Filler, need: Need) -> Iterator[Reason]:
    if not need.families & STAINLESS:
        return
    nickel, zinc = f.composition.get("Ni", 0.0), f.composition.get("Zn", 0.0)
    if nickel > 0.0:
        text = f"its {nickel:g} % nickel guards the interface with stainless steel against corrosion in water"
        yield Reason("interface-nickel", text, ANNEX, 6.0 if need.wet else 1.0)
        if zinc == 0.0:
            yield Reason("interface-zinc", "it holds no zinc, which helps further", ANNEX, 2.0 if need.wet else 0.5)
    else:
        text = "without nickel its interface with stainless steel can corrode in water: for dry service"
        yield Reason("interface", text, ANNEX, -6.0 if need.wet else -0.5)


def _wetting(f: Filler, need: Need) -> Iterator[Reason]:
    nickel, manganese = (f.composition.get(e, 0.0) for e in ("Ni", "Mn"))
    if "carbide" in need.families:
        if nickel or manganese:
            has = " and ".join(text for text, share in (("nickel", nickel), ("manganese", manganese)) if share)
            yield Reason("wets-carbide", f"its {has} makes it wet carbide", ANNEX, 5.0 if nickel and manganese else 4.0)
        else:
            yield Reason("carbide", "without nickel or manganese it wets carbide poorly", ANNEX, -4.0)
    if "cast iron" in need.families and nickel:
        yield Reason("wets-cast-iron", "its nickel helps it over the graphite of cast iron", PRACTICE, 2.0)
    if need.families & IRON_OR_NICKEL and f.family == "silver" and not MEETS & set(f.composition):
        yield Reason("wets-poorly", "silver and copper alone wet steel poorly in air", PRACTICE, -5.0)


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
