"""The shortest program as people read it: what to set, what to type into the job file, its limits, its trade-offs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brazesoak.answer import Plan, ProgramStep
from brazesoak.programs import Found, Impossible, Outcome, Program, Tried
from brazesoak.report import format as fmt
from brazesoak.report import wording
from brazesoak.report.cautions import cautions_block
from brazesoak.report.layout import bullets, labelled, paragraph, table
from brazesoak.report.program import is_kept
from brazesoak.report.program import program_sentence as step_sentence
from brazesoak.report.programs_text import broken_sentence, heated_before, program_sentence

FULL_POWER = "100 K/min"
"""What stands in a job file for full power: no furnace of this kind follows it."""
NOT_FOLLOWED = "ramp-not-followed"
"""Not told of a program that is to go as fast as the furnace can."""
NONE = "NO PROGRAM KEEPS WITHIN EVERY LIMIT. Change the job as said below, or try it on scrap first."

NONE_COLD = "WHY NONE LOADED COLD DOES"
BEST, HOT = "SHORTEST PROGRAM WITHIN THE LIMITS", "LOADED HOT, WITHIN THE LIMITS"


def best_text(found: Found, width: int = 100) -> str:
    """The whole answer as plain text."""
    plan = found.answer_plan or found.plan
    stop = wording.stop_line(plan)
    blocks = [wording.job_lines(plan)]
    blocks += [paragraph(stop, width)] if stop else []
    if found.best is not None and found.best_plan is not None and found.best.outcome is not None:
        blocks += _best(found, BEST, found.best, found.best_plan, found.best.outcome, width)
    elif found.hot is not None and found.hot_plan is not None and found.hot.outcome is not None:
        blocks.append(paragraph(hot_headline(found.hot, found.hot_plan), width))
        blocks += _best(found, HOT, found.hot, found.hot_plan, found.hot.outcome, width)
        blocks += _none(found, NONE_COLD, width)
    else:
        blocks += _none(found, NONE, width)
    blocks += [f"{head}\n{body}" for head, body in _fronts(found, width)]
    blocks.append("HOW IT WAS FOUND\n" + bullets(_how(found), width))
    blocks.append(cautions_block(plan.cautions, width))
    return "\n\n".join(blocks)


def hot_headline(hot: Tried, plan: Plan) -> str:
    """That only the load put into the hot furnace keeps the limits, and what its total leaves out."""
    at = fmt.temperature_text(hot.program.set_point)
    return (
        f"NO PROGRAM LOADED COLD KEEPS WITHIN EVERY LIMIT; LOADED HOT AT {at} THE HEAT DOES, with a hold of "
        f"{wording.hold(plan)}. Its total counts from when the door closes; {heated_before(hot)}."
    )


def job_lines(program: Program) -> str:
    """The table ``[program]`` of a job file with this program."""
    head = f'[program]\nloading = "{"hot" if program.hot else "cold"}"\nset_point = "{_celsius(program.set_point)}"\n'
    if program.hot:
        return head
    steps = [
        f'    {{ to = "{_celsius(leg.to)}", ramp = "{_ramp(leg.rate)}", hold = "{fmt.in_minutes(leg.hold):g} min" }},'
        for leg in program.legs[:-1]
    ]
    last = f'ramp = "{_ramp(program.legs[-1].rate)}"\n'
    return head + last + ("steps = [\n" + "\n".join(steps) + "\n]\n" if steps else "")


def _celsius(T: float) -> str:
    return f"{round(fmt.celsius(T), 2):g} degC"


def _ramp(rate: float | None) -> str:
    return FULL_POWER if rate is None else f"{round(fmt.ramp_per_minute(rate), 3):g} K/min"


def _best(found: Found, head: str, best: Tried, plan: Plan, o: Outcome, width: int) -> Iterator[str]:
    pairs = [
        ("Set", fmt.temperature_both(plan.set_point)),
        ("Hold", wording.hold_sentence(plan)),
        ("Total", f"{wording.total_sentence(plan)}{_against(found, o)}"),
        *(("" if i > 1 else "Program", f"{i}. {step_sentence(told(step))}") for i, step in enumerate(plan.program, 1)),
    ]
    yield f"{head}\n" + labelled(pairs, width)
    full = not best.program.hot and any(leg.rate is None for leg in best.program.legs)
    note = f"\n({FULL_POWER}: more than the furnace can; it goes at full power.)" if full else ""
    yield f"TYPE THIS INTO THE JOB FILE, instead of its [program]\n{job_lines(best.program).rstrip()}{note}"
    yield "ITS LIMITS\n" + table(("Limit", "This program", "Rule"), list(_limits(found, plan, o)), width)
    kept = all(is_kept(step) for step in plan.program if step.action == "ramp" and step.rate is not None)
    warnings = [w for w in plan.warnings if not (full and kept and w.code == NOT_FOLLOWED)]
    if warnings:
        lines = [f"{fmt.sentence(w.message)} {fmt.sentence(w.action)}" for w in wording.grouped(warnings)]
        yield "WARNINGS\n" + bullets(lines, width)


def told(step: ProgramStep) -> ProgramStep:
    """A ramp that only stands for full power is told as that, and how long it takes is the furnace's affair."""
    full = step.rate is not None and _ramp(step.rate) == FULL_POWER
    return replace(step, rate=None, duration=None) if full else step


