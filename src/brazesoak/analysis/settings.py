"""What the job leaves open, decided: set-point, targets, program and furnace, with every default on record."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import Assumption
from ..parts.assembly import Assembly, Joint, Segment
from ..thermal.furnace import Profile, Stage, Surroundings, profile
from .assumptions import PRACTICE, celsius, default_figures, in_bodies, silent, support_kind, unused_figures
from .chambers import library_chamber
from .control import controller, controller_notes
from .hold import LEAST_BELOW_SET_POINT, target_temperature
from .instruments import uniformity
from .limits import Limits, limits_note

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.furnace_records import Furnace

ABOVE_LIQUIDUS = 75.0
"""Default set-point above the highest liquidus [K]: middle of the trade's 50 to 100 K. Common practice, no source."""
BELOW_SOLIDUS = 50.0
"""A set-point stays this far below the lowest solidus of the metals [K]. Common practice, no source."""
OPEN_BELOW = 500.0 + ZERO_CELSIUS
"""The furnace may be opened below this [K], 500 degC. Common practice, no source; it still burns."""
SET_POINT_BAND = 50.0, 100.0
"""Set-point above the liquidus [K]. Common practice, no source."""
OTHER_SCALES = ("k", "kelvin")
"""Ends of set-points in another scale, lower case: told as they were written, beside degrees Celsius and Fahrenheit."""
FILM_SPREAD = 0.3
"""A film that the user gives may be off by this share, either way. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Settings:
    """A job with nothing left open. Temperatures [K], times [s]."""

    set_point: float
    set_point_reason: str
    targets: tuple[float, ...]
    superheat: float
    wanted: float
    confidence: float
    samples: int
    sampled: str
    """``auto``, ``network``, ``coarse`` or ``own``, see `sampling`."""
    load_thermocouple: str
    """Type and class of the one on the load, see `instruments`."""
    thermocouple_lag: float
    """Its time constant [s]."""
    open_below: float
    surroundings: Surroundings
    stages: tuple[Stage, ...]
    start: float
    hot: bool
    furnace: Furnace
    film: tuple[float, float]
    film_source: str
    uniformity: tuple[float, float]
    uniformity_source: str
    thermocouple: str
    """Type and class of the furnace's own, see `instruments`."""
    price: float | None
    """Of a joule, in the money of the job."""
    limits: Limits
    door_open: float
    """Of a furnace loaded hot [s]."""
    cooling: str
    copies: int
    spacing: float | None
    """Clear distance between copies [m]; None where there is one."""
    support: str
    """``shelf``, ``props`` or ``none``."""
    assumptions: tuple[Assumption, ...]

    @property
    def true_set_point(self) -> float:
        """What the furnace is at while its display shows the set-point [K]."""
        return self.set_point + self.surroundings.offset


def settle(read: ReadJob, assembly: Assembly, furnace: Furnace) -> Settings:
    """Decide what the job leaves open.

    Raises
    ------
    JobFileError    a set-point that cannot work, or steps before it in a furnace that is already there
    """
    job = read.job
    if job.program.loading == "hot" and job.program.steps:
        text = "a furnace loaded hot is at its set-point already and makes no steps; remove them, or load cold"
        raise read.error(read.fault(("program", "steps"), text))
    off = -job.furnace.control.sensor_offset if furnace.kind == "chamber" else 0.0
    set_point, reason = _set_point(read, assembly, off)
    _check_steps(read, assembly, off)
    notes = [*silent(job, OPEN_BELOW), *unused_figures(job.furnace, furnace), *default_figures(job.furnace, furnace)]
    if job.program.set_point is None:
        shown = celsius(set_point)
        notes.append(Assumption("set-point", shown, f"{reason} ({PRACTICE})", "program", f"set_point {shown}"))
    allowed = job.limits
    limits = Limits(allowed.flux, allowed.zinc, allowed.scale, allowed.sensitisation, BELOW_SOLIDUS, allowed.difference)
    if (note := limits_note(allowed.model_fields_set, limits, assembly)) is not None:
        notes.append(note)
    if furnace.kind == "chamber":
        notes += controller_notes(controller(read, furnace, assembly), job.furnace.control, furnace)
    targets = _targets(read, assembly, set_point + off, notes)
    stages = _stages(read, furnace, set_point, notes)
    hot = job.program.loading == "hot"
    start = job.furnace.room if job.program.start is None else job.program.start
    program = profile(start, stages, hot)
    film, given = job.furnace.film, job.furnace.uniformity
    even = None if given is None else uniformity(given)
    return Settings(
        set_point=set_point,
        set_point_reason=reason,
        targets=targets,
        superheat=job.hold.superheat,
        wanted=job.hold.time,
        confidence=job.hold.confidence,
        samples=job.hold.samples,
        sampled=job.hold.sampled,
        load_thermocouple=job.hold.thermocouple,
        thermocouple_lag=job.hold.thermocouple_lag,
        open_below=_open_below(job.hold.open_below or OPEN_BELOW, assembly, notes),
        surroundings=_surroundings(read, furnace, assembly, program),
        stages=stages,
        start=start,
        hot=hot,
        furnace=furnace,
        film=(furnace.film.low, furnace.film.high)
        if film is None
        else ((1.0 - FILM_SPREAD) * film, (1.0 + FILM_SPREAD) * film),
        film_source=furnace.film.source if film is None else f"the job file; {FILM_SPREAD:.0%} either way: {PRACTICE}",
        uniformity=(furnace.uniformity.low, furnace.uniformity.high) if even is None else (-even[0], even[0]),
        uniformity_source=furnace.uniformity.source if even is None else even[1],
        thermocouple=job.furnace.thermocouple,
        price=job.furnace.price_per_kwh,
        door_open=job.program.door_open,
        cooling=job.program.cooling,
        copies=job.load.copies,
        spacing=job.load.spacing if job.load.copies > 1 else None,
        support=support_kind(job.furnace, furnace, notes),
        limits=limits,
        assumptions=tuple(notes),
    )


