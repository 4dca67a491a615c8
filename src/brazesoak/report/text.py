"""The printed answer: the most important first, in short sentences that read well aloud.

Headings are lines of capitals without indent, so that a terminal program can colour them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brazesoak.answer import Driver, Notice, Plan
from brazesoak.report import format as fmt
from brazesoak.report import how_sure, wording
from brazesoak.report.at_heat import HEADING, at_heat_text
from brazesoak.report.layout import bullets, labelled, paragraph, table
from brazesoak.report.position import position_sentence

DRIVERS_SHOWN = 3
ROUNDING = 1e-12
"""A smaller relative error is that of the computer's numbers."""


def plan_text(plan: Plan, width: int = 100) -> str:
    """The whole answer as plain text, no line longer than `width` unless one word is."""
    stop = wording.stop_line(plan)
    blocks = [_head(plan), *([paragraph(stop, width)] if stop else []), _what_to_set(plan, width)]
    for heading, body in _sections(plan, width):
        if body:
            blocks.append(f"{heading}\n{body}")
    return "\n\n".join(blocks)


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


def _head(plan: Plan) -> str:
    count = len(plan.segments)
    parts = f"{count} segment" if count == 1 else f"{count} segments"
    return f"{plan.title}\n{plan.job_path} | {plan.furnace} | {wording.load_mass(plan)} in {parts}"


def _what_to_set(plan: Plan, width: int) -> str:
    pairs = [
        ("Set", f"{fmt.temperature_both(plan.set_point)}: {fmt.typeset(plan.set_point_reason)}"),
        ("Hold", wording.hold_sentence(plan)),
        ("Total", wording.total_sentence(plan)),
        *(
            ("" if i > 1 else "Program", f"{i}. {wording.program_sentence(step)}")
            for i, step in enumerate(plan.program, 1)
        ),
        ("Thermocouple", " ".join([fmt.sentence(plan.thermocouple), wording.thermocouple_sentence(plan)]).strip()),
        *([("Position", position)] if (position := position_sentence(plan)) else []),
        ("Slowest joint", f"{plan.ruling_joint}. {fmt.sentence(plan.ruling_reason)}"),
        ("Rule of thumb", wording.rule_of_thumb_sentence(plan)),
    ]
    return labelled(pairs, width)


def _sections(plan: Plan, width: int) -> Iterator[tuple[str, str]]:
    warnings = wording.grouped(plan.warnings)
    heading = "WARNING" if len(warnings) == 1 else f"{len(warnings)} WARNINGS"
    yield heading, "\n".join(_warning(i, notice, width) for i, notice in enumerate(warnings, 1))
    watch = [*(fmt.sentence(text) for text in plan.watch), *wording.cooling_sentences(plan)]
    yield "WHAT TO WATCH, AND WHEN TO OPEN", bullets(watch, width)
    yield "JOINTS (coldest point of each; times from the start)", _joints(plan, width)
    yield HEADING, at_heat_text(plan, width)
    yield (
        "SEGMENTS (coldest place of each; margin: the metal's own solidus less its hottest place)",
        _segments(plan, width),
    )
    yield "HOW SURE", _how_sure(plan, width)
    yield "CAUTIONS", cautions_text(plan, width)
    yield "DEFAULTS AND ASSUMPTIONS", _assumptions(plan, width)
    yield "SIDE BY SIDE", fidelity_table_text(plan, width)


def _warning(number: int, notice: Notice, width: int) -> str:
    texts = (
        f"{fmt.sentence(notice.message)} [{notice.code}]",
        f"Do this: {fmt.sentence(notice.action)}",
        f"Source: {fmt.sentence(notice.source)}",
    )
    mark = f"{number}. "
    space = " " * len(mark)
    return "\n".join(paragraph(text, width, space if i else mark, space) for i, text in enumerate(texts))


