"""Reading a result file back: checked at once, arrays only when asked for."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brazesoak.answer import Histories
from brazesoak.errors import ResultFileError
from brazesoak.results.schema import FORMAT_NAME, FORMAT_VERSION, ROOT_ATTRIBUTES


@dataclass(frozen=True, slots=True)
class Results:
    """A result file that was found to be one. Its arrays stay on disk until asked for."""

    path: Path
    answer: dict[str, Any]
    """As of ``--json``; see ``report/answer.schema.json``."""
    job_text: str
    attributes: Mapping[str, Any]
    """All root attributes; see `results.schema.ROOT_ATTRIBUTES`."""

    def dataset(self, name: str) -> NDArray[Any]:
        """One dataset by its name in `results.schema.DATASETS`, in SI.

        Raises
        ------
        ResultFileError
            The file cannot be read any more, or has no such dataset.
        """
        with _reading(self.path) as file:
            if name not in file:
                raise ResultFileError(
                    f'{self.path}: has no dataset "{name}"; it holds {", ".join(_names(file))}. Ask for one of these.',
                    path=self.path,
                )
            values: NDArray[Any] = np.asarray(file[name][()])
        return np.asarray([text.decode("utf-8") for text in values]) if values.dtype.kind == "O" else values

    def histories(self) -> Histories:
        """The temperatures against time [s, K]."""
        names = ("time", "program", "sensor", "segment_coldest", "segment_hottest", "joint_coldest")
        return Histories(*(self.dataset(name) for name in names))


def read_results(path: Path | str) -> Results:
    """A result file, checked to be one of ours, whole and not newer than this program.

    Raises
    ------
    ResultFileError
        The file is missing, unreadable, cut short, not a result file, or of a newer format.
    """
    place = Path(path)
    with _reading(place) as file:
        attributes = {key: _plain(file.attrs[key]) for key in file.attrs}
    if attributes.get("format") != FORMAT_NAME:
        raise _not_ours(place)
    _check_version(place, attributes.get("format_version"))
    missing = [key for key in ROOT_ATTRIBUTES if key not in attributes]
    if missing:
        raise _damaged(place, f"it lacks {', '.join(missing)}")
    job_text, answer = str(attributes["job_text"]), _answer(place, attributes["answer_json"])
    if hashlib.sha256(job_text.encode("utf-8")).hexdigest() != attributes["job_sha256"]:
        raise _damaged(place, "the job text does not match its SHA-256")
    return Results(place, answer, job_text, attributes)


@contextmanager
def _reading(path: Path) -> Iterator[Any]:
    """The open file; whatever HDF5 raises on bad bytes becomes one clear error."""
    import h5py

    try:
        with path.open("rb") as raw:
            raw.read(1)
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise ResultFileError(
            f"{path}: could not be read: {reason}; a result file was expected. Check the path.", path=path
        ) from fault
    if not h5py.is_hdf5(path):
        raise _not_ours(path)
    try:
        with h5py.File(path, "r") as file:
            yield file
    except (OSError, RuntimeError, KeyError, ValueError, TypeError, AttributeError, MemoryError) as fault:
        raise _damaged(path, "it seems to be cut short or changed") from fault


def _check_version(path: Path, found: Any) -> None:
    if isinstance(found, bool) or not isinstance(found, int):
        raise _damaged(path, "its format version is not a whole number")
    if found > FORMAT_VERSION:
        raise ResultFileError(
            f"{path}: has format version {found}; this program reads versions up to {FORMAT_VERSION}. "
            "Install a newer version of the program.",
            path=path,
        )


def _answer(path: Path, text: Any) -> dict[str, Any]:
    try:
        answer = json.loads(str(text))
    except ValueError as fault:
        raise _damaged(path, "its answer is not JSON") from fault
    if not isinstance(answer, dict):
        raise _damaged(path, "its answer is not a JSON object")
    return answer


def _plain(value: Any) -> Any:
    """A NumPy scalar as a Python one."""
    return value.item() if isinstance(value, np.generic) else value


def _names(file: Any) -> list[str]:
    import h5py

    found: list[str] = []
    file.visititems(lambda name, item: found.append(name) if isinstance(item, h5py.Dataset) else None)
    return found


def _not_ours(path: Path) -> ResultFileError:
    return ResultFileError(
        f'{path}: is not a result file; an HDF5 file written by "brazesoak plan" was expected. Check the path.',
        path=path,
    )


def _damaged(path: Path, why: str) -> ResultFileError:
    return ResultFileError(
        f"{path}: is damaged: {why}; a complete result file was expected. Compute it again from the job file.",
        path=path,
    )
