"""Sentences that the printed answer and the run card share, so that both say the same."""

from __future__ import annotations

from collections.abc import Sequence

from brazesoak.answer import OWN_DISPLAY, JointAnswer, Notice, Plan
from brazesoak.report import format as fmt

DEFERRAL = "Safety data sheets, local codes and licensed practice come before this page."
"""Stands under every list of cautions."""
STAND = 3600.0
"""How long an empty furnace is to stand at its set-point before it is loaded [s]: a heat loaded hot begins with a
lining in its steady state. After an hour, examples 01 and 02 come to their targets 0.2 and 2 min later than that, and
their clocks start 1.5 and 5 min later; loaded at once, 2 and 7 min, 9 and 14 min (networks; see
tests/unit/test_hot_lining.py)."""
STOP_CODES = ("not-in-air", "cadmium", "melts", "sealed-cavity", "phosphorus-on-iron")
"""Warnings with which a heat must not be run as planned."""
LONGER = (
    "One temperature a segment: large or thick parts need longer than told here; plan tells how long, from the places "
    "of the parts."
)
"""Stands under tables of heats that are computed as a network."""
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


def warnings_sentence(plan: Plan) -> str:
    """How many warnings there are, and what of; empty where there is none."""
    found = grouped(plan.warnings)
    kinds = ", ".join(dict.fromkeys(notice.code.replace("-", " ") for notice in found))
    return f"{len(found)}, read them below before the heat: {kinds}." if found else ""


def job_lines(plan: Plan) -> str:
    """Title, file, furnace and how it was computed, above tables that set heats side by side."""
    return f"{plan.title}\n{plan.job_path} | {plan.furnace} | computed as {plan.fidelity}"


def stop_line(plan: Plan) -> str:
    """A line above everything else when the heat must not be run; empty otherwise."""
    codes = [notice.code for notice in plan.warnings if notice.code in STOP_CODES]
    return (
        f"STOP: do not run this heat as it is ({', '.join(dict.fromkeys(codes))}); see the warnings." if codes else ""
    )


def too_thick(thick: Sequence[tuple[str, float]]) -> str:
    """Segments for which one temperature is not enough, with the largest Biot number of each; empty: none."""
    largest: dict[str, float] = {}
    for name, biot in thick:
        largest[name] = max(biot, largest.get(name, 0.0))
    if not largest:
        return ""
    *others, last = (f'"{name}" (Biot number {biot:.2f})' for name, biot in largest.items())
    are, cores = ("are", "their cores lag") if others else ("is", "its core lags")
    names = f"{', '.join(others)} and {last}" if others else last
    return f"{names} {are} thick for the conductivity: {cores}, and the holds above are too short."


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
    shown = clock_temperature(plan)
    if plan.loaded_hot and plan.display == OWN_DISPLAY:
        return f"the display, which falls as the load goes in, comes back to {shown}"
    return f"{plan.display} first shows {shown}"


def began(plan: Plan) -> str:
    """What times are counted from: a load put into a hot furnace starts its heat as the door closes."""
    return "the door closes" if plan.loaded_hot else "the start"


def clock_start(plan: Plan) -> str:
    """When the clock is to be started."""
    if plan.clock_start < _AT_ONCE:
        return "as the door closes" if plan.loaded_hot else "at the start"
    return f"about {fmt.minutes(plan.clock_start)} after {began(plan)}"


def hold(plan: Plan) -> str:
    """The hold in few words."""
    return fmt.minutes(plan.hold_time) if plan.hold_time > 0.0 else "none"


def hold_sentence(plan: Plan) -> str:
    """The hold and from when it is counted."""
    if plan.hold_time > 0.0:
        return "; ".join(
            text
            for text in (f"{hold(plan)}, counted from when {clock_event(plan)}", share(plan), broken_limit(plan))
            if text
        )
    none = f"none: every joint has had its time when {clock_event(plan)}; switch off then"
    return f"{none}; {plan.hold_doubt}" if plan.hold_doubt else none


def broken_limit(plan: Plan) -> str:
    """That the hold is longer than a limit allows, and whether one by the thermocouple is not; empty where it keeps."""
    if plan.window is None or plan.window.works:
        return ""
    broken, p = "this breaks a limit, see the warnings", plan.placing
    if p is None or plan.hold_doubt or not plan.window.kept_from(p):
        return broken
    return (
        f"{broken}; by the thermocouple on the load, {fmt.minutes(p.hold)} from when it shows "
        f"{fmt.temperature_text(p.reading)}, it keeps within the limit in a usual heat"
    )


def share(plan: Plan) -> str:
    """In how many heats the hold is enough, and what that supposes; empty where neither is known."""
    chances = plan.chances
    if chances is None or chances.recommended.hold is None:
        return f"enough {plan.hold_doubt}" if plan.hold_doubt else ""
    enough = f"enough in {100.0 * chances.confidence:g} of 100 heats like this"
    return f"{enough}, {plan.hold_doubt}" if plan.hold_doubt else enough


