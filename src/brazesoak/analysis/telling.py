"""The plan told: from what was settled and computed to the plain values that people and files are given."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from .. import answer
from ..answer import OWN_DISPLAY, FloatArray
from ..bridge.placement import Placement
from ..bridge.simulate import Simulation
from ..thermal.model import ThermalModel
from . import advice, checks, rules
from .assumptions import celsius, modelling
from .ceilings import floor, passing
from .control import display
from .cooling import quench
from .copies import copies_note
from .fidelity import MainRun, needed, nominal, ruling, title
from .hold import MINUTE, time_above
from .joint_at_heat import joints_at_heat
from .limits import Heat, scale_on, sensitising_time, window
from .orientation import orientation
from .percentiles import Sample, what_to_measure
from .placing import Heats, HoldRule, find_place
from .prepared import Prepared
from .settings import Settings
from .spread import Spread

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..parts.assembly import Assembly
    from ..trade.library import Library

AT_ONCE = 30.0
"""A clock that starts before this starts with the heat [s]."""
WORTH_SAYING = 120.0
"""A furnace that comes to its set-point so much later than its ramp ends makes a difference to the hold [s]."""


@dataclass(frozen=True, slots=True)
class Computed:
    """Everything that was computed for a job."""

    fidelity: str
    reason: str
    main: MainRun
    spread: Spread
    sampled: Sample
    heats: Heats
    rows: tuple[answer.FidelityRow, ...]
    assumptions: tuple[answer.Assumption, ...]
    """About how it was computed."""


def tell(read: ReadJob, prepared: Prepared, computed: Computed, library: Library) -> answer.Plan:
    """The plan, from what was settled and computed."""
    s, assembly, run, spread = prepared.settings, prepared.assembly, computed.main.simulation, computed.spread
    model = prepared.model(prepared.inputs)
    slowest = ruling(run)
    likely = nominal(prepared, run)
    hold = run.hold_end - run.clock_start
    shown = title(computed.fidelity, model.layout)
    joints = _joints(prepared, run, computed.main.errors)
    segments = _segments(prepared, model, run)
    needs = computed.sampled.need + needed(prepared, run)
    rule = HoldRule(s.wanted, s.confidence, s.thermocouple_lag, s.load_thermocouple)
    placing = find_place(assembly, run, computed.heats, needs, prepared.readings, s.targets[slowest], rule)
    boxes = prepared.placement.boxes if isinstance(prepared.placement, Placement) else None
    at_heat = joints_at_heat(assembly, s.targets, prepared.clearances, boxes)
    stood = orientation(assembly, prepared.placement, at_heat, library, s.superheat, max(s.uniformity[1], 0.0))
    allowed = window(assembly, s.limits, Heat.of(run), run.hold_end, floor([p.target for p in run.joints], s.wanted))
    undeclared = prepared.placement.undeclared if isinstance(prepared.placement, Placement) else ()
    case = checks.Case(
        assembly,
        s,
        prepared.clearances,
        joints,
        segments,
        run,
        model,
        computed.fidelity,
        spread,
        undeclared,
        computed.sampled.never,
        allowed,
        prepared.crowding,
        at_heat,
        stood,
        placing,
    )
    # One long list of keywords: to share it out over functions would only hide what the answer is made of.
    return answer.Plan(
        title=read.job.title,
        job_path=str(read.path),
        furnace=s.furnace.name,
        furnace_is_ideal=s.furnace.kind == "ideal",
        set_point=s.set_point,
        set_point_reason=s.set_point_reason,
        hold_time=hold,
        hold_time_nominal=likely,
        hold_time_low=max(likely - spread.downwards, 0.0),
        hold_time_high=likely + spread.upwards,
        clock_start=run.clock_start,
        clock_band=s.surroundings.clock_band,
        hold_end=run.hold_end,
        superheat=s.superheat,
        minutes_at_target=s.wanted,
        ruling_joint=assembly.joints[slowest].name,
        ruling_reason=advice.ruling_reason(assembly, run, slowest),
        rule_of_thumb=rules.rule_of_thumb(s.copies * assembly.mass),
        rule_sentence=rules.rule_sentence(hold, run.clock_start, assembly, model.bodies, s.set_point, s.copies),
        fidelity=shown,
        fidelity_reason=computed.reason,
        energy_balance_error=run.balance_error,
        total_mass=s.copies * assembly.mass,
        copies=s.copies,
        segments=segments,
        joints=joints,
        program=_program(s, assembly, run, hold),
        drivers=spread.shifted(likely).drivers,
        warnings=checks.check_plan(case),
        cautions=prepared.cautions,
        assumptions=(
            *s.assumptions,
            *computed.assumptions,
            *modelling(assembly, s, shown, isinstance(prepared.placement, Placement)),
            *copies_note(prepared),
        ),
        watch=advice.watch(assembly, run),
        thermocouple=advice.thermocouple(assembly, run, slowest, s.targets[slowest], placing),
        filler_amounts=tuple((j.name, j.filler_volume) for j in at_heat),
        joints_solid=run.joints_solid,
        safe_to_open=run.safe_to_open,
        cooling=_cooling(prepared, run),
        opening_temperature=s.open_below,
        energy=_energy(run, s.furnace.kind == "ideal", s.price),
        histories=answer.Histories(run.time, run.program, run.sensor, run.coldest, run.hottest, run.joint),
        section=_section(run),
        fidelities=computed.rows,
        loaded_hot=s.hot,
        cells=run.n_cell,
        fineness=computed.main.fineness,
        chances=computed.sampled.chances(
            needed(prepared, run),
            {j.name: j.passes_target for j in joints},
            s.confidence,
            what_to_measure(spread.drivers[0].name) if spread.drivers else "",
        ),
        at_heat=at_heat,
        orientation=stood,
        display=display(s, assembly),
        overshoot=run.overshoot,
        window=allowed,
        placing=placing,
        hold_doubt=checks.doubt(case),
    )


def _cooling(prepared: Prepared, run: Simulation) -> answer.Cooling | None:
    """The way down, where it was computed."""
    if not run.cooling_rates:
        return None
    names = [s.name for s in prepared.assembly.segments]
    may, why = quench(prepared.assembly)
    rates = tuple(zip(names, run.cooling_rates, strict=True))
    return answer.Cooling(prepared.settings.cooling, run.safe_to_handle, rates, may, why)


def _energy(run: Simulation, ideal: bool, price: float | None) -> answer.Energy:
    """Where the heat went, and what it cost at `price` for a joule."""
    heater = None if ideal else run.heater_heat
    cost = None if heater is None or price is None else heater * price
    return answer.Energy(
        run.load_heat, run.chamber_heat, run.lining_heat, run.loss_heat, heater, cost, run.shelf_heat, run.door_heat
    )


def _joints(prepared: Prepared, run: Simulation, errors: tuple[float, ...]) -> tuple[answer.JointAnswer, ...]:
    segments, found = prepared.assembly.segments, []
    for n, (j, p, target) in enumerate(
        zip(prepared.assembly.joints, run.joints, prepared.settings.targets, strict=True)
    ):
        between = None if p.liquidus is None or p.solidus is None else p.liquidus - p.solidus
        found.append(
            answer.JointAnswer(
                name=j.name,
                segments=(segments[j.segments[0]].name, segments[j.segments[1]].name),
                filler=j.filler.name,
                flux=j.flux.name,
                area=j.area,
                gap=j.gap,
                solidus=j.filler.solidus,
                liquidus=j.filler.liquidus,
                target=target,
                passes_solidus=p.solidus,
                passes_liquidus=p.liquidus,
                passes_target=p.target,
                time_above_target=time_above(p.target, run.hold_end),
                time_between_solidus_and_liquidus=between,
                # The flux is spent where the joint is hottest.
                flux_time=_time_above(run, run.warm[n], j.flux.clock_from),
                time_error=errors[n],
                flux_life=prepared.settings.limits.flux_life(j)[0],
                area_on_grid=None if run.discrete.on_grid is None else run.discrete.on_grid.joint[n][0],
            )
        )
    return tuple(found)


def _time_above(run: Simulation, T: FloatArray, level: float) -> float:
    """Time from the first passing of a temperature in a history to the end of the hold [s]."""
    return time_above(passing(run.time, T, level), run.hold_end)


def _segments(prepared: Prepared, model: ThermalModel, run: Simulation) -> tuple[answer.SegmentAnswer, ...]:
    heated, own = run.time <= run.hold_end, run.discrete.on_grid
    found = []
    for i, (s, body) in enumerate(zip(prepared.assembly.segments, model.bodies, strict=True)):
        peak = float(run.hottest[i, heated].max())
        found.append(
            answer.SegmentAnswer(
                name=s.name,
                metal=f"{s.metal.name} ({', '.join(s.metal.designations[:2])})",
                surface=s.surface if isinstance(s.surface, str) else f"emissivity {s.surface:g}",
                mass=s.mass,
                exposed_area=s.exposed_area,
                thickest_section=s.shape.thickest_section,
                biot=checks.biot(body, prepared.settings),
                passes_solidus=run.bodies[i][0],
                passes_liquidus=run.bodies[i][1],
                peak=peak,
                solidus_margin=s.metal.solidus.value - peak,
                mass_on_grid=None if own is None else s.mass * own.volume[i][0] / own.volume[i][1],
                exposed_area_on_grid=None if own is None else own.exposed[i][0],
                scale=scale_on(s, run.time, run.hottest[i]),
                sensitising_time=sensitising_time(s, run.time, run.hottest[i]),
            )
        )
    return tuple(found)


def _program(s: Settings, assembly: Assembly, run: Simulation, hold: float) -> tuple[answer.ProgramStep, ...]:
    """What to key in."""
    band = celsius(s.set_point - s.surroundings.clock_band)
    shown = display(s, assembly)
    if s.hot:
        note = "heat the empty furnace, then load it quickly"
        steps = [answer.ProgramStep("ramp", s.set_point, None, None, note)]
        back = f"{shown} shows {band}"
        if shown == OWN_DISPLAY:
            back = f"the display, which falls as the load goes in, is back at {band}"
        start = "the door closes" if run.clock_start < AT_ONCE else back
    else:
        steps = _ramps(s, run)
        start = f"{shown} shows {band}"
    if hold <= 0.0:
        return (*steps, answer.ProgramStep("off", None, None, None, f"as soon as {start}; {_way_down(s)}"))
    own_count = "" if s.hot else _if_the_controller_counts(steps, run, hold)
    steps.append(answer.ProgramStep("hold", s.set_point, None, hold, f"counted from when {start}{own_count}"))
    return (*steps, answer.ProgramStep("off", None, None, None, _way_down(s)))


def _way_down(s: Settings) -> str:
    """What to do with the door after the heater is off."""
    then = {"ajar": "then door ajar", "still air": "then the load out on the bench"}.get(s.cooling)
    return "door shut" if then is None else f"door shut until everything is below {celsius(s.open_below)}, {then}"


def _if_the_controller_counts(steps: list[answer.ProgramStep], run: Simulation, hold: float) -> str:
    """What to key in where a controller counts the hold from the end of its own ramp, having waited or not."""
    ramps_end = sum(step.duration or 0.0 for step in steps) + run.waited
    if run.clock_start - ramps_end < WORTH_SAYING or any(step.duration is None for step in steps):
        return ""
    longer = MINUTE * ceil((run.clock_start + hold - ramps_end) / MINUTE - 1e-9)
    return f"; a controller that counts from the end of its ramp needs {longer / MINUTE:.0f} min instead"


def _ramps(s: Settings, run: Simulation) -> list[answer.ProgramStep]:
    """The stages of a program; the last ramp is not shown as longer than the heat, and tells of what it waited."""
    steps, at, elapsed, end = [], s.start, 0.0, run.hold_end - run.waited
    for stage in s.stages:
        duration = None if stage.rate is None else min(abs(stage.to - at) / stage.rate, max(end - elapsed, 0.0))
        steps.append(answer.ProgramStep("ramp", stage.to, stage.rate, duration))
        if stage.hold > 0.0:
            steps.append(answer.ProgramStep("hold", stage.to, None, stage.hold, "to even out"))
        at, elapsed = stage.to, elapsed + (duration or 0.0) + stage.hold
    if run.waited >= WORTH_SAYING:
        steps[-1] = replace(steps[-1], note=f"and {run.waited / MINUTE:.0f} min in which it waits for the furnace")
    return steps


def _section(run: Simulation) -> answer.Section | None:
    if run.field is None:
        return None
    grid = run.field.grid
    return answer.Section(grid.kind, grid.x_edges, grid.y_edges, grid.body, run.field.temperature, run.field.time)
