"""The figures behind a plan: joints, segments, how sure, and fidelities side by side, as text."""

from __future__ import annotations

from collections.abc import Iterator

from brazesoak.answer import Driver, JointAnswer, Plan
from brazesoak.report import format as fmt
from brazesoak.report import how_sure as sure
from brazesoak.report import wording
from brazesoak.report.layout import bullets, paragraph, table
from brazesoak.report.thermocouple import thermocouple_reason
from brazesoak.report.way_down import cooling_rates

DRIVERS_SHOWN = 3
JOINTS = "JOINTS (coldest point of each; hours:minutes after {began})"
SEGMENTS = "SEGMENTS (coldest place of each; margin: the metal's own solidus less its hottest place)"


def joints(plan: Plan, width: int) -> str:
    """When each joint melts, comes to its target, and surely does."""
    chances = plan.chances
    surely = {} if chances is None else chances.recommended.passes_target
    rows = [(*_joint(j), *([fmt.hours_minutes(surely.get(j.name))] if chances else []), _stays(j)) for j in plan.joints]
    share = [f"{100.0 * chances.confidence:g} of 100"] if chances else []
    head = ("Joint", "Filler", "Melts", "Solidus", "Liquidus", "Target", "Reached", *share, "Stays above")
    flux = wording.flux_sentence(plan)
    return "\n".join([table(head, rows, width), *([paragraph(flux, width)] if flux else [])])


def _joint(joint: JointAnswer) -> tuple[str, ...]:
    return (
        joint.name,
        joint.filler,
        f"{fmt.celsius(joint.solidus):.0f} to {fmt.temperature_text(joint.liquidus)}",
        fmt.hours_minutes(joint.passes_solidus),
        fmt.hours_minutes(joint.passes_liquidus),
        fmt.temperature_text(joint.target),
        fmt.hours_minutes(joint.passes_target),
    )


def _stays(joint: JointAnswer) -> str:
    return fmt.minutes(joint.time_above_target)


def segments(plan: Plan, width: int, full: bool) -> str:
    """When each segment is as hot as its filler's melting range, and how far from melting itself."""
    rows = [
        (
            s.name,
            f"{s.metal if full else s.metal.partition(' (')[0]}, {s.surface}",
            fmt.mass(s.mass),
            fmt.hours_minutes(s.passes_solidus),
            fmt.hours_minutes(s.passes_liquidus),
            fmt.temperature_text(s.peak),
            fmt.difference_text(s.solidus_margin),
        )
        for s in plan.segments
    ]
    head = ("Segment", "Metal, surface", "Mass", "Solidus", "Liquidus", "Hottest", "Margin")
    notes = [" ".join(text for text in (_differences(plan), *cooling_rates(plan)) if text)]
    return "\n".join([table(head, rows, width), *(paragraph(note, width) for note in notes if note)])


def _differences(plan: Plan) -> str:
    """How uneven the load is while it heats, and what to do about it."""
    if plan.largest_across is None:
        return ""
    inside = "" if plan.largest_within is None else f"{fmt.difference_text(plan.largest_within)} inside a segment, "
    return (
        f"Largest difference while it heats: {inside}{fmt.difference_text(plan.largest_across)} between two, which may "
        "warp (gentler: brazesoak programs)."
    )


def how_sure(plan: Plan, width: int, full: bool) -> str:
    """What the hold depends on, what to measure, how it was computed."""
    lines = []
    if plan.drivers:
        lines.append(f"What matters most: {'; '.join(_driver(d) for d in plan.drivers[:DRIVERS_SHOWN])}.")
    lines += [text for text in (sure.measure_sentence(plan), thermocouple_reason(plan)) if text]
    lines += _computed(plan) if full else [sure.found_in_short(plan)]
    lines.append(wording.heat_sentence(plan, full=full))
    times = [table(*sure.joint_chances(plan), width)] if full and plan.chances and plan.joints else []
    return "\n".join([bullets(lines, width), *times])


def _computed(plan: Plan) -> Iterator[str]:
    if found := sure.found_sentence(plan):
        yield found
    yield f"Computed as {plan.fidelity}. {fmt.sentence(plan.fidelity_reason)}{_errors(plan)}"


def _errors(plan: Plan) -> str:
    error = fmt.duration(sure.time_error(plan))
    return f" The times are right to {error}; the energy balance closes to {sure.balance(plan)}."


def _driver(driver: Driver) -> str:
    low = f"{driver.low_input} {_gives(driver.hold_at_low)}"
    return fmt.typeset(f"{driver.name}, {low}, {driver.high_input} {_gives(driver.hold_at_high)}")


def _gives(hold: float | None) -> str:
    return "leaves a joint short of its target" if hold is None else f"gives {fmt.minutes(hold)}"


def fidelity_table_text(plan: Plan, width: int = 100) -> str:
    """The fidelities of one job side by side; empty when only one was computed."""
    if not plan.fidelities:
        return ""
    rows = [
        (
            row.fidelity,
            str(row.cells),
            fmt.minutes(row.hold_time_nominal),
            row.ruling_joint,
            fmt.minutes_short(row.passes_target.get(row.ruling_joint)),
            fmt.relative(row.energy_balance_error),
            fmt.duration(row.time_error),
            fmt.duration(row.wall_time),
        )
        for row in plan.fidelities
    ]
    head = (
        "Fidelity",
        "Cells",
        "Nominal hold",
        "Ruling joint",
        "At target after",
        "Energy error",
        "Time error",
        "Computed in",
    )
    return table(head, rows, width)
