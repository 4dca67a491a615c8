"""Temperature against time: what the furnace shows, what the load does, when each joint melts."""

from __future__ import annotations

import math
from itertools import cycle
from typing import TYPE_CHECKING, Any

import numpy as np

from brazesoak.answer import Plan
from brazesoak.plots.flux_steps import name_flux_steps
from brazesoak.plots.levels import draw_levels, label_places, label_right
from brazesoak.plots.passings import draw_passings, label_time_axis, short_name
from brazesoak.plots.style import (
    GREY,
    MARKERS,
    PALE,
    house_style,
    looks,
    new_figure,
    save_figure,
    svg_text,
)
from brazesoak.report.format import celsius, in_minutes, minutes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["figure_histories", "save_figure", "svg_text"]

MOST_NAMED = 3
"""With more joints than this their marks stay unnamed: their names would take the place of the curves."""

_ROW_INCHES = 0.2
"""Height of a line of the lower panel."""
_AROUND_INCHES = 0.75
"""Title, ticks and axis label together, roughly."""
_LEGEND_INCHES = 0.155
"""A line of the legend."""
_BELOW_INCHES = 0.5
"""Ticks and axis label alone."""
_BESIDE_INCHES = 2.6
"""Names on both sides, roughly."""
_CLOSE_UP = 150.0
"""A close-up begins this far below the lowest solidus [K]."""
_CAPTION = "coldest place of each segment and joint"


def figure_histories(
    plan: Plan,
    *,
    width: float = 9.0,
    height: float = 6.0,
    with_title: bool = True,
    with_times: bool = True,
    close_up: bool = False,
) -> Figure:
    """The figure of a plan.

    Above: temperatures [degC] against time [min] with each filler's melting band, the targets, the
    set-point, the hold, and a mark where each joint passes solidus, liquidus and target. Below: one line
    a joint with those times.

    Parameters
    ----------
    plan
        The answer.
    width, height
        Size [inch].
    with_title
        Leave the title out where the page around the figure has it.
    with_times
        Leave the lower panel out where the page has a table of the times; the marks are then named with
        the curves.
    close_up
        From not far below the lowest solidus to when the joints are solid, instead of from the start to when
        everything is cold enough to open.
    """
    with house_style():
        figure = new_figure(width, height)
        lower = _ROW_INCHES * (len(plan.joints) + 1.6) if with_times else 0.0
        upper = max(height - lower - (_AROUND_INCHES if with_title else _BELOW_INCHES), 1.2)
        if with_times:
            axes, strip = figure.subplots(2, 1, sharex=True, height_ratios=[upper, lower])
        else:
            axes = strip = figure.subplots()
        _draw_curves(axes, plan, joints_label=None if not with_times else "joints (marked)")
        _draw_limits(axes, plan, close_up)
        if with_times:
            draw_passings(strip, plan)
        else:
            _name_hold(axes, plan)
        labels = draw_levels(axes, plan)
        _draw_dots(axes, plan, named=not with_times and len(plan.joints) <= MOST_NAMED)
        label_time_axis(strip, plan)
        free = label_places(axes, labels, upper)[0] * upper
        taken = _draw_legend(figure, axes, plan, upper, free, corner=with_times)
        label_right(axes, labels, upper - taken)
        if with_times:
            name_flux_steps(axes, plan)
        if with_title:
            axes.set_title(f"{plan.title} ({_CAPTION})", fontsize=10)
    return figure


def _draw_legend(figure: Figure, axes: Axes, plan: Plan, upper: float, free: float, corner: bool) -> float:
    """In the lower right corner if no curve runs there, as after a cold start; else beside or above.

    `upper` is the height of the axes and `free` that of the empty margin on the right [inch]; returned is
    what the legend takes away from the axes [inch].
    """
    handles, labels = axes.get_legend_handles_labels()
    across = 0.066 * max(len(label) for label in labels) + 0.7
    look: dict[str, Any] = {"fontsize": 7.5, "handlelength": 3.2, "columnspacing": 1.5, "labelspacing": 0.35}
    for columns in (1, 2) if corner else ():
        rows = math.ceil(len(labels) / columns)
        share = (
            columns * across / (figure.get_figwidth() - _BESIDE_INCHES),
            (_LEGEND_INCHES * rows + 0.2) / upper,
        )
        if max(share) < 0.75 and _is_free(axes, plan, *share):
            axes.legend(handles, labels, loc="lower right", ncols=columns, framealpha=1.0, edgecolor="none", **look)
            return 0.0
    if _LEGEND_INCHES * (len(labels) + 1) < free:
        look.update(bbox_to_anchor=(1.02, 0.0), borderpad=0.0, borderaxespad=0.0)
        axes.legend(handles, labels, loc="lower left", frameon=False, **look)
        return 0.0
    columns = max(1, int(figure.get_figwidth() / across))
    figure.legend(handles, labels, loc="outside upper center", ncols=columns, frameon=False, borderpad=0.1, **look)
    return _LEGEND_INCHES * math.ceil(len(labels) / columns)


