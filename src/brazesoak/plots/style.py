"""What all figures share: colours, line styles, and saving to reproducible bytes.

Figures are made without pyplot, so nothing is kept between calls and no window system is needed.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brazesoak.errors import ResultFileError
from brazesoak.results.atomic import atomic_write

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
"""Told apart with any colour vision. Source: Okabe and Ito, Color Universal Design, 2008, from memory.

Their yellow is left out: too pale on paper."""
DASHES: tuple[Any, ...] = (
    "-",
    (0, (6, 2)),
    (0, (6, 2, 1.2, 2)),
    (0, (1.5, 1.5)),
    (0, (10, 3)),
    (0, (4, 1.5, 1.2, 1.5, 1.2, 1.5)),
)
"""One line style a colour, so that lines are told apart in black and white too."""


def looks() -> Iterator[tuple[str, Any]]:
    """Colour and line style of one line after another; from the seventh on the colours come with other styles."""
    for n in count():
        turn, place = divmod(n, len(COLOURS))
        yield COLOURS[place], DASHES[(place + turn) % len(DASHES)]


MARKERS = ("o", "s", "^", "D", "v", "P", "X", "*")
GREY = "#555555"
PALE = "#ececec"

FORMATS = ("svg", "png", "pdf")
_RESOLUTION = 150
"""Of a saved PNG [dots per inch]."""
_SETTINGS = {
    "font.family": ["DejaVu Sans"],
    "font.size": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.7,
    "svg.fonttype": "path",
    "svg.hashsalt": "brazesoak",
}


@contextmanager
def house_style() -> Iterator[None]:
    """Our settings on top of the library's own defaults, whatever the user's configuration says."""
    from matplotlib import style

    with style.context(["default", _SETTINGS]):
        yield


def new_figure(width: float, height: float) -> Figure:
    """An empty figure of a size in inches that lays itself out."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout="constrained")


def svg_text(figure: Figure) -> str:
    """The figure as SVG; equal figures give equal text."""
    buffer = io.BytesIO()
    _save(figure, buffer, "svg")
    return buffer.getvalue().decode("utf-8")


def svg_inline(figure: Figure) -> str:
    """The ``<svg>`` element alone, to be put into a page."""
    text = svg_text(figure)
    return text[text.index("<svg") :]


def save_figure(figure: Figure, path: Path | str) -> None:
    """Write the figure whole or not at all; the ending of `path` tells the format (svg, png, pdf).

    Raises
    ------
    ResultFileError
        As `figure_format` does, or the file cannot be written.
    """
    ending = figure_format(path)
    buffer = io.BytesIO()
    _save(figure, buffer, ending)
    atomic_write(path, buffer.getvalue())


def figure_format(path: Path | str) -> str:
    """The format that the ending of `path` tells.

    Raises
    ------
    ResultFileError
        The ending is none of svg, png, pdf.
    """
    ending = Path(path).suffix.removeprefix(".").lower()
    if ending not in FORMATS:
        raise ResultFileError(
            f'{path}: the ending "{ending}" is no format of a figure; one of {", ".join(FORMATS)} was '
            "expected. Name the file with one of these endings.",
            path=path,
        )
    return ending


def _save(figure: Figure, buffer: io.BytesIO, ending: str) -> None:
    metadata: dict[str, dict[str, Any]] = {
        "svg": {"Date": None, "Creator": "brazesoak"},
        "png": {"Software": "brazesoak"},
        "pdf": {"CreationDate": None, "Creator": "brazesoak", "Producer": None},
    }
    with house_style():
        figure.savefig(buffer, format=ending, dpi=_RESOLUTION, metadata=metadata[ending])
