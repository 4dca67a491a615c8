"""What the furnace may not do: follow its program, hold the parts, come to the target."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

import numpy as np

from ...answer import Notice
from ...bridge.at_rest import at_rest
from ..assumptions import PRACTICE, celsius
from ..settings import BELOW_SOLIDUS
from .case import Case, quoted

PAST = 8.0
"""An overshoot worth telling [K]. Common practice, no source."""
WAITED = 120.0
"""A program that waits longer than this in all is told of [s]. Common practice, no source."""
BEHIND = 30.0
"""A furnace further behind its program than this does not follow it [K]. Common practice, no source."""
LATE = 60.0
"""A furnace so much later at the set-point than its program is told of [s]. Our own choice."""
OVER_LAST = 30.0
"""Rise over which the furnace's own rate is taken [K]. Our own choice."""
SLOWEST = 1.0
"""Nobody programs a slower ramp than this [K/min]. Common practice, no source."""


def never(case: Case) -> Iterator[Notice]:
    """An input at one end of which a joint never comes to its target."""
    failed = case.spread.gave_up
    unless = f" (the solver could not finish {failed} such heats, which count as never)" if failed else ""
    for d in case.spread.never:
        yield Notice(
            "may-never-reach",
            f"at one end of what is likely for the {d.name} ({d.low_input} to {d.high_input}), a joint never comes to "
            f"its target at this set-point{unless}; the range of the hold leaves that case out.",
            "Measure it: put a thermocouple on the slowest part and start the minutes by its reading; or raise the "
            "set-point.",
            d.source,
        )


def not_sure(case: Case) -> Iterator[Notice]:
    """No hold is enough in the share of heats that the job asks for."""
    sure = case.settings.confidence
    if case.never <= 1.0 - sure:
        return
    yield Notice(
        "confidence-not-reached",
        f"in {100.0 * case.never:.0f} of 100 heats like this a joint never comes to its target at this set-point, so "
        f"no hold is enough in {100.0 * sure:g} of 100; the hold given covers only the heats that do arrive.",
        "Raise the set-point, or put a thermocouple on the slowest part and start the minutes by its reading.",
        "computed: see how sure",
    )


def one_lump(case: Case) -> Iterator[Notice]:
    """A furnace whose lining is not known."""
    s = case.settings
    chamber = s.surroundings.chamber
    if chamber is None or chamber.interior is not None:
        return
    why, action = "the file of the furnace has no [[lining]]", "Add to that file"
    if s.furnace.interior is not None:
        why = "the job gives heat_capacity or loss_conductance"
        action = (
            "Leave both out of the job, so that the lining of the library's furnace counts, or write a file of your "
            "own for the furnace with"
        )
    yield Notice(
        "lining-not-given",
        f"{why}, so that heaters, walls and air are one lump, without a shelf. A real lining is hot at its face at "
        "once and takes up heat for hours: against the library's furnaces in layers the hold came out off by up "
        "to 6 min either way.",
        f"{action} the thickness and kind of each layer of the lining, and the shelf (brazesoak data NAME shows one); "
        "until then add as much, or count the hold from a thermocouple on the load.",
        "computed: two loads of 2 and 5 kg in furnaces of 3, 10 and 60 L",
    )


def no_room(case: Case) -> Iterator[Notice]:
    """A load that does not lie in the furnace, or too near its walls."""
    crowded = case.crowding
    if crowded is None:
        return
    if crowded.near:
        yield Notice("near-wall", f"{crowded.text}.", crowded.action, PRACTICE)
    else:
        yield Notice("does-not-fit", f"{crowded.text}.", crowded.action, PRACTICE)


