"""The controller that a job asks for, completed by what the library knows, and how it is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..answer import OWN_DISPLAY, Assumption
from ..thermal.control import FOLLOWING, Controller
from .assumptions import PRACTICE

if TYPE_CHECKING:
    from ..jobfile.control import ControlInput
    from ..jobfile.read import ReadJob
    from ..parts.assembly import Assembly
    from ..trade.furnace_records import Furnace
    from .settings import Settings

_USUAL = {"band": '"40 K"', "integral_time": '"8 min"', "derivative_time": '"60 s"', "hysteresis": '"3 K"'}
"""Written as a job does; common practice, no source. For the message only."""


def controller(read: ReadJob, furnace: Furnace, assembly: Assembly) -> Controller:
    """The controller of a job's furnace: figures of the job where it has them, else those of the furnace's file.

    Raises
    ------
    JobFileError    a figure that the controller needs is in neither
    """
    own = read.job.furnace
    job = own.control
    pid, on_off = job.mode == "pid", job.mode == "on-off"
    names = [s.name for s in assembly.segments]
    hysteresis = _figure(read, "hysteresis", furnace.hysteresis) if on_off else 1.0
    if on_off and job.holdback is not None and job.holdback < hysteresis:
        text = (
            f"the program stands still {job.holdback:g} K ahead of the display, and the heater switches on only "
            f"{hysteresis:g} K below it (hysteresis), so that it never does; make holdback {hysteresis:g} K or more, "
            "or the hysteresis smaller"
        )
        raise read.error(read.fault(("furnace", "control", "holdback"), text))
    return Controller(
        mode=job.mode,
        band=_figure(read, "band", furnace.pid_band) if pid else job.band or furnace.control_band,
        integral_time=_figure(read, "integral_time", furnace.integral_time) if pid else FOLLOWING,
        derivative_time=_figure(read, "derivative_time", furnace.derivative_time) if pid else 0.0,
        hysteresis=hysteresis,
        holdback=job.holdback,
        place=job.sensor_place or "wall",
        body=names.index(job.control_on) if job.control_on in names else None,
        lag=furnace.sensor_time_constant if own.sensor_time_constant is None else own.sensor_time_constant,
    )


def _figure(read: ReadJob, key: str, library: float | None) -> float:
    """The user's own figure, 0 too, or that of the furnace's file."""
    control = read.job.furnace.control
    own: float | None = getattr(control, key)
    if own is None and library is None:
        text = (
            f'missing; mode = "{control.mode}" needs it, and the file of the furnace does not say: add it, for example '
            f"{key} = {_USUAL[key]} ({PRACTICE})"
        )
        raise read.error(read.fault(("furnace", "control", key), text))
    return own if own is not None else float(library or 0.0)


def controller_notes(c: Controller, own: ControlInput, furnace: Furnace) -> list[Assumption]:
    """The controller in one sentence, and what is taken for granted of one that goes by a thermocouple in the load."""
    notes = [_sentence(c, own, furnace)]
    if c.body is not None:
        why = "on the safe side: where the thermocouple is, the controller makes up for the furnace's unevenness"
        value = "counted as if its own sensor were gone by"
        notes.append(Assumption("evenness of the furnace", value, why, "furnace", f"uniformity {value}"))
    return notes


def _sentence(c: Controller, own: ControlInput, furnace: Furnace) -> Assumption:
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
    source = furnace.control_source
    if own.model_fields_set & {"band", "integral_time", "derivative_time", "hysteresis"}:
        source = f"the job file; what it leaves open: {source}"
    off = f", which reads {own.sensor_offset:+g} K" if own.sensor_offset else ""
    value = f"{law}; goes by {by}{off}, lag {c.lag:.0f} s; the program {wait}"
    short = f"{law.partition(',')[0]}, by {by}{off}; {wait}"
    return Assumption("controller", value, source, "furnace.control", short)


def display(s: Settings, assembly: Assembly) -> str:
    """What the hold is counted by."""
    chamber = s.surroundings.chamber
    body = None if chamber is None else chamber.controller.body
    return OWN_DISPLAY if body is None else f'the thermocouple in "{assembly.segments[body].name}"'
