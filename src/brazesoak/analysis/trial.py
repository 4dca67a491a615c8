"""One job tried with many programs: each a heat of the job's own fidelity, its hold as sure as that of the plan.

What the hold needs beyond its nominal value depends on the program. It is found from one heat for all: of the samples
that the plan takes (see `percentiles`), the one whose hold lies at the confidence asked for. Each program is run with
the inputs of that heat and with those at their use values, both as networks; the difference, moved by what the network
misses with the user's own program, is the allowance. The rank of the heats may change with the program: what is chosen
in the end is planned in full.

What the metals go through while the load cools is computed once, with the user's own program, and counted after every
other: otherwise a program would keep limits that its plan breaks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ..bridge.simulate import FINENESS, Simulation, simulate
from ..errors import TargetNotReachedError
from ..programs import OWN, Broken, Curves, JointHeat, Leg, Outcome, Program, Tried
from ..thermal.furnace import Stage, profile
from ..thermal.model import Inputs
from . import fidelity as fidelities
from .ceilings import passing
from .following import heating_empty, ramp_times
from .hold import MINUTE, needed_hold, recommended_hold, time_above
from .limits import GENTLER, Heat, ceilings, largest_across, largest_within, sensitising_time
from .liquation import slowly_melting
from .percentiles import inputs_at, positions
from .plan import compute, uncertain
from .prepared import prepare
from .sampling import COARSE_TOLERANCE
from .settings import targets_at
from .telling import tell

if TYPE_CHECKING:
    from ..answer import FloatArray, Plan
    from ..bridge.simulate import Progress
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from .prepared import Prepared
    from .settings import Settings
    from .spread import Uncertain
    from .telling import Computed

STEP_ERROR = 0.1
"""Of a program tried [K]: against `TOLERANCE` its times move by 0.2 s (measured on examples 01 and 07)."""
FULL = 100.0 / 60.0
"""A ramp that no furnace here follows: full power until the set-point [K/s]."""
FASTEST_IDEAL = 25.0 / 60.0
"""An ideal furnace follows anything; the fastest real ones come to 750 degC at this [K/s]. Common practice, no
source."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A job on which programs are tried.

    own : Program           the user's own
    design : Inputs         of the heat whose hold lies at the confidence asked for
    worst_offset : float    true furnace temperature at the load less what the display shows, at the worst [K]
    allowance : float       of the user's own program, full fidelity [s];  lead : the same by the network alone [s]
    own_heat : Heat         of the user's own program, with its cooling where the furnace is real
    """

    prepared: Prepared
    fidelity: str
    own: Program
    design: Inputs
    worst_offset: float
    allowance: float
    lead: float
    own_heat: Heat

    @property
    def fastest(self) -> float:
        """As fast as the furnace can [K/s]."""
        return FASTEST_IDEAL if self.prepared.settings.surroundings.chamber is None else FULL

    def with_program(self, program: Program) -> Prepared:
        """The job with another program."""
        return replace(self.prepared, settings=_set(self.prepared, program, self.fastest))

    def heat(
        self, program: Program, fineness: int = FINENESS, tolerance: float = STEP_ERROR, smooth: bool = False
    ) -> Outcome:
        """What comes of a program.

        smooth : bool   the hold half a minute longer than needed, as it is in the mean, instead of up to a whole
                        minute: an optimiser would be led astray by the teeth of a saw

        Raises
        ------
        TargetNotReachedError, NotConvergedError
        """
        prepared = self.with_program(program)
        allowance = self.allowance_of(prepared)

        def finish(clock_start: float, last_target: float) -> float:
            need = needed_hold(clock_start, last_target, prepared.settings.wanted)
            if smooth:
                return clock_start + max(need + allowance + 0.5 * MINUTE, 0.0)
            return clock_start + recommended_hold(need, allowance)

        run = simulate(
            prepared.model(prepared.inputs), self.fidelity, finish, fineness=fineness, tolerance=tolerance,
            every=fidelities.CURVE_STEP,
        )  # fmt: skip
        return self.outcome(prepared, run, allowance)

    def tried(self, name: str, program: Program) -> Tried:
        """A program with its name; one that never arrives says so."""
        try:
            return Tried(name, program, self.heat(program))
        except TargetNotReachedError as error:
            return Tried(name, program, None, str(error))

    def allowance_of(self, prepared: Prepared) -> float:
        """What the hold of a program needs beyond its nominal value [s]."""
        return max(self.allowance + _lead(prepared, self.design) - self.lead, 0.0)

    def outcome(self, prepared: Prepared, run: Simulation, allowance: float) -> Outcome:
        """A heat in figures, with the limits that it breaks. `allowance`: in its hold [s]."""
        s, a = prepared.settings, prepared.assembly
        heated = run.time <= run.hold_end + 1e-6
        coldest, hottest = run.coldest[:, heated], run.hottest[:, heated]
        whole = Heat.of(run) if run.time[-1] > run.hold_end else Heat.of(run).cooling_as(self.own_heat)
        began = [passing(run.time, T, j.flux.clock_from) for T, j in zip(run.warm, a.joints, strict=True)]
        melted = [p.liquidus for p in run.joints]
        joints = tuple(
            JointHeat(
                j.name, (p.liquidus or 0.0) - (p.solidus or 0.0), time_above(start, run.hold_end),
                time_above(p.liquidus, run.hold_end),
            )
            for j, p, start in zip(a.joints, run.joints, began, strict=True)
        )  # fmt: skip
        sensitising = [
            sensitising_time(x, whole.time, T) or 0.0 for x, T in zip(a.segments, whole.segment_hottest, strict=True)
        ]
        within = None if self.fidelity == "network" else largest_within(coldest, hottest)
        across = largest_across(coldest, hottest)
        broken = [
            Broken(c.name, c.reason, run.hold_end - c.latest, True, c.remedy)
            for c in ceilings(a, s.limits, whole)
            if c.latest < run.hold_end - 1e-6
        ]
        broken += [
            *slowly_melting(a, [j.between for j in joints]),
            *self._uneven(max(within or 0.0, across)),
            *self._arrival(s),
        ]
        known = [t for t in melted if t is not None]
        sure = run.clock_start + max(needed_hold(run.clock_start, run.last_target, s.wanted) + allowance, 0.0)
        curves = Curves(run.time[heated], run.sensor[heated], run.joint[:, heated].min(axis=0), hottest.max(axis=0))
        heater = None if s.furnace.kind == "ideal" else run.heater_heat
        return Outcome(
            run.hold_end, sure, run.hold_end - run.clock_start, run.clock_start, joints, max(known) - min(known),
            within, across, max(sensitising), heater, run.load_heat, tuple(broken), curves, **_before(s, run),
        )  # fmt: skip

    def _uneven(self, difference: float) -> list[Broken]:
        most = self.prepared.settings.limits.difference
        if most is None or difference <= most:
            return []
        reason = f"two places of the load differ by more than the {most:.0f} K that the job allows"
        return [Broken("difference", reason, difference - most, False, GENTLER)]

    def _arrival(self, s: Settings) -> list[Broken]:
        """Targets that the load never comes to where the furnace is colder than it shows."""
        short = max(s.targets) - (s.set_point + self.worst_offset)
        if short < 0.0:
            return []
        reason = "where the furnace is colder than it shows, a joint never comes to its target"
        return [Broken("arrival", reason, short, False, "a hotter set-point, or a survey of the furnace")]


def _before(s: Settings, run: Simulation) -> dict[str, Any]:
    """How long the ramps take or, loaded hot, the empty furnace: figures of an `Outcome` by name."""
    if not s.hot:
        levels = [stage.to for stage in s.stages]
        ramps = ramp_times(run.time, run.program, run.sensor, levels, s.surroundings.clock_band)
        return {"takes": tuple(r.takes for r in ramps), "rests": tuple(r.rests for r in ramps)}
    empty = heating_empty(s)
    return {} if empty is None or empty.time is None else {"before": empty.time, "before_heat": empty.heat}


def own_planned(read: ReadJob, library: Library, fidelity: str | None, report: Progress) -> tuple[Plan, Trial, Tried]:
    """The user's own program planned, the trials that it makes possible, and itself as one of them.

    Raises
    ------
    InputError, DataError, SimulationError      it cannot be planned
    """
    prepared = prepare(read, library)
    computed = compute(prepared, fidelity or read.job.fidelity, False, report)
    plan = tell(read, prepared, computed, library)
    trial = new_trial(prepared, computed)
    return plan, trial, Tried(OWN, trial.own, trial.outcome(prepared, computed.main.simulation, trial.allowance))


def new_trial(prepared: Prepared, computed: Computed) -> Trial:
    """A job made ready for trials, from what was computed for its plan."""
    s, sample = prepared.settings, computed.sampled
    inputs = uncertain(prepared)
    where = positions(len(inputs), s.samples)
    design = inputs_at(prepared.inputs, inputs, where[sample.nearest(s.confidence)])
    return Trial(
        prepared, computed.fidelity, program_of(s), design, _worst_offset(prepared, inputs, where),
        sample.recommended(s.confidence), _lead(prepared, design), Heat.of(computed.main.simulation),
    )  # fmt: skip


def program_of(s: Settings) -> Program:
    """The program that a job is settled to."""
    return Program(tuple(Leg(stage.to, stage.rate, stage.hold) for stage in s.stages), s.hot)


def _lead(prepared: Prepared, design: Inputs) -> float:
    """By how much the design heat needs a longer hold than the nominal one, by the network [s]."""

    def need(x: Inputs) -> float:
        run = simulate(prepared.model(x), "network", lambda clock, last: last, tolerance=COARSE_TOLERANCE)
        return fidelities.needed(prepared, run)

    return need(design) - need(prepared.inputs)


def _worst_offset(prepared: Prepared, inputs: Sequence[Uncertain], where: FloatArray) -> float:
    """The coldest furnace that the plan reckons with [K]: one input at its end, or the worst of the samples."""
    ends = [one.low.offset for one in inputs]
    samples = [inputs_at(prepared.inputs, inputs, at).offset for at in where]
    return prepared.settings.surroundings.offset + min(*ends, *samples)


def _set(prepared: Prepared, program: Program, fastest: float) -> Settings:
    s = prepared.settings
    stages = tuple(Stage(leg.to, leg.rate or fastest, leg.hold) for leg in program.legs)
    reason = s.set_point_reason if abs(program.set_point - s.set_point) < 1e-9 else "chosen among programs"
    return replace(
        s,
        set_point=program.set_point,
        set_point_reason=reason,
        targets=targets_at(prepared.assembly, s.superheat, program.set_point + s.surroundings.offset),
        stages=stages,
        hot=program.hot,
        surroundings=replace(s.surroundings, profile=profile(s.start, stages, program.hot)),
    )