def overshoot(case: Case) -> Iterator[Notice]:
    """The controller lets the furnace, and with it the load, go past the set-point."""
    s = case.settings
    over = case.run.overshoot
    lowest = min(case.segments, key=lambda segment: segment.solidus_margin)
    hottest = max(case.segments, key=lambda segment: segment.peak)
    beyond = hottest.peak - s.set_point - max(s.surroundings.offset, 0.0)
    if max(over, beyond) < PAST:
        return
    text = f"the controller goes {over:.0f} K past the set-point, and {quoted([hottest.name])} comes to "
    text += f"{celsius(hottest.peak)}"
    if 0.0 < lowest.solidus_margin < BELOW_SOLIDUS <= lowest.solidus_margin + max(over, beyond):
        text += f"; {quoted([lowest.name])} is then only {lowest.solidus_margin:.0f} K below its solidus"
    yield Notice(
        "overshoot",
        f"{text}.",
        "Ramp more slowly over the last 50 K, hold for some minutes 20 K below the set-point, give the controller a "
        "wider band or a slower integral, or set the set-point lower by as much.",
        "computed with the controller's own figures",
    )


def program_waits(case: Case) -> Iterator[Notice]:
    """The program waits for a furnace that cannot follow it."""
    chamber = case.settings.surroundings.chamber
    if chamber is None or chamber.controller.holdback is None or case.run.waited < WAITED:
        return
    c = chamber.controller
    action = "Set a slower ramp, or leave it so: the times of this plan include the waiting."
    if c.mode != "on-off" and chamber.controller.holdback < c.band:
        action = f"Widen holdback to {c.band:.0f} K at least, the band in which the power rises to all there is; "
        action += "or set a slower ramp. The times of this plan include the waiting."
    yield Notice(
        "program-waits",
        f"the program waits {case.run.waited / 60.0:.0f} min in all for the furnace, which does not follow its ramp.",
        action,
        "computed with the furnace's own figures",
    )


def ramp_not_followed(case: Case) -> Iterator[Notice]:
    """The furnace cannot keep up with its program: what it lacks in time and in power."""
    run, s = case.run, case.settings
    heating = run.time <= run.clock_start
    behind = float(np.max((run.program - run.sensor)[heating], initial=0.0))
    chamber = s.surroundings.chamber
    if behind <= BEHIND or s.hot or chamber is None:
        return
    ends = float(s.surroundings.profile.time[-1])
    late = run.clock_start - ends
    text = f"the furnace falls up to {behind:.0f} K behind its program"
    if late >= LATE:
        text += (
            f": that is at the set-point after {ends / 60.0:.0f} min, the furnace with this load after "
            f"{run.clock_start / 60.0:.0f} min, so that {late / 60.0:.0f} min are missing"
        )
    holding = at_rest(chamber, s.true_set_point, s.surroundings.room, s.surroundings.film).power
    text += f". Of its {chamber.power:.0f} W it needs {holding:.0f} W to hold the set-point alone"
    rise, at = _last_rise(case)
    rate = 60.0 * rise
    action = "Use a furnace of more power or less loss, or a lighter load"
    if rate >= SLOWEST:
        slower = floor(rate) if rate >= 10.0 else floor(10.0 * rate) / 10.0
        action = f"Set a ramp of {slower:g} K/min at most, which is what it manages at {celsius(at)}"
    yield Notice(
        "ramp-not-followed",
        f"{text}.",
        f"{action}; or let the clock start by the display, as this plan does.",
        "computed with the furnace's own figures",
    )


def _last_rise(case: Case) -> tuple[float, float]:
    """How fast the display rises over the last kelvins that it lies behind by more than the band in which the power is
    taken back [K/s], and where they end [K]. What it rises nearer to its program, in a hold to even out for example,
    tells of the controller and not of the furnace."""
    run, s = case.run, case.settings
    chamber = s.surroundings.chamber
    assert chamber is not None
    band = 0.0 if chamber.controller.mode == "on-off" else chamber.controller.band
    full_power = max(band, s.surroundings.clock_band)
    heating = run.time <= run.clock_start
    time, shown = run.time[heating], np.maximum.accumulate(run.sensor[heating])
    behind = (run.program - run.sensor)[heating][1:]
    far = behind > (full_power if np.max(behind, initial=0.0) > full_power else BEHIND)
    if not far.any():
        return 0.0, s.set_point
    rise, took = np.diff(shown)[far], np.diff(time)[far]
    left = np.cumsum(rise[::-1])[::-1]  # of each piece and those after it
    last = left <= max(OVER_LAST, rise[-1])
    return float(rise[last].sum() / max(took[last].sum(), 1.0)), float(shown[1:][far][-1])
