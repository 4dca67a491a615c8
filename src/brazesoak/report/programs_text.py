"""Programs side by side as a table, the settings of each, and which is shortest within the limits."""

from __future__ import annotations

from collections.abc import Sequence

from brazesoak.programs import OWN, Broken, Compared, Leg, Outcome, Program, Tried
from brazesoak.report import format as fmt
from brazesoak.report import wording
from brazesoak.report.layout import bullets, labelled, paragraph, table
from brazesoak.report.text import cautions_text

HEAD = ("Program", "Total", "Hold", "Flux", "Melting", "Inside", "Between", "Heater", "Limits broken")
NOTE = (
    "Total: hours and minutes from the start to the end of the hold. Flux: from when the hottest point of the joint "
    "comes to the temperature from which its flux is counted, to the end of the hold; the joint where it is longest. "
    "Melting: from solidus to liquidus at the coldest point of each joint; where it is long, a filler of a wide range "
    "parts. Inside, between: largest temperature difference inside one part and between two, up to the end of the "
    "hold: they distort. Scale and sensitising: with the cooling of your own program after each. The "
    "clocks of flux, zinc and melting and the 50 K below a solidus: common practice, no source."
)
HOT = "Loaded hot: the heat that it took to bring the empty furnace to the set-point is not in its figure."


def compared_text(found: Compared, width: int = 100) -> str:
    """Table, settings, advice and cautions as plain text."""
    plan = found.plan
    stop = wording.stop_line(plan)
    blocks = [f"{plan.title}\n{plan.job_path} | {plan.furnace} | computed as {plan.fidelity}"]
    blocks += [paragraph(stop, width)] if stop else []
    blocks.append(tried_table(found.tried, width))
    blocks += [broken_text(found.tried, width)] if any(not t.works for t in found.tried) else []
    blocks.append(paragraph(_advice(found), width))
    blocks.append("WHAT TO SET\n" + labelled([(t.name, program_sentence(t.program)) for t in found.tried], width))
    blocks += [melting_text(found.tried, width)] if len(plan.joints) > 1 else []
    blocks.append("HOW IT IS COUNTED\n" + bullets([NOTE, *_loaded_hot(found), sure_sentence(found)], width))
    blocks.append("CAUTIONS\n" + cautions_text(plan, width))
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


def program_sentence(program: Program) -> str:
    """What is keyed in before the hold at the set-point, in one line."""
    if program.hot:
        return f"Load the furnace that stands at {fmt.temperature_text(program.set_point)}"
    return fmt.sentence(", then ".join(_leg(leg) for leg in program.legs))[:-1]


def _leg(leg: Leg) -> str:
    rate = "at full power" if leg.rate is None else f"at {fmt.ramp_text(leg.rate)}"
    wait = f", hold {fmt.minutes(leg.hold)}" if leg.hold > 0.0 else ""
    return f"{rate} to {fmt.temperature_text(leg.to)}{wait}"


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
    text = f"Shortest within the limits: {_named(best)}, {fmt.minutes(best.outcome.total)} in all."
    if gentlest is best or gentlest.outcome is None:
        apart = fmt.difference_text(best.outcome.difference)
        if len(working) == 1:
            return f"{text} No other of them does; in it two places differ by up to {apart}."
        return f"{text} It is the most even of those, too: two places differ by up to {apart}."
    return (
        f"{text} Most even: {_named(gentlest)}, where no two places differ by more than "
        f"{fmt.difference_text(gentlest.outcome.difference)} against {fmt.difference_text(best.outcome.difference)}."
    )


def _unevenness(t: Tried) -> tuple[int, float]:
    """In whole kelvins, and the shorter first."""
    return (round(t.outcome.difference), t.outcome.total) if t.outcome else (0, 0.0)


def _named(t: Tried) -> str:
    return "your own program" if t.name == OWN else t.name


def _loaded_hot(found: Compared) -> list[str]:
    real = any(t.program.hot and t.outcome and t.outcome.heater is not None for t in found.tried)
    return [HOT] if real else []


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
