"""How sure the hold is, in sentences and a table that the printed answer and the run card share."""

from __future__ import annotations

from brazesoak.answer import Chances, Percentile, Plan
from brazesoak.report import format as fmt
from brazesoak.report.wording import span

ROUNDING = 1e-12
"""A smaller relative error is that of the computer's numbers."""


def enough_sentence(plan: Plan) -> str:
    """Which hold is enough in how many heats, and in the most likely one."""
    likely = f"{fmt.minutes(plan.hold_time_nominal)} would be enough with every input at its most likely value"
    chances = plan.chances
    if chances is None:
        return f"{likely}; the inputs are known well enough for {span(plan.hold_time_low, plan.hold_time_high)}."
    first, *others = chances.percentiles
    enough = ", ".join([f"{_enough(first)} of 100 heats like this", *(_enough(p) for p in others)])
    never = f" In {100.0 * chances.never:.0f} of 100 a joint never comes to its target." if chances.never else ""
    gave_up = (
        f" The solver could not finish {chances.gave_up} of the {chances.samples} heats; they count as such."
        if chances.gave_up
        else ""
    )
    supposed = f" Enough only {plan.hold_doubt}." if plan.hold_doubt else ""
    return f"{likely}, {enough}.{supposed}{never}{gave_up}"


def measure_sentence(plan: Plan) -> str:
    """What to measure to be surer; empty where nothing would help."""
    return f"To be surer: {plan.chances.measure}" if plan.chances and plan.chances.measure else ""


def balance(plan: Plan) -> str:
    """How far the energy balance closes."""
    closes = plan.energy_balance_error
    return "rounding" if closes < ROUNDING else f"{fmt.relative(closes)} of the heat taken up"


def time_error(plan: Plan) -> float:
    """Numerical error of the times [s], that of the worst joint."""
    return max((joint.time_error for joint in plan.joints), default=0.0)


def found_in_short(plan: Plan) -> str:
    """In how many heats the percentiles were found, how sure they are, and as what the heat was computed."""
    chances = plan.chances
    own = (
        f"Computed as {plan.fidelity}. {fmt.sentence(plan.fidelity_reason)} The arithmetic is right to "
        f"{fmt.duration(time_error(plan))}, energy balance to {balance(plan)}."
    )
    if chances is None:
        return own
    errors = "sampling and model error" if chances.checked_on else "sampling error"
    margin = f", {errors} of {fmt.duration(chances.margin)} in the hold" if chances.margin else ""
    return f"From {chances.samples} heats with every input varied at once{margin}. {own}"


def found_sentence(plan: Plan) -> str:
    """How the percentiles were found and how they settle; empty where they were not."""
    chances = plan.chances
    if chances is None:
        return ""
    errors = "both errors" if chances.checked_on else "that error"
    margin = f" For {errors} the hold adds {fmt.duration(chances.margin)}." if chances.margin else ""
    grid = "" if chances.sampled_as == "network" or not chances.cells else f" on a grid of {chances.cells} cells"
    towards = "" if chances.sampled_as == plan.fidelity else f" and put right towards the {plan.fidelity}"
    return (
        f"From {chances.samples} heats with every input varied at once, each computed as {chances.sampled_as}{grid}"
        f"{towards}: {', '.join(_settled(chances))}{_checked(plan, chances)}.{margin}"
    )


def _settled(chances: Chances) -> list[str]:
    """How the percentile at the confidence settles, and its sampling error."""
    sure = chances.recommended
    first = [f"{n} give {fmt.minutes_short(hold)}" for n, hold in sure.settling[-3:-1]]
    error = (
        "no finite sampling error"
        if sure.standard_error is None
        else (f"sampling error {fmt.duration(sure.standard_error)}")
    )
    return [*(f"the first {text}" if not i else text for i, text in enumerate(first)), error]


def _checked(plan: Plan, chances: Chances) -> str:
    """What the network or the grid of the heats costs; empty where there is nothing to check."""
    if not chances.checked_on:
        return ""
    own = chances.sampled_as == plan.fidelity
    by = f"{'' if own else f'as {plan.fidelity} '}on {chances.checked_on} cells"
    if chances.model_error is None:
        return f"; computed {by}, a heat near the recommendation never gets there"
    what, error = "that grid" if own else "the network", fmt.duration(chances.model_error)
    return f", error of {what} {error} (heats near the recommendation computed {by})"


def joint_chances(plan: Plan) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Head and rows of a table: when each joint is at its target, most likely and in so many of 100 heats."""
    told = plan.chances.percentiles if plan.chances else ()
    head = ("Joint at its target after", "Most likely", *(f"In {100.0 * p.share:g} of 100" for p in told))
    rows = tuple(
        (
            j.name,
            fmt.minutes_short(j.passes_target),
            *(fmt.minutes_short(p.passes_target.get(j.name)) for p in told),
        )
        for j in plan.joints
    )
    return head, rows


def _enough(p: Percentile) -> str:
    return f"{'no hold' if p.hold is None else fmt.minutes(p.hold)} in {100.0 * p.share:g}"
