"""Places whose temperature is watched, and the instants at which they pass a temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

import numpy as np

from .arrays import ControlArrays, IntArray
from .errors import ProblemError
from .packing import pointer
from .problem import Problem

_HOW = {"least": 0, "mean": 1, "greatest": 2}
_KIND = {"cell": 0, "pair": 1, "cold side": 2, "warm side": 3, "deviation": 4}


@dataclass(frozen=True, slots=True)
class Probe:
    """A set of points and how to make one temperature of them.

    kind : ``cell``        `index` are cells
           ``pair``        mean of cell `index` and cell `other`
           ``cold side``, ``warm side``   of faces `index`: the colder or warmer side, contact resolved
           ``deviation``   of controller `index`: what it senses less its target
    how : ``least``, ``mean``, ``greatest``
    """

    index: tuple[int, ...]
    kind: Literal["cell", "pair", "cold side", "warm side", "deviation"] = "cell"
    how: Literal["least", "mean", "greatest"] = "least"
    other: tuple[int, ...] = ()


class ProbeArrays(NamedTuple):
    """Probes as the kernels see them."""

    ptr: IntArray
    how: IntArray
    kind: IntArray
    place: IntArray
    other: IntArray
    c: ControlArrays


def pack_probes(problem: Problem, probes: Sequence[Probe]) -> ProbeArrays:
    """Lay out probes for the kernels.

    Raises
    ------
    ProblemError    a probe is empty or names a cell or a face that is not there
    """
    row, n_face = problem.arrays.c.row, problem.arrays.f.a.size
    for p in probes:
        most = {"cell": problem.n_cell, "pair": problem.n_cell, "deviation": row.size}.get(p.kind, n_face)
        if not p.index or min(p.index) < 0 or max(p.index) >= most:
            raise ProblemError(f"probe of {p.kind}: needs indices from 0 to {most - 1}, got {p.index[:5]}")
        if (p.kind == "pair") != bool(p.other) or (p.other and len(p.other) != len(p.index)):
            raise ProblemError("a probe of kind pair needs as many other cells as cells, any other kind none")
    places = [_places(p, row) for p in probes]
    index = [i for one, _ in places for i in one]
    other = [i for _, other in places for i in other]
    return ProbeArrays(
        pointer([len(p.index) for p in probes]),
        np.array([_HOW[p.how] for p in probes], np.int64),
        np.array([_KIND[p.kind] + (i if p.kind == "deviation" else 0) for p in probes for i in p.index], np.int64),
        np.array(index, np.int64),
        np.array(other, np.int64),
        problem.arrays.c,
    )


def _places(probe: Probe, row: Any) -> tuple[Sequence[int], Sequence[int]]:
    """The cells or faces that a probe looks at: of a deviation the sensed cell and that of the program's time."""
    if probe.kind != "deviation":
        return probe.index, probe.other or (0,) * len(probe.index)
    at = list(probe.index)
    sensed, program = row.sensed[at].tolist(), row.program[at].tolist()
    return sensed, [s if p < 0 else p for s, p in zip(sensed, program, strict=True)]
