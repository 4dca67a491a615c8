"""Temperature field of a section through the part that rules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brazesoak.answer import FloatArray, Plan, Section
from brazesoak.plots.style import house_style, new_figure
from brazesoak.report.format import celsius, minutes
from brazesoak.report.wording import began

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.collections import QuadMesh
    from matplotlib.figure import Figure
    from matplotlib.text import Annotation, Text

_LEAST_SPAN = 2.0
"""Colours span at least this much [K], so that a part of one temperature does not look torn apart."""
_DEEP = 0.9
"""A name stands where there is this share of the most room about it that its segment has."""
OFFSETS = tuple((right, up) for up in (26.0, -26.0, 52.0, -52.0) for right in (14.0, -40.0, 68.0))
"""Places of a joint's name, from the joint to the right and up, the first that is free is taken [points]."""


def figure_section(plan: Plan, *, width: float = 7.5) -> Figure | None:
    """The section of a plan in colour, with its segments and joints named; None when the plan has none.

    An axisymmetric section is shown whole, mirrored about its axis. Lengths in mm, temperatures in degC.
    """
    section = plan.section
    if section is None:
        return None
    with house_style():
        mirrored = section.kind == "axisymmetric"
        figure = new_figure(width, _height(section, width, mirrored))
        axes = figure.subplots()
        image = _draw_half(axes, section, 1.0)
        if mirrored:
            _draw_half(axes, section, -1.0)
        figure.colorbar(image, ax=axes, label="temperature, °C")
        names = _name_segments(axes, plan, section, 1.0)
        joints = _name_joints(axes, plan, section, -1.0 if mirrored else 1.0)
        if mirrored:
            axes.axvline(0.0, color="black", lw=0.6, ls=(0, (8, 2, 1, 2)))
            axes.xaxis.set_major_formatter(lambda value, _: f"{abs(value):g}")  # a radius has no sign
        if section.kind != "stack":
            axes.set_aspect("equal")
        if section.kind == "stack":
            axes.set_xticks([])  # one cell wide: the width tells nothing
        else:
            axes.set_xlabel("radius, mm" if mirrored else "x, mm" if section.kind == "slice" else "width, mm")
        axes.set_ylabel("height, mm")
        cut = f'cut through "{plan.ruling_joint}"\n' if section.kind == "slice" else ""
        when = f"{minutes(section.time)} after {began(plan)}, when the slowest joint reaches its target"
        figure.suptitle(f"{plan.title}\n{cut}{when}", fontsize=10)  # not of the axes: a tall title of theirs is cut
        keep_apart(figure, names, joints)
    return figure


def _height(section: Section, width: float, mirrored: bool) -> float:
    """Height of the figure [inch] that leaves little empty round the section."""
    across = (2.0 if mirrored else 1.0) * float(section.x_edges[-1] - (0.0 if mirrored else section.x_edges[0]))
    along = float(section.y_edges[-1] - section.y_edges[0])
    ratio = 0.6 if section.kind == "stack" else along / across
    return min(max((width - 2.0) * ratio + 1.3, 2.6), 8.0)


def _draw_half(axes: Axes, section: Section, side: float) -> QuadMesh:
    from matplotlib.collections import LineCollection

    low, high = _colour_range(section)
    image = axes.pcolormesh(
        side * section.x_edges * 1e3,
        section.y_edges * 1e3,
        celsius(section.temperature).T,
        cmap="cividis",
        vmin=low,
        vmax=high,
        shading="flat",
        rasterized=True,
    )
    for lines, colour, weight in (
        (outlines(section), "black", 0.9),
        (contacts(section), "white", 2.6),
        (contacts(section), "#D55E00", 1.4),
    ):
        scaled = [[(side * x * 1e3, y * 1e3) for x, y in line] for line in lines]
        axes.add_collection(LineCollection(scaled, colors=colour, linewidths=weight, capstyle="butt"))
    return image


def _colour_range(section: Section) -> tuple[float, float]:
    low, high = celsius(float(np.nanmin(section.temperature))), celsius(float(np.nanmax(section.temperature)))
    spare = max(0.0, _LEAST_SPAN - (high - low)) / 2.0
    return low - spare, high + spare


Line = tuple[tuple[float, float], tuple[float, float]]


def outlines(section: Section) -> list[Line]:
    """Cell edges [m] between a segment and nothing."""
    return [line for line, a, b in _edges(section) if (a < 0) != (b < 0)]


def contacts(section: Section, pair: frozenset[int] | None = None) -> list[Line]:
    """Cell edges [m] between two different segments, or between those of `pair`."""
    found = ((line, frozenset((a, b))) for line, a, b in _edges(section) if a >= 0 and b >= 0 and a != b)
    return [line for line, both in found if pair is None or both == pair]


