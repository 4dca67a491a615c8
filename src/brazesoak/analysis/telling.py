"""The plan told: from what was settled and computed to the plain values that people and files are given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .. import answer
from ..answer import FloatArray
from ..bridge.placement import Placement
from ..bridge.simulate import Simulation
from ..thermal.model import ThermalModel
from . import advice, checks, rules
from .assumptions import modelling
from .ceilings import floor, passing
from .control import display
from .cooling import quench
from .copies import copies_note
from .fidelity import MainRun, needed, nominal, ruling, title
from .following import heating_empty
from .hold import time_above
from .joint_at_heat import joints_at_heat
from .keyed_in import to_key_in
from .limits import Heat, largest_across, largest_within, scale_on, sensitising_time, window
from .orientation import orientation
from .percentiles import Sample, what_to_measure
from .placing import Heats, HoldRule, find_place
from .prepared import Prepared
from .spread import Spread

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library


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
    case = _case(prepared, computed, library)
    slowest = ruling(run)
    likely = nominal(prepared, run)
    hold = run.hold_end - run.clock_start
    shown = title(computed.fidelity, case.model.layout)
    within, across = _differences(run, computed.fidelity)
    empty = heating_empty(s) if s.hot else None
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
        rule_sentence=rules.rule_sentence(hold, run.clock_start, assembly, case.model.bodies, s.set_point, s.copies),
        fidelity=shown,
        fidelity_reason=computed.reason,
        energy_balance_error=run.balance_error,
        total_mass=s.copies * assembly.mass,
        copies=s.copies,
        segments=case.segments,
        joints=case.joints,
        program=to_key_in(s, assembly, run, hold, None if empty is None else empty.time),
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
        thermocouple=advice.thermocouple(assembly, run, slowest, s.targets[slowest], case.placing),
        filler_amounts=tuple((j.name, j.filler_volume) for j in case.at_heat),
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
            {j.name: j.passes_target for j in case.joints},
            s.confidence,
            what_to_measure(spread.drivers[0].name) if spread.drivers else "",
        ),
        at_heat=case.at_heat,
        orientation=case.orientation,
        display=display(s, assembly),
        overshoot=run.overshoot,
        window=case.window,
        placing=case.placing,
        largest_within=within,
        largest_across=across,
        empty_time=None if empty is None else empty.time,
        empty_heat=None if empty is None or empty.time is None else empty.heat,
        hold_doubt=checks.doubt(case),
    )


def _case(prepared: Prepared, computed: Computed, library: Library) -> checks.Case:
    """What was found of joints, segments, places and limits, for the checks and for the answer."""
    s, assembly, run = prepared.settings, prepared.assembly, computed.main.simulation
    model = prepared.model(prepared.inputs)
    slowest = ruling(run)
    needs = computed.sampled.need + needed(prepared, run)
    rule = HoldRule(s.wanted, s.confidence, s.thermocouple_lag, s.load_thermocouple)
    placed = prepared.placement if isinstance(prepared.placement, Placement) else None
    at_heat = joints_at_heat(assembly, s.targets, prepared.clearances, None if placed is None else placed.boxes)
    return checks.Case(
        assembly,
        s,
        prepared.clearances,
        _joints(prepared, run, computed.main.errors),
        _segments(prepared, model, run),
        run,
        model,
        computed.fidelity,
        computed.spread,
        undeclared=() if placed is None else placed.undeclared,
        never=computed.sampled.never,
        window=window(assembly, s.limits, Heat.of(run), run.hold_end, floor([p.target for p in run.joints], s.wanted)),
        crowding=prepared.crowding,
        at_heat=at_heat,
        orientation=orientation(assembly, prepared.placement, at_heat, library, s.superheat, max(s.uniformity[1], 0.0)),
        placing=find_place(assembly, run, computed.heats, needs, prepared.readings, s.targets[slowest], rule),
    )


def _differences(run: Simulation, fidelity: str) -> tuple[float | None, float]:
    """Largest temperature difference inside one segment and between two, up to the end of the hold [K]."""
    heated = run.time <= run.hold_end + 1e-6
    coldest, hottest = run.coldest[:, heated], run.hottest[:, heated]
    return None if fidelity == "network" else largest_within(coldest, hottest), largest_across(coldest, hottest)


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
                flux_active=j.flux.active_low,
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


def _section(run: Simulation) -> answer.Section | None:
    if run.field is None:
        return None
    grid = run.field.grid
    return answer.Section(grid.kind, grid.x_edges, grid.y_edges, grid.body, run.field.temperature, run.field.time)
