"""Why curves of two segments come together in a step: the flux between them melts and fills the gap."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from brazesoak.answer import Plan
from brazesoak.plots.style import GREY
from brazesoak.report.format import celsius, in_minutes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SEEN = 15.0
"""Segments that lie closer together than this as the flux melts make no step worth a word [K]."""
APART = 20.0
"""Steps closer together than this are named once [K]."""
TEXT = "flux melts:\nbridges the gap"


def name_flux_steps(axes: Axes, plan: Plan) -> None:
    """Name each step that can be seen, where the warmer of the two segments has it."""
    named: list[float] = []
    for minute, level in steps(plan):
        if all(abs(level - other) > APART for other in named):
            named.append(level)
            axes.annotate(
                TEXT,
                xy=(minute, celsius(level)),
                xytext=(48, -40),
                textcoords="offset points",
                ha="center",
                fontsize=7.5,
                color=GREY,
                bbox={"boxstyle": "round,pad=0.15", "fc": "white", "ec": "none", "alpha": 0.85},
                arrowprops={"arrowstyle": "-", "lw": 0.6, "color": GREY},
                zorder=4,
            )


def steps(plan: Plan) -> Iterator[tuple[float, float]]:
    """Time [min] and temperature [K] at which the warmer side of a joint melts its flux, where the other lags."""
    h, order = plan.histories, {s.name: i for i, s in enumerate(plan.segments)}
    for joint in plan.joints:
        level = joint.flux_active
        sides = h.segment_coldest[[order[name] for name in joint.segments]]
        there = np.flatnonzero(sides.max(axis=0) >= level) if level is not None else np.zeros(0)
        if level is None or not there.size:
            continue
        n = int(there[0])
        if float(np.ptp(sides[:, n])) >= SEEN:
            yield float(in_minutes(h.time[n])), level
