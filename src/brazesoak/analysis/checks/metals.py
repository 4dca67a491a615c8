"""What the metals of the segments do not stand: air, phosphorus, a hot filler, too high a set-point."""

from __future__ import annotations

from collections.abc import Iterator

from brazesoak_solvers.constants import ZERO_CELSIUS

from ...answer import Notice
from ..assumptions import PRACTICE, celsius
from ..settings import BELOW_SOLIDUS
from .case import Case, gathered, is_one, quoted

TRANSFORMATION = 720.0 + ZERO_CELSIUS, 760.0 + ZERO_CELSIUS
"""Carbon steel takes 85 kJ/kg extra here. Source: EN 1993-1-2:2005, 3.4.1.2."""
IRON_OR_NICKEL = {
    "carbon steel", "alloy steel", "tool steel", "austenitic stainless", "ferritic stainless",
    "martensitic stainless", "cast iron", "nickel", "nickel alloy", "cupronickel",
}  # fmt: skip
TRANSFORMING = {"carbon steel", "alloy steel", "tool steel", "cast iron"}


def not_in_air(case: Case) -> Iterator[Notice]:
    """A metal that must not be brazed in air."""
    found = gathered(
        ((s.metal.name, s.metal.cautions[:1]), s.name) for s in case.assembly.segments if not s.metal.air_flux_brazing
    )
    for (metal, cautions), names in found.items():
        verb = "is" if is_one(names) else "are"
        yield Notice(
            "not-in-air",
            f"{quoted(names)} {verb} {metal.split(',')[0].lower()}, which must not be brazed in air: "
            f"{'; '.join(cautions)}.",
            "Do not run this heat; braze it in vacuum or argon, or make the segment of another metal.",
            "the metal's data file, from memory",
        )


def cadmium(case: Case) -> Iterator[Notice]:
    """A filler that gives off cadmium."""
    for filler in gathered((j.filler.id, j.filler) for j in case.assembly.joints).values():
        f = filler[0]
        if f.cadmium:
            yield Notice(
                "cadmium",
                f"{f.name} holds {f.composition.get('Cd', 0.0):g} % cadmium, whose vapour can kill.",
                "Do not use it; take a cadmium-free filler such as BAg-7, BAg-24 or BAg-5.",
                f.source,
            )


def phosphorus(case: Case) -> Iterator[Notice]:
    """Phosphorus on iron or nickel."""
    found = gathered(
        ((j.filler.name, s.metal.name.lower()), j.name)
        for j, s in case.sides
        if j.filler.phosphorus and s.metal.family in IRON_OR_NICKEL
    )
    for (filler, metal), names in found.items():
        yield Notice(
            "phosphorus-on-iron",
            f"{case.joints_named(names)}: {filler} holds phosphorus, which makes brittle phosphides with the iron or "
            f"nickel of {metal}; the joint cracks.",
            "Take a silver filler without phosphorus (BAg).",
            "AWS Brazing Handbook, 5th ed. (recalled)",
        )


def brass_on_brass(case: Case) -> Iterator[Notice]:
    """A brass filler on brass."""
    found = gathered(
        ((j.filler.id, s.metal.id), (j, s))
        for j, s in case.sides
        if j.filler.family == "brass" and s.metal.zinc_bearing
    )
    for sides in found.values():
        filler, metal = sides[0][0].filler, sides[0][1].metal
        segments = [s.name for _, s in sides]
        yield Notice(
            "brass-filler-on-brass",
            f"{case.joints_named([j.name for j, _ in sides])}: {filler.name} is liquid at {celsius(filler.liquidus)}; "
            f"{quoted(segments)} ({metal.name.lower()}) {'begins' if is_one(segments) else 'begin'} to melt at "
            f"{celsius(metal.solidus.value)}.",
            "Take a silver filler (BAg) that is liquid well below the solidus.",
            f"{filler.source}; {metal.solidus.source}",
        )


def melts(case: Case) -> Iterator[Notice]:
    """A segment that comes to its solidus: an overshoot, or a controller that goes by a slower part."""
    for s in case.segments:
        if s.solidus_margin <= 0.0:
            yield Notice(
                "melts",
                f'"{s.name}" comes to {celsius(s.peak)} and begins to melt {-s.solidus_margin:.0f} K below that.',
                f"Keep it {BELOW_SOLIDUS:.0f} K below its solidus: a lower set-point, a slower ramp, a controller that "
                "overshoots less or goes by the hottest part, or a lower-melting filler.",
                "computed; the metal's own solidus",
            )


def near_solidus(case: Case) -> Iterator[Notice]:
    """A set-point or step close below the solidus of a metal; one above it is refused before."""
    s = min(case.assembly.segments, key=lambda s: s.metal.solidus.value)
    hottest = max(case.settings.set_point, *(stage.to for stage in case.settings.stages))
    name = "set-point" if hottest == case.settings.set_point else "program's step to"
    off = case.settings.surroundings.offset
    solidus = s.metal.solidus.value - off  # as the display shows it
    if solidus - hottest < BELOW_SOLIDUS - 1e-6:
        yield Notice(
            "near-solidus",
            f'the {name} {celsius(hottest)} leaves {solidus - hottest:.0f} K to the solidus of "{s.name}", '
            f"{celsius(solidus)}{' on the display' if off else ''}; the furnace's own error may use that up.",
            f"Set {celsius(solidus - BELOW_SOLIDUS)} at most, or take a lower-melting filler.",
            f"{PRACTICE} for the {BELOW_SOLIDUS:.0f} K; solidus: {s.metal.solidus.source}",
        )


def transformation(case: Case) -> Iterator[Notice]:
    """A target inside the transformation of steel."""
    low, high = TRANSFORMATION
    targets = dict(zip((j.name for j in case.assembly.joints), case.settings.targets, strict=True))
    found = gathered(
        (targets[j.name], (j.name, s.name))
        for j, s in case.sides
        if s.metal.family in TRANSFORMING and low <= targets[j.name] <= high
    )
    for target, pairs in found.items():
        names, steels = zip(*pairs, strict=True)
        have, take = ("has its", "have their")[not is_one(names)], ("takes", "take")[not is_one(steels)]
        yield Notice(
            "steel-transformation",
            f"{case.joints_named(names)} {have} target, {celsius(target)}, inside the transformation of steel (720 to "
            f"760 degC), where {case.segments_named(steels)} {take} about 85 kJ/kg extra: the last degrees cost most.",
            "Take a filler whose target lies below 720 degC, or ask for less superheat.",
            "EN 1993-1-2:2005, 3.4.1.2",
        )
