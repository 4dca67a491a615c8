"""How sure the hold is: what drives it, and how its percentiles settle with the number of heats tried."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brazesoak.answer import Driver, Plan
from brazesoak.plots.style import COLOURS, DASHES, GREY, MARKERS, house_style, new_figure
from brazesoak.report.format import in_minutes, minutes, typeset

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def figure_how_sure(plan: Plan) -> Figure | None:
    """Tornado of the drivers, and percentiles of the hold against the samples; None: nothing is uncertain."""
    if not plan.drivers:
        return None
    with house_style():
        figure = new_figure(9.5, max(2.6, 1.3 + 0.36 * len(plan.drivers)))
        drivers, settling = figure.subplots(1, 2, width_ratios=(3, 2))
        _tornado(drivers, plan)
        _settling(settling, plan)
    return figure


def _tornado(axes: Axes, plan: Plan) -> None:
    """A bar for each input, from the hold at its low to the hold at its high value; the largest at the top."""
    nominal, hold = in_minutes(plan.hold_time_nominal), in_minutes(plan.hold_time)
    for row, driver in enumerate(plan.drivers):
        ends = _ends(driver)
        for value, _, colour in ends:
            if value is not None:
                axes.barh(row, value - nominal, left=nominal, height=0.55, color=colour)
        known = [nominal, *(value for value, _, _ in ends if value is not None)]
        for value, text, colour in ends:
            at = value if value is not None else max(known)
            right = at > nominal or value is None
            shown = text if value is not None else f"{text}: never gets there"
            axes.annotate(
                shown, (at, row), xytext=(3 if right else -3, 0), textcoords="offset points",
                ha="left" if right else "right", va="center", fontsize=7, color=colour,
            )  # fmt: skip
    axes.axvline(nominal, color="black", lw=0.9)
    axes.axvline(hold, color=GREY, lw=0.9, ls=DASHES[1])
    axes.annotate(
        f"recommended {minutes(plan.hold_time)}", (hold, 1.0), xycoords=("data", "axes fraction"), xytext=(0, 3),
        textcoords="offset points", ha="left", fontsize=7.5, color=GREY,
    )  # fmt: skip
    axes.annotate(
        f"likely {minutes(plan.hold_time_nominal)}", (nominal, 1.0), xycoords=("data", "axes fraction"),
        xytext=(0, 3), textcoords="offset points", ha="right", fontsize=7.5,
    )  # fmt: skip
    axes.set_yticks(range(len(plan.drivers)), [driver.name for driver in plan.drivers])
    axes.set_ylim(len(plan.drivers) - 0.4, -0.6)
    axes.tick_params(axis="y", length=0, labelsize=8)
    axes.margins(x=0.3)
    axes.set_xlabel("hold with one input at its low or high value, min")


def _ends(driver: Driver) -> list[tuple[float | None, str, str]]:
    """Hold [min], input and colour at the low and at the high end."""
    return [
        (None if hold is None else in_minutes(hold), typeset(text), colour)
        for hold, text, colour in (
            (driver.hold_at_low, driver.low_input, COLOURS[0]),
            (driver.hold_at_high, driver.high_input, COLOURS[1]),
        )
    ]


def _settling(axes: Axes, plan: Plan) -> None:
    """Each percentile from the first 16, 32, ... heats, with its sampling error at the last."""
    found = plan.chances.percentiles if plan.chances else ()
    for n, p in enumerate(found):
        pairs = [(samples, in_minutes(hold)) for samples, hold in p.settling if hold is not None]
        if not pairs:
            continue
        label = f"{100.0 * p.share:g} of 100"
        axes.plot(*zip(*pairs, strict=True), color=COLOURS[n], ls=DASHES[n], marker=MARKERS[n], ms=4, label=label)
        if p.standard_error is not None:
            axes.errorbar(*pairs[-1], yerr=in_minutes(p.standard_error), color=COLOURS[n], capsize=3, lw=0.9, zorder=5)
    axes.axhline(in_minutes(plan.hold_time), color=GREY, lw=0.9, ls=DASHES[1])
    counts = sorted({samples for p in found for samples, _ in p.settling})
    axes.set_xscale("log", base=2)
    axes.set_xticks(counts, [str(count) for count in counts])
    axes.minorticks_off()
    axes.set_xlabel("heats tried")
    axes.set_ylabel("hold that is enough, min")
    if axes.get_legend_handles_labels()[0]:
        axes.legend(title="enough in", fontsize=7.5, title_fontsize=7.5)
