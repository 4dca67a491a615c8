"""A job file with the library that its names refer to, so that wrong names and wrong values are told at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brazesoak.errors import DataError, Fault, JobFileError, UnknownNameError
from brazesoak.jobfile.lines import Location
from brazesoak.jobfile.places import Places
from brazesoak.jobfile.read import ReadJob, in_order, read_job_text, tables_of, text_of

if TYPE_CHECKING:
    from brazesoak.trade.library import Library


def read_with_library(path: Path) -> tuple[ReadJob, Library]:
    """The job in the file at `path`, and the library with the user's own data folders.

    Raises
    ------
    JobFileError    the file cannot be read, is not TOML, or has faults: all of them at once, and if any value is at
                    fault, the unknown names too; where only names are, they are found as they are looked up
    """
    from brazesoak.trade.library import Library

    text = text_of(path)
    try:
        read = read_job_text(text, path)
    except JobFileError as error:
        unknown = list(_unknown_names(text, path, {fault.key for fault in error.faults}))
        raise JobFileError(path, in_order((*error.faults, *unknown))) from None
    return read, Library(read.data_folders)


def _unknown_names(text: str, path: Path, at_fault: set[str]) -> Iterator[Fault]:
    """Names that the library does not know, at keys that are not at fault already."""
    from brazesoak.trade.library import Library

    try:
        data = tables_of(text, path)
    except JobFileError:
        return  # not TOML: told already
    folders = data.get("data", [])
    odd = not isinstance(folders, list) or not all(isinstance(f, str) for f in folders)
    if odd or any(key.partition("[")[0] == "data" for key in at_fault):
        return  # where the user's own data lie is not known, and so are their names
    library, places = Library(tuple(path.parent / f for f in folders)), Places.of(data, text)
    for location, kind, name in _names(data):
        try:
            getattr(library, kind)(name)
        except UnknownNameError as error:
            fault = places.fault(location, str(error))
            if fault.key not in at_fault:
                yield fault
        except DataError:
            return  # a broken data file is told when the values are right


def _names(data: Mapping[str, Any]) -> Iterator[tuple[Location, str, str]]:
    """Every name of the library in a job file: where it stands, of what kind it is, and the name."""
    filling = (("filler", "filler"), ("flux", "flux"))
    wanted: list[tuple[Location, object, tuple[tuple[str, str], ...]]] = [
        (("furnace",), data.get("furnace"), (("name", "furnace"),)),
        (("brazing",), data.get("brazing"), filling),
        *((("segment", n), entry, (("metal", "metal"),)) for n, entry in _entries(data, "segment")),
        *((("joint", n), entry, filling) for n, entry in _entries(data, "joint")),
    ]
    for place, entry, keys in wanted:
        for key, kind in keys:
            if isinstance(entry, dict) and isinstance(entry.get(key), str) and entry[key].strip():
                yield (*place, key), kind, entry[key].strip()


def _entries(data: Mapping[str, Any], table: str) -> Iterator[tuple[int, object]]:
    entries = data.get(table)
    yield from enumerate(entries if isinstance(entries, list) else ())
