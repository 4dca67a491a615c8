"""Whether the flux suits filler, metals and furnace, and lasts as long as it is needed."""

from __future__ import annotations

from collections.abc import Iterator

from ...answer import Notice
from ..assumptions import PRACTICE, celsius, in_time
from .case import Case, gathered, is_one, quoted, span

ROOM_FOR_FLUX = 30.0
"""Flux should be molten this far below the filler's solidus [K]. Common practice, no source."""
LONG_LIFE = 3600.0
"""No flux of the library lasts longer [s]; see the clocks of FB3-C and FB3-H."""


def working_range(case: Case) -> Iterator[Notice]:
    """A flux that works too late or not hot enough."""
    for pairs in gathered(((j.flux.id, j.filler.id), j) for j in case.assembly.joints).values():
        f, filler = pairs[0].flux, pairs[0].filler
        if f.active_low > filler.solidus - ROOM_FOR_FLUX:
            yield Notice(
                "flux-too-late",
                f"{case.joints_named([j.name for j in pairs])}: {f.name} works from {celsius(f.active_low)}, and "
                f"{filler.name} begins to melt at {celsius(filler.solidus)}: the faces are not clean when the filler "
                "runs.",
                "Take a flux that is active at least 30 K below the solidus.",
                f"{f.source}; {PRACTICE} for the 30 K",
            )
    for joints in gathered((j.flux.id, j) for j in case.assembly.joints).values():
        f = joints[0].flux
        if f.active_high < case.settings.true_set_point:
            yield Notice(
                "flux-too-hot",
                f"{case.joints_named([j.name for j in joints])}: {f.name} works up to {celsius(f.active_high)}; the "
                f"set-point is {celsius(case.settings.true_set_point)}.",
                "Lower the set-point, or take a flux that stands more.",
                f.source,
            )


def metals(case: Case) -> Iterator[Notice]:
    """A flux that may not dissolve the oxide of a metal."""
    found = gathered(
        ((j.flux.id, s.metal.id), (j, s))
        for j, s in case.sides
        # For a metal that must not be brazed in air, no flux is suited.
        if s.metal.air_flux_brazing and j.flux.suited_families and s.metal.family not in j.flux.suited_families
    )
    for sides in found.values():
        flux, metal = sides[0][0].flux, sides[0][1].metal
        yield Notice(
            "flux-metal",
            f"{case.joints_named([j.name for j, _ in sides])}: {flux.name} is not made for {metal.name.lower()} "
            f"({quoted(s.name for _, s in sides)}), whose oxide it may not dissolve.",
            f"Take a flux suited to {metal.family}; brazesoak data fluxes lists them.",
            flux.source,
        )


def use(case: Case) -> Iterator[Notice]:
    """A flux for the torch only."""
    for joints in gathered((j.flux.id, j) for j in case.assembly.joints if not j.flux.furnace_use).values():
        flux = joints[0].flux
        yield Notice(
            "flux-not-for-furnace",
            f"{case.joints_named([j.name for j in joints])}: {flux.name} is for the torch only: "
            f"{flux.suited_text.removeprefix('torch only: ')}.",
            "Take a paste or slurry flux.",
            flux.source,
        )


def life(case: Case) -> Iterator[Notice]:
    """A flux that is hot for so long that it tires or is spent."""
    found = []
    for j, a in case.answered:
        stop, source = case.settings.limits.flux_life(j)
        warn = j.flux.warn_after if case.settings.limits.flux is None else None
        limit = stop if stop is not None and a.flux_time > stop else warn
        if limit is not None and a.flux_time > limit:
            found.append(((j.flux.id, limit, limit == stop, source), (j, a.flux_time / 60.0)))
    for (_, limit, spent, source), joints in gathered(found).items():
        flux, names = joints[0][0].flux, [j.name for j, _ in joints]
        are, where = ("is", "its hottest point") if is_one(names) else ("are", "their hottest points")
        yield Notice(
            "flux-spent" if spent else "flux-long",
            f"{case.joints_named(names)} {are} above {celsius(flux.clock_from)} at {where} for "
            f"{span(minutes for _, minutes in joints)} min; there {flux.name} "
            f"{'counts as spent after' if spent else 'tires from'} about {in_time(limit)}"
            f"{'' if spent else ' on'}, and lets the faces oxidise.",
            f"Darken bright parts, heat faster above {celsius(flux.clock_from)}, {_other_flux(flux.stop_after)}; "
            "try it on scrap.",
            source,
        )


def _other_flux(life: float | None) -> str:
    """What else helps a flux of this life [s]."""
    if life is not None and life >= LONG_LIFE:
        return "or take a lower-melting filler; no flux known here lasts longer"
    return "take a lower-melting filler or a flux with a longer life (FB3-C)"
