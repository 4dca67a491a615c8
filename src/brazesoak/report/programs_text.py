"""Programs side by side as a table, the settings of each, and which is shortest within the limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from brazesoak.answer import ProgramStep
from brazesoak.programs import OWN, Broken, Compared, Leg, Outcome, Program, Tried
from brazesoak.report import format as fmt
from brazesoak.report import wording
from brazesoak.report.cautions import cautions_block
from brazesoak.report.layout import bullets, labelled, paragraph, table
from brazesoak.report.program import AS_FAST, is_kept

HEAD = ("Program", "Total", "Hold", "Flux", "Melting", "Inside", "Between", "Heater", "Limits broken")
NOTE = (
    "Total: hours and minutes from the start to the end of the hold. Flux: from when the hottest point of the joint "
    "comes to the temperature from which its flux is counted, to the end of the hold; the joint where it is longest. "
    "Melting: from solidus to liquidus at the coldest point of each joint; where it is long, a filler of a wide range "
    "parts. Inside, between: largest temperature difference inside one part and between two, up to the end of the "
    "hold: they distort. Scale and sensitising: with the cooling of your own program after each. The "
    "clocks of flux, zinc and melting and the 50 K below a solidus: common practice, no source."
)


def compared_text(found: Compared, width: int = 100) -> str:
    """Table, settings, advice and cautions as plain text."""
    plan = found.plan
    stop = wording.stop_line(plan)
    blocks = [wording.job_lines(plan)]
    blocks += [paragraph(stop, width)] if stop else []
    blocks.append(tried_table(found.tried, width))
    blocks += [broken_text(found.tried, width)] if any(not t.works for t in found.tried) else []
    blocks.append(paragraph(_advice(found), width))
    blocks.append(
        "WHAT TO SET\n" + labelled([(t.name, program_sentence(t.program, t.outcome)) for t in found.tried], width)
    )
    blocks += [melting_text(found.tried, width)] if len(plan.joints) > 1 else []
    blocks.append("HOW IT IS COUNTED\n" + bullets([NOTE, *_loaded_hot(found), sure_sentence(found)], width))
    blocks.append(cautions_block(plan.cautions, width))
    return "\n\n".join(blocks)


def tried_table(tried: Sequence[Tried], width: int) -> str:
    """One line a program."""
    return table(HEAD, [(t.name, *_cells(t.outcome)) for t in tried], width)


def _cells(o: Outcome | None) -> tuple[str, ...]:
    if o is None:
        return ("-",) * (len(HEAD) - 2) + ("never arrives",)
    between = fmt.minutes_range([j.between for j in o.joints])
    within = "-" if o.within is None else fmt.difference_text(o.within)
    heater = "-" if o.heater is None else fmt.kilowatt_hours(o.heater)
    names = ", ".join(dict.fromkeys(b.name for b in o.broken)) or "none"
    return (
        fmt.hours_minutes(o.total), fmt.minutes(o.hold), fmt.minutes(o.flux), between, within,
        fmt.difference_text(o.across), heater, names,
    )  # fmt: skip


def broken_text(tried: Sequence[Tried], width: int) -> str:
    """Each limit that is broken, by how much, and what would help."""
    lines = [f"{t.name}: {fmt.sentence(t.refused)}" for t in tried if t.refused]
    for t in tried:
        if t.outcome is not None and t.outcome.broken:
            lines.append(f"{t.name}: {'; '.join(broken_sentence(b) for b in _worst(t.outcome.broken))}.")
    remedies = dict.fromkeys(b.remedy for t in tried if t.outcome for b in t.outcome.broken)
    lines += [f"What would help: {'; '.join(remedies)}."] if remedies else []
    return "LIMITS BROKEN\n" + bullets([fmt.sentence(line) for line in lines], width)


def _worst(broken: Sequence[Broken]) -> list[Broken]:
    """Of each limit, where it is broken by most."""
    kinds = dict.fromkeys(b.name for b in broken)
    return [max((b for b in broken if b.name == name), key=lambda b: b.over) for name in kinds]


def broken_sentence(b: Broken) -> str:
    """The limit and by how much it is broken."""
    by = fmt.duration(b.over) if b.is_time else fmt.difference_text(b.over)
    return f"{b.reason} ({by} too {'long' if b.is_time else 'much'})"


def program_sentence(program: Program, outcome: Outcome | None = None) -> str:
    """What is keyed in before the hold at the set-point, in one line; with what came of it, how long the ramps take
    that the furnace does not keep."""
    if program.hot:
        return f"Load the furnace that stands at {fmt.temperature_text(program.set_point)}"
    unknown = (None,) * len(program.legs)
    takes, rests = (outcome.takes or unknown, outcome.rests or unknown) if outcome else (unknown, unknown)
    start = float(outcome.curves.shown[0]) if outcome else None
    begins = (start, *(leg.to for leg in program.legs))
    told = [_leg(leg, *known) for leg, *known in zip(program.legs, begins, takes, rests, strict=False)]
    return fmt.sentence(", then ".join(told))[:-1]


def _leg(leg: Leg, begin: float | None, takes: float | None, rests: float | None) -> str:
    """A ramp and the hold after it. begin : float or None [K];  takes, rests : float or None [s]"""
    lasts = None if leg.rate is None or begin is None else abs(leg.to - begin) / leg.rate
    step = ProgramStep("ramp", leg.to, leg.rate, lasts, takes=takes)
    wait = f", hold {fmt.minutes(leg.hold)}" if leg.hold > 0.0 else ""
    if is_kept(step):
        return f"at {fmt.ramp_text(leg.rate)} to {fmt.temperature_text(leg.to)}{wait}"
    least = "" if leg.rate is None else f" (key in {fmt.ramp_text(leg.rate)})"
    about = "" if takes is None else f", about {fmt.minutes(takes)}"
    if leg.hold > 0.0 and rests is not None:
        wait = f", hold {fmt.minutes(rests)} from there"
    return f"{AS_FAST}{least} to {fmt.temperature_text(leg.to)}{about}{wait}"


def melting_text(tried: Sequence[Tried], width: int) -> str:
    """From solidus to liquidus in each joint, and from the first joint that is liquid to the last."""
    known = [t for t in tried if t.outcome is not None]
    if not known or known[0].outcome is None:
        return ""
    names = [j.name for j in known[0].outcome.joints]
    head = ("Melting of", *names, "First to last joint liquid")
    rows = []
    for t in known:
        if t.outcome is not None:
            times = (*(j.between for j in t.outcome.joints), t.outcome.melting_spread)
            rows.append((t.name, *(fmt.duration(s) for s in times)))
    return "EACH JOINT\n" + table(head, rows, width)


def _advice(found: Compared) -> str:
    best = found.shortest
    if best is None or best.outcome is None:
        return "None of these programs keeps within every limit."
    working = [t for t in found.tried if t.works]
    gentlest = min(working, key=_unevenness)
    text = f"Shortest within the limits: {_named(best)}, {fmt.minutes(best.outcome.total)} in all{_switched_on(found)}."
    if gentlest is best or gentlest.outcome is None:
        apart = fmt.difference_text(best.outcome.difference)
        if len(working) == 1:
            return f"{text} No other of them does; in it two places differ by up to {apart}."
        return f"{text} It is the most even of those, too: two places differ by up to {apart}."
    return (
        f"{text} Most even: {_named(gentlest)}, where no two places differ by more than "
        f"{fmt.difference_text(gentlest.outcome.difference)} against {fmt.difference_text(best.outcome.difference)}."
    )


def _switched_on(found: Compared) -> str:
    """Where the shortest is loaded hot, what the heat of the empty furnace adds, and the shortest loaded cold."""
    best = found.shortest
    if best is None or best.outcome is None or not best.program.hot:
        return ""
    o = best.outcome
    on = "" if o.before is None else f", {fmt.minutes(o.before + wording.STAND + o.total)} from switching on"
    cold = replace(found, tried=tuple(t for t in found.tried if not t.program.hot)).shortest
    if cold is None or cold.outcome is None:
        return f" from when the door closes{on}"
    return f" from when the door closes{on}; loaded cold: {_named(cold)}, {fmt.minutes(cold.outcome.total)}"


def _unevenness(t: Tried) -> tuple[int, float]:
    """In whole kelvins, and the shorter first."""
    return (round(t.outcome.difference), t.outcome.total) if t.outcome else (0, 0.0)


def _named(t: Tried) -> str:
    return "your own program" if t.name == OWN else t.name


def _loaded_hot(found: Compared) -> list[str]:
    """What the heat of the empty furnace takes, which is in no figure of a furnace loaded hot."""
    hot = [t for t in found.tried if t.program.hot and t.outcome and t.outcome.before is not None]
    return [f"Loaded hot: its figures count from when the door closes; {heated_before(t)}." for t in hot]


def heated_before(t: Tried) -> str:
    """What heating the empty furnace adds to a heat that is loaded hot; that it comes before, where it is not known."""
    o = t.outcome
    if o is None or o.before is None or o.before_heat is None:
        return "heating the empty furnace comes before"
    return wording.before(t.program.set_point, o.before, o.before_heat, o.total)


def sure_sentence(found: Compared) -> str:
    """How sure the holds are."""
    chances = found.plan.chances
    of = "" if chances is None else f" in {100.0 * chances.confidence:g} of 100 heats"
    error = max((j.time_error for j in found.plan.joints), default=0.0)
    return (
        f"Each hold is to be enough{of}: the uncertain inputs were varied with your own program, and the heat that "
        f"needs as much was run with every other. Numerical error of the times: {fmt.duration(error)}. Before you "
        "heat, put the program into the job file and ask for its plan."
    )
