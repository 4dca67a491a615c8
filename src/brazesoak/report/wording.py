"""Sentences that the printed answer and the run card share, so that both say the same."""

from __future__ import annotations

from collections.abc import Sequence

from brazesoak.answer import OWN_DISPLAY, Chances, JointAnswer, Notice, Percentile, Plan, ProgramStep
from brazesoak.report import format as fmt

DEFERRAL = "Safety data sheets, local codes and licensed practice come before this page."
"""Stands under every list of cautions."""
STOP_CODES = ("not-in-air", "cadmium", "sealed-cavity")
"""Warnings with which a heat must not be run as planned."""
WORTH_SAYING = 5.0
"""An overshoot of the display that is told [K]: as much as the usual band of the hold clock."""
_AT_ONCE = 30.0
"""A clock that starts before this is said to start at once [s]."""


def grouped(notices: Sequence[Notice]) -> list[Notice]:
    """Warnings of one code that ask for the same as one, so that the action is read once."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for notice in notices:
        messages = groups.setdefault((notice.code, notice.action, notice.source), [])
        messages.append(fmt.sentence(notice.message))
    return [Notice(code, " ".join(messages), action, source) for (code, action, source), messages in groups.items()]


def stop_line(plan: Plan) -> str:
    """A line above everything else when the heat must not be run; empty otherwise."""
    codes = [notice.code for notice in plan.warnings if notice.code in STOP_CODES]
    return (
        f"STOP: do not run this heat as it is ({', '.join(dict.fromkeys(codes))}); see the warnings." if codes else ""
    )


def clock_temperature(plan: Plan) -> str:
    """What the display shows when the clock is to be started."""
    return fmt.temperature_text(plan.set_point - plan.clock_band)


def is_by_door(plan: Plan) -> bool:
    """Whether the clock is started by the door: the display of a furnace loaded hot may never leave the set-point."""
    return plan.loaded_hot and plan.clock_start < _AT_ONCE


def clock_event(plan: Plan) -> str:
    """What is to happen when the clock is started."""
    if is_by_door(plan):
        return "the door closes"
    shown = f"{clock_temperature(plan)} (within {fmt.difference_text(plan.clock_band)} of the set-point)"
    if plan.loaded_hot and plan.display == OWN_DISPLAY:
        return f"the display, which falls as the load goes in, comes back to {shown}"
    return f"{plan.display} first shows {shown}"


def clock_start(plan: Plan) -> str:
    """When the clock is to be started."""
    if plan.clock_start < _AT_ONCE:
        return "as the door closes" if plan.loaded_hot else "at the start"
    return f"about {fmt.minutes(plan.clock_start)} after {'the door closes' if plan.loaded_hot else 'the start'}"


def hold(plan: Plan) -> str:
    """The hold in few words."""
    return fmt.minutes(plan.hold_time) if plan.hold_time > 0.0 else "none"


def hold_sentence(plan: Plan) -> str:
    """The hold and from when it is counted."""
    if plan.hold_time > 0.0:
        broken = plan.window is not None and not plan.window.works
        limit = "; this breaks a limit, see the warnings" if broken else ""
        return f"{hold(plan)}, counted from when {clock_event(plan)}{limit}"
    return f"none: every joint has had its time when {clock_event(plan)}; switch off then"


def total_sentence(plan: Plan) -> str:
    """How long the heat takes in all, and how far its display goes too high."""
    past = ""
    if plan.overshoot >= WORTH_SAYING:
        past = f"; {plan.display} goes up to {fmt.difference_text(plan.overshoot)} past the set-point"
    if plan.hold_time > 0.0:
        start = f"the clock starts {clock_start(plan)}"
        return f"{fmt.minutes(plan.hold_end)} from the start to the end of the hold; {start}{past}"
    return f"{fmt.minutes(plan.hold_end)} from the start until the furnace is switched off{past}"


def heat_sentence(plan: Plan) -> str:
    """Where the heat goes."""
    heat = plan.energy
    load = f"The load takes up {fmt.energy(heat.load)}"
    if heat.heater is None:
        return f"{load}."
    shelf = _taken("the shelf", heat.shelf) + ", " if heat.shelf else ""
    if heat.lining:
        chamber_text = f"{_taken('heaters, air and what stands inside', heat.chamber)}, {shelf}"
        chamber_text += _taken("the lining", heat.lining)
    else:
        chamber_text = _taken("the furnace itself", heat.chamber)
    cost = "" if heat.cost is None else f", which costs {heat.cost:.2f} at the price in the job"
    room = "takes" if heat.losses >= 0.0 else "gives"
    return (
        f"{load}, {chamber_text}, the room {room} "
        f"{fmt.energy(abs(heat.losses))}; the heater gives {fmt.energy(heat.heater)}{cost}."
    )


def _taken(what: str, heat: float) -> str:
    return (
        f"{what} {'takes' if what.startswith('the ') else 'take'} up {fmt.energy(heat)}"
        if heat >= 0.0
        else (f"{what} {'gives' if what.startswith('the ') else 'give'} back {fmt.energy(-heat)}")
    )


def rule_of_thumb_sentence(plan: Plan) -> str:
    """The hold against one hour per kilogram, with both figures."""
    return (
        f"{fmt.minutes(plan.rule_of_thumb)} for {fmt.mass(plan.total_mass)} at one hour per kilogram. "
        f"{fmt.sentence(plan.rule_sentence)}"
    )


def wanted_sentence(plan: Plan) -> str:
    """What the hold is for."""
    return (
        f"The hold gives the coldest point of the slowest joint {fmt.difference_text(plan.superheat)} "
        f"above the liquidus of its filler for {fmt.duration(plan.minutes_at_target)}, if the set-point "
        "leaves room for it."
    )


WORTH_A_THERMOCOUPLE = 60.0
"""Counting from a thermocouple is told where it narrows the needed hold by more than this [s]."""


def thermocouple_sentence(plan: Plan) -> str:
    """From which reading of a thermocouple on the load to count, and what it gains; empty when none was found."""
    p = plan.placing
    if p is None:
        return ""
    reading, after = fmt.temperature_text(p.reading), f"about {fmt.minutes(p.expected)} after the start"
    gain = (p.display_high - p.display_low) - (p.high - p.low)
    if gain < WORTH_A_THERMOCOUPLE:
        return f"It should show {reading} {after}; to count from it is no surer here than to count from the display."
    return (
        f"With it you may count better: hold {fmt.minutes(p.hold)} from when it shows {reading} ({after}). In 9 heats "
        f"of 10 the need from there is {span(p.low, p.high)}, from the display {span(p.display_low, p.display_high)}."
    )


def span(low: float, high: float) -> str:
    """Two times as a range, for example ``7 to 13 min``, or one where both read alike."""
    texts = fmt.minutes(low), fmt.minutes(high)
    if texts[0] == texts[1]:
        return texts[0]
    return f"{texts[0].removesuffix(' min') if high < 3570.0 else texts[0]} to {texts[1]}"


def chance_sentences(plan: Plan) -> tuple[str, ...]:
    """In how many heats which hold is enough, how sure that is, and what to measure."""
    chances = plan.chances
    if chances is None:
        return ()
    enough = "; ".join(_enough(p) for p in chances.percentiles)
    never = f" In {100.0 * chances.never:.0f} of 100 a joint never comes to its target." if chances.never else ""
    gave_up = (
        f" The solver could not finish {chances.gave_up} of the {chances.samples} heats; they count as such."
        if chances.gave_up
        else ""
    )
    found = [
        f"Heats like this: {enough}.{never}{gave_up}",
        f"From {chances.samples} heats with every input varied at once ({_settled(chances)}), with the network, "
        f"corrected at the ends of each input; {_checked(plan, chances.model_error)}.",
    ]
    if chances.margin:
        found.append(f"For both errors together the recommended hold adds {fmt.duration(chances.margin)}.")
    return (*found, *([f"To be surer: {chances.measure}"] if chances.measure else []))


def _settled(chances: Chances) -> str:
    """How the percentile at the confidence settles, and its sampling error."""
    sure = chances.recommended
    first = [f"{n} give {fmt.minutes_short(hold)}" for n, hold in sure.settling[-3:-1]]
    error = (
        "no finite sampling error"
        if sure.standard_error is None
        else (f"sampling error {fmt.duration(sure.standard_error)}")
    )
    return ", ".join([*(f"the first {text}" if not i else text for i, text in enumerate(first)), error])


def _checked(plan: Plan, error: float | None) -> str:
    heat = f"the heat at the recommendation, computed as {plan.fidelity} on a coarse grid,"
    return f"{heat} never gets there" if error is None else f"{heat} differs by {fmt.duration(error)}"


def _enough(p: Percentile) -> str:
    share = f"in {100.0 * p.share:g} of 100"
    return f"{share} no hold is enough" if p.hold is None else f"{share} {fmt.minutes(p.hold)} is enough"


def range_sentence(plan: Plan) -> str:
    """Nominal hold, its range and the recommendation."""
    covers = plan.hold_time >= plan.hold_time_high
    return (
        f"With every input at its most likely value the hold is {fmt.minutes(plan.hold_time_nominal)}; the "
        f"inputs are known well enough for {fmt.minutes(plan.hold_time_low)} to "
        f"{fmt.minutes(plan.hold_time_high)}. The recommended {fmt.minutes(plan.hold_time)} "
        f"{'covers' if covers else 'does not cover all of'} that range."
    )


def cooling_sentences(plan: Plan) -> tuple[str, ...]:
    """When the joints are solid and when to open; says so when the cooling was not computed."""
    opening = fmt.temperature_text(plan.opening_temperature)
    if plan.joints_solid is None and plan.safe_to_open is None:
        return (f"The cooling was not computed. Do not move the parts or open above {opening}.",)
    sentences = []
    if plan.joints_solid is not None:
        sentences.append(
            f"Every joint is solid about {fmt.minutes(plan.joints_solid)} after the start: do not knock "
            "or move the parts before."
        )
    if plan.safe_to_open is not None:
        sentences.append(
            f"Everything is below {opening}, safe to open, about {fmt.minutes(plan.safe_to_open)} after the start."
        )
    return tuple(sentences)


def program_cells(step: ProgramStep) -> tuple[str, str, str, str, str]:
    """Action, temperature, rate, duration and note of a line of the program; empty where there is none."""
    return (
        {"ramp": "Ramp to", "hold": "Hold at", "off": "Switch off"}.get(step.action, step.action),
        "" if step.temperature is None else fmt.temperature_text(step.temperature),
        fmt.ramp_text(step.rate) if step.action == "ramp" else "",
        "" if step.duration is None else fmt.minutes(step.duration),
        fmt.typeset(step.note),
    )


def program_sentence(step: ProgramStep) -> str:
    """A line of the program in words, for example ``Ramp to 520 °C at 8 °C/min, 1 h 3 min``."""
    action, temperature, rate, time, note = program_cells(step)
    text = f"{action} {temperature}".strip()
    text += f" at {rate}" if rate else ""
    text += "" if not time else f", {time}" if step.action == "ramp" else f" for {time}"
    return text + (f" ({note})" if note else "")


def filler_sentence(plan: Plan) -> str:
    """How much filler to place at each joint; empty when no amounts are known."""
    fillers = {joint.name: joint.filler for joint in plan.joints}
    amounts = [f"{name} {fmt.volume(amount)} of {fillers.get(name, 'filler')}" for name, amount in plan.filler_amounts]
    return f"Filler to place: {'; '.join(amounts)}." if amounts else ""


def flux_sentence(plan: Plan) -> str:
    """The longest time any flux is at work; empty when none is."""
    if not plan.joints:
        return ""
    longest = max(plan.joints, key=lambda joint: joint.flux_time)
    time = fmt.minutes(longest.flux_time)
    return (
        f"The flux works longest at {longest.name} ({longest.flux}): {time} to the end of the hold, counted at the "
        f"hottest point of the joint; {_flux_life(longest)}."
    )


def _flux_life(joint: JointAnswer) -> str:
    if joint.flux_life is None:
        return "no life of this flux is published or known: try it on scrap for that long"
    return f"it is trusted for {fmt.minutes(joint.flux_life)} there"
