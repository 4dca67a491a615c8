"""What the filler of a joint does not stand: set-point, slow melting, gap, time at heat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...answer import Notice
from ..assumptions import PRACTICE, celsius
from ..joint_at_heat import clearance_family, gap_at, gap_to_make
from ..joint_at_heat import cooling_strain as at_heat_strain
from ..settings import SET_POINT_BAND
from .case import Case, gathered, is_one, span

if TYPE_CHECKING:
    from ...parts.assembly import Assembly, Joint
    from ...trade.records import Spread as Clearance

WIDE, VERY_WIDE = 40.0, 60.0
"""Melting width at which a slowly heated filler parts into runny and stiff [K]. Common practice, no source."""
SLOW_MELTING = 300.0
"""Time between solidus and liquidus that lets a filler of some width part [s]. Common practice, no source."""
LARGEST_GAP = 0.5e-3
"""The trade's widest gap [m]. Common practice, no source."""
NO_CHANGE = 0.5e-6
"""A gap that moves by less is said to stay [m]."""
CLOSED = "the plug grows more than its hole, no filler gets in, and the plug may stretch or crack its host"
FIT = "Fit the parts to that range at brazing temperature; different metals open or close it as they grow."
BRITTLE = {"carbide", "cast iron"}
STRAIN, BRITTLE_STRAIN = 5e-3, 1e-3
"""Difference of shrinkage that is warned of, and where one side is brittle. Chosen here, no source."""


def set_point_band(case: Case) -> Iterator[Notice]:
    """A set-point outside the trade's band above the liquidus."""
    T, (low, high) = case.settings.true_set_point, SET_POINT_BAND
    off = case.settings.surroundings.offset
    for j in case.assembly.joints:
        above = T - j.filler.liquidus
        if above < low - 1e-6:
            yield Notice(
                "set-point-low",
                f"the set-point is only {above:.0f} K above the liquidus of {j.filler.name}; the trade says "
                f"{low:.0f} to {high:.0f} K, because the last degrees take longest.",
                f"{_band(j.filler.liquidus - off)}, or expect a long hold.",
                PRACTICE,
            )
        elif above > high + 1e-6:
            yield Notice(
                "set-point-high",
                f"the set-point is {above:.0f} K above the liquidus of {j.filler.name}; the trade says {low:.0f} to "
                f"{high:.0f} K, because hotter means more scale, more zinc lost and a filler too thin to stay.",
                f"{_band(j.filler.liquidus - off)}.",
                PRACTICE,
            )


def _band(liquidus: float) -> str:
    """What to set; `liquidus` as the display shows it [K]."""
    low, high = (celsius(liquidus + above) for above in SET_POINT_BAND)
    return f"Set {low} to {high}"


def liquation(case: Case) -> Iterator[Notice]:
    """A filler that parts while it melts."""
    found = []
    for j, a in case.answered:
        width, between = j.filler.melting_width, a.time_between_solidus_and_liquidus or 0.0
        if width > VERY_WIDE or (width > WIDE and between >= SLOW_MELTING):
            found.append((j.filler.id, (j, between / 60.0)))
    for joints in gathered(found).values():
        filler, names = joints[0][0].filler, [j.name for j, _ in joints]
        yield Notice(
            "liquation",
            f"{case.joints_named(names)}: {filler.name} melts over {filler.melting_width:.0f} K and takes "
            f"{span(minutes for _, minutes in joints)} min to go through; heated so slowly it parts into a runny part "
            "and an unmelted skull.",
            "Take a filler that melts over less than 40 K (BAg-7, BAg-22, BAg-36), or even the parts out below its "
            "solidus and go through quickly.",
            f"mechanism: IBSC 2012 conference abstract; the limits {WIDE:.0f} and {VERY_WIDE:.0f} K: {PRACTICE}",
        )


