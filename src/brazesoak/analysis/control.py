"""The controller that a job asks for, completed by what the library knows, and how it is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..answer import OWN_DISPLAY, Assumption
from ..thermal.control import FOLLOWING, Controller
from .assumptions import PRACTICE

if TYPE_CHECKING:
    from ..jobfile.control import ControlInput
    from ..jobfile.schema import FurnaceChoice
    from ..parts.assembly import Assembly
    from ..trade.records import Furnace
    from .settings import Settings

PID_BAND, INTEGRAL_TIME, DERIVATIVE_TIME, HYSTERESIS = 40.0, 480.0, 60.0, 3.0
"""What a controller is set to where neither the job nor the furnace's file says [K], [s], [s], [K]: common practice, no
source; checked on the furnaces of the library for a heat-up that settles."""


def controller(own: FurnaceChoice, furnace: Furnace, assembly: Assembly) -> Controller:
    """The controller of a job's furnace: figures of the job where it has them, else those of the library."""
    job = own.control
    pid = job.mode == "pid"
    names = [s.name for s in assembly.segments]
    body = names.index(job.control_on) if job.control_on in names else None
    lag = furnace.sensor_time_constant if own.sensor_time_constant is None else own.sensor_time_constant
    return Controller(
        mode=job.mode,
        band=job.band or ((furnace.pid_band or PID_BAND) if pid else furnace.control_band),
        integral_time=(job.integral_time or furnace.integral_time or INTEGRAL_TIME) if pid else FOLLOWING,
        derivative_time=_first(job.derivative_time, furnace.derivative_time, DERIVATIVE_TIME) if pid else 0.0,
        hysteresis=job.hysteresis or furnace.hysteresis or HYSTERESIS,
        holdback=job.holdback,
        place=job.sensor_place or "wall",
        body=body,
        lag=lag,
    )


def _first(own: float | None, library: float | None, practice: float) -> float:
    """The user's own figure, 0 too, or that of the library, or what is usual."""
    return next(x for x in (own, library, practice) if x is not None)


def controller_note(c: Controller, own: ControlInput, furnace: Furnace) -> Assumption:
    """The controller in one sentence."""
    law = {
        "proportional": f"proportional, full power {c.band:.0f} K below the program and further, with the power that "
        f"holds the furnace and an integral of {c.integral_time / 60.0:g} min",
        "on-off": f"on-off, on {c.hysteresis:g} K below the program and off {c.hysteresis:g} K above it",
        "pid": f"PID, full power {c.band:.0f} K below the program and further, "
        f"integral {c.integral_time / 60.0:g} min, derivative {c.derivative_time:.0f} s",
    }[c.mode]
    place = "at the walls" if c.place == "wall" else "beside the load, half of which it sees"
    by = f"its own sensor, {place}" if c.body is None else f'a thermocouple in "{own.control_on}"'
    wait = "never waits for the furnace"
    if c.holdback is not None:
        wait = f"waits while the display is more than {c.holdback:g} K below it"
    told = any((furnace.pid_band, furnace.integral_time, furnace.hysteresis)) or c.mode == "proportional"
    source = furnace.control_source if told else PRACTICE
    if own.model_fields_set & {"band", "integral_time", "derivative_time", "hysteresis"}:
        source = f"the job file; what it leaves open: {source}"
    off = f", which reads {own.sensor_offset:+g} K" if own.sensor_offset else ""
    return Assumption("controller", f"{law}; goes by {by}{off}, lag {c.lag:.0f} s; the program {wait}", source)


def display(s: Settings, assembly: Assembly) -> str:
    """What the hold is counted by."""
    chamber = s.surroundings.chamber
    body = None if chamber is None else chamber.controller.body
    return OWN_DISPLAY if body is None else f'the thermocouple in "{assembly.segments[body].name}"'
