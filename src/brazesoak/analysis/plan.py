"""From a job to its plan: settle what is open, simulate, see how sure, check, advise."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from .. import answer
from ..assembly import Assembly, assemble
from ..joints import Gas
from ..errors import GeometryError
from ..layout import Layout, NoLayout, find_layout
from ..model import Inputs, Targets, ThermalModel, surface_group, thermal_model
from ..placement import Placement, find_placement, measured
from ..simulate import Progress, Simulation, refine, simulate
from . import advice, cautions, checks, rules
from .hold import nominal_hold, recommended_hold, time_above
from .settings import Settings, modelling, settle
from .spread import Spread, hold_spread, uncertain_inputs

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from ..trade.records import Spread as Clearance

COARSE_TOLERANCE = 0.4
"""Of the runs that tell how sure the hold is: their differences count, not their values [K]."""
CURVE_STEP = 60.0
"""Readings are kept at least so often, for smooth curves [s]."""
UNSHADED = "solid without shade"
SENSOR_TOLERANCE = 0.0075
"""Type K class 2, share of the reading in degC. Source: IEC 60584-1:2013."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A job ready to be simulated."""

    assembly: Assembly
    settings: Settings
    gas: Gas
    layout: Layout | NoLayout
    placement: Placement | NoLayout
    clearances: Mapping[str, Clearance]
    cautions: tuple[answer.Caution, ...]

    @property
    def inputs(self) -> Inputs:
        """Every uncertain input at its use value."""
        return Inputs(self.settings.surroundings.film)

    def model(self, inputs: Inputs) -> ThermalModel:
        """The thermal model with these inputs."""
        s = self.settings
        layout = self.layout if isinstance(self.layout, Layout) else None
        placement = self.placement if isinstance(self.placement, Placement) else None
        targets = Targets(s.targets)
        return thermal_model(self.assembly, targets, s.surroundings, inputs, s.start, self.gas, layout, placement)


def prepare(read: ReadJob, library: Library) -> Prepared:
    """Look everything up and settle what is open.

    Raises
    ------
    JobFileError, DataError     names, shapes or a set-point that cannot work
    """
    assembly = assemble(read, library)
    placement = find_placement(assembly)
    layout: Layout | NoLayout = NoLayout("its segments have places of their own")
    if isinstance(placement, NoLayout) or placement.is_pile:
        layout = find_layout(assembly)
    else:
        assembly, placement = _measured(read, assembly, placement)
    settings = settle(read, assembly, library.furnace(read.job.furnace.name))
    practice = library.practice()
    air = practice.air.thermal_conductivity
    return Prepared(
        assembly,
        settings,
        Gas(air.temperature, air.value),
        layout,
        placement,
        practice.clearances,
        cautions.cautions_for(assembly, library.cautions()),
    )


def make_plan(
    read: ReadJob,
    library: Library,
    *,
    fidelity: str | None = None,
    compare: bool = False,
    progress: Progress | None = None,
) -> answer.Plan:
    """The plan of a job.

    Parameters
    ----------
    fidelity : ``network``, ``section``, ``auto`` or None   None: as the job says
    compare : bool      also compute every fidelity there is, side by side
    progress            called with what is being done and its share

    Raises
    ------
    InputError, DataError, SimulationError
    """
    report = progress or (lambda what, share: None)
    prepared = prepare(read, library)
    chosen, why = _choose(prepared, fidelity or read.job.fidelity)
    report("how sure", 0.0)
    spread = _spread(prepared, chosen, report)
    finish = _finish(prepared.settings, spread.upwards)
    model = prepared.model(prepared.inputs)
    main = simulate(model, chosen, finish, open_below=prepared.settings.open_below, every=CURVE_STEP, progress=progress)
    report("numerical error", 0.0)
    errors = refine(model, chosen, main, finish)
    rows = _compare(prepared, finish, report) if compare else ()
    return _answer(read, prepared, chosen, why, main, errors, spread, rows)


def _measured(read: ReadJob, assembly: Assembly, placement: Placement) -> tuple[Assembly, Placement]:
    """Contact and exposed areas from the places of the segments; what is wrong with them is the job file's fault."""
    try:
        return measured(assembly, placement)
    except GeometryError as error:
        kind = "joint" if any(j.name == error.part for j in assembly.joints) else "segment"
        raise read.error(read.fault((kind, error.part), str(error))) from error


