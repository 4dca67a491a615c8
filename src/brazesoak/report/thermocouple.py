"""How to count the hold by a thermocouple on the load, and what that gains."""

from __future__ import annotations

from brazesoak.answer import Placing, Plan
from brazesoak.report import format as fmt
from brazesoak.report.wording import began, span

WORTH_A_THERMOCOUPLE = 60.0
"""Counting from a thermocouple is told where it narrows the needed hold by more than this [s]."""


def thermocouple_sentence(plan: Plan) -> str:
    """From which reading of a thermocouple on the load to count, and what it gains; empty when none was found."""
    rule, reason = thermocouple_rule(plan), thermocouple_reason(plan)
    return " ".join(text for text in (rule, _after_colon(reason)) if text)


def _after_colon(text: str) -> str:
    return fmt.sentence(text.partition(": ")[2])


def thermocouple_rule(plan: Plan) -> str:
    """From which reading of a thermocouple on the load to count; empty when none was found."""
    p = plan.placing
    if p is None:
        return ""
    reading, after = fmt.temperature_text(p.reading), f"about {fmt.minutes(p.expected)} after {began(plan)}"
    if not _gains(p):
        return f"It should show {reading} {after}; to count from it is no surer here than to count from the display."
    return f"Surer than the display: hold {fmt.minutes(p.hold)} from when it shows {reading} ({after})."


def thermocouple_reason(plan: Plan) -> str:
    """What to count from the thermocouple gains, and how far it is behind; empty when no place was found."""
    p = plan.placing
    if p is None:
        return ""
    if not _gains(p):
        return f"By the thermocouple: {_lag(plan, p)}"
    doubt = " That, too, is computed with one temperature a segment." if plan.hold_doubt else ""
    return (
        f"By the thermocouple, at the place and reading from which the time needed varies least: "
        f"{span(p.low, p.high)} in 9 heats of 10, from the display "
        f"{span(p.display_low, p.display_high)}; the tolerance of type {p.thermocouple} and the errors of the "
        f"computation are in the hold. {fmt.sentence(_lag(plan, p))}{doubt}"
    )


def _gains(p: Placing) -> bool:
    """Whether counting from the thermocouple narrows the needed hold by so much that it is told."""
    return (p.display_high - p.display_low) - (p.high - p.low) >= WORTH_A_THERMOCOUPLE


def _lag(plan: Plan, p: Placing) -> str:
    """How far the thermocouple is behind its place, and its place ahead of the joint."""
    text = f"its tip is {fmt.difference_text(max(p.behind, 0.0))} behind the metal"
    if p.delay is None:
        return f"{text}."
    side = "before" if p.delay >= 0.0 else "after"
    return f"{text}, and shows the target of {plan.ruling_joint} {fmt.duration(abs(p.delay))} {side} the joint has it."
