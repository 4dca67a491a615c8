"""Plain-text layout: wrapped paragraphs, labelled lines and tables that keep within a width."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from itertools import zip_longest

GAP = "  "
_NO_BREAK = "\N{NO-BREAK SPACE}"
_QUANTITY = re.compile(r"(?<=\d h) (?=\d)|(?<=\d) (?=(?:h\b|min\b|s\b|K\b|°[CF]|mm|cm|kg\b|g\b|W/))")
"""The space between a number and its unit, where a line must not break."""


def keep_together(text: str) -> str:
    """The text with no-break spaces between numbers and their units."""
    return _QUANTITY.sub(_NO_BREAK, text)


def paragraph(text: str, width: int, indent: str = "", hanging: str | None = None) -> str:
    """The text wrapped to `width`; further lines begin with `hanging` (as `indent` if not given)."""
    wrapped = textwrap.fill(
        keep_together(text),
        max(width, 20),
        initial_indent=indent,
        subsequent_indent=indent if hanging is None else hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return wrapped.replace(_NO_BREAK, " ")


def labelled(pairs: Sequence[tuple[str, str]], width: int) -> str:
    """Lines ``Label   text`` with the texts in one column."""
    column = max(len(label) for label, _ in pairs) + len(GAP)
    return "\n".join(paragraph(text, width, label.ljust(column), " " * column) for label, text in pairs)


def bullets(texts: Sequence[str], width: int, mark: str = "- ") -> str:
    """One marked paragraph each."""
    return "\n".join(paragraph(text, width, mark, " " * len(mark)) for text in texts)


def table(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> str:
    """Left-aligned columns under a rule; cells wrap where the table would be wider than `width`."""
    columns = _widths([head, *rows], width - len(GAP) * (len(head) - 1))
    lines = [*_row(head, columns), GAP.join("-" * column for column in columns)]
    for row in rows:
        lines += _row(row, columns)
    return "\n".join(lines)


def _widths(rows: Sequence[Sequence[str]], available: int) -> list[int]:
    """Natural widths, the widest column squeezed until all fit, but none below its longest word."""
    cells = [[keep_together(cell) for cell in column] for column in zip(*rows, strict=True)]
    columns = [max(len(cell) for cell in column) for column in cells]
    least = [max((len(word) for cell in column for word in cell.split(" ")), default=0) for column in cells]
    while sum(columns) > available:
        spare = [i for i in range(len(columns)) if columns[i] > least[i]]
        if not spare:
            break
        columns[max(spare, key=columns.__getitem__)] -= 1
    return columns


def _row(cells: Sequence[str], columns: Sequence[int]) -> list[str]:
    kept = [keep_together(cell) for cell in cells]
    wrapped = [textwrap.wrap(cell, width) or [""] for cell, width in zip(kept, columns, strict=True)]
    return [
        GAP.join(part.ljust(width) for part, width in zip(parts, columns, strict=True)).rstrip().replace(_NO_BREAK, " ")
        for parts in zip_longest(*wrapped, fillvalue="")
    ]
