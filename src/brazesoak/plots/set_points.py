"""The map of set-points as a figure: hold, flux minutes, scale and energy against the set-point."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from brazesoak.plots.style import COLOURS, GREY, PALE, house_style, new_figure
from brazesoak.report.format import celsius, duration, in_minutes, minutes, temperature_text
from brazesoak.report.set_points import NONE_IS_ENOUGH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from brazesoak.analysis.set_points import Point, SetPoints

    Value = Callable[[Point], float | None]

BAND = "#cfe6f3"


def figure_set_points(found: SetPoints, title: str = "") -> Figure:
    """One panel for each quantity over one axis of set-points, with the trade's band and the limits that are broken.

    Each panel shows every set-point where a hold is enough: filled where it works, hollow where it breaks a limit.
    """
    panels = _panels(found)
    with house_style():
        figure = new_figure(7.0, 2.6 + 1.35 * (len(panels) - 1))
        heights = [2.0] + [1.0] * (len(panels) - 1)
        rows = list(figure.subplots(len(panels), 1, sharex=True, height_ratios=heights, squeeze=False)[:, 0])
        for axes, (label, value, limit) in zip(rows, panels, strict=True):
            _panel(axes, found, label, value, limit)
        _regions(rows, found)
        _none_is_enough(rows[0], found)
        hollow = any(p.limits for p in found.points)
        rows[-1].set_xlabel("set-point, °C" + (" (hollow: breaks the limits named above it)" if hollow else ""))
        rows[-1].set_xticks([celsius(p.set_point) for p in found.points])
        rows[-1].set_xlim(*_ends(found.points))
        _recommended(rows[0], found)
        rows[0].set_title(title, loc="left", fontsize=10)
    return figure


def _panels(found: SetPoints) -> list[tuple[str, Value, tuple[float, str] | None]]:
    """Label, value of a point and limit of each panel that has something to show."""
    plans = [p.held for p in found.points if p.held]
    longest = [max(plan.joints, key=lambda joint: joint.flux_time) for plan in plans]
    life = longest[0].flux_life if longest else None
    flux = None if life is None else (in_minutes(life), f"life {duration(life)}")
    panels: list[tuple[str, Value, tuple[float, str] | None]] = [
        ("hold, min", lambda p: in_minutes(p.held.hold_time) if p.held else None, None),
        (
            "flux at work, min" if flux else "flux at work, min\n(no life known)",
            lambda p: in_minutes(max(j.flux_time for j in p.held.joints)) if p.held else None,
            flux,
        ),
    ]
    if any(p.scale is not None for p in found.points):
        most = found.most_scale * 1e6
        panels.append(
            (
                "scale on steel,\ncooling included, µm",
                lambda p: None if p.scale is None else p.scale * 1e6,
                (most, f"allowed {most:.0f} µm"),
            )
        )
    ideal = not any(plan.energy.heater is not None for plan in plans)
    name = "heat in the load, MJ" if ideal else "heater, MJ"
    panels.append((name, lambda p: _heat(p, ideal), None))
    return panels


def _heat(p: Point, ideal: bool) -> float | None:
    heat = None if p.held is None else p.held.energy.load if ideal else p.held.energy.heater
    return None if heat is None else heat * 1e-6


def _panel(axes: Axes, found: SetPoints, label: str, value: Value, limit: tuple[float, str] | None) -> None:
    pairs = [(celsius(p.set_point), v, p.works) for p in found.points if (v := value(p)) is not None]
    axes.plot([x for x, _, _ in pairs], [v for _, v, _ in pairs], color=COLOURS[0], lw=1.0, zorder=3)
    for works, fill in ((True, COLOURS[0]), (False, "white")):
        x, y = [x for x, _, w in pairs if w == works], [v for _, v, w in pairs if w == works]
        axes.plot(x, y, ls="", marker="o", ms=4.5, mfc=fill, mec=COLOURS[0], zorder=4)
    top = max([v for _, v, _ in pairs], default=1.0)
    if limit is not None and limit[0] <= 2.0 * top:
        axes.axhline(limit[0], color=COLOURS[1], lw=0.9, ls=(0, (6, 2)), zorder=2)
        axes.annotate(
            limit[1], (1.0, limit[0]), xycoords=("axes fraction", "data"), xytext=(-2, 2), textcoords="offset points",
            ha="right", fontsize=7.5, color=COLOURS[1],
        )  # fmt: skip
        top = max(top, limit[0])
    axes.set_ylim(0.0, 1.25 * top or 1.0)
    axes.set_ylabel(label, fontsize=8)
    low, high = (celsius(T) for T in found.band)
    axes.axvspan(low, high, fc=BAND, ec="none", zorder=0)
    axes.grid(visible=True, axis="y", color="#dddddd", lw=0.4)
    axes.set_axisbelow(True)


def _regions(rows: Sequence[Axes], found: SetPoints) -> None:
    """Hatch where limits are broken, and name them over the first panel; name the band, too."""
    low, high = (celsius(T) for T in found.band)
    rows[0].annotate(
        f"the trade's band, {temperature_text(found.band[0])} to {temperature_text(found.band[1])}",
        (0.5 * (low + high), 0.0), xycoords=("data", "axes fraction"), xytext=(0, 3), textcoords="offset points",
        ha="center", fontsize=7.5, color=GREY,
    )  # fmt: skip
    for names, group in groupby(found.points, key=lambda p: tuple(dict.fromkeys(name for name, _ in p.limits))):
        points = list(group)
        if not names:
            continue
        left, right = _ends(points)
        for axes in rows:
            axes.axvspan(left, right, fc=PALE, ec="#bbbbbb", hatch="////", lw=0.0, alpha=0.6, zorder=1)
        rows[0].annotate(
            ",\n".join(names), (0.5 * (left + right), 1.0), xycoords=("data", "axes fraction"), xytext=(0, -3),
            textcoords="offset points", ha="center", va="top", fontsize=7.5,
            bbox={"fc": "white", "ec": "none", "pad": 1.0}, zorder=6,
        )  # fmt: skip


def _none_is_enough(axes: Axes, found: SetPoints) -> None:
    """Say in the panel of the hold where there is none to show."""
    for p in found.points:
        if p.plan is not None and p.held is None:
            axes.annotate(
                f"hold: {NONE_IS_ENOUGH}", (celsius(p.set_point), 0.0), xycoords=("data", "axes fraction"),
                xytext=(0, 14), textcoords="offset points", ha="center", va="bottom", rotation=90, fontsize=7.5,
                bbox={"fc": "white", "ec": "none", "pad": 1.0}, zorder=6,
            )  # fmt: skip


def _ends(points: Sequence[Point]) -> tuple[float, float]:
    """The stretch of the axis that points 10 K apart stand for [degC]."""
    return celsius(points[0].set_point) - 5.0, celsius(points[-1].set_point) + 5.0


def _recommended(axes: Axes, found: SetPoints) -> None:
    best = found.best
    if best is None or best.plan is None:
        return
    at = (celsius(best.set_point), in_minutes(best.plan.hold_time))
    axes.plot(*at, ls="", marker="*", ms=13, mfc=COLOURS[4], mec="black", mew=0.7, zorder=7)
    axes.annotate(
        f"recommended: {temperature_text(best.set_point)}, {minutes(best.plan.hold_time)}\nshortest heat in the band",
        at, xytext=(6, 16), textcoords="offset points", fontsize=7.5, zorder=7,
        bbox={"fc": "white", "ec": "none", "pad": 1.0, "alpha": 0.8},
    )  # fmt: skip
