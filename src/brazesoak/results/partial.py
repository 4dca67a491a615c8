"""What a run that broke off had computed, as a plain table."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from brazesoak.report.format import celsius
from brazesoak.results.atomic import atomic_write


def write_partial(histories: Mapping[str, Sequence[float]], path: Path) -> None:
    """Write times [s] and temperatures [degC], one line a time, whole or not at all.

    Parameters
    ----------
    histories : {str: (float, ...)}     ``time`` [s] and temperatures by name [K], all of one length

    Raises
    ------
    ResultFileError     the file cannot be written
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = [name for name in histories if name != "time"]
    writer.writerow(["time_s", *(f"{name} [degC]" for name in names)])
    for time, *temperatures in zip(histories["time"], *(histories[name] for name in names), strict=True):
        writer.writerow([f"{time:.3f}", *(f"{celsius(T):.3f}" for T in temperatures)])
    atomic_write(path, text.getvalue())
