"""What the furnace may not do: follow its program, hold the parts, come to the target."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ...answer import Notice
from ...thermal.neighbours import most_copies
from ..assumptions import PRACTICE, celsius
from ..settings import BELOW_SOLIDUS
from .case import Case, quoted

CLEARANCE = 0.02
"""A load stays this far from the walls, either side [m]. Common practice, no source."""
MOST_FILLED = 0.3
"""Share of the chamber that metal may fill. Common practice, no source."""
PAST = 8.0
"""An overshoot worth telling [K]. Common practice, no source."""
WAITED = 120.0
"""A program that waits longer than this in all is told of [s]. Common practice, no source."""
BEHIND = 30.0
"""A furnace further behind its program than this does not follow it [K]. Common practice, no source."""


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


def too_large(case: Case) -> Iterator[Notice]:
    """Parts that cannot lie in the furnace."""
    volume = case.settings.furnace.volume
    if volume is None:
        return
    side = float(np.cbrt(volume))
    longest = max(case.assembly.segments, key=lambda s: max(s.shape.heights.values(), default=0.0))
    reach = max(longest.shape.heights.values(), default=0.0)
    filled = case.settings.copies * sum(s.volume for s in case.assembly.segments) / volume
    if reach > side or filled > MOST_FILLED:
        yield Notice(
            "does-not-fit",
            f'"{longest.name}" is {reach * 1e3:.0f} mm long and the metal alone fills {filled:.0%} of a chamber of '
            f"{volume * 1e3:.0f} L, about {side * 1e3:.0f} mm each way; parts near a wall heat unevenly.",
            "Measure the chamber; take a larger furnace, or name the one that you have.",
            PRACTICE,
        )
    elif reach > side - 2.0 * CLEARANCE:
        yield Notice(
            "near-wall",
            f'"{longest.name}" is {reach * 1e3:.0f} mm long in a chamber of {side * 1e3:.0f} mm: '
            f"{0.5 * (side - reach) * 1e3:.0f} mm from the walls on either side, where elements heat it unevenly.",
            f"Leave {CLEARANCE * 1e3:.0f} mm on every side; turn the part or take a larger furnace.",
            PRACTICE,
        )


def too_many(case: Case) -> Iterator[Notice]:
    """Copies that do not stand side by side in the furnace."""
    volume, grid = case.settings.furnace.volume, case.grid
    if volume is None or grid is None:
        return
    side = float(np.cbrt(volume))
    room = most_copies(side - 2.0 * CLEARANCE, case.box, grid.spacing)
    if grid.copies > room:
        x, y = grid.size(case.box)
        yield Notice(
            "does-not-fit",
            f"{grid.copies} copies, {grid.columns} by {grid.rows} with {grid.spacing * 1e3:.0f} mm between them, take "
            f"{x * 1e3:.0f} by {y * 1e3:.0f} mm and are {case.box[2] * 1e3:.0f} mm high; a chamber of "
            f"{volume * 1e3:.0f} L, about {side * 1e3:.0f} mm each way, less {CLEARANCE * 1e3:.0f} mm at every wall, "
            f"has room for {room}.",
            "Take fewer copies, less space between them or a larger furnace; what stands on a second shelf is not "
            "computed.",
            PRACTICE,
        )


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
