"""The run card: one printed page to be taken to the furnace, and overleaf the cautions in full and every reason.

Self-contained HTML: style and figure are inside, nothing is fetched, nothing runs. It is laid out for A4
and US Letter and for a black-and-white printer. The type shrinks and the figure gives way when there is
much to say.
"""

from __future__ import annotations

import math
from importlib.resources import files
from pathlib import PurePath
from typing import Any

from brazesoak.answer import OWN_DISPLAY, JointAtHeat, Plan
from brazesoak.report import format as fmt
from brazesoak.report import wording
from brazesoak.report.assumed import granted
from brazesoak.report.at_heat import gap_text
from brazesoak.report.how_sure import enough_sentence
from brazesoak.report.layout import keep_together
from brazesoak.report.position import position_on_card
from brazesoak.report.program import program_cells
from brazesoak.report.thermocouple import thermocouple_sentence
from brazesoak.report.way_down import cooling_sentences

TEMPLATE = "run_card.html"

_ROOM = 257.0
"""Height to be filled [mm]: US Letter, the lower of the two pages, less its margins and a reserve."""
_WIDTH = 190.0
"""Width of the text [mm]."""
_SIZES = tuple(9.5 - 0.25 * n for n in range(17))
"""Sizes of type [pt], tried in turn."""
_LOWEST = 18.0, 4.0
"""Least height of the figure and what each line of its legend adds [mm]."""
_HIGHEST = 90.0
"""Greatest height of the figure [mm]."""
_MM_PER_INCH = 25.4
_MM_PER_POINT = _MM_PER_INCH / 72.0


def run_card_html(plan: Plan) -> str:
    """The run card of a plan as one HTML page."""
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters.update(
        keep=keep_together, sentence=fmt.sentence, capital=lambda text: fmt.sentence(text).removesuffix(".")
    )
    source = files("brazesoak.report").joinpath(TEMPLATE).read_text(encoding="utf-8")
    content = _content(plan)
    size, height = _fit(plan, content)
    figure = Markup(_figure(plan, height))  # our own drawing; every text in it has become outlines
    return environment.from_string(source).render(plan=plan, size=size, figure=figure, **content) + "\n"


def _content(plan: Plan) -> dict[str, Any]:
    number = len(plan.segments)
    return {
        "job": "/".join(PurePath(plan.job_path).parts[-2:]),
        "warnings": wording.grouped(plan.warnings),
        "stop": wording.stop_line(plan),
        "load": f"{wording.load_mass(plan)} in {number} segment{'' if number == 1 else 's'}",
        "set_point": fmt.temperature_text(plan.set_point),
        "set_point_other": fmt.temperature_both(plan.set_point).partition("(")[2].rstrip(")"),
        "hold": wording.hold(plan),
        "share": wording.share(plan),
        "broken": wording.broken_limit(plan),
        "hold_end": fmt.minutes(plan.hold_end),
        "clock": _clock(plan),
        "program": [program_cells(step) for step in plan.program],
        "preparation": _preparation(plan),
        "joints": _joints(plan),
        "watch": [*_watch(plan), *cooling_sentences(plan)],
        "blanks": _blanks(plan),
        "began": wording.began(plan),
        "deferral": wording.DEFERRAL,
        "granted": granted(plan, len(plan.drivers)),
        "footer": _footer(plan),
    }


def _clock(plan: Plan) -> tuple[str, str]:
    """What is to be waited for, in large type, and what it means."""
    if wording.is_by_door(plan):
        return "door shut", "with the load inside, at the start"
    first = "comes back to this" if plan.loaded_hot and plan.display == OWN_DISPLAY else "first shows this"
    return wording.clock_temperature(plan), f"when {plan.display} {first}, {wording.clock_start(plan)}"


def _preparation(plan: Plan) -> list[str]:
    fluxes = sorted({joint.flux for joint in plan.joints if joint.flux})
    return [
        "Parts fit; gaps and filler as in the table below.",
        "Joint faces clean, bright and free of grease.",
        f"Flux ({', '.join(fluxes)}) on both faces of every joint, dried."
        if fluxes
        else "Joint faces kept from oxide.",
        "Every closed cavity vented.",
        *([position] if (position := position_on_card(plan)) else []),
        "Parts fixed so that they may settle but not slide.",
        fmt.sentence(plan.thermocouple),
    ]


def _joints(plan: Plan) -> list[dict[str, Any]]:
    hot = {joint.name: joint for joint in plan.at_heat}
    each = " for each copy" if plan.copies > 1 else ""
    return [
        {
            "name": joint.name,
            "rules": joint.name == plan.ruling_joint,
            "gap": fmt.length(joint.gap),
            "gap_hot": gap_text(hot[joint.name]) if joint.name in hot else "",
            "filler": f"{joint.filler}: {_wire(hot[joint.name])}{each}" if joint.name in hot else joint.filler,
            "flux": joint.flux,
            "melts": f"{fmt.celsius(joint.solidus):.0f} to {fmt.temperature_text(joint.liquidus)}",
            "target": fmt.temperature_text(joint.target),
            "solidus": fmt.hours_minutes(joint.passes_solidus),
            "liquidus": fmt.hours_minutes(joint.passes_liquidus),
            "reached": fmt.hours_minutes(joint.passes_target),
        }
        for joint in plan.joints
    ]


