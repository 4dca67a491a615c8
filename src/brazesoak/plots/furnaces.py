"""The furnaces of the library as charts: empty at full power, and with the load of a job."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle
from typing import TYPE_CHECKING

from brazesoak.answer import FurnaceTrial
from brazesoak.plots.style import COLOURS, DASHES, house_style, new_figure
from brazesoak.report.format import celsius, in_minutes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def figure_furnaces(trials: Sequence[FurnaceTrial], *, width: float = 10.0, height: float = 4.5) -> Figure:
    """Left: what each furnace shows, empty and at full power. Right: with the load, what it shows (thin) and the
    coldest point of all joints (thick). Sizes in inches."""
    with house_style():
        figure = new_figure(width, height)
        empty, loaded = figure.subplots(1, 2, sharey=True)
        for t, (colour, dash) in zip(trials, cycle(zip(COLOURS, DASHES, strict=True)), strict=False):
            empty.plot(in_minutes(t.empty_time), celsius(t.empty_display), color=colour, ls=dash, lw=1.4, label=t.id)
            if t.time.size:
                loaded.plot(in_minutes(t.time), celsius(t.display), color=colour, ls=dash, lw=0.8)
                loaded.plot(in_minutes(t.time), celsius(t.coldest), color=colour, ls=dash, lw=1.7, label=t.id)
        _finish(empty, "empty, full power")
        _finish(loaded, "with the load: display (thin), coldest joint")
    return figure


def _finish(axes: Axes, title: str) -> None:
    axes.set_title(title, fontsize=9.0)
    axes.set_xlabel("time, min")
    axes.set_ylabel("temperature, \N{DEGREE SIGN}C")
    axes.set_xlim(left=0.0)
    axes.grid(visible=True, color="#dddddd", lw=0.4)
    if axes.lines:
        axes.legend(fontsize=7.5, frameon=False, loc="lower right")
