"""The map of set-points as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brazesoak.report import format as fmt
from brazesoak.report.layout import paragraph, table
from brazesoak.report.text import cautions_text

if TYPE_CHECKING:
    from brazesoak.analysis.set_points import Point, SetPoints

NOTE = (
    "Scale on steel by the parabolic law of iron in air (from memory, to be confirmed; extrapolated below 700 °C). "
    "The band of 50 to 100 K above the liquidus, the clocks of flux and zinc and the 50 K below a solidus: common "
    "practice, no source."
)


def set_points_text(found: SetPoints, width: int = 100) -> str:
    """Table, recommendation and cautions as plain text."""
    head = ("Set", "Trade's band", "Hold", "Total", "Flux", "Scale", "Heater", "Limit")
    blocks = [table(head, [_row(found, p) for p in found.points], width), paragraph(_advice(found), width)]
    blocks.append(paragraph(NOTE, width))
    plans = [p.plan for p in found.points if p.plan is not None]
    if plans:
        blocks.append("CAUTIONS\n" + cautions_text(plans[0], width))
    return "\n\n".join(blocks)


def _row(found: SetPoints, p: Point) -> tuple[str, ...]:
    low, high = found.band
    inside = "yes" if low - 1e-6 <= p.set_point <= high + 1e-6 else "no"
    if p.plan is None:
        return (fmt.temperature_text(p.set_point), inside, "-", "-", "-", "-", "-", p.why)
    scale = "-" if p.scale is None else f"{p.scale * 1e6:.0f} µm"
    heater = "-" if p.plan.energy.heater is None else fmt.energy(p.plan.energy.heater)
    flux = fmt.minutes(max(j.flux_time for j in p.plan.joints))
    return (
        fmt.temperature_text(p.set_point), inside, fmt.minutes(p.plan.hold_time),
        fmt.hours_minutes(p.plan.hold_end), flux, scale, heater, p.why or "none",
    )  # fmt: skip


def _advice(found: SetPoints) -> str:
    if found.best is not None and found.best.plan is not None:
        plan = found.best.plan
        return (
            f"Recommended: {fmt.temperature_text(plan.set_point)} with a hold of {fmt.minutes(plan.hold_time)}, the "
            f"shortest heat in the trade's band under all limits. Computed as {plan.fidelity}."
        )
    messages = dict.fromkeys(
        f"{p.window.message} {p.window.remedy}" if p.window and not p.window.works else p.why for p in found.points
    )
    return "No set-point in the trade's band works. " + " ".join(messages)
