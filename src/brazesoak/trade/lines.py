"""Trade data as lines of text: labels, columns, numbers with their sources."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from .properties import Table
from .records import Datum, Filler, Flux, Metal, Spread

WIDTH = 100
"""Widest line."""
LABEL = 20
GAP = "  "

Lines = list[str]


def title(name: str, id_: str) -> Lines:
    """A name underlined, with its id."""
    return [f"{name} [{id_}]", "-" * min(WIDTH, len(name) + len(id_) + 3)]


def entry(label_: str, text: str, label: int = LABEL) -> Lines:
    """A label and its text, wrapped under itself; nothing where there is no text."""
    if not text:
        return []
    return wrap(text, f"{label_:<{label}}")


def wrap(text: str, start: str) -> Lines:
    """The text after `start`, wrapped under itself."""
    indent = " " * len(start)
    return textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=indent, break_on_hyphens=False)


def columns(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Aligned columns; the last one wraps."""
    table = [tuple(header), *(tuple(row) for row in rows)]
    widths = [max(len(row[i]) for row in table) for i in range(len(header) - 1)]
    lines: Lines = []
    for row in table:
        start = GAP.join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=False)) + GAP
        lines += wrap(row[-1], start) or [start.rstrip()]
        if row is table[0]:
            lines.append(GAP.join("-" * n for n in [*widths, max(len(r[-1]) for r in table)])[:WIDTH])
    return "\n".join(lines)


def by(item: Datum | Spread | Table | Filler | Flux) -> str:
    """Where a value comes from."""
    return f"({item.confidence}: {item.source})"


def named(m: Metal) -> str:
    """A metal's name and designations."""
    return f"{m.name}: {', '.join(m.designations)}" if m.designations else m.name


def watts(power: float | None) -> str:
    """A power; nothing where there is none."""
    return "" if power is None else f"{power:g} W"


def spread(s: Spread) -> str:
    """Low, use and high."""
    return f"{s.low:g}, {s.use:g}, {s.high:g}"


def celsius_range(low: float, high: float) -> str:
    """Two temperatures [K] in degC."""
    return f"{number(low)}..{celsius(high)}"


def alloy(f: Filler) -> str:
    """Elements with their shares."""
    return " ".join(f"{element}{share:g}" for element, share in f.composition.items())


def celsius(T: float) -> str:
    """A temperature [K] in degC."""
    return f"{number(T)} °C"


def number(T: float) -> str:
    """A temperature [K] in degC, its unit left out."""
    return f"{np.round(T - ZERO_CELSIUS):.0f}"
