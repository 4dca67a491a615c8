"""From the path of a job file to a job, or to one error with every fault of the file and its line."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from brazesoak.errors import Fault, JobFileError
from brazesoak.jobfile import faults
from brazesoak.jobfile.checks import cross_check
from brazesoak.jobfile.places import Finding, KeyPath, Places
from brazesoak.jobfile.schema import Job

LARGEST_FILE = 1_000_000
"""Bytes. A job of hundreds of segments stays far below; a wrong file does not."""

_UNQUOTED = re.compile(r"\s*[A-Za-z0-9_.-]+\s*=\s*(?P<value>[+-]?[0-9.]+\s*[A-Za-z\u00b0%][^\s#\"',]*)")


@dataclass(frozen=True, slots=True)
class ReadJob:
    """A job as read: the values, and where in which text they stand."""

    job: Job
    path: Path
    text: str
    places: Places = field(repr=False)

    @property
    def hash(self) -> str:
        """SHA-256 of the text, in hexadecimal."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    @property
    def data_folders(self) -> tuple[Path, ...]:
        """The user's own data folders; relative ones count from the job file."""
        return tuple(self.path.parent / folder for folder in self.job.data)

    def line_of(self, key_path: KeyPath) -> int | None:
        """Line of a key, or of the table around it where the key is not written; None where neither is.

        `key_path`: a text such as ``'segment "boss".metal'`` or ``"joint[1].filler"`` (counted from 1), or a
        sequence such as ``("segment", "boss", "metal")`` or ``("joint", 0, "filler")`` (counted from 0).
        """
        return self.places.line(self.places.locate(key_path))

    def fault(self, key_path: KeyPath, message: str) -> Fault:
        """A fault at that key, for what only a later stage can judge."""
        return self.places.fault(self.places.locate(key_path), message)

    def error(self, *found: Fault) -> JobFileError:
        """The error with these faults in the order of the file."""
        return JobFileError(self.path, in_order(found))


def read_job(path: Path | str) -> ReadJob:
    """The job in the file at `path`.

    Raises
    ------
    JobFileError               the file cannot be read, is not TOML, or has faults: all of them at once
    """
    return read_job_text(text_of(Path(path)), path)


def read_job_text(text: str, path: Path | str = "job.toml") -> ReadJob:
    """The job in `text`, which stands, or could stand, in the file at `path`. Raises as `read_job` does."""
    data = tables_of(text, path)
    places = Places.of(data, text)
    job, found = _job(data)
    found += _missing_folders(data, Path(path).parent)
    if job is None or found:
        raise JobFileError(path, in_order(places.fault(f.location, f.message) for f in found))
    return ReadJob(job, Path(path), text, places)


def job_from_tables(data: Mapping[str, Any]) -> Job:
    """The job in `data`, tables as a TOML reader gives them; raises JobFileError, without lines."""
    places = Places(dict(data), {})
    job, found = _job(places.data)
    if job is None or found:
        raise JobFileError("job", [places.fault(f.location, f.message) for f in found])
    return job


def _job(data: Mapping[str, Any]) -> tuple[Job | None, list[Finding]]:
    found = cross_check(data)
    try:
        return Job.model_validate(data), found
    except ValidationError as error:
        return None, found + faults.findings(error)


def in_order(found: Iterator[Fault] | tuple[Fault, ...]) -> list[Fault]:
    """Faults in the order of the file."""
    return sorted(found, key=lambda fault: (fault.line or 0, fault.key))


def _missing_folders(data: Mapping[str, Any], parent: Path) -> list[Finding]:
    folders = data.get("data")
    found = []
    for place, folder in enumerate(folders if isinstance(folders, list) else ()):
        is_name = isinstance(folder, str) and folder.strip() and folder.isprintable()
        if is_name and not _is_folder(parent / folder):
            message = f'there is no folder "{folder}" beside the job file; correct the name or remove it'
            found.append(Finding(("data", place), message))
    return found


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # a name the file system cannot hold
        return False


def text_of(path: Path) -> str:
    """The text of the file at `path`; raises JobFileError where it cannot be read."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _unreadable(path, 'no such file; check the name, or write a starter job with "brazesoak new"') from None
    except IsADirectoryError:
        raise _unreadable(path, "is a folder; give the job file inside it") from None
    except PermissionError:
        raise _unreadable(path, "may not be read by you; change its permissions") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _unreadable(path, f"cannot be read ({reason}); check the path") from None
    if len(content) > LARGEST_FILE:
        raise _unreadable(path, f"is larger than {LARGEST_FILE // 1000} kB; this is no job file")
    try:
        return content.decode("utf-8-sig")  # some editors begin the file with a mark
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        message = "is not UTF-8 text; save it as UTF-8 (plain text) in your editor"
        raise JobFileError(path, [Fault(line, "", message)]) from None


def _unreadable(path: Path, message: str) -> JobFileError:
    return JobFileError(path, [Fault(None, "", message)])


def tables_of(text: str, path: Path | str) -> dict[str, Any]:
    """The tables of a TOML text; raises JobFileError where it is none."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        fault = Fault(None, "", "is nested too deeply; this is no job file")
    except ValueError as error:  # besides syntax: a whole number too long for Python
        fault = _syntax_fault(str(error), text)
    raise JobFileError(path, [fault])


def _syntax_fault(reason: str, text: str) -> Fault:
    place = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", reason)
    lines = text.split("\n")
    number = int(place[1]) if place and place[1] else len(lines) if place else None
    column = f", column {place[2]}" if place and place[2] else ""
    what = reason[: place.start()] if place else reason
    written = lines[number - 1] if number and number <= len(lines) else ""
    what = re.sub(r"\('([^']*)',\)", r"[\1]", f"{what[:1].lower()}{what[1:]}")
    return Fault(number, "", f"not valid TOML{column}: {what}; {_remedy(what, written)}")


def _remedy(reason: str, line: str) -> str:
    unquoted = _UNQUOTED.match(line)
    if unquoted:
        return f'write a value with a unit in quotes, "{unquoted["value"]}"'
    if "twice" in reason:
        return "write [[segment]] and [[joint]] with double brackets, and every other table once"
    if reason.startswith("cannot overwrite"):
        return "each key may stand only once in its table; remove one of the two"
    return 'each line is key = "value", [table] or [[table]]; correct this line'
