"""Rules of thumb beside a plan: plain values in SI, made by `analysis.rules`, shown by `report.rules_text`."""

from __future__ import annotations

from dataclasses import dataclass

from .answer import Plan


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """What a rule of the trade gives for a job, beside what is computed.

    name, formula : str         the rule, and how it is worked out
    low, high : float or None   what it gives [s]; None: it says nothing of so thick a part
    counted : str               what its time is counted from: ``set-point``, ``start`` or ``part at temperature``
    computed : float            what the plan has for the same [s]
    verdict : str               how the two compare
    reason : str                why they differ, one sentence
    """

    name: str
    formula: str
    low: float | None
    high: float | None
    counted: str
    computed: float
    verdict: str
    reason: str
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class RulesBeside:
    """A plan and the rules beside it."""

    plan: Plan
    rules: tuple[RuleOfThumb, ...]