def _joints(plan: Plan, width: int) -> str:
    rows = [
        (
            joint.name,
            joint.filler,
            f"{fmt.celsius(joint.solidus):.0f} to {fmt.temperature_text(joint.liquidus)}",
            fmt.minutes_short(joint.passes_solidus),
            fmt.minutes_short(joint.passes_liquidus),
            fmt.temperature_text(joint.target),
            fmt.minutes_short(joint.passes_target),
            fmt.minutes(joint.time_above_target),
        )
        for joint in plan.joints
    ]
    head = ("Joint", "Filler", "Melts", "Solidus", "Liquidus", "Target", "Reached", "Stays above")
    flux = wording.flux_sentence(plan)
    return "\n".join([table(head, rows, width), *([paragraph(flux, width)] if flux else [])])


def _segments(plan: Plan, width: int) -> str:
    rows = [
        (
            segment.name,
            f"{segment.metal}, {segment.surface}",
            fmt.mass(segment.mass),
            fmt.minutes_short(segment.passes_solidus),
            fmt.minutes_short(segment.passes_liquidus),
            fmt.temperature_text(segment.peak),
            fmt.difference_text(segment.solidus_margin),
        )
        for segment in plan.segments
    ]
    head = ("Segment", "Metal, surface", "Mass", "Solidus", "Liquidus", "Hottest", "Margin")
    return table(head, rows, width)


def _how_sure(plan: Plan, width: int) -> str:
    worst = max((joint.time_error for joint in plan.joints), default=0.0)
    lines = [how_sure.enough_sentence(plan)]
    if plan.drivers:
        lines.append(f"What matters most: {'; '.join(_driver(d) for d in plan.drivers[:DRIVERS_SHOWN])}.")
    lines.extend(how_sure.chance_sentences(plan))
    closes = plan.energy_balance_error
    lines.append(
        f"Computed as {plan.fidelity}. {fmt.sentence(plan.fidelity_reason)} The times are right to "
        f"{fmt.duration(worst)}; the energy balance closes to "
        f"{'rounding' if closes < ROUNDING else f'{fmt.relative(closes)} of the heat taken up'}."
    )
    lines.append(wording.heat_sentence(plan))
    times = [table(*how_sure.joint_chances(plan), width)] if plan.chances and plan.joints else []
    return "\n".join([bullets(lines, width), *times])


def _driver(driver: Driver) -> str:
    low = f"{driver.low_input} {_gives(driver.hold_at_low)}"
    return fmt.typeset(f"{driver.name}, {low}, {driver.high_input} {_gives(driver.hold_at_high)}")


def _gives(hold: float | None) -> str:
    return "leaves a joint short of its target" if hold is None else f"gives {fmt.minutes(hold)}"


def cautions_text(plan: Plan, width: int) -> str:
    """The cautions of a plan, and what comes before this page."""
    texts = [f"{fmt.sentence(caution.hazard)[:-1]}: {fmt.sentence(caution.text)}" for caution in plan.cautions]
    return "\n".join(part for part in (bullets(texts, width), paragraph(wording.DEFERRAL, width)) if part)


def _assumptions(plan: Plan, width: int) -> str:
    found = [(fmt.typeset(f"{item.what}: {item.value}"), fmt.sentence(item.why)) for item in plan.assumptions]
    found += [(f"range of {driver.name}", fmt.sentence(driver.source)) for driver in plan.drivers[:DRIVERS_SHOWN]]
    found += [("expansion", fmt.sentence(source)) for source in dict.fromkeys(j.source for j in plan.at_heat)]
    return bullets([wording.wanted_sentence(plan), *_by_reason(found)], width)


def _by_reason(found: Sequence[tuple[str, str]]) -> list[str]:
    """What has one reason in one line, so that the reason is read once."""
    groups: dict[str, list[str]] = {}
    for what, why in found:
        groups.setdefault(why, []).append(what)
    return [f"{fmt.sentence('; '.join(group))} {why}".strip() for why, group in groups.items()]
