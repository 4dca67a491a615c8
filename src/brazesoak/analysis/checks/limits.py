"""Whether some hold is both long enough and short enough, and what a long heat does to plain stainless steel."""

from __future__ import annotations

from collections.abc import Iterator

from ...answer import Notice
from ..assumptions import celsius
from ..ceilings import SENSITISING
from ..limits import GENTLER, THE_JOB, largest_across, largest_within
from .case import Case, is_one, quoted, span
from .parts import doubt

SEEK = "Brazesoak map tries other set-points; brazesoak best seeks the program."

SENSITISED_AFTER = 10 * 60.0
"""In the sensitising range longer than this, plain austenitic steel is warned of [s]: minutes at 0.06 to 0.08 % carbon,
from memory."""


def no_hold(case: Case) -> Iterator[Notice]:
    """The floor of the hold lies above a ceiling."""
    if case.window is not None and not case.window.works:
        sources = dict.fromkeys(c.source for c in case.window.violated)
        message, counted = case.window.message, _by_thermocouple(case)
        if counted:
            message = message.replace("No hold", "Counted from the display, no hold", 1)
        take = case.window.remedy.replace("What would: ", "Or take " if counted else "Take ", 1)
        yield Notice("no-hold-works", message, f"{counted}{take} {SEEK}", "; ".join(sources))


def _by_thermocouple(case: Case) -> str:
    """That a hold counted from a thermocouple on the load keeps the limits; empty where it does not."""
    p = case.placing
    if case.window is None or p is None or not case.window.kept_from(p) or doubt(case):
        return ""
    return (
        f"Count from the thermocouple on the load: {p.hold / 60.0:.0f} min from when it shows {celsius(p.reading)} "
        "keeps within the limit in a usual heat, every input at its most likely value; in another it may not. "
    )


def uneven(case: Case) -> Iterator[Notice]:
    """Two places that differ by more than the user allows."""
    most = case.settings.limits.difference
    heated = case.run.time <= case.run.hold_end + 1e-6
    coldest, hottest = case.run.coldest[:, heated], case.run.hottest[:, heated]
    found = max(largest_within(coldest, hottest), largest_across(coldest, hottest))
    if most is not None and found > most:
        yield Notice(
            "uneven",
            f"two places of the load differ by up to {found:.0f} K while it heats, more than the {most:.0f} K that the "
            "job allows; they grow differently, and that distorts.",
            f"What would help: {GENTLER}; brazesoak programs compares.",
            THE_JOB,
        )


def sensitised(case: Case) -> Iterator[Notice]:
    """Plain austenitic steel for long in the range where it loses its resistance to corrosion."""
    times = {s.name: s.sensitising_time for s in case.segments if s.sensitising_time is not None}
    found = {name: time / 60.0 for name, time in times.items() if time > SENSITISED_AFTER}
    if found:
        low, high = (celsius(T) for T in SENSITISING)
        yield Notice(
            "sensitised",
            f"{quoted(found)} {'is' if is_one(found) else 'are'} between {low} and {high} for {span(found.values())} "
            "min; plain grades lose their resistance to corrosion there within minutes to an hour.",
            "Of no matter where the part stays dry; else take a low-carbon or stabilised grade (304L, 316L, 321, 347).",
            "range: the data of stainless 304; minutes: from memory",
        )
