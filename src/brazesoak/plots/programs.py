"""Programs side by side: what the furnace shows and the coldest joint against time, and the figures as bars."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import cycle
from typing import TYPE_CHECKING

from brazesoak.plots.style import COLOURS, GREY, PALE, house_style, looks, new_figure
from brazesoak.programs import Compared, Outcome, Tried
from brazesoak.report.format import celsius, in_minutes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from brazesoak.answer import Plan

BARS: tuple[tuple[str, Callable[[Outcome], float]], ...] = (
    ("total, min", lambda o: in_minutes(o.total)),
    ("flux works, min", lambda o: in_minutes(o.flux)),
    ("solidus to liquidus, min", lambda o: in_minutes(max(j.between for j in o.joints))),
    ("largest difference, K", lambda o: o.difference),
)


def figure_programs(found: Compared, *, width: float = 9.0, height: float = 6.5) -> Figure:
    """The figure; sizes in inches.

    Above: what the furnace shows (thin) and the coldest point of all joints (thick), to the end of the hold. Below:
    total time, flux time, time from solidus to liquidus (the longest joint) and largest temperature difference.
    """
    with house_style():
        figure = new_figure(width, height)
        grid = figure.add_gridspec(2, len(BARS), height_ratios=[1.7, 1.0])
        draw_curves(figure.add_subplot(grid[0, :]), found.tried, found.plan)
        known = [t for t in found.tried if t.outcome is not None]
        for n, (label, value) in enumerate(BARS):
            _draw_bars(figure.add_subplot(grid[1, n]), known, label, value, first=n == 0)
    return figure


def draw_curves(axes: Axes, tried: Sequence[Tried], plan: Plan) -> None:
    """Temperatures against time."""
    for t, (colour, dash) in zip(tried, looks(), strict=False):
        if t.outcome is None:
            continue
        c = t.outcome.curves
        minutes = in_minutes(c.time)
        axes.plot(minutes, celsius(c.shown), color=colour, lw=0.7, ls=dash)
        axes.plot(minutes, celsius(c.coldest), color=colour, lw=1.7, ls=dash, label=t.name)
    joints = plan.joints
    solidus, liquidus = min(j.solidus for j in joints), max(j.liquidus for j in joints)
    axes.axhspan(celsius(solidus), celsius(liquidus), color=PALE, lw=0, zorder=0)
    axes.annotate("fillers melt", (0.99, celsius(liquidus)), xycoords=("axes fraction", "data"), ha="right", va="top",
                  fontsize=7.5, color=GREY)  # fmt: skip
    axes.set_xlim(left=0.0)
    axes.set_xlabel("time from the start of the program, min")
    axes.set_ylabel("temperature, °C")
    axes.grid(visible=True, color="#dddddd", lw=0.4)
    axes.set_axisbelow(True)
    axes.set_title(f"{plan.title} (thick: coldest joint; thin: furnace)", fontsize=10)
    axes.legend(loc="lower right", fontsize=8, framealpha=1.0, edgecolor="none", handlelength=3.2)


def _draw_bars(
    axes: Axes, tried: Sequence[Tried], label: str, value: Callable[[Outcome], float], *, first: bool
) -> None:
    values = [value(t.outcome) for t in tried if t.outcome is not None]
    colours = [colour for _, colour in zip(tried, cycle(COLOURS), strict=False)]
    bars = axes.barh(range(len(tried)), values, color=colours, height=0.6)
    axes.bar_label(bars, [f"{v:.0f}" if v >= 9.95 else f"{v:.1f}" for v in values], padding=2, fontsize=7.5)
    axes.set_ylim(len(tried) - 0.4, -0.6)
    axes.set_yticks(range(len(tried)), [t.name for t in tried])
    axes.tick_params(axis="y", length=0, labelsize=8, labelleft=first)
    axes.set_xlim(right=1.2 * max([*values, 1e-9]))
    axes.set_xlabel(label, fontsize=8)
    axes.tick_params(axis="x", labelsize=7.5)
