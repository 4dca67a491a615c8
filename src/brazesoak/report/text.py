"""The printed answer: first what is needed at the furnace, then the figures behind it.

Headings are lines of capitals without indent, so that a terminal program can colour them. In full it has every reason
and source, too.
"""

from __future__ import annotations

from collections.abc import Iterator

from brazesoak.answer import Notice, Plan
from brazesoak.report import details, way_down, wording
from brazesoak.report import format as fmt
from brazesoak.report.assumed import assumptions_block
from brazesoak.report.at_heat import HEADING, at_heat_text
from brazesoak.report.cautions import cautions_block
from brazesoak.report.how_sure import enough_sentence
from brazesoak.report.layout import labelled, paragraph
from brazesoak.report.position import position_sentence
from brazesoak.report.program import counted_above, program_sentence
from brazesoak.report.thermocouple import thermocouple_rule


def plan_text(plan: Plan, width: int = 100, *, full: bool = False) -> str:
    """The answer as plain text, no line longer than `width` unless one word is.

    full : bool     with every reason, source and caution whole
    """
    stop = wording.stop_line(plan)
    blocks = [_head(plan), *([paragraph(stop, width)] if stop else []), _at_the_furnace(plan, width)]
    blocks += [f"{heading}\n{body}" for heading, body in _figures(plan, width, full) if body]
    blocks.append(cautions_block(plan.cautions, width, full=full))
    blocks.append(assumptions_block(plan, width, details.DRIVERS_SHOWN, full=full))
    side_by_side = details.fidelity_table_text(plan, width)
    return "\n\n".join([*blocks, *([f"SIDE BY SIDE\n{side_by_side}"] if side_by_side else [])])


def _head(plan: Plan) -> str:
    count = len(plan.segments)
    parts = f"{count} segment" if count == 1 else f"{count} segments"
    return f"{plan.title}\n{plan.job_path} | {plan.furnace} | {wording.load_mass(plan)} in {parts}"


def _at_the_furnace(plan: Plan, width: int) -> str:
    """What to set, how long, why, what to watch, how sure."""
    place = [fmt.sentence(plan.thermocouple), thermocouple_rule(plan)]
    pairs = [
        ("Set", f"{fmt.temperature_both(plan.set_point)}: {fmt.typeset(plan.set_point_reason)}"),
        ("Hold", wording.hold_sentence(plan)),
        ("Warnings", wording.warnings_sentence(plan)),
        ("Total", wording.total_sentence(plan)),
        *_program(plan),
        ("Thermocouple", " ".join(place).strip()),
        ("Position", position_sentence(plan)),
        ("Slowest joint", f"{plan.ruling_joint}. {fmt.sentence(plan.ruling_reason)}"),
        ("Watch", " ".join(fmt.sentence(text) for text in plan.watch)),
        ("Open", " ".join(way_down.opening_sentences(plan))),
        ("How sure", enough_sentence(plan)),
        ("Cooling", " ".join(way_down.later_sentences(plan))),
        ("Rule of thumb", wording.rule_of_thumb_sentence(plan)),
    ]
    return labelled([(label, text) for label, text in pairs if text], width)


def _program(plan: Plan) -> Iterator[tuple[str, str]]:
    """What to key in, a line each. The hold itself is counted as told above."""
    for i, step in enumerate(plan.program, 1):
        yield "" if i > 1 else "Program", f"{i}. {program_sentence(counted_above(step))}"


def _figures(plan: Plan, width: int, full: bool) -> Iterator[tuple[str, str]]:
    warnings = wording.grouped(plan.warnings)
    heading = "WARNING" if len(warnings) == 1 else f"{len(warnings)} WARNINGS"
    yield heading, "\n".join(_warning(i, notice, width) for i, notice in enumerate(warnings, 1))
    yield details.JOINTS.format(began=wording.began(plan)), details.joints(plan, width)
    yield HEADING, at_heat_text(plan, width)
    yield details.SEGMENTS, details.segments(plan, width, full)
    yield "HOW SURE", details.how_sure(plan, width, full)


def _warning(number: int, notice: Notice, width: int) -> str:
    mark = f"{number}. "
    text = (
        f"{fmt.sentence(notice.message)} [{notice.code}] Do this: {fmt.sentence(notice.action)} "
        f"Source: {fmt.sentence(notice.source)}"
    )
    return paragraph(text, width, mark, " " * len(mark))