def _against(found: Found, o: Outcome) -> str:
    own = found.own.outcome
    if own is None:
        return ""
    less = own.total - o.total
    if found.own.works:
        return f"; your own takes {fmt.minutes(own.total)}" if abs(less) >= 30.0 else "; as long as your own"
    return f"; your own takes {fmt.minutes(own.total)} and breaks a limit ({', '.join(_names(own))})"


def _names(o: Outcome) -> list[str]:
    return list(dict.fromkeys(b.name for b in o.broken))


def _limits(found: Found, plan: Plan, o: Outcome) -> Iterator[tuple[str, str, str]]:
    """Limit, value, most (or least) allowed."""
    low, high = (fmt.temperature_text(T) for T in found.set_points)
    yield "set-point", fmt.temperature_text(plan.set_point), f"{low} to {high}"
    lowest = {c.name: c for c in reversed(plan.window.ceilings)} if plan.window else {}
    for ceiling in lowest.values():
        room = fmt.minutes(max(ceiling.latest - plan.hold_end, 0.0))
        yield ceiling.name, f"hold ends {room} before", fmt.sentence(ceiling.reason)[:-1]
    margin = min(s.solidus_margin for s in plan.segments)
    yield "solidus", f"{fmt.difference_text(margin)} below the nearest", "50 K below or more"
    yield "difference", fmt.difference_text(o.difference), _difference_allowed(found)
    if o.heater is not None:
        yield "power", f"heater gives {fmt.kilowatt_hours(o.heater)}", "never more than the furnace has"


def _difference_allowed(found: Found) -> str:
    most = found.most_difference
    return "none; [limits] difference sets one" if most is None else f"{fmt.difference_text(most)} or less"


def _none(found: Found, head: str, width: int) -> Iterator[str]:
    yield head
    yield bullets([_impossible(i) for i in found.impossible], width)
    nearest = found.nearest
    if nearest is not None and nearest.outcome is not None and nearest.outcome.broken:
        text = f"Nearest, and outside the limits: {program_sentence(nearest.program, nearest.outcome)}"
        yield paragraph(f"{text}; {fmt.minutes(nearest.outcome.total)} in all.", width)


def _impossible(i: Impossible) -> str:
    alone = "no program tried keeps it" if i.alone else "kept only where another limit is broken"
    return (
        f"{i.least.name}: {fmt.sentence(broken_sentence(i.least))[:-1]} at the least; {alone}. What would help: "
        f"{i.least.remedy}."
    )


def _fronts(found: Found, width: int) -> Iterator[tuple[str, str]]:
    head = ("Total", "Difference", "Flux", "Program")
    for name, points in (("BEING MORE EVEN COSTS TIME", found.by_difference), ("SPARING THE FLUX COSTS TIME",
                         found.by_flux)):  # fmt: skip
        if len(points) > 1:
            yield name, table(head, _front_rows(points), width)


def _front_rows(points: Sequence[Tried]) -> list[tuple[str, ...]]:
    return [
        (
            fmt.hours_minutes(t.outcome.total), fmt.difference_text(t.outcome.difference), fmt.minutes(t.outcome.flux),
            program_sentence(t.program, t.outcome),
        )
        for t in points
        if t.outcome is not None
    ]  # fmt: skip


def _how(found: Found) -> list[str]:
    works = sum(t.works for t in found.tried)
    tried = (
        f"{len(found.tried)} programs were tried, {works} of them within every limit: two ramps, where and how long to "
        "even out between them, and the set-point in the trade's band, loaded cold. Each on a coarse grid of the job's "
        "own fidelity; the one told is planned in full, and the tables of trade-offs are those of the coarse grid, "
        "where the same program comes to slightly other figures. They begin with it and leave out what differs by less "
        "than 2 %, a minute or a kelvin."
    )
    same = (
        "The search (COBYQA from the best of some programs of the trade) takes no random numbers, and the samples "
        f"have the seed {found.seed}: the same job gives the same program."
    )
    limits = (
        "Limits: clocks of flux, zinc, scale and melting, 50 K below every solidus, arrival also where the furnace is "
        "colder than it shows, and what [limits] of the job says; common practice, no source, where it says nothing."
    )
    return [
        *([tried, same] if found.tried else []),
        *([hot_sentence(found.hot)] if found.hot and not found.hot_plan else []),
        limits,
    ]


def hot_sentence(hot: Tried) -> str:
    """What the load would take if it were put into the hot furnace."""
    at = f"Not searched: loaded hot at {fmt.temperature_text(hot.program.set_point)}"
    if hot.outcome is None:
        return f"{at}. {fmt.sentence(hot.refused)}"
    total, difference = fmt.minutes(hot.outcome.total), fmt.difference_text(hot.outcome.difference)
    broken = ", ".join(_names(hot.outcome))
    limits = f"it breaks a limit ({broken})" if broken else "it keeps within every limit"
    return (
        f"{at} the load would take {total} from when the door closes, with differences up to {difference}, and "
        f"{limits}; {heated_before(hot)}."
    )
