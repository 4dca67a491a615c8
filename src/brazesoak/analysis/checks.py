"""Checks on a plan: each finds something that would spoil the heat, and says what, why, what to do and its source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS

from ..answer import JointAnswer, Notice, SegmentAnswer
from ..assembly import Assembly, Joint
from ..model import Body, ThermalModel
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
FAR = 1.0
"""Fin parameter above which a thin part is not even along its length. Incropera and DeWitt, section 3.6 (recalled)."""
MOST_FILLED = 0.3
"""Share of the chamber that metal may fill. Common practice, no source."""
BEHIND = 30.0
"""A furnace further behind its program than this does not follow it [K]. Common practice, no source."""
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
    model: ThermalModel
    fidelity: str
    spread: Spread
    undeclared: tuple[tuple[int, int, float], ...] = ()
    """Segments that touch without a joint, and the area [m2]."""


def check_plan(case: Case) -> tuple[Notice, ...]:
    """Every notice on a plan, the gravest kind first, each once."""
    checks = (
        _not_in_air, _cadmium, _sealed, _phosphorus, _brass_on_brass, _near_solidus, _set_point_band, _flux_range,
        _flux_metals, _flux_use, _flux_time, _liquation, _gaps, _transformation, _long_at_heat, _never,
        _inner_gradients, _far_ends, _undeclared, _too_large, _ramp_not_followed,
    )  # fmt: skip
    found = [notice for check in checks for notice in check(case)]
    return tuple(dict.fromkeys(found))


def biot(body: Body, settings: Settings) -> float:
    """Biot number at the set-point: film and radiation, half the thickest section, conductivity."""
    k = float(np.interp(settings.set_point, *body.conductivity))
    return _film_and_radiation(body, settings) * 0.5 * body.thickest_section / k


def _film_and_radiation(body: Body, settings: Settings) -> float:
    """Heat transfer coefficient near the set-point [W/(m2 K)]."""
    T = settings.set_point
    return settings.surroundings.film + 4.0 * float(np.interp(T, *body.emissivity)) * STEFAN_BOLTZMANN * T**3


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


def _sealed(case: Case) -> Iterator[Notice]:
    for s in case.assembly.segments:
        if s.bore_area > 0.0 and s.bore_opening <= 0.0:
            yield Notice(
                "sealed-cavity",
                f'the bore of "{s.name}" is closed at both ends: trapped air trebles its pressure by 730 degC, and '
                "trapped water or flux bursts the part.",
                "Drill a vent before brazing, and dry the flux at 100 to 150 degC.",
                "ideal gas, computed; AWS and NFPA texts warn of it (recalled)",
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
        if not s.metal.air_flux_brazing:
            continue  # no flux is
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
            "Darken bright parts, heat faster, take a lower-melting filler or a flux with a longer life (FB3-C); "
            "try it on scrap.",
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
            "Take a filler that melts over less than 40 K (BAg-7, BAg-22, BAg-36), or even the parts out below its "
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
        steels = [
            case.assembly.segments[i].name
            for i in j.segments
            if case.assembly.segments[i].metal.family in _TRANSFORMING
        ]
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


def _far_ends(case: Case) -> Iterator[Notice]:
    """A thin part is even through its thickness, but heat from its far ends reaches the joint late."""
    if case.fidelity != "network":
        return
    for s, body in zip(case.assembly.segments, case.model.bodies, strict=True):
        reach = 0.5 * max(s.shape.heights.values(), default=0.0)
        T = case.settings.set_point
        k = float(np.interp(T, *body.conductivity))
        parameter = reach * np.sqrt(2.0 * _film_and_radiation(body, case.settings) / (k * body.thickest_section))
        if parameter > FAR:
            yield Notice(
                "far-ends",
                f'"{s.name}" is long for its thickness (fin parameter {parameter:.1f}): heat that its far ends take '
                "up reaches the joint late, and one temperature for the whole of it makes the joint too quick.",
                "Add a few minutes, put a thermocouple at the joint, or arrange the job so that a section is computed.",
                "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6 (recalled)",
            )


def _undeclared(case: Case) -> Iterator[Notice]:
    for i, j, area in case.undeclared:
        one, other = (case.assembly.segments[n].name for n in (i, j))
        yield Notice(
            "undeclared-touching",
            f'"{one}" and "{other}" touch over {area * 1e4:.2g} cm2 as placed, and no joint says so: this plan lets no '
            "heat through there, and the furnace does not see the faces; flux or filler may bridge them all the same.",
            'Add a [[joint]] between them, or move them apart with "at" of one of them.',
            "the places of the segments, computed",
        )


def _too_large(case: Case) -> Iterator[Notice]:
    """Parts that cannot lie in the furnace."""
    volume = case.settings.furnace.volume
    if volume is None:
        return
    side = float(np.cbrt(volume))
    longest = max(case.assembly.segments, key=lambda s: max(s.shape.heights.values(), default=0.0))
    reach = max(longest.shape.heights.values(), default=0.0)
    filled = sum(s.volume for s in case.assembly.segments) / volume
    if reach > side or filled > MOST_FILLED:
        yield Notice(
            "does-not-fit",
            f'"{longest.name}" is {reach * 1e3:.0f} mm long and the metal alone fills {filled:.0%} of a chamber of '
            f"{volume * 1e3:.0f} L, about {side * 1e3:.0f} mm each way; parts near a wall heat unevenly.",
            "Measure the chamber; take a larger furnace, or name the one that you have.",
            PRACTICE,
        )


def _ramp_not_followed(case: Case) -> Iterator[Notice]:
    """The furnace cannot keep up with its program."""
    heating = case.run.time <= case.run.clock_start
    behind = float(np.max((case.run.program - case.run.sensor)[heating], initial=0.0))
    if behind > BEHIND and not case.settings.hot:
        yield Notice(
            "ramp-not-followed",
            f"the furnace falls up to {behind:.0f} K behind its program: it has not the power for this load and ramp.",
            "Set a slower ramp, or let the clock start by the display, as this plan does.",
            "computed with the furnace's own figures",
        )