def targets_at(assembly: Assembly, superheat: float, set_point: float) -> tuple[float, ...]:
    """What each joint is to reach in a furnace that is truly at `set_point` [K]."""
    return tuple(target_temperature(j.filler.liquidus, superheat, set_point) for j in assembly.joints)


def _targets(read: ReadJob, assembly: Assembly, set_point: float, notes: list[Assumption]) -> tuple[float, ...]:
    """What each joint is to reach."""
    superheat = read.job.hold.superheat
    liquidus = [j.filler.liquidus for j in assembly.joints]
    targets = targets_at(assembly, superheat, set_point)
    if any(t < melted + superheat - 1e-9 for t, melted in zip(targets, liquidus, strict=True)):
        why = (
            f"liquidus plus {superheat:.0f} K would be less than {LEAST_BELOW_SET_POINT:.0f} K below the set-point "
            f"({PRACTICE})"
        )
        lowered = f"lowered to {celsius(min(targets))}"
        notes.append(Assumption("target of the joints", lowered, why, "hold", f"target of the joints {lowered}"))
    return targets


def _open_below(wanted: float, assembly: Assembly, notes: list[Assumption]) -> float:
    """The furnace is opened below this [K], and never before every joint is solid."""
    lowest = min(assembly.joints, key=lambda j: j.filler.solidus)
    if wanted <= lowest.filler.solidus:
        return wanted
    why = f'at {celsius(wanted)}, as the job says, the filler of joint "{lowest.name}" is not yet solid'
    raised = celsius(lowest.filler.solidus)
    notes.append(Assumption("door opened below", raised, why, "hold", f"open_below {raised}, where joints are solid"))
    return lowest.filler.solidus


def _set_point(read: ReadJob, assembly: Assembly, off: float) -> tuple[float, str]:
    """The set-point as the display shows it, and where it comes from; `off`: true temperature less that shown [K]."""
    highest = max(assembly.joints, key=lambda j: j.filler.liquidus)
    lowest = min(assembly.segments, key=lambda s: s.metal.solidus.value)
    liquidus, ceiling = highest.filler.liquidus, lowest.metal.solidus.value - BELOW_SOLIDUS
    wanted = read.job.program.set_point
    if wanted is not None:
        if wanted + off <= liquidus:
            raise _refused(read, wanted, highest, off)
        if wanted + off >= lowest.metal.solidus.value:
            raise _melts(read, ("program", "set_point"), "the set-point", wanted, lowest, off)
        return wanted, f"as the job file says{_as_written(read)}"
    shown = f", and {-off:+g} K as the display is off" if off else ""
    if liquidus + ABOVE_LIQUIDUS <= ceiling:
        return liquidus + ABOVE_LIQUIDUS - off, f"liquidus of {highest.filler.name} plus {ABOVE_LIQUIDUS:.0f} K{shown}"
    if ceiling <= liquidus:
        text = (
            f'no set-point suits: {highest.filler.name} is liquid only above {celsius(liquidus)}, and "{lowest.name}" '
            f"({lowest.metal.name}) begins to melt at {celsius(ceiling + BELOW_SOLIDUS)}, less {BELOW_SOLIDUS:.0f} K "
            "for safety; use a lower-melting filler, or another metal"
        )
        raise read.error(read.fault(("program", "set_point"), text))
    reason = f'solidus of "{lowest.name}" less {BELOW_SOLIDUS:.0f} K, which is below liquidus plus 75 K{shown}'
    return ceiling - off, reason