def total_sentence(plan: Plan) -> str:
    """How long the heat takes in all, and how far its display goes too high."""
    past = ""
    if plan.overshoot >= WORTH_SAYING:
        past = f"; {plan.display} goes up to {fmt.difference_text(plan.overshoot)} past the set-point"
    start = f"when {began(plan)}" if plan.loaded_hot else began(plan)
    empty = empty_sentence(plan)
    if plan.hold_time > 0.0:
        clock = f"the clock starts {clock_start(plan)}"
        return f"{fmt.minutes(plan.hold_end)} from {start} to the end of the hold; {clock}{past}{empty}"
    return f"{fmt.minutes(plan.hold_end)} from {start} until the furnace is switched off{past}{empty}"


def empty_sentence(plan: Plan) -> str:
    """What a furnace that is loaded hot takes before; empty where that is not known or nothing."""
    if plan.empty_time is None or plan.empty_heat is None:
        return ""
    return f"; {before(plan.set_point, plan.empty_time, plan.empty_heat, plan.hold_end)}"


def before(set_point: float, time: float, heat: float, total: float) -> str:
    """The heat of the empty furnace, its stand until the lining is hot, and the total from switching on."""
    return (
        f"before that the empty furnace needs about {fmt.minutes(time)} and {fmt.kilowatt_hours(heat)} at full power "
        f"to {fmt.temperature_text(set_point)}, and an hour there until its lining is hot through: about "
        f"{fmt.minutes(time + STAND + total)} from switching on"
    )


def heat_sentence(plan: Plan, *, full: bool = True) -> str:
    """What the heat takes and, in full, where it goes."""
    heat = plan.energy
    if heat.heater is None:
        return f"The load takes up {fmt.energy(heat.load)}."
    own = "heaters, air and what stands inside" if heat.lining else "the furnace itself"
    parts = [
        ("the load", heat.load),
        (own, heat.chamber),
        ("the shelf", heat.shelf),
        ("the lining", heat.lining),
        ("the room", heat.losses),
    ]
    given = [f"{name} {_taken(value)}" for name, value in parts if value]
    if heat.door > 0.0:
        given[-1] += f" ({fmt.kilowatt_hours(heat.door)} of it through the open door)"
    cost = "" if heat.cost is None else f", which cost {heat.cost:.2f} at the price in the job"
    gives = f"The heater gives {fmt.kilowatt_hours(heat.heater)}{cost}"
    if not full:
        return f"{gives}; the load takes {fmt.kilowatt_hours(heat.load)} of it."
    return f"{gives}. Of it to the end of the hold: {', '.join(given)}."


def _taken(heat: float) -> str:
    return f"{'gives back ' if heat < 0.0 else ''}{fmt.kilowatt_hours(abs(heat))}"


def load_mass(plan: Plan) -> str:
    """What lies in the furnace: 2.11 kg, or 4 x 2.11 kg."""
    if plan.copies == 1:
        return fmt.mass(plan.total_mass)
    return f"{plan.copies} \N{MULTIPLICATION SIGN} {fmt.mass(plan.total_mass / plan.copies)}"


def rule_of_thumb_sentence(plan: Plan) -> str:
    """The hold against one hour per kilogram, with both figures."""
    return f"{fmt.minutes(plan.rule_of_thumb)} for {fmt.mass(plan.total_mass)}. {fmt.sentence(plan.rule_sentence)}"


def wanted_in_short(plan: Plan) -> str:
    """What the hold is for, as far as it is not among the defaults."""
    superheat, time = fmt.difference_text(plan.superheat), fmt.duration(plan.minutes_at_target)
    return f"The hold is for {time} at {superheat} above the liquidus at the coldest point of the slowest joint."


def wanted_sentence(plan: Plan) -> str:
    """What the hold is for."""
    return (
        f"The hold gives the coldest point of the slowest joint {fmt.difference_text(plan.superheat)} "
        f"above the liquidus of its filler for {fmt.duration(plan.minutes_at_target)}, if the set-point "
        "leaves room for it."
    )


def span(low: float, high: float) -> str:
    """Two times as a range, for example ``7 to 13 min``, or one where both read alike."""
    texts = fmt.minutes(low), fmt.minutes(high)
    if texts[0] == texts[1]:
        return texts[0]
    return f"{texts[0].removesuffix(' min') if high < 3570.0 else texts[0]} to {texts[1]}"


def flux_sentence(plan: Plan) -> str:
    """The longest time any flux is at work; empty when none is."""
    if not plan.joints:
        return ""
    longest = max(plan.joints, key=lambda joint: joint.flux_time)
    time = fmt.minutes(longest.flux_time)
    return (
        f"The flux works longest at {longest.name} ({longest.flux}): {time} by the end of the hold, counted at the "
        f"hottest point of the joint; {_flux_life(longest)}."
    )


def _flux_life(joint: JointAnswer) -> str:
    if joint.flux_life is None:
        return "no life of this flux is published or known: try it on scrap for that long"
    return f"after {fmt.limit(joint.flux_life)} it counts as spent"