def _wire(joint: JointAtHeat) -> str:
    """What to cut off, for example ``4 g, 540 mm of 1 mm wire``; of a thicker one where that is more than a metre."""
    diameter, length = next((w for w in joint.wires if w[1] <= 1.0), joint.wires[-1])
    return f"{fmt.mass(joint.filler_mass)}, {fmt.length(length)} of {fmt.length(diameter)} wire"


def _watch(plan: Plan) -> list[str]:
    rule = thermocouple_sentence(plan)
    return [*([f"Thermocouple: {rule}"] if rule else []), *(fmt.sentence(text) for text in plan.watch)]


def _blanks(plan: Plan) -> list[str]:
    return [
        "Heat started at",
        "Door closed at"
        if wording.is_by_door(plan)
        else f"Display {'was back at' if plan.loaded_hot else 'first showed'} {wording.clock_temperature(plan)} at",
        "Hold ended at",
        f"Thermocouple showed {fmt.temperature_text(plan.placing.reading)} at"
        if plan.placing
        else "Thermocouple at hold end",
        "Opened at",
        "Joints, as found",
    ]


def _footer(plan: Plan) -> str:
    return (
        f"{enough_sentence(plan)} Rule of thumb: {fmt.minutes(plan.rule_of_thumb)} at one hour "
        "per kilogram. "
        f"Computed as {plan.fidelity}; energy balance closes to "
        f"{fmt.relative(plan.energy_balance_error)}. Cautions, defaults and "
        f"assumptions in full overleaf. brazesoak, version {fmt.application_version()}."
    )


def _figure(plan: Plan, height: float) -> str:
    from brazesoak.plots.histories import figure_histories
    from brazesoak.plots.style import svg_inline

    drawn = figure_histories(
        plan,
        width=_WIDTH / _MM_PER_INCH,
        height=height / _MM_PER_INCH,
        with_title=False,
        with_times=False,  # the table of joints has them
        close_up=True,
    )
    return svg_inline(drawn)


def _fit(plan: Plan, content: dict[str, Any]) -> tuple[float, float]:
    """Size of type [pt] and height of the figure [mm] with which the page is full and not more.

    The largest type that leaves the figure its least height; nothing is left out to make room.
    """
    lowest = _LOWEST[0] + _LOWEST[1] * (2 + len(plan.segments))
    for size in _SIZES:
        room = _ROOM - _text_height(plan, content, size)
        if room >= lowest:
            return size, min(room, _HIGHEST)
    return _SIZES[-1], lowest


def _text_height(plan: Plan, content: dict[str, Any], size: float) -> float:
    """Estimated height [mm] of everything but the figure, from counts of characters; errs high."""
    line = 1.28 * size * _MM_PER_POINT
    row = line + 0.34 * size * _MM_PER_POINT
    wide, narrow, half = 0.53 * _WIDTH, 0.42 * _WIDTH, 0.48 * _WIDTH
    warnings = sum(_lines(f"{item.message} {item.action}", size, _WIDTH - 6) for item in content["warnings"])
    program = sum(max(_lines(cells[4], 0.88 * size, 0.32 * wide), 1) for cells in content["program"])
    preparation = sum(_lines(text, size, narrow - 5) for text in content["preparation"])
    joints = sum(_lines(f"{joint['name']} (slowest)", size, _WIDTH - 17.5 * size) for joint in content["joints"])
    watch = sum(_lines(text, size, half - 3) for text in content["watch"])
    cautions = sum(_lines(f"{c.hazard}: {c.short or c.text}", 0.88 * size, half - 3) for c in plan.cautions)
    return 0.95 * (  # measured: between 5 % and 15 % too high without the factor
        2.7 * line  # title
        + 7.0 * line  # the four boxes
        + (1.1 * line * (warnings + 2) if warnings else 0.0)
        + max(row * (program + 1), 1.16 * line * preparation)
        + row * (joints + 1)
        + 1.16 * line * math.ceil((watch + 1) / 2)
        + 1.5 * line * math.ceil(len(content["blanks"]) / 3)
        + 1.0 * line * (math.ceil((cautions + 1) / 2) + 1)
        + 0.9 * line * (_lines(content["footer"], 0.84 * size, _WIDTH) + 1)
        + 5 * 2.0 * line  # five headings with the space above them
    )


def _lines(text: str, size: float, width: float) -> int:
    """Lines that a text takes at a size [pt] in a width [mm]; a character is about half as wide as high."""
    return max(1, math.ceil(len(text) * 0.51 * size * _MM_PER_POINT / width))
