"""Every dataset of a result file: name, unit, dimensions, meaning. Writer, reader and tests use this table.

A result file is HDF5. Its root attributes tell what was computed with what (`ROOT_ATTRIBUTES`);
``answer_json`` is the complete answer, documented in ``report/answer.schema.json``. Units are SI. A time
that never comes is NaN.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from brazesoak.answer import Plan, Section

FORMAT_NAME = "brazesoak result"
FORMAT_VERSION = 1
"""Rises when a reader of the old version would go wrong."""
CONVENTIONS = "CF-1.11"

ROOT_ATTRIBUTES = {
    "title": "title of the job",
    "format": f'always "{FORMAT_NAME}"',
    "format_version": "version of this layout, a whole number",
    "application_version": "version of the program that wrote the file",
    "Conventions": "metadata conventions the names of attributes follow",
    "started_utc": "when the run started, ISO 8601, UTC",
    "job_text": "the complete job file",
    "job_sha256": "SHA-256 of job_text as UTF-8",
    "data_sha256_json": "JSON object: trade data file used -> SHA-256 of its content",
    "settings_json": "JSON object: solver settings, independent of the machine",
    "answer_json": "JSON object: the answer, as printed by --json",
}


@dataclass(frozen=True, slots=True)
class DatasetSpec:
    """One dataset: where, what and how it comes from a plan."""

    name: str
    unit: str
    """Empty for names, ``1`` for pure numbers."""
    dimensions: tuple[str, ...]
    """Names of dimension scales; a dataset named like its only dimension is that scale."""
    meaning: str
    value: Callable[[Plan], Any]
    """Array, scalar or list of names; None: this plan has no such dataset."""


def _per_segment(name: str, unit: str, meaning: str) -> DatasetSpec:
    return DatasetSpec(
        f"segment_{name}",
        unit,
        ("segment",),
        meaning,
        lambda plan: _numbers([getattr(item, name) for item in plan.segments]),
    )


def _per_joint(name: str, unit: str, meaning: str) -> DatasetSpec:
    return DatasetSpec(
        f"joint_{name}",
        unit,
        ("joint",),
        meaning,
        lambda plan: _numbers([getattr(item, name) for item in plan.joints]),
    )


def _history(name: str, dimensions: tuple[str, ...], meaning: str) -> DatasetSpec:
    return DatasetSpec(name, "K", dimensions, meaning, lambda plan: getattr(plan.histories, name))


def _section(
    name: str, unit: str, dimensions: tuple[str, ...], meaning: str, value: Callable[[Section], Any]
) -> DatasetSpec:
    return DatasetSpec(
        f"section/{name}",
        unit,
        dimensions,
        meaning,
        lambda plan: None if plan.section is None else value(plan.section),
    )


def _numbers(values: list[float | None]) -> list[float]:
    return [np.nan if value is None else value for value in values]


def _middles(edges: Any) -> Any:
    return 0.5 * (edges[1:] + edges[:-1])


DATASETS: tuple[DatasetSpec, ...] = (
    DatasetSpec("time", "s", ("time",), "time from the start of the program", lambda plan: plan.histories.time),
    DatasetSpec("segment", "", ("segment",), "name of the segment", lambda plan: [item.name for item in plan.segments]),
    DatasetSpec("joint", "", ("joint",), "name of the joint", lambda plan: [item.name for item in plan.joints]),
    _history("program", ("time",), "temperature that the program asks for"),
    _history("sensor", ("time",), "temperature that the furnace's own sensor shows"),
    _history("segment_coldest", ("segment", "time"), "temperature of the coldest place of each segment"),
    _history("segment_hottest", ("segment", "time"), "temperature of the hottest place of each segment"),
    _history("joint_coldest", ("joint", "time"), "temperature of the coldest point of each joint"),
    _per_segment("mass", "kg", "mass of the segment"),
    _per_segment("exposed_area", "m2", "surface that sees the furnace"),
    _per_segment("mass_on_grid", "kg", "mass that the grid itself has, before it is scaled; not a number of a network"),
    _per_segment("exposed_area_on_grid", "m2", "exposed surface of the grid, kept where parts shade each other"),
    _per_segment("thickest_section", "m", "thickest section"),
    _per_segment("biot", "1", "Biot number at the set-point"),
    _per_segment(
        "passes_solidus",
        "s",
        "when the coldest place passes the solidus of the highest-melting filler joined to it",
    ),
    _per_segment(
        "passes_liquidus",
        "s",
        "when the coldest place passes the liquidus of the highest-melting filler joined to it",
    ),
    _per_segment("peak", "K", "hottest temperature anywhere in the segment"),
    _per_segment("solidus_margin", "K", "solidus of the metal less the hottest temperature"),
    _per_joint("area", "m2", "joint area"),
    _per_joint("area_on_grid", "m2", "joint area that the grid itself has, before it is scaled"),
    _per_joint("gap", "m", "gap as given, cold"),
    _per_joint("solidus", "K", "solidus of the filler"),
    _per_joint("liquidus", "K", "liquidus of the filler"),
    _per_joint("target", "K", "liquidus plus the wanted superheat, as used"),
    _per_joint("passes_solidus", "s", "when the coldest point passes the solidus"),
    _per_joint("passes_liquidus", "s", "when the coldest point passes the liquidus"),
    _per_joint("passes_target", "s", "when the coldest point passes the target"),
    _per_joint("time_above_target", "s", "time above the target to the end of the recommended hold"),
    _per_joint(
        "flux_time",
        "s",
        "time since the hottest point passed the temperature from which the flux is counted, to the end of the hold",
    ),
    _per_joint("time_error", "s", "numerical error of joint_passes_target"),
    DatasetSpec("clock_start", "s", (), "when the clock of the hold starts", lambda plan: plan.clock_start),
    DatasetSpec("hold_end", "s", (), "end of the recommended hold", lambda plan: plan.hold_end),
    DatasetSpec("set_point", "K", (), "set-point of the furnace", lambda plan: plan.set_point),
    _section(
        "x",
        "m",
        ("section/x",),
        "middle of each cell, radius or width",
        lambda section: _middles(section.x_edges),
    ),
    _section(
        "y",
        "m",
        ("section/y",),
        "middle of each cell, along the axis or height",
        lambda section: _middles(section.y_edges),
    ),
    _section(
        "x_edge",
        "m",
        ("section/x_edge",),
        "edges of the cells, radius or width",
        lambda section: section.x_edges,
    ),
    _section(
        "y_edge",
        "m",
        ("section/y_edge",),
        "edges of the cells, along the axis or height",
        lambda section: section.y_edges,
    ),
    _section(
        "segment_index",
        "1",
        ("section/x", "section/y"),
        "index of the segment, -1 where there is none",
        lambda section: section.segment,
    ),
    _section(
        "temperature",
        "K",
        ("section/x", "section/y"),
        "temperature, NaN where there is no segment",
        lambda section: section.temperature,
    ),
    _section("taken_at", "s", (), "time of the temperatures of the section", lambda section: section.time),
)
"""Scales come before the datasets that use them."""
