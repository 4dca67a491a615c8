"""What speaks for and against a flux, for given metals, filler and set-point: each with its source."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..choices import Excluded, FluxChoice, Reason
from .assumptions import PRACTICE, celsius
from .checks.fluxes import LONG_LIFE, ROOM_FOR_FLUX
from .choice_fillers import STAINLESS

if TYPE_CHECKING:
    from ..trade.records import Filler, Flux

CHROMIUM_OR_CARBIDE = STAINLESS | {"nickel alloy", "carbide"}
"""Their oxides need a flux with elemental boron. Source: AWS A5.31, Table 1 (recalled)."""
STUBBORN = "aluminium bronze"
UNDER_STUBBORN = {"carbon steel", "alloy steel", "tool steel", "brass", "bronze", "copper", "cupronickel"}
"""A flux made for aluminium bronze dissolves the oxides of these as well. Common practice, no source."""
ROOM_ABOVE = 50.0
"""A flux should stay active this far above the set-point [K]. Common practice, no source."""


def sort_fluxes(
    fluxes: tuple[Flux, ...], families: set[str], filler: Filler, T: float
) -> tuple[tuple[FluxChoice, ...], tuple[Excluded, ...]]:
    """Fluxes for metals of these families, this filler and this set-point `T` [K]: best first, and those barred."""
    good, barred = [], []
    for f in fluxes:
        against = tuple(_bars(f, families, filler, T))
        if against:
            barred.append(Excluded(f.name, against))
        else:
            good.append(FluxChoice(f.name, f.active_low, f.active_high, tuple(_weighs(f, families, T))))
    return tuple(sorted(good, key=lambda c: -c.points)), tuple(barred)


def _unnamed(f: Flux, families: set[str]) -> set[str]:
    return families - set(f.suited_families)


def _stretched(f: Flux, families: set[str]) -> bool:
    """Whether a flux for aluminium bronze serves the other metal of a joint with it too."""
    return STUBBORN in families and STUBBORN in f.suited_families and _unnamed(f, families) <= UNDER_STUBBORN


def _bars(f: Flux, families: set[str], filler: Filler, T: float) -> Iterator[Reason]:
    if not f.furnace_use:
        yield Reason("torch-only", "it is made for the torch", f.source)
        return
    missing = _unnamed(f, families)
    if not f.suited_families:
        yield Reason("metals-unknown", "its source does not say for which metals it is made", f.source)
    elif missing & CHROMIUM_OR_CARBIDE:
        named = ", ".join(sorted(missing & CHROMIUM_OR_CARBIDE))
        yield Reason("needs-boron", f"{named}: such oxides need a flux with elemental boron", f.source)
    elif missing and not _stretched(f, families):
        yield Reason("metals", f"it is not made for {', '.join(sorted(missing))}", f.source)
    if f.active_low > filler.solidus - ROOM_FOR_FLUX:
        text = f"it works from {celsius(f.active_low)}, too late for a filler that melts from {celsius(filler.solidus)}"
        yield Reason("too-late", text, f"{f.source}; {ROOM_FOR_FLUX:.0f} K before: {PRACTICE}")
    if f.active_high < T:
        text = f"it works up to {celsius(f.active_high)}, and the set-point is {celsius(T)}"
        yield Reason("spent", text, f.source)


def _weighs(f: Flux, families: set[str], T: float) -> Iterator[Reason]:
    if f.stop_after is None:
        yield Reason("life-unknown", "nobody gives a figure for its life at heat", f.clock_source, -1.0)
    elif f.stop_after >= LONG_LIFE:
        text = f"it counts as spent after about {f.stop_after / 60:.0f} min at heat, long for a flux: for slow heats"
        yield Reason("long-life", text, f.clock_source, 3.0)
    else:
        text = f"it counts as spent after about {f.stop_after / 60:.0f} min at heat, short for a furnace"
        yield Reason("short-life", text, f.clock_source)
    if f.active_high < T + ROOM_ABOVE:
        text = f"it stays active only {f.active_high - T:.0f} K above the set-point"
        yield Reason("little-room", text, f"{f.source}; {ROOM_ABOVE:.0f} K: {PRACTICE}", -1.0)
    if "paste" in f.form or "slurry" in f.form:
        yield Reason("form", f"as a {f.form} it stays where it is put while it dries", PRACTICE, 0.5)
    if "chloride" in f.constituents:
        yield Reason("chloride", "it holds chlorides, whose residue corrodes: wash it off at once", f.source, -1.0)
    if _stretched(f, families) and _unnamed(f, families):
        named = ", ".join(sorted(_unnamed(f, families)))
        yield Reason("unnamed", f"its source does not name {named}; try it on scrap", PRACTICE, -0.5)
    if families & CHROMIUM_OR_CARBIDE:  # a flux without boron is barred
        named = ", ".join(sorted(families & CHROMIUM_OR_CARBIDE))
        yield Reason("boron", f"with its boron it is made for the oxides of {named}", f.source, 1.0)