def _available(prepared: Prepared) -> dict[str, str]:
    """Fidelities that this job allows and the reason of each, the one to choose first."""
    layout, placement = prepared.layout, prepared.placement
    found: dict[str, str] = {}
    if isinstance(layout, Layout) and layout.is_exact:
        found["section"] = layout.reason
    if isinstance(placement, Placement):
        found["solid"] = placement.reason
    if isinstance(layout, Layout):
        found.setdefault("section", layout.reason)
    reason = layout.reason if isinstance(layout, NoLayout) else ""
    found["network"] = f"one temperature for each segment, because {reason}"
    return found


def _choose(prepared: Prepared, wanted: str) -> tuple[str, str]:
    """Fidelity and the reason for it."""
    found = _available(prepared)
    if wanted == "network":
        return "network", "as asked for: one temperature for each segment"
    if wanted in found:
        return wanted, f"as asked for: {found[wanted]}"
    name, reason = next(iter(found.items()))
    if wanted != "auto":
        return name, f"a {wanted} was asked for, but there is none; {reason}"
    return name, reason if name == "network" else f"chosen: {reason}"


def _finish(settings: Settings, allowance: float) -> Callable[[float, float], float]:
    """When the recommended hold ends."""

    def finish(clock_start: float, last_target: float) -> float:
        nominal = nominal_hold(clock_start, last_target, settings.wanted)
        return clock_start + recommended_hold(nominal, allowance)

    return finish


def _nominal(settings: Settings, simulation: Simulation) -> float:
    return nominal_hold(simulation.clock_start, simulation.last_target, settings.wanted)


def _spread(prepared: Prepared, fidelity: str, report: Progress) -> Spread:
    """How much the hold may change with what is not known, by the plan's fidelity on a coarse grid."""
    s = prepared.settings
    done = 0

    def hold(inputs: Inputs) -> float:
        nonlocal done
        done += 1
        report("how sure", min(done / 16.0, 1.0))
        run = simulate(
            prepared.model(inputs), fidelity, lambda clock, last: last, fineness=1, tolerance=COARSE_TOLERANCE
        )
        return _nominal(s, run)

    inputs = uncertain_inputs(
        prepared.inputs,
        tuple(dict.fromkeys(surface_group(x) for x in prepared.assembly.segments if isinstance(x.surface, str))),
        s.film,
        s.furnace.film.source,
        s.uniformity,
        s.uniformity_source,
        SENSOR_TOLERANCE * (s.set_point - 273.15),
    )
    return hold_spread(hold(prepared.inputs), inputs, hold)


def _compare(
    prepared: Prepared, finish: Callable[[float, float], float], report: Progress
) -> tuple[answer.FidelityRow, ...]:
    """Every fidelity of the job, each with its own error."""
    model = prepared.model(prepared.inputs)
    found = _available(prepared)
    names = [n for n in ("network", "section", "solid") if n in found]
    runs = [(name, model) for name in names]
    if "solid" in found:
        runs.insert(-1, (UNSHADED, replace(model, shade=False)))
    rows = []
    for n, (title, one) in enumerate(runs):
        report("side by side", n / len(runs))
        name = "solid" if title == UNSHADED else title
        began = time.perf_counter()
        run = simulate(one, name, finish)
        took = time.perf_counter() - began
        errors = refine(one, name, run, finish)
        rows.append(
            answer.FidelityRow(
                _title(title, model.layout),
                run.n_cell,
                _nominal(prepared.settings, run),
                model.contacts[_ruling(run)].name,
                {c.name: p.target for c, p in zip(model.contacts, run.joints, strict=True)},
                run.balance_error,
                max(errors),
                took,
            )
        )
    return tuple(rows)


def _title(fidelity: str, layout: Layout | None) -> str:
    return f"section {layout.kind}" if fidelity == "section" and layout else fidelity


def _ruling(run: Simulation) -> int:
    return max(range(len(run.joints)), key=lambda j: run.joints[j].target or 0.0)


