"""The shortest program beside the user's own, and what being more even or sparing the flux costs in time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from brazesoak.plots.programs import draw_curves
from brazesoak.plots.style import COLOURS, GREY, house_style, new_figure
from brazesoak.programs import Found, Outcome, Tried
from brazesoak.report.format import in_minutes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_PALE = "#bbbbbb"


def figure_best(found: Found, *, width: float = 9.0, height: float = 6.5) -> Figure:
    """The figure; sizes in inches. Above: temperatures against time. Below: the two trade-offs."""
    with house_style():
        figure = new_figure(width, height)
        grid = figure.add_gridspec(2, 2, height_ratios=[1.4, 1.0])
        shown = [t for t in (found.answer or found.nearest, found.own) if t is not None]
        draw_curves(figure.add_subplot(grid[0, :]), shown, found.plan)
        _draw_front(figure.add_subplot(grid[1, 0]), found, found.by_difference, "largest difference, K",
                    lambda o: o.difference)  # fmt: skip
        _draw_front(figure.add_subplot(grid[1, 1]), found, found.by_flux, "flux works, min",
                    lambda o: in_minutes(o.flux))  # fmt: skip
    return figure


def _draw_front(
    axes: Axes, found: Found, front: Sequence[Tried], label: str, value: Callable[[Outcome], float]
) -> None:
    """Every program within the limits as a pale point, those outside as a cross, and the front.

    The shortest and the user's own stand where the coarse grid has them, like all the others: the shortest lies on the
    front, the user's own nowhere before it.
    """
    for works, marker, colour, name in ((False, "x", _PALE, "breaks a limit"), (True, "o", GREY, "within all limits")):
        points = _points([t for t in found.tried if t.works == works], value)
        if points:
            axes.plot(*zip(*points, strict=True), ls="", marker=marker, ms=2.5, color=colour, label=name)
    if front:
        axes.plot(*zip(*_points(front, value), strict=True), color=COLOURS[1], lw=1.3, marker="o", ms=4, label="front")
    told = (found.chosen or found.best, "shortest") if found.best else (found.answer, "loaded hot")
    own = f"{found.own.name}, loaded hot" if found.own.program.hot else found.own.name
    for t, marker, name in ((told[0], "*", told[1]), (found.own_coarse or found.own, "D", own)):
        if t is not None and t.outcome is not None:
            axes.plot(in_minutes(t.outcome.total), value(t.outcome), ls="", marker=marker, ms=9 if marker == "*" else 6,
                      mfc="white", mec="black", label=name, zorder=5)  # fmt: skip
    axes.set_xlabel("total time, min")
    axes.set_ylabel(label)
    axes.grid(visible=True, color="#dddddd", lw=0.4)
    axes.set_axisbelow(True)
    axes.legend(fontsize=7, framealpha=0.8, edgecolor="none")


def _points(tried: Sequence[Tried], value: Callable[[Outcome], float]) -> list[tuple[float, float]]:
    return [(in_minutes(t.outcome.total), value(t.outcome)) for t in tried if t.outcome is not None]
