"""What to key in: the lines of the program, with how long the furnace really takes over each."""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import TYPE_CHECKING

from ..answer import OWN_DISPLAY, ProgramStep
from ..bridge.simulate import Simulation
from .assumptions import celsius
from .control import display
from .following import Ramp, ramp_times
from .hold import MINUTE

if TYPE_CHECKING:
    from ..parts.assembly import Assembly
    from .settings import Settings

AT_ONCE = 30.0
"""A clock that starts before this starts with the heat [s]."""
WORTH_SAYING = 120.0
"""A furnace that comes to its set-point so much later than its ramp ends makes a difference to the hold [s]."""


def to_key_in(
    s: Settings, assembly: Assembly, run: Simulation, hold: float, empty: float | None
) -> tuple[ProgramStep, ...]:
    """What to key in. empty : float or None    time in which the empty furnace comes to the set-point [s]"""
    band = celsius(s.set_point - s.surroundings.clock_band)
    shown = display(s, assembly)
    if s.hot:
        note = "heat the empty furnace, let it stand an hour there until hot through, then load it quickly"
        steps = [ProgramStep("ramp", s.set_point, None, None, note, takes=empty)]
        back = f"{shown} shows {band}"
        if shown == OWN_DISPLAY:
            back = f"the display, which falls as the load goes in, is back at {band}"
        start = "the door closes" if run.clock_start < AT_ONCE else back
    else:
        steps = _ramps(s, run)
        start = f"{shown} shows {band}"
    if hold <= 0.0:
        return (*steps, ProgramStep("off", None, None, None, f"as soon as {start}; {_way_down(s)}"))
    own_count = "" if s.hot else _if_the_controller_counts(steps, run, hold)
    steps.append(ProgramStep("hold", s.set_point, None, hold, f"counted from when {start}{own_count}"))
    return (*steps, ProgramStep("off", None, None, None, _way_down(s)))


def _way_down(s: Settings) -> str:
    """What to do with the door after the heater is off."""
    then = {"ajar": "then door ajar", "still air": "then the load out on the bench"}.get(s.cooling)
    return "door shut" if then is None else f"door shut until everything is below {celsius(s.open_below)}, {then}"


def _if_the_controller_counts(steps: list[ProgramStep], run: Simulation, hold: float) -> str:
    """What to key in where a controller counts the hold from the end of its own ramp, having waited or not."""
    ramps_end = sum(step.duration or 0.0 for step in steps) + run.waited
    if run.clock_start - ramps_end < WORTH_SAYING or any(step.duration is None for step in steps):
        return ""
    longer = MINUTE * ceil((run.clock_start + hold - ramps_end) / MINUTE - 1e-9)
    return f"; a controller that counts from the end of its ramp needs {longer / MINUTE:.0f} min instead"


def _ramps(s: Settings, run: Simulation) -> list[ProgramStep]:
    """The stages of a program; the last ramp is not shown as longer than the heat, and tells of what it waited."""
    steps, at, elapsed, end = [], s.start, 0.0, run.hold_end - run.waited
    levels = [stage.to for stage in s.stages]
    ramps = (Ramp(None, None),) * len(levels)
    waits = run.waited >= WORTH_SAYING
    if not waits:
        ramps = ramp_times(run.time, run.program, run.sensor, levels, s.surroundings.clock_band)
    for stage, really in zip(s.stages, ramps, strict=True):
        duration = None if stage.rate is None else min(abs(stage.to - at) / stage.rate, max(end - elapsed, 0.0))
        steps.append(ProgramStep("ramp", stage.to, stage.rate, duration, takes=really.takes))
        if stage.hold > 0.0:
            steps.append(ProgramStep("hold", stage.to, None, stage.hold, f"to even out{_rest(stage.hold, really)}"))
        at, elapsed = stage.to, elapsed + (duration or 0.0) + stage.hold
    if waits:
        steps[-1] = replace(steps[-1], note=f"and {run.waited / MINUTE:.0f} min in which it waits for the furnace")
    return steps


def _rest(hold: float, ramp: Ramp) -> str:
    """What is left of a hold when the display, late, is there."""
    if ramp.rests is None or hold - ramp.rests < WORTH_SAYING:
        return ""
    return f"; {ramp.rests / MINUTE:.0f} min of it once the display is there"
