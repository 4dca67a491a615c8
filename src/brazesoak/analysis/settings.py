"""What the job leaves open, decided: set-point, targets, program and furnace, with every default on record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..answer import Assumption
from ..assembly import Assembly, Joint
from ..furnace import Chamber, Profile, Stage, Surroundings, profile
from .hold import LEAST_BELOW_SET_POINT, target_temperature

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.records import Furnace

ABOVE_LIQUIDUS = 75.0
"""Default set-point above the highest liquidus [K]: middle of the trade's 50 to 100 K. Common practice, no source."""
BELOW_SOLIDUS = 50.0
"""A set-point stays this far below the lowest solidus of the metals [K]. Common practice, no source."""
OPEN_BELOW = 773.15
"""The furnace may be opened below this [K], 500 degC. Common practice, no source; it still burns."""
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Settings:
    """A job with nothing left open. Temperatures [K], times [s]."""

    set_point: float
    set_point_reason: str
    targets: tuple[float, ...]
    superheat: float
    wanted: float
    open_below: float
    surroundings: Surroundings
    stages: tuple[Stage, ...]
    start: float
    hot: bool
    furnace: Furnace
    film: tuple[float, float]
    uniformity: tuple[float, float]
    uniformity_source: str
    assumptions: tuple[Assumption, ...]


def settle(read: ReadJob, assembly: Assembly, furnace: Furnace) -> Settings:
    """Decide what the job leaves open.

    Raises
    ------
    JobFileError    a set-point that cannot work, or steps before it in a furnace that is already there
    """
    job, notes = read.job, [*_silent(read), *_unused(read, furnace)]
    if job.program.loading == "hot" and job.program.steps:
        text = "a furnace loaded hot is at its set-point already and makes no steps; remove them, or load cold"
        raise read.error(read.fault(("program", "steps"), text))
    set_point, reason = _set_point(read, assembly)
    if job.program.set_point is None:
        notes.append(Assumption("set-point", _C(set_point), f"{reason} ({PRACTICE})"))
    liquidus = [j.filler.liquidus for j in assembly.joints]
    targets = tuple(target_temperature(t, job.hold.superheat, set_point) for t in liquidus)
    if any(t < high + job.hold.superheat - 1e-9 for t, high in zip(targets, liquidus, strict=True)):
        notes.append(
            Assumption(
                "target of the joints",
                f"lowered to {_C(min(targets))}",
                f"liquidus plus {job.hold.superheat:.0f} K would be less than {LEAST_BELOW_SET_POINT:.0f} K below "
                f"the set-point ({PRACTICE})",
            )
        )
    stages = _stages(read, furnace, set_point, notes)
    hot = job.program.loading == "hot"
    program = profile(job.program.start, stages, hot)
    film = job.furnace.film
    spread = (furnace.film.low, furnace.film.high) if film is None else (0.7 * film, 1.3 * film)
    even = job.furnace.uniformity
    uniformity = (furnace.uniformity.low, furnace.uniformity.high) if even is None else (-even, even)
    even_source = furnace.uniformity.source if even is None else "the job file"
    return Settings(
        set_point, reason, targets, job.hold.superheat, job.hold.time, job.hold.open_below or OPEN_BELOW,
        _surroundings(read, furnace, program), stages, job.program.start, hot, furnace, spread, uniformity, even_source,
        tuple(notes),
    )  # fmt: skip


def _C(T: float) -> str:
    return f"{T - 273.15:.0f} degC"


def _set_point(read: ReadJob, assembly: Assembly) -> tuple[float, str]:
    """The set-point and where it comes from."""
    highest = max(assembly.joints, key=lambda j: j.filler.liquidus)
    lowest = min(assembly.segments, key=lambda s: s.metal.solidus.value)
    liquidus, ceiling = highest.filler.liquidus, lowest.metal.solidus.value - BELOW_SOLIDUS
    wanted = read.job.program.set_point
    if wanted is not None:
        if wanted <= liquidus:
            raise _refused(read, wanted, highest)
        return wanted, "as the job file says"
    if liquidus + ABOVE_LIQUIDUS <= ceiling:
        return liquidus + ABOVE_LIQUIDUS, f"liquidus of {highest.filler.name} plus {ABOVE_LIQUIDUS:.0f} K"
    if ceiling <= liquidus:
        text = (
            f'no set-point suits: {highest.filler.name} is liquid only above {_C(liquidus)}, and "{lowest.name}" '
            f"({lowest.metal.name}) begins to melt at {_C(ceiling + BELOW_SOLIDUS)}, less {BELOW_SOLIDUS:.0f} K for "
            "safety; use a lower-melting filler, or another metal"
        )
        raise read.error(read.fault(("program", "set_point"), text))
    return ceiling, f'solidus of "{lowest.name}" less {BELOW_SOLIDUS:.0f} K, which is below liquidus plus 75 K'


def _refused(read: ReadJob, wanted: float, joint: Joint) -> Exception:
    text = (
        f"the set-point {_C(wanted)} is not above the liquidus of {joint.filler.name}, {_C(joint.filler.liquidus)}: "
        f'joint "{joint.name}" would not melt through; set {_C(joint.filler.liquidus + 50.0)} to '
        f"{_C(joint.filler.liquidus + 100.0)} ({PRACTICE}), or use a lower-melting filler"
    )
    return read.error(read.fault(("program", "set_point"), text))