def gaps(case: Case) -> Iterator[Notice]:
    """A gap that the filler does not fill: of a plug as it is at the brazing temperature."""
    found = []
    for j, a in case.answered:
        kind, hot = clearance_family(case.assembly, j), gap_at(case.assembly, j, a.target)
        gap = j.gap if hot is None else hot
        if not case.clearances[kind].low - 1e-9 <= gap <= case.clearances[kind].high + 1e-9:
            fit = _fit(case.assembly, j, a.target, case.clearances[kind])
            found.append(((kind, j.filler.name, j.gap, gap, a.target, fit), j.name))
    for (kind, filler, cold, gap, T, fit), names in gathered(found).items():
        range_ = case.clearances[kind]
        size = f"{case.joints_named(names)}: a gap of {cold * 1e3:.3g} mm"
        limits = f"outside {range_.low * 1e3:.2g} to {range_.high * 1e3:.2g} mm for {filler}"
        if gap <= 0.0:
            yield Notice("gap-closed", f"{size} is closed at {celsius(T)}, {limits}; {CLOSED}.", fit, range_.source)
            continue
        wide = gap > range_.high
        beyond = f", and more than the trade's {LARGEST_GAP * 1e3:.1f} mm" if gap > LARGEST_GAP else ""
        cause = "the filler is not drawn in and runs out" if wide else "the flux cannot get out and the filler not in"
        yield Notice(
            "gap-wide" if wide else "gap-narrow",
            f"{size}{_hot(cold, gap, T)} is {limits}{beyond}; {cause}.",
            fit,
            range_.source,
        )


def _fit(assembly: Assembly, joint: Joint, T: float, clearance: Clearance) -> str:
    """What cold gap to make, so that it is right at T [K]."""
    low, high = (gap_to_make(assembly, joint, T, hot) for hot in (clearance.low, clearance.high))
    if low is None or high is None:
        return FIT
    if joint.fit != "plug":
        return f"Make the gap {low * 1e3:.2g} to {high * 1e3:.2g} mm."
    if high <= 0.0:
        return "No cold gap comes to that: swap the metals, or join them otherwise."
    low = max(low, 0.0)
    return (
        f"Make the cold gap {low * 1e3:.2g} to {high * 1e3:.2g} mm all round, a hole {2e3 * low:.2g} to "
        f"{2e3 * high:.2g} mm larger than the plug: it is right at {celsius(T)}, where plug and host have grown."
    )


def _hot(cold: float, gap: float, T: float) -> str:
    """What a cold gap comes to at T [K]; nothing where it stays."""
    return "" if abs(gap - cold) < NO_CHANGE else f", {gap * 1e3:.3g} mm at {celsius(T)},"


def cooling_strain(case: Case) -> Iterator[Notice]:
    """Metals that shrink so differently after the filler has set that the joint or the brittle side may crack."""
    found = []
    for j in case.assembly.joints:
        sides = [case.assembly.segments[i] for i in j.segments]
        strain = at_heat_strain(case.assembly, j)
        brittle = any(s.metal.family in BRITTLE for s in sides)
        if abs(strain) > (BRITTLE_STRAIN if brittle else STRAIN):
            more, less = (s.metal.name.lower() for s in (sides if strain > 0.0 else sides[::-1]))
            found.append(((more, less, j.filler.solidus, abs(strain)), j.name))
    for (most, least, solidus, strain), names in gathered(found).items():
        yield Notice(
            "cooling-strain",
            f"{case.joints_named(names)}: from {celsius(solidus)}, where the filler sets, to 20 degC {most} shrinks "
            f"{100.0 * strain:.2g} % more than {least} (difference of the mean expansion coefficients times the fall "
            "of temperature); the joint must yield by that, or it or the weaker side cracks.",
            "Cool slowly in the shut furnace, keep the joint small, take the thick end of the clearance range, and "
            "look for cracks before use; test a trial piece.",
            f"computed from the expansion of both metals; the limits {100.0 * STRAIN:g} %, and "
            f"{100.0 * BRITTLE_STRAIN:g} % with carbide or cast iron: chosen here, no source",
        )


def long_at_heat(case: Case) -> Iterator[Notice]:
    """Brass that loses zinc under a filler that has long been liquid."""
    found = []
    for j, a in case.answered:
        zinc = any(case.assembly.segments[i].metal.zinc_bearing for i in j.segments)
        above = 0.0 if a.passes_liquidus is None else case.run.hold_end - a.passes_liquidus
        if zinc and above > case.settings.limits.zinc:
            found.append((j.name, above / 60.0))
    if found:
        names = [name for name, _ in found]
        are = "is above its" if is_one(names) else "are above their"
        yield Notice(
            "long-at-heat",
            f"{case.joints_named(names)} {are} liquidus for {span(minutes for _, minutes in found)} min; after 15 to "
            "20 min brass loses zinc at its surface and the filler eats into it.",
            "Even the parts out below the solidus first, darken the slow part, or take a hotter set-point.",
            PRACTICE,
        )
