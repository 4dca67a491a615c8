"""What the filler of a joint does not stand: set-point, slow melting, gap, time at heat."""

from __future__ import annotations

from collections.abc import Iterator

from ...answer import Notice
from ..assumptions import PRACTICE, celsius
from ..settings import SET_POINT_BAND
from .case import Case, gathered, is_one, joints_named, span

WIDE, VERY_WIDE = 40.0, 60.0
"""Melting width at which a slowly heated filler parts into runny and stiff [K]. Common practice, no source."""
SLOW_MELTING = 300.0
"""Time between solidus and liquidus that lets a filler of some width part [s]. Common practice, no source."""
LARGEST_GAP = 0.5e-3
"""The trade's widest gap [m]. Common practice, no source."""
LONG_AT_HEAT = 20 * 60.0
"""Above the liquidus longer than this, zinc loss and erosion matter [s]. Common practice, no source."""


def set_point_band(case: Case) -> Iterator[Notice]:
    """A set-point outside the trade's band above the liquidus."""
    T, (low, high) = case.settings.set_point, SET_POINT_BAND
    for j in case.assembly.joints:
        above = T - j.filler.liquidus
        if above < low - 1e-6:
            yield Notice(
                "set-point-low",
                f"the set-point is only {above:.0f} K above the liquidus of {j.filler.name}; the trade says "
                f"{low:.0f} to {high:.0f} K, because the last degrees take longest.",
                f"{_band(j.filler.liquidus)}, or expect a long hold.",
                PRACTICE,
            )
        elif above > high + 1e-6:
            yield Notice(
                "set-point-high",
                f"the set-point is {above:.0f} K above the liquidus of {j.filler.name}; the trade says {low:.0f} to "
                f"{high:.0f} K, because hotter means more scale, more zinc lost and a filler too thin to stay.",
                f"{_band(j.filler.liquidus)}.",
                PRACTICE,
            )


def _band(liquidus: float) -> str:
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
            f"{joints_named(names)}: {filler.name} melts over {filler.melting_width:.0f} K and takes "
            f"{span(minutes for _, minutes in joints)} min to go through; heated so slowly it parts into a runny part "
            "and an unmelted skull.",
            "Take a filler that melts over less than 40 K (BAg-7, BAg-22, BAg-36), or even the parts out below its "
            "solidus and go through quickly.",
            f"mechanism: IBSC 2012 conference abstract; the limits {WIDE:.0f} and {VERY_WIDE:.0f} K: {PRACTICE}",
        )


def gaps(case: Case) -> Iterator[Notice]:
    """A gap that the filler does not fill."""
    found = []
    for j in case.assembly.joints:
        carbide = any(case.assembly.segments[i].metal.family == "carbide" for i in j.segments)
        kind = "carbide" if carbide else j.filler.family
        if not case.clearances[kind].low - 1e-9 <= j.gap <= case.clearances[kind].high + 1e-9:
            found.append(((kind, j.filler.name, j.gap), j.name))
    for (kind, filler, gap), names in gathered(found).items():
        range_ = case.clearances[kind]
        wide = gap > range_.high
        beyond = f", and more than the trade's {LARGEST_GAP * 1e3:.1f} mm" if gap > LARGEST_GAP else ""
        cause = "the filler is not drawn in and runs out" if wide else "the flux cannot get out and the filler not in"
        yield Notice(
            "gap-wide" if wide else "gap-narrow",
            f"{joints_named(names)}: a gap of {gap * 1e3:.3g} mm is outside {range_.low * 1e3:.2g} to "
            f"{range_.high * 1e3:.2g} mm for {filler}{beyond}; {cause}.",
            "Fit the parts to that range at brazing temperature; different metals open or close it as they grow.",
            range_.source,
        )


def long_at_heat(case: Case) -> Iterator[Notice]:
    """Brass that loses zinc under a filler that has long been liquid."""
    found = []
    for j, a in case.answered:
        zinc = any(case.assembly.segments[i].metal.zinc_bearing for i in j.segments)
        above = 0.0 if a.passes_liquidus is None else case.run.hold_end - a.passes_liquidus
        if zinc and above > LONG_AT_HEAT:
            found.append((j.name, above / 60.0))
    if found:
        names = [name for name, _ in found]
        are = "is above its" if is_one(names) else "are above their"
        yield Notice(
            "long-at-heat",
            f"{joints_named(names)} {are} liquidus for {span(minutes for _, minutes in found)} min; after 15 to 20 min "
            "brass loses zinc at its surface and the filler eats into it.",
            "Even the parts out below the solidus first, darken the slow part, or aim for less superheat.",
            PRACTICE,
        )