def _edges(section: Section) -> list[tuple[Line, int, int]]:
    """Every cell edge where the segment changes, with the segments on its two sides (-1: none)."""
    x, y = section.x_edges, section.y_edges
    padded: NDArray[np.int64] = np.pad(section.segment, 1, constant_values=-1)
    found: list[tuple[Line, int, int]] = []
    for i, j in np.argwhere(padded[1:, 1:-1] != padded[:-1, 1:-1]):
        if not (section.kind == "axisymmetric" and x[i] == 0.0):  # the axis is no surface
            found.append((((x[i], y[j]), (x[i], y[j + 1])), int(padded[i, j + 1]), int(padded[i + 1, j + 1])))
    for i, j in np.argwhere(padded[1:-1, 1:] != padded[1:-1, :-1]):
        found.append((((x[i], y[j]), (x[i + 1], y[j])), int(padded[i + 1, j]), int(padded[i + 1, j + 1])))
    return found


def _name_segments(axes: Axes, plan: Plan, section: Section, side: float) -> list[Text]:
    places = [(s.name, _middle(section, index)) for index, s in enumerate(plan.segments)]
    return [_label(axes, name, side * at[0] * 1e3, at[1] * 1e3) for name, at in places if at is not None]


def _middle(section: Section, index: int) -> tuple[float, float] | None:
    """Middle [m] of a cell of a segment as far from its edge as any other, the nearest to its centre of area."""
    cells = np.argwhere(section.segment == index)
    if cells.size == 0:
        return None
    x: FloatArray = 0.5 * (section.x_edges[1:] + section.x_edges[:-1])[cells[:, 0]]
    y: FloatArray = 0.5 * (section.y_edges[1:] + section.y_edges[:-1])[cells[:, 1]]
    weight = np.diff(section.x_edges)[cells[:, 0]] * np.diff(section.y_edges)[cells[:, 1]]
    room = _room(section, index, x, y)
    off = np.hypot(x - np.average(x, weights=weight), y - np.average(y, weights=weight))
    nearest = np.argmin(np.where(room >= _DEEP * room.max(), off, np.inf))
    return float(x[nearest]), float(y[nearest])


def _room(section: Section, index: int, x: FloatArray, y: FloatArray) -> FloatArray:
    """Distance of points of a segment from the nearest of its edges, the axis among them [m]."""
    edges = np.array([line for line, a, b in _edges(section) if index in (a, b)])
    if section.kind == "axisymmetric":
        edges = np.concatenate([edges, [((0.0, section.y_edges[0]), (0.0, section.y_edges[-1]))]])
    low, high = edges.min(axis=1), edges.max(axis=1)  # every edge lies along x or y
    points = np.stack([x, y], axis=1)[:, None]
    away = np.maximum(np.maximum(low - points, points - high), 0.0)
    return np.asarray(np.hypot(away[..., 0], away[..., 1]).min(axis=1))


def _name_joints(axes: Axes, plan: Plan, section: Section, side: float) -> list[Annotation]:
    named: list[Annotation] = []
    order = {segment.name: index for index, segment in enumerate(plan.segments)}
    for joint in plan.joints:
        lines = contacts(section, frozenset(order[name] for name in joint.segments))
        if lines:
            (x0, y0), (x1, y1) = lines[len(lines) // 2]
            share = 0.25 if section.kind == "stack" else 0.5  # segment names take the middle
            label = axes.annotate(
                joint.name,
                xy=(side * 1e3 * (x0 + share * (x1 - x0)), 1e3 * (y0 + share * (y1 - y0))),
                xytext=(side * OFFSETS[0][0], OFFSETS[0][1]),
                textcoords="offset points",
                fontsize=8,
                ha="center",
                va="center",
                bbox={"boxstyle": "round,pad=0.25", "fc": "white", "ec": "#D55E00", "lw": 0.8},
                arrowprops={"arrowstyle": "-", "lw": 0.8, "color": "#D55E00"},
            )
            named.append(label)
    return named


def keep_apart(figure: Figure, names: Sequence[Text], joints: Sequence[Annotation]) -> None:
    """Move the names of joints, each to the first place about it where it covers no other name."""
    figure.draw_without_rendering()
    taken = [name.get_window_extent() for name in names]
    for joint in joints:
        side = 1.0 if joint.xyann[0] >= 0.0 else -1.0
        for right, up in OFFSETS:
            joint.xyann = (side * right, up)
            box = joint.get_window_extent()
            if not any(box.overlaps(other) for other in taken):
                break
        else:
            joint.xyann = (side * OFFSETS[0][0], OFFSETS[0][1])
        taken.append(joint.get_window_extent())


def _label(axes: Axes, text: str, x: float, y: float) -> Text:
    return axes.text(
        x,
        y,
        text,
        ha="center",
        va="center",
        fontsize=8.5,
        bbox={"boxstyle": "round,pad=0.2", "fc": "white", "ec": "none", "alpha": 0.85},
    )
