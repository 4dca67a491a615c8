"""The furnaces of the library as charts: empty at full power, and with the load of a job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from brazesoak.answer import FurnaceRow, FurnaceTrial
from brazesoak.plots.style import house_style, looks, new_figure
from brazesoak.report.format import celsius, in_minutes, minutes_short

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def figure_empty(rows: Sequence[FurnaceRow], *, width: float = 7.5, height: float = 4.5) -> Figure:
    """What each furnace shows empty, at full power. Sizes in inches."""
    with house_style():
        figure = new_figure(width, height)
        axes = figure.subplots()
        for row, (colour, dash) in zip(rows, looks(), strict=False):
            minutes = in_minutes(row.heated)
            axes.plot(minutes, celsius(row.display), lw=1.6, color=colour, ls=dash, label=_named(row))
        _finish(axes, "each furnace empty, at full power: display")
        axes.set_ylabel("temperature, \N{DEGREE SIGN}C")
    return figure


def _named(row: FurnaceRow) -> str:
    """A furnace with its time, for example ``bench-kiln-10l, 36 min``."""
    return f"{row.id}, {minutes_short(row.time)}"


def figure_furnaces(trials: Sequence[FurnaceTrial], *, width: float = 13.0, height: float = 4.5) -> Figure:
    """What each furnace shows empty, then with the load, both at full power; last the load by the job's program: what
    the furnace shows (thin) and the coldest point of all joints (thick). Sizes in inches."""
    with house_style():
        figure = new_figure(width, height)
        empty, full, loaded = figure.subplots(1, 3, sharey=True)
        for t, (colour, dash) in zip(trials, looks(), strict=False):
            line = {"color": colour, "ls": dash}
            empty.plot(in_minutes(t.empty_time), celsius(t.empty_display), lw=1.4, label=t.id, **line)
            if t.full_time.size:
                full.plot(in_minutes(t.full_time), celsius(t.full_display), lw=1.4, label=t.id, **line)
            if t.time.size:
                loaded.plot(in_minutes(t.time), celsius(t.display), lw=0.8, **line)
                loaded.plot(in_minutes(t.time), celsius(t.coldest), lw=1.7, label=t.id, **line)
        _finish(empty, "empty, full power: display")
        _finish(full, "with the load, full power: display")
        _finish(loaded, "with the load, its program: display (thin), coldest joint")
        empty.set_ylabel("temperature, \N{DEGREE SIGN}C")
        longest = max(empty.get_xlim()[1], full.get_xlim()[1])
        for axes in (empty, full):
            axes.set_xlim(right=longest)
    return figure


def _finish(axes: Axes, title: str) -> None:
    axes.set_title(title, fontsize=9.0)
    axes.set_xlabel("time, min")
    axes.set_xlim(left=0.0)
    axes.grid(visible=True, color="#dddddd", lw=0.4)
    if axes.lines:
        axes.legend(fontsize=7.5, frameon=False, loc="lower right")
