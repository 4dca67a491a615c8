"""Temperatures that matter, as bands and lines across the figure, named on its right without overlap."""

from __future__ import annotations

from itertools import cycle
from typing import TYPE_CHECKING

from brazesoak.answer import Plan
from brazesoak.plots.style import GREY
from brazesoak.report.format import celsius, temperature_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_BAND_COLOURS = ("#f6dfbd", "#cfe6f3", "#d3ebdd", "#ecd9e6")
_LABEL_INCHES = 0.15
"""Least distance between two labels on the right."""


def draw_levels(axes: Axes, plan: Plan) -> list[tuple[float, str]]:
    """Melting bands, targets and set-point; returned are their names and temperatures [degC], ascending."""
    fillers = sorted({(joint.filler, joint.solidus, joint.liquidus) for joint in plan.joints})
    targets: dict[float, list[str]] = {}
    for joint in plan.joints:
        names = targets.setdefault(joint.target, [])
        names += [joint.filler] if joint.filler not in names else []
    labels = [(celsius(plan.set_point), f"set-point {temperature_text(plan.set_point)}")]
    axes.axhline(celsius(plan.set_point), color="black", lw=0.7, ls=(0, (8, 3)))
    for (name, solidus, liquidus), colour in zip(fillers, cycle(_BAND_COLOURS), strict=False):
        axes.axhspan(celsius(solidus), celsius(liquidus), fc=colour, ec=GREY, lw=0.4, alpha=0.75, zorder=0.5)
        text = f"{name} melts {celsius(solidus):.0f} to {temperature_text(liquidus)}"
        labels.append((celsius(0.5 * (solidus + liquidus)), text))
    for target, names in targets.items():
        axes.axhline(celsius(target), color=GREY, lw=0.8, ls=(0, (1, 1.5)))
        labels.append((celsius(target), f"{', '.join(names)} target {temperature_text(target)}"))
    return sorted(labels)


def label_places(axes: Axes, labels: list[tuple[float, str]], inches: float) -> list[float]:
    """Heights of the labels as shares of axes that are so many inches high, none above the axes."""
    low, high = axes.get_ylim()
    places = spread_apart([(value - low) / (high - low) for value, _ in labels], _LABEL_INCHES / inches)
    too_high = max(0.0, places[-1] - 1.0)
    return [place - too_high for place in places]


def label_right(axes: Axes, labels: list[tuple[float, str]], inches: float) -> None:
    """Write the labels beside axes that are so many inches high, with a leader line to each level."""
    leader = {"arrowstyle": "-", "lw": 0.5, "color": GREY, "shrinkA": 1, "shrinkB": 0, "relpos": (0.0, 0.5)}
    for (value, text), place in zip(labels, label_places(axes, labels, inches), strict=True):
        axes.annotate(
            text,
            xy=(1.0, value),
            xycoords=("axes fraction", "data"),
            xytext=(1.03, place),
            textcoords="axes fraction",
            va="center",
            fontsize=7.5,
            annotation_clip=False,
            arrowprops=leader,
        )


def spread_apart(wanted: list[float], distance: float) -> list[float]:
    """Places near the wanted ones (ascending) that keep a distance; a crowded group keeps its mean."""
    groups: list[tuple[float, int]] = []
    for place in wanted:
        groups.append((place, 1))
        while len(groups) > 1 and groups[-1][0] - groups[-2][0] < distance * 0.5 * (groups[-1][1] + groups[-2][1]):
            (right, many), (left, few) = groups.pop(), groups.pop()
            groups.append(((right * many + left * few) / (many + few), many + few))
    return [middle + distance * (i - 0.5 * (count - 1)) for middle, count in groups for i in range(count)]