def _stages(read: ReadJob, furnace: Furnace, set_point: float, notes: list[Assumption]) -> tuple[Stage, ...]:
    program = read.job.program
    rate = program.ramp
    if rate is None and program.loading == "cold":
        rate = furnace.default_ramp
        value = "as fast as the furnace can" if rate is None else f"{rate * 60.0:.0f} K/min"
        notes.append(Assumption("ramp", value, furnace.control_source))
    before = tuple(Stage(s.to, s.ramp or rate, s.hold) for s in program.steps)
    return (*before, Stage(set_point, rate, 0.0))


def _surroundings(read: ReadJob, furnace: Furnace, program: Profile) -> Surroundings:
    own = read.job.furnace
    film = own.film or furnace.film.use
    chamber = None
    if furnace.kind == "chamber":
        power = own.power or furnace.power
        capacity = own.heat_capacity or furnace.chamber_heat_capacity
        loss = own.loss_conductance or furnace.loss_conductance
        assert power is not None
        assert capacity is not None
        assert loss is not None
        assert furnace.wall_area is not None
        chamber = Chamber(
            power, capacity, loss, furnace.wall_area, own.wall_emissivity or furnace.wall_emissivity.use,
            own.sensor_time_constant or furnace.sensor_time_constant, furnace.control_band,
        )  # fmt: skip
    return Surroundings(program, film, chamber, furnace.clock_band, own.room)


def _unused(read: ReadJob, furnace: Furnace) -> list[Assumption]:
    """Figures of a real furnace that the job gives for an ideal one."""
    real = ("power", "heat_capacity", "loss_conductance", "wall_emissivity", "sensor_time_constant")
    given = [key for key in real if furnace.kind == "ideal" and key in read.job.furnace.model_fields_set]
    why = "an ideal furnace follows the program exactly, with black walls; name a furnace with a chamber to use it"
    return [Assumption(f"furnace.{key} of the job file", "not used", why) for key in given]


def _silent(read: ReadJob) -> list[Assumption]:
    """Defaults of the job file that were used because it is silent."""
    job = read.job
    checks = [
        (job.program, "loading", "loading", "cold", PRACTICE),
        (job.program, "start", "temperature of the load at the start", _C(job.program.start), "room temperature"),
        (job.hold, "superheat", "superheat over the liquidus", f"{job.hold.superheat:.0f} K", PRACTICE),
        (job.hold, "time", "time above that", f"{job.hold.time / 60.0:.0f} min", PRACTICE),
        (job.hold, "open_below", "safe to open below", _C(job.hold.open_below or OPEN_BELOW), PRACTICE),
        (job.furnace, "room", "temperature of the room", _C(job.furnace.room), "room temperature"),
        (job, "fidelity", "fidelity", "chosen by the tool", "a section where the shapes allow one"),
    ]
    return [
        Assumption(what, value, why) for table, key, what, value, why in checks if key not in table.model_fields_set
    ]


SHADE_LEFT_OUT = Assumption(
    "shade",
    "parts do not shade each other",
    "radiation between parts is not computed: an inside corner heats more slowly than this says",
)
SHADE_COMPUTED = Assumption(
    "shade",
    "parts shade each other and radiate to each other",
    "view factors by ray casting, grey and diffuse surfaces, one irradiation a patch",
)


def modelling(assembly: Assembly, s: Settings, fidelity: str) -> tuple[Assumption, ...]:
    """Simplifications of the model itself, so that nobody takes them for measured."""
    notes = [
        Assumption(
            "support", "every exposed face sees the furnace",
            "the load stands on props; laid flat on a shelf, its underside is slower",
        ),
        SHADE_COMPUTED if fidelity == "solid" else SHADE_LEFT_OUT,
    ]  # fmt: skip
    if s.furnace.kind == "chamber":
        notes.append(Assumption("chamber", "one temperature for walls and gas", s.furnace.source))
    if s.hot:
        notes.append(Assumption("door", "no heat is lost while the load goes in", "not modelled; load quickly"))
    if fidelity == "section plane":
        notes.append(
            Assumption(
                "depth", "each part is even along its depth, across the section",
                "ends that stand out far to the sides heat the joint more slowly than this says",
            )
        )  # fmt: skip
    return (*notes, *_doubtful_properties(assembly, s))


def _doubtful_properties(assembly: Assembly, s: Settings) -> list[Assumption]:
    """Metals whose properties are from memory, and tables that do not reach from the start to the set-point."""
    metals = list({seg.metal.id: seg.metal for seg in assembly.segments}.values())
    notes = []
    low = [m.name for m in metals if "memory" in (m.specific_heat.confidence, m.thermal_conductivity.confidence)]
    if low:
        notes.append(Assumption("properties from memory", ", ".join(low), "brazesoak data shows every value's source"))
    for m in metals:
        for name, table in (("specific heat", m.specific_heat), ("conductivity", m.thermal_conductivity)):
            first, last = table.valid_range
            if s.start < first - 10.0 or s.set_point > last + 10.0:
                notes.append(
                    Assumption(
                        f"{name} of {m.name.lower()}", "its end values hold outside the table",
                        f"the data go from {_C(first)} to {_C(last)}",
                    )
                )  # fmt: skip
    return notes
