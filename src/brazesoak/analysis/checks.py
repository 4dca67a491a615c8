"""Checks on a plan: each finds something that would spoil the heat, and says what, why, what to do and its source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS

from ..answer import JointAnswer, Notice, SegmentAnswer
from ..assembly import Assembly, Joint
from ..model import Body
from ..simulate import Simulation
from .settings import BELOW_SOLIDUS, PRACTICE, Settings
from .spread import Spread

if TYPE_CHECKING:
    from ..trade.records import Spread as Clearance

SET_POINT_BAND = 50.0, 100.0
"""Set-point above the liquidus [K]. Common practice, no source."""
WIDE, VERY_WIDE = 40.0, 60.0
"""Melting width at which a slowly heated filler parts into runny and stiff [K]. Common practice, no source."""
SLOW_MELTING = 300.0
"""Time between solidus and liquidus that lets a filler of some width part [s]. Common practice, no source."""
TRANSFORMATION = 720.0 + ZERO_CELSIUS, 760.0 + ZERO_CELSIUS
"""Carbon steel takes 85 kJ/kg extra here. Source: EN 1993-1-2:2005, 3.4.1.2."""
LARGEST_GAP = 0.5e-3
"""The trade's widest gap [m]. Common practice, no source."""
LONG_AT_HEAT = 20 * 60.0
"""Above the liquidus longer than this, zinc loss and erosion matter [s]. Common practice, no source."""
ROOM_FOR_FLUX = 30.0
"""Flux should be molten this far below the filler's solidus [K]. Common practice, no source."""
THIN = 0.1
"""Biot number above which one temperature for a segment is not enough. Incropera and DeWitt, section 5.1 (recalled)."""
_IRON_OR_NICKEL = {
    "carbon steel", "alloy steel", "tool steel", "austenitic stainless", "ferritic stainless",
    "martensitic stainless", "cast iron", "nickel", "nickel alloy", "cupronickel",
}  # fmt: skip
_TRANSFORMING = {"carbon steel", "alloy steel", "tool steel", "cast iron"}


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the checks look at."""

    assembly: Assembly
    settings: Settings
    clearances: Mapping[str, Clearance]
    joints: tuple[JointAnswer, ...]
    segments: tuple[SegmentAnswer, ...]
    run: Simulation
    fidelity: str
    spread: Spread


def check_plan(case: Case) -> tuple[Notice, ...]:
    """Every notice on a plan, the gravest kind first, each once."""
    checks = (
        _not_in_air, _cadmium, _phosphorus, _brass_on_brass, _near_solidus, _set_point_band, _flux_range,
        _flux_metals, _flux_use, _flux_time, _liquation, _gaps, _transformation, _long_at_heat, _never,
        _inner_gradients,
    )  # fmt: skip
    found = [notice for check in checks for notice in check(case)]
    return tuple(dict.fromkeys(found))


def biot(body: Body, settings: Settings) -> float:
    """Biot number at the set-point: film and radiation, half the thickest section, conductivity."""
    T = settings.set_point
    h = settings.surroundings.film + 4.0 * float(np.interp(T, *body.emissivity)) * STEFAN_BOLTZMANN * T**3
    return h * 0.5 * body.thickest_section / float(np.interp(T, *body.conductivity))


def _C(T: float) -> str:
    return f"{T - ZERO_CELSIUS:.0f} degC"


def _pairs(case: Case) -> Iterator[tuple[Joint, int]]:
    """Every joint with each of its segments."""
    for joint in case.assembly.joints:
        for i in joint.segments:
            yield joint, i


def _not_in_air(case: Case) -> Iterator[Notice]:
    for s in case.assembly.segments:
        if not s.metal.air_flux_brazing:
            yield Notice(
                "not-in-air",
                f'"{s.name}" is {s.metal.name.split(",")[0].lower()}, which must not be brazed in air: '
                f"{'; '.join(s.metal.cautions[:1])}.",
                "Do not run this heat; braze it in vacuum or argon, or make the segment of another metal.",
                "the metal's data file, from memory",
            )


def _cadmium(case: Case) -> Iterator[Notice]:
    for j in case.assembly.joints:
        if j.filler.cadmium:
            yield Notice(
                "cadmium",
                f"{j.filler.name} holds {j.filler.composition.get('Cd', 0.0):g} % cadmium, whose vapour can kill.",
                "Do not use it; take a cadmium-free filler such as BAg-7, BAg-24 or BAg-5.",
                j.filler.source,
            )


def _phosphorus(case: Case) -> Iterator[Notice]:
    for j, i in _pairs(case):
        s = case.assembly.segments[i]
        if j.filler.phosphorus and s.metal.family in _IRON_OR_NICKEL:
            yield Notice(
                "phosphorus-on-iron",
                f'joint "{j.name}": {j.filler.name} holds phosphorus, which makes brittle phosphides with the '
                f"iron or nickel of {s.metal.name.lower()}; the joint cracks.",
                "Take a silver filler without phosphorus (BAg).",
                "AWS Brazing Handbook, 5th ed. (recalled)",
            )


def _brass_on_brass(case: Case) -> Iterator[Notice]:
    for j, i in _pairs(case):
        s = case.assembly.segments[i]
        if j.filler.family == "brass" and s.metal.zinc_bearing:
            yield Notice(
                "brass-filler-on-brass",
                f'joint "{j.name}": {j.filler.name} is liquid at {_C(j.filler.liquidus)}; "{s.name}" '
                f"({s.metal.name.lower()}) begins to melt at {_C(s.metal.solidus.value)}.",
                "Take a silver filler (BAg) that is liquid well below the solidus.",
                f"{j.filler.source}; {s.metal.solidus.source}",
            )


def _near_solidus(case: Case) -> Iterator[Notice]:
    s = min(case.assembly.segments, key=lambda s: s.metal.solidus.value)
    hottest = max(case.settings.set_point, *(stage.to for stage in case.settings.stages))
    name = "set-point" if hottest == case.settings.set_point else "program's step to"
    room = s.metal.solidus.value - hottest
    if room < BELOW_SOLIDUS - 1e-6:
        leaves = f"leaves {room:.0f} K to" if room > 0.0 else f"is {-room:.0f} K above"
        risk = "the furnace's own error may use that up" if room > 0.0 else "the segment begins to melt"
        yield Notice(
            "near-solidus",
            f'the {name} {_C(hottest)} {leaves} the solidus of "{s.name}", {_C(s.metal.solidus.value)}; {risk}.',
            f"Set {_C(s.metal.solidus.value - BELOW_SOLIDUS)} at most, or take a lower-melting filler.",
            f"{PRACTICE} for the {BELOW_SOLIDUS:.0f} K; solidus: {s.metal.solidus.source}",
        )


def _set_point_band(case: Case) -> Iterator[Notice]:
    T, (low, high) = case.settings.set_point, SET_POINT_BAND
    for j in case.assembly.joints:
        above = T - j.filler.liquidus
        if above < low - 1e-6:
            yield Notice(
                "set-point-low",
                f"the set-point is only {above:.0f} K above the liquidus of {j.filler.name}; the trade says "
                f"{low:.0f} to {high:.0f} K, because the last degrees take longest.",
                f"Set {_C(j.filler.liquidus + low)} to {_C(j.filler.liquidus + high)}, or expect a long hold.",
                PRACTICE,
            )
        elif above > high + 1e-6:
            yield Notice(
                "set-point-high",
                f"the set-point is {above:.0f} K above the liquidus of {j.filler.name}; the trade says {low:.0f} to "
                f"{high:.0f} K, because hotter means more scale, more zinc lost and a filler too thin to stay.",
                f"Set {_C(j.filler.liquidus + low)} to {_C(j.filler.liquidus + high)}.",
                PRACTICE,
            )


def _flux_range(case: Case) -> Iterator[Notice]:
    for j in case.assembly.joints:
        f = j.flux
        if f.active_low > j.filler.solidus - ROOM_FOR_FLUX:
            yield Notice(
                "flux-too-late",
                f'joint "{j.name}": {f.name} works from {_C(f.active_low)}, and {j.filler.name} begins to melt at '
                f"{_C(j.filler.solidus)}: the faces are not clean when the filler runs.",
                "Take a flux that is active at least 30 K below the solidus.",
                f"{f.source}; {PRACTICE} for the 30 K",
            )
        if f.active_high < case.settings.set_point:
            yield Notice(
                "flux-too-hot",
                f'joint "{j.name}": {f.name} works up to {_C(f.active_high)}; the set-point is '
                f"{_C(case.settings.set_point)}.",
                "Lower the set-point, or take a flux that stands more.",
                f.source,
            )


def _flux_metals(case: Case) -> Iterator[Notice]:
    for j, i in _pairs(case):
        s = case.assembly.segments[i]
        if j.flux.suited_families and s.metal.family not in j.flux.suited_families:
            yield Notice(
                "flux-metal",
                f'joint "{j.name}": {j.flux.name} is not made for {s.metal.name.lower()} ("{s.name}"), whose oxide '
                "it may not dissolve.",
                f"Take a flux suited to {s.metal.family}; brazesoak data fluxes lists them.",
                j.flux.source,
            )


def _flux_use(case: Case) -> Iterator[Notice]:
    for j in case.assembly.joints:
        if not j.flux.furnace_use:
            yield Notice(
                "flux-not-for-furnace",
                f'joint "{j.name}": {j.flux.name} is for the torch only: {j.flux.suited_text}.',
                "Take a paste or slurry flux.",
                j.flux.source,
            )


def _flux_time(case: Case) -> Iterator[Notice]:
    for j, a in zip(case.assembly.joints, case.joints, strict=True):
        f, minutes = j.flux, a.flux_time / 60.0
        limit = f.stop_after if f.stop_after and a.flux_time > f.stop_after else f.warn_after
        if limit is None or a.flux_time <= limit:
            continue
        spent = limit == f.stop_after
        yield Notice(
            "flux-spent" if spent else "flux-long",
            f'joint "{j.name}" is above {_C(f.clock_from)} for {minutes:.0f} min; {f.name} is trusted for about '
            f"{limit / 60.0:.0f} min there, and a {'spent' if spent else 'tired'} flux lets the faces oxidise.",
            "Heat faster above 540 degC (an equalising hold at 480 to 540 degC first), darken bright parts, "
            "or take a flux with a longer life; try it on scrap.",
            f.clock_source,
        )


def _liquation(case: Case) -> Iterator[Notice]:
    for j, a in zip(case.assembly.joints, case.joints, strict=True):
        width = j.filler.melting_width
        between = a.time_between_solidus_and_liquidus or 0.0
        if width <= WIDE or (width <= VERY_WIDE and between < SLOW_MELTING):
            continue
        yield Notice(
            "liquation",
            f'joint "{j.name}": {j.filler.name} melts over {width:.0f} K and takes {between / 60.0:.0f} min to go '
            "through; heated so slowly it parts into a runny part and an unmelted skull.",
            "Take a filler that melts over less than 40 K (BAg-7, BAg-22, BAg-24), or even the parts out below its "
            "solidus and go through quickly.",
            f"mechanism: IBSC 2012 conference abstract; the limits {WIDE:.0f} and {VERY_WIDE:.0f} K: {PRACTICE}",
        )


def _gaps(case: Case) -> Iterator[Notice]:
    for j in case.assembly.joints:
        carbide = any(case.assembly.segments[i].metal.family == "carbide" for i in j.segments)
        range_ = case.clearances["carbide" if carbide else j.filler.family]
        if range_.low - 1e-9 <= j.gap <= range_.high + 1e-9:
            continue
        wide = j.gap > range_.high
        beyond = f", and more than the trade's {LARGEST_GAP * 1e3:.1f} mm" if j.gap > LARGEST_GAP else ""
        cause = "the filler is not drawn in and runs out" if wide else "the flux cannot get out and the filler not in"
        yield Notice(
            "gap-wide" if wide else "gap-narrow",
            f'joint "{j.name}": a gap of {j.gap * 1e3:.3g} mm is outside {range_.low * 1e3:.2g} to '
            f"{range_.high * 1e3:.2g} mm for {j.filler.name}{beyond}; {cause}.",
            "Fit the parts to that range at brazing temperature; different metals open or close it as they grow.",
            range_.source,
        )


def _transformation(case: Case) -> Iterator[Notice]:
    low, high = TRANSFORMATION
    for j, target in zip(case.assembly.joints, case.settings.targets, strict=True):
        steels = [case.assembly.segments[i].name for i in j.segments if case.assembly.segments[i].metal.family in _TRANSFORMING]
        if steels and low <= target <= high:
            yield Notice(
                "steel-transformation",
                f'joint "{j.name}" has its target, {_C(target)}, inside the transformation of steel (720 to 760 degC), '
                f'where "{steels[0]}" takes about 85 kJ/kg extra: the last degrees cost most.',
                "Take a filler whose target lies below 720 degC, or ask for less superheat.",
                "EN 1993-1-2:2005, 3.4.1.2",
            )


def _long_at_heat(case: Case) -> Iterator[Notice]:
    for j, a in zip(case.assembly.joints, case.joints, strict=True):
        if a.passes_liquidus is None:
            continue
        above = case.run.hold_end - a.passes_liquidus
        zinc = any(case.assembly.segments[i].metal.zinc_bearing for i in j.segments)
        if above > LONG_AT_HEAT and zinc:
            yield Notice(
                "long-at-heat",
                f'joint "{j.name}" is above its liquidus for {above / 60.0:.0f} min; after 15 to 20 min brass loses '
                "zinc at its surface and the filler eats into it.",
                "Even the parts out below the solidus first, darken the slow part, or aim for less superheat.",
                PRACTICE,
            )


def _never(case: Case) -> Iterator[Notice]:
    for d in case.spread.never:
        yield Notice(
            "may-never-reach",
            f"at one end of what is likely for the {d.name} ({d.low_input} to {d.high_input}), a joint never comes to "
            "its target at this set-point; the range of the hold leaves that case out.",
            "Measure it: put a thermocouple on the slowest part and start the minutes by its reading; or raise the "
            "set-point.",
            d.source,
        )


def _inner_gradients(case: Case) -> Iterator[Notice]:
    if case.fidelity != "network":
        return
    for s in case.segments:
        if s.biot > THIN:
            yield Notice(
                "inner-gradients",
                f'"{s.name}" is thick for its conductivity (Biot number {s.biot:.2f}); its core lags behind the one '
                "temperature that this plan gives it.",
                "Give sizes instead of mass and area, so that a section can be computed, or add a few minutes.",
                "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, section 5.1 (recalled)",
            )