def _as_written(read: ReadJob) -> str:
    """The set-point as the user wrote it, where it is in another scale than those that are told."""
    written = str(read.places.data.get("program", {}).get("set_point", ""))
    return f", {written}" if written.rstrip().lower().endswith(OTHER_SCALES) else ""


def _check_steps(read: ReadJob, assembly: Assembly, off: float) -> None:
    """No step of the program may melt a segment."""
    lowest = min(assembly.segments, key=lambda s: s.metal.solidus.value)
    for n, step in enumerate(read.job.program.steps):
        if step.to + off >= lowest.metal.solidus.value:
            raise _melts(read, ("program", "steps", n, "to"), "the step to", step.to, lowest, off)


def _melts(
    read: ReadJob, place: tuple[str | int, ...], what: str, wanted: float, segment: Segment, off: float
) -> Exception:
    solidus = segment.metal.solidus.value
    over = wanted + off - solidus
    above = f"{over:.0f} K above" if over >= 0.5 else "at"
    text = (
        f'{what} {_truly(wanted, off)} is {above} the solidus of "{segment.name}" ({segment.metal.name}), '
        f"{celsius(solidus)}: it begins to melt; stay at {celsius(solidus - BELOW_SOLIDUS - off)} or below, with a "
        "filler that melts low enough, or use another metal"
    )
    return read.error(read.fault(place, text))


def _truly(shown: float, off: float) -> str:
    """A temperature on the display, and what it is in truth where the job says that the display is off."""
    return f"{celsius(shown)}, truly {celsius(shown + off)} by sensor_offset," if off else celsius(shown)


def _refused(read: ReadJob, wanted: float, joint: Joint, off: float) -> Exception:
    liquidus, (low, high) = joint.filler.liquidus, SET_POINT_BAND
    text = (
        f"the set-point {_truly(wanted, off)} is not above the liquidus of {joint.filler.name}, {celsius(liquidus)}: "
        f'joint "{joint.name}" would not melt through; set {celsius(liquidus + low - off)} to '
        f"{celsius(liquidus + high - off)} "
        f"({PRACTICE}), or use a lower-melting filler"
    )
    return read.error(read.fault(("program", "set_point"), text))


def _stages(read: ReadJob, furnace: Furnace, set_point: float, notes: list[Assumption]) -> tuple[Stage, ...]:
    program = read.job.program
    rate = program.ramp
    if rate is None and program.loading == "cold":
        rate = furnace.default_ramp
        value = "as fast as the furnace can" if rate is None else f"{rate * 60.0:.0f} K/min"
        notes.append(Assumption("ramp", value, furnace.control_source, "program", f"ramp {value}"))
    before = tuple(Stage(s.to, s.ramp or rate, s.hold) for s in program.steps)
    return (*before, Stage(set_point, rate, 0.0))


def _given(own: float | None, library: float) -> float:
    """The user's own figure, 0 too, or that of the library."""
    return library if own is None else own


def _surroundings(read: ReadJob, furnace: Furnace, assembly: Assembly, program: Profile) -> Surroundings:
    own = read.job.furnace
    chamber = library_chamber(furnace, in_bodies(own, furnace))
    if chamber is not None:
        chamber = replace(
            chamber,
            power=_given(own.power, chamber.power),
            heat_capacity=_given(own.heat_capacity, chamber.heat_capacity),
            loss_conductance=_given(own.loss_conductance, chamber.loss_conductance),
            wall_emissivity=_given(own.wall_emissivity, chamber.wall_emissivity),
            sensor_time_constant=_given(own.sensor_time_constant, chamber.sensor_time_constant),
            control=controller(read, furnace, assembly),
        )
    band = own.control.clock_band or furnace.clock_band
    off = -own.control.sensor_offset if chamber is not None else 0.0
    return Surroundings(program, _given(own.film, furnace.film.use), chamber, band, own.room, off)
