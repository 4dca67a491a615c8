"""The rules of thumb beside the computed hold as plain text."""

from __future__ import annotations

from brazesoak.report import format as fmt
from brazesoak.report import wording
from brazesoak.report.cautions import cautions_block
from brazesoak.report.layout import bullets, labelled, paragraph, table
from brazesoak.rules_of_thumb import RuleOfThumb, RulesBeside

_COUNTED = {"set-point": "hold", "start": "from the start", "part at temperature": "wanted above target"}


def rules_text(beside: RulesBeside, width: int = 100) -> str:
    """The whole answer, no line longer than `width` unless one word is."""
    plan = beside.plan
    stop = wording.stop_line(plan)
    thickest = max(plan.segments, key=lambda s: s.thickest_section)
    pairs = [
        ("Computed", f"{wording.hold_sentence(plan)} ({plan.fidelity}; nominal {fmt.minutes(plan.hold_time_nominal)})"),
        ("Set-point", fmt.temperature_both(plan.set_point)),
        ("Load", f"{fmt.mass(plan.total_mass)}; thickest {fmt.length(thickest.thickest_section)}: {thickest.name}"),
    ]
    count = len(wording.grouped(plan.warnings))
    if count:
        pairs.append(("Warnings", f"{count}; brazesoak plan tells them: read them before the heat."))
    head = ("Rule", "Gives", "Counted from", "Computed for the same", "The rule is")
    rows = [
        (r.name, _gives(r), f"the {r.counted}", f"{fmt.minutes(r.computed)} {_COUNTED[r.counted]}", r.verdict)
        for r in beside.rules
    ]
    told: dict[str, list[str]] = {}
    for r in beside.rules:
        told.setdefault(r.reason, []).append(r.name)
    why = [f"{fmt.sentence(', '.join(names))[:-1]}: {fmt.sentence(reason)}" for reason, names in told.items()]
    sources = [
        f"{fmt.sentence(r.name)[:-1]}: {r.formula}. {r.confidence.capitalize()}: {r.source}." for r in beside.rules
    ]
    blocks = [
        wording.job_lines(plan),
        *([paragraph(stop, width)] if stop else []),
        labelled(pairs, width),
        "RULES OF THUMB, FOR COMPARISON ONLY\n" + table(head, rows, width),
        "WHY THEY DIFFER\n" + bullets(why, width),
        "THE RULES AND THEIR SOURCES\n" + bullets([fmt.typeset(text) for text in sources], width),
        cautions_block(plan.cautions, width),
    ]
    return "\n\n".join(blocks)


def _gives(r: RuleOfThumb) -> str:
    if r.low is None or r.high is None:
        return "nothing"
    low, high = fmt.minutes(r.low), fmt.minutes(r.high)
    return low if low == high else f"{low} to {high}"
