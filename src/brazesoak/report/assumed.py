"""What the plan took for granted, as text: by the table of the job file that changes it, or each with its reason."""

from __future__ import annotations

from collections.abc import Sequence

from brazesoak.answer import Assumption, Plan
from brazesoak.report import format as fmt
from brazesoak.report.layout import bullets, paragraph
from brazesoak.report.wording import wanted_in_short, wanted_sentence

HEADING = "DEFAULTS AND ASSUMPTIONS"
HOW_TO_CHANGE = "change them in the job file; why: the run card, or plan --full"
TABLES = ("program", "hold", "furnace", "furnace.control", "load", "limits")
"""Of the job file, in the order in which they are told."""


def assumptions_block(plan: Plan, width: int, drivers: int, *, full: bool = False) -> str:
    """Heading and everything that was taken for granted.

    drivers : int   so many drivers of the hold are told, each with the source of its range where `full`
    full : bool     with reasons and sources
    """
    if full:
        return f"{HEADING}\n{bullets(granted(plan, drivers), width)}"
    tables = [(f"[{table}]", _short([a for a in plan.assumptions if a.table == table])) for table in TABLES]
    tables.append(("Model:", _short([a for a in plan.assumptions if a.table not in TABLES])))
    lines = [f"{HEADING} ({HOW_TO_CHANGE})", wanted_in_short(plan), *(f"{t} {text}" for t, text in tables if text)]
    return "\n".join(paragraph(line, width, "", "  ") for line in lines)


def _short(assumptions: Sequence[Assumption]) -> str:
    return fmt.typeset("; ".join(a.short or f"{a.what}: {a.value}" for a in assumptions))


def granted(plan: Plan, drivers: int) -> list[str]:
    """Everything that was taken for granted, with reasons and sources; `drivers` as in `assumptions_block`."""
    found = [(fmt.typeset(f"{item.what}: {item.value}"), fmt.sentence(item.why)) for item in plan.assumptions]
    found += [(f"range of {driver.name}", fmt.sentence(driver.source)) for driver in plan.drivers[:drivers]]
    found += [("expansion", fmt.sentence(source)) for source in dict.fromkeys(j.source for j in plan.at_heat)]
    return [wanted_sentence(plan), *_by_reason(found)]


def _by_reason(found: Sequence[tuple[str, str]]) -> list[str]:
    """What has one reason in one line, so that the reason is read once."""
    groups: dict[str, list[str]] = {}
    for what, why in found:
        groups.setdefault(why, []).append(what)
    return [f"{fmt.sentence('; '.join(group))} {why}".strip() for why, group in groups.items()]
