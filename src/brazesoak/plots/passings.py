"""One line a joint: when it melts and how long it stays above its target, with the times in figures."""

from __future__ import annotations

from itertools import cycle
from typing import TYPE_CHECKING

from brazesoak.answer import JointAnswer, Plan
from brazesoak.plots.style import GREY, MARKERS
from brazesoak.report.format import in_minutes
from brazesoak.report.wording import clock_temperature, hold, is_by_door

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LONGEST_NAME = 24
_ROOM_LEFT = 0.4
"""Share of the axis that must lie before the hold, or after it, for a remark to fit there."""
_STEPS = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 480)
"""Distances between ticks of the time axis [min]."""


def draw_passings(axes: Axes, plan: Plan) -> None:
    """The hold in the first line, then the joints in order, with their times [min] on the right.

    Call it when the limits of the time axis are set.
    """
    _hold(axes, plan)
    for row, (joint, marker) in enumerate(zip(plan.joints, cycle(MARKERS), strict=False), 1):
        _joint(axes, row, joint, marker, plan)
    axes.set_ylim(len(plan.joints) + 0.6, -0.6)
    axes.set_yticks(range(len(plan.joints) + 1), ["hold", *(short_name(joint.name) for joint in plan.joints)])
    axes.tick_params(axis="y", length=0, labelsize=8)
    axes.spines["left"].set_visible(False)
    axes.grid(visible=True, axis="x", color="#dddddd", lw=0.4)
    axes.set_axisbelow(True)


def label_time_axis(axes: Axes, plan: Plan) -> None:
    """Name the time axis and put ticks at round minutes; call it when the limits are set."""
    from matplotlib.ticker import MultipleLocator

    span = axes.get_xlim()[1] - axes.get_xlim()[0]
    axes.xaxis.set_major_locator(MultipleLocator(next((step for step in _STEPS if span / step <= 12), _STEPS[-1])))
    axes.set_xlabel(f"time {'since the door closed' if plan.loaded_hot else 'from the start of the program'}, min")


def _hold(axes: Axes, plan: Plan) -> None:
    start, end = in_minutes(plan.clock_start), in_minutes(plan.hold_end)
    axes.barh(0, end - start, left=start, height=0.55, facecolor="white", edgecolor="black", lw=0.8)
    by = "as the door closes" if is_by_door(plan) else f"at {clock_temperature(plan)}"
    inside, before = hold(plan), f"clock starts {by}"
    if start > _ROOM_LEFT * end:
        axes.text(start, 0, f"{before} ", ha="right", va="center_baseline", fontsize=7.5)
    elif axes.get_xlim()[1] - end > _ROOM_LEFT * (axes.get_xlim()[1] - axes.get_xlim()[0]):
        axes.text(end, 0, f" {before}", ha="left", va="center_baseline", fontsize=7.5)
    else:
        inside = f"{inside}, {before}"
    axes.text(0.5 * (start + end), 0, inside, ha="center", va="center_baseline", fontsize=7.5)
    _right(axes, 0, "melts, molten, at target (min)", GREY)


def _joint(axes: Axes, row: int, joint: JointAnswer, marker: str, plan: Plan) -> None:
    times = (joint.passes_solidus, joint.passes_liquidus, joint.passes_target)
    known = [in_minutes(time) for time in times if time is not None]
    if joint.passes_target is not None and joint.passes_target < plan.hold_end:
        axes.plot(
            [in_minutes(joint.passes_target), in_minutes(plan.hold_end)],
            [row, row],
            color="black",
            lw=2.2,
            solid_capstyle="butt",
        )
    if len(known) > 1:
        axes.plot([known[0], known[-1]], [row, row], color=GREY, lw=0.9)
    axes.plot(
        known,
        [row] * len(known),
        ls="",
        marker=marker,
        ms=5,
        mfc="white",
        mec="black",
        mew=1.0,
        zorder=5,
        clip_on=False,
    )
    _right(
        axes,
        row,
        ", ".join("never" if time is None else f"{in_minutes(time):.0f}" for time in times),
        "black",
    )


def _right(axes: Axes, row: int, text: str, colour: str) -> None:
    axes.annotate(
        text,
        xy=(1.03, row),
        xycoords=("axes fraction", "data"),
        va="center",
        fontsize=7.5,
        color=colour,
        annotation_clip=False,
    )


def short_name(name: str) -> str:
    """The name, cut where it would push the figure aside."""
    return name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1].rstrip()}…"
