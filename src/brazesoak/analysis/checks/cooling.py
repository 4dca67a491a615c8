"""What the heat leaves behind: a furnace opened hot, a hardened steel that comes out soft, one that hardens in air."""

from __future__ import annotations

from collections.abc import Iterator

from ...answer import Notice
from ..assumptions import PRACTICE, celsius
from ..cooling import may_harden
from ..settings import OPEN_BELOW
from .case import Case, gathered, is_one


def opened_hot(case: Case) -> Iterator[Notice]:
    """A furnace opened hotter than the trade does."""
    wanted = case.settings.open_below
    if case.settings.cooling == "shut" or wanted <= OPEN_BELOW:
        return
    yield Notice(
        "opened-hot",
        f"the furnace is opened at {celsius(wanted)}, hotter than {celsius(OPEN_BELOW)}: parts glow, cold air strains "
        "joint and lining, and the hands are at the opening.",
        f"Leave it shut until everything is below {celsius(OPEN_BELOW)}.",
        PRACTICE,
    )


def hardens(case: Case) -> Iterator[Notice]:
    """Steels that may harden at the rate at which they cool."""
    rates = case.run.cooling_rates or (None,) * len(case.segments)
    found = gathered(
        ((segment.metal.name.lower(), f"{rate * 60.0:.0f}"), segment.name)
        for segment, told, rate in zip(case.assembly.segments, case.segments, rates, strict=True)
        if rate is not None and may_harden(segment, told.peak, rate)
    )
    for (metal, rate), names in found.items():
        yield Notice(
            "may-harden",
            f"{case.segments_named(names)} ({metal}) {'cools' if is_one(names) else 'cool'} at {rate} K/min from 700 "
            "to 500 degC and may harden and crack beside the joint.",
            "Cool with the door shut, and temper or test before use.",
            PRACTICE,
        )


def softens(case: Case) -> Iterator[Notice]:
    """Steels whose hardness a brazing heat takes, whatever the way down gives back."""
    found = gathered((s.metal.name.lower(), s.name) for s in case.assembly.segments if s.metal.hardenable)
    for metal, names in found.items():
        yield Notice(
            "softens",
            f"{case.segments_named(names)} ({metal}): if hardened or tempered before, this heat anneals "
            f"{'it' if is_one(names) else 'them'}; the hardness is lost.",
            "Take no hardness for granted: harden and temper afterwards only if the filler stands it, or let the wear "
            "fall on another part.",
            "the metal's data file, from memory",
        )