def _answer(
    read: ReadJob,
    prepared: Prepared,
    fidelity: str,
    why: str,
    run: Simulation,
    errors: tuple[float, ...],
    spread: Spread,
    rows: tuple[answer.FidelityRow, ...],
) -> answer.Plan:
    s, assembly = prepared.settings, prepared.assembly
    model = prepared.model(prepared.inputs)
    ruling = _ruling(run)
    nominal = _nominal(s, run)
    hold = run.hold_end - run.clock_start
    joints = _joints(prepared, run, errors)
    segments = _segments(prepared, model, run)
    undeclared = prepared.placement.undeclared if isinstance(prepared.placement, Placement) else ()
    notices = checks.check_plan(
        checks.Case(assembly, s, prepared.clearances, joints, segments, run, model, fidelity, spread, undeclared)
    )
    return answer.Plan(
        title=read.job.title,
        job_path=str(read.path),
        furnace=s.furnace.name,
        furnace_is_ideal=s.furnace.kind == "ideal",
        set_point=s.set_point,
        set_point_reason=s.set_point_reason,
        hold_time=hold,
        hold_time_nominal=nominal,
        hold_time_low=max(nominal - spread.downwards, 0.0),
        hold_time_high=nominal + spread.upwards,
        clock_start=run.clock_start,
        clock_band=s.surroundings.clock_band,
        hold_end=run.hold_end,
        superheat=s.superheat,
        minutes_at_target=s.wanted,
        ruling_joint=assembly.joints[ruling].name,
        ruling_reason=advice.ruling_reason(assembly, run, ruling),
        rule_of_thumb=rules.rule_of_thumb(assembly.mass),
        rule_sentence=rules.rule_sentence(hold, run.clock_start, assembly, model.bodies, s.set_point),
        fidelity=_title(fidelity, model.layout),
        fidelity_reason=why,
        energy_balance_error=run.balance_error,
        total_mass=assembly.mass,
        segments=segments,
        joints=joints,
        program=_program(s, hold),
        drivers=spread.shifted(nominal).drivers,
        warnings=notices,
        cautions=prepared.cautions,
        assumptions=(*s.assumptions, *modelling(assembly, s, _title(fidelity, model.layout))),
        watch=advice.watch(assembly, run),
        thermocouple=advice.thermocouple(assembly, run, ruling, s.targets[ruling]),
        filler_amounts=advice.filler_amounts(assembly),
        joints_solid=run.joints_solid,
        safe_to_open=run.safe_to_open,
        opening_temperature=s.open_below,
        energy=answer.Energy(
            run.load_heat, run.chamber_heat, run.loss_heat, None if s.furnace.kind == "ideal" else run.heater_heat
        ),
        histories=answer.Histories(run.time, run.program, run.sensor, run.coldest, run.hottest, run.joint),
        section=_section(run),
        fidelities=rows,
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
                flux_time=_time_above(run, n, j.flux.clock_from),
                time_error=errors[n],
            )
        )
    return tuple(found)


def _time_above(run: Simulation, joint: int, level: float) -> float:
    """Time from the joint's first passing of a temperature to the end of the hold [s]."""
    T = run.joint[joint]
    above = np.flatnonzero(T >= level)
    if above.size == 0:
        return 0.0
    i = int(above[0])
    if i == 0:
        return run.hold_end
    share = (level - T[i - 1]) / (T[i] - T[i - 1])
    return time_above(float(run.time[i - 1] + share * (run.time[i] - run.time[i - 1])), run.hold_end)


def _segments(prepared: Prepared, model: ThermalModel, run: Simulation) -> tuple[answer.SegmentAnswer, ...]:
    heated = run.time <= run.hold_end
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
            )
        )
    return tuple(found)


def _program(s: Settings, hold: float) -> tuple[answer.ProgramStep, ...]:
    """What to key in."""
    steps = []
    if s.hot:
        note = "heat the empty furnace, then load it quickly"
        steps.append(answer.ProgramStep("ramp", s.set_point, None, None, note))
    else:
        at = s.start
        for stage in s.stages:
            duration = None if stage.rate is None else abs(stage.to - at) / stage.rate
            steps.append(answer.ProgramStep("ramp", stage.to, stage.rate, duration))
            at = stage.to
            if stage.hold > 0.0:
                steps.append(answer.ProgramStep("hold", stage.to, None, stage.hold, "to even out"))
    note = f"counted from when the furnace's own display is within {s.surroundings.clock_band:.0f} K of the set-point"
    steps.append(answer.ProgramStep("hold", s.set_point, None, hold, note))
    steps.append(answer.ProgramStep("off", None, None, None, "door shut"))
    return tuple(steps)


def _section(run: Simulation) -> answer.Section | None:
    grid = run.discrete.grid
    if grid is None or run.field is None:
        return None
    return answer.Section(grid.kind, grid.x_edges, grid.y_edges, grid.body, run.field.temperature, run.field.time)