def _is_free(axes: Axes, plan: Plan, wide: float, high: float) -> bool:
    """Whether no curve runs through the lower right corner of a size given as shares of the axes."""
    histories = plan.histories
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    times = in_minutes(histories.time)
    late = (times > right - wide * (right - left)) & (times <= right)
    limit = bottom + high * (top - bottom)
    curves = (
        histories.program[None],
        histories.sensor[None],
        histories.segment_coldest,
        histories.joint_coldest,
    )
    lowest = min(float(celsius(curve[:, late]).min(initial=math.inf)) for curve in curves)
    levels = min((celsius(joint.solidus) for joint in plan.joints), default=math.inf)
    return min(lowest, levels) > limit


def _draw_curves(axes: Axes, plan: Plan, joints_label: str | None) -> None:
    histories = plan.histories
    times = in_minutes(histories.time)
    asked = histories.time <= plan.hold_end  # what follows is off, not a temperature
    axes.plot(times[asked], celsius(histories.program[asked]), color=GREY, lw=0.9, ls=(0, (2, 2)), label="program")
    axes.plot(times, celsius(histories.sensor), color="black", lw=1.6, label="furnace's own sensor")
    for segment, temperature, (colour, dash) in zip(plan.segments, histories.segment_coldest, looks(), strict=False):
        axes.plot(times, celsius(temperature), color=colour, lw=1.5, ls=dash, label=short_name(segment.name))
    for i, temperature in enumerate(histories.joint_coldest):
        axes.plot(times, celsius(temperature), color="black", lw=0.6, label=joints_label if i == 0 else None)
    axes.set_ylabel("temperature, °C")
    axes.grid(visible=True, color="#dddddd", lw=0.4)
    axes.set_axisbelow(True)


def _draw_limits(axes: Axes, plan: Plan, close_up: bool) -> None:
    """Range of both axes, and the hold as a pale span."""
    histories = plan.histories
    last = max(float(histories.time[-1]), plan.hold_end)
    highest = max(plan.set_point, float(histories.sensor.max()), *(joint.liquidus for joint in plan.joints))
    lowest = min(float(histories.sensor.min()), float(histories.segment_coldest.min()))
    first = float(histories.time[0])
    if close_up:
        lowest = max(lowest, min((joint.solidus for joint in plan.joints), default=lowest) - _CLOSE_UP)
        first = float(histories.time[int(np.argmax(histories.sensor >= lowest))])
        solid = plan.hold_end if plan.joints_solid is None else max(plan.joints_solid, plan.hold_end)
        last = min(last, solid + 0.05 * (solid - first))
    elif plan.safe_to_open is not None:  # what cools for hours after that would press the heat into a corner
        opened = max(plan.safe_to_open, plan.hold_end)
        last = min(last, opened + 0.05 * (opened - first))
    margin = 0.0 if close_up else 0.04 * (highest - lowest)
    highest += 0.04 * (highest - lowest)
    axes.set_xlim(in_minutes(first), in_minutes(last + 0.01 * (last - first)))
    axes.set_ylim(celsius(lowest - margin), celsius(highest))
    axes.axvspan(in_minutes(plan.clock_start), in_minutes(plan.hold_end), color=PALE, lw=0, zorder=0)
    axes.axvline(in_minutes(plan.clock_start), color="black", lw=0.8, ls=(0, (5, 3)), zorder=1)


def _name_hold(axes: Axes, plan: Plan) -> None:
    """The hold in words at the foot of its span."""
    middle = 0.5 * in_minutes(plan.clock_start + plan.hold_end)
    axes.text(
        middle,
        0.03,
        f"hold {minutes(plan.hold_time)}" if plan.hold_time > 0.0 else "no hold",
        transform=axes.get_xaxis_transform(),
        ha="center",
        fontsize=8,
        bbox={"boxstyle": "round,pad=0.15", "fc": PALE, "ec": "none"},
        zorder=6,
    )


def _draw_dots(axes: Axes, plan: Plan, named: bool) -> None:
    for joint, marker in zip(plan.joints, cycle(MARKERS), strict=False):
        passings = (
            (joint.passes_solidus, joint.solidus),
            (joint.passes_liquidus, joint.liquidus),
            (joint.passes_target, joint.target),
        )
        points = [(in_minutes(time), celsius(level)) for time, level in passings if time is not None]
        if points:
            label = short_name(joint.name) if named else None
            axes.plot(
                *zip(*points, strict=True),
                label=label,
                ls="",
                marker=marker,
                ms=5,
                mfc="white",
                mec="black",
                mew=1.0,
                zorder=5,
            )
