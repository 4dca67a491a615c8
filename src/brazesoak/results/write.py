"""One HDF5 result file per run, written whole or not at all."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from brazesoak.answer import Plan
from brazesoak.report.as_json import plan_json
from brazesoak.report.format import application_version
from brazesoak.results.atomic import atomic_write
from brazesoak.results.schema import CONVENTIONS, DATASETS, FORMAT_NAME, FORMAT_VERSION, DatasetSpec


def write_results(
    plan: Plan,
    path: Path | str,
    *,
    job_text: str,
    data_hashes: Mapping[str, str],
    settings: Mapping[str, Any],
    started: datetime | None = None,
) -> None:
    """Write `plan` to `path`; a file that is there already is replaced only when the new one is complete.

    Parameters
    ----------
    plan, path
        What and where.
    job_text
        The complete job file.
    data_hashes
        SHA-256 of every trade data file used, by its path.
    settings
        Solver settings, independent of the machine; must be representable as JSON.
    started
        When the run started; now if not given. A time without zone is taken as UTC.

    Raises
    ------
    ResultFileError
        The file cannot be written.
    """
    attributes = _attributes(plan, job_text, data_hashes, settings, started or datetime.now(UTC))
    # HDF5 itself reports a full disk late and in many voices. The file is small, so it is made in memory
    # and the disk is left to `atomic_write`.
    atomic_write(path, _image(plan, attributes))


def _attributes(
    plan: Plan, job_text: str, data_hashes: Mapping[str, str], settings: Mapping[str, Any], started: datetime
) -> dict[str, Any]:
    moment = started.replace(tzinfo=UTC) if started.tzinfo is None else started.astimezone(UTC)
    return {
        "title": plan.title,
        "format": FORMAT_NAME,
        "format_version": FORMAT_VERSION,
        "application_version": application_version(),
        "Conventions": CONVENTIONS,
        "started_utc": moment.isoformat(timespec="seconds"),
        "job_text": job_text,
        "job_sha256": hashlib.sha256(job_text.encode("utf-8")).hexdigest(),
        "data_sha256_json": json.dumps({str(key): value for key, value in data_hashes.items()}, sort_keys=True),
        "settings_json": json.dumps(dict(settings), sort_keys=True, allow_nan=False),
        "answer_json": json.dumps(plan_json(plan), ensure_ascii=False, allow_nan=False),
    }


def _image(plan: Plan, attributes: Mapping[str, Any]) -> bytes:
    import h5py

    buffer = io.BytesIO()
    with h5py.File(buffer, "w") as file:
        file.attrs.update(attributes)
        for spec in DATASETS:
            value = spec.value(plan)
            if value is not None:
                _put(file, spec, value)
    return buffer.getvalue()


def _put(file: Any, spec: DatasetSpec, value: Any) -> None:
    import h5py

    text = spec.unit == ""
    dataset = file.create_dataset(spec.name, data=value, dtype=h5py.string_dtype("utf-8") if text else None)
    dataset.attrs["long_name"] = spec.meaning
    if not text:
        dataset.attrs["units"] = spec.unit
    if spec.dimensions == (spec.name,):
        dataset.make_scale(spec.name.rpartition("/")[2])
        return
    for axis, dimension in enumerate(spec.dimensions):
        dataset.dims[axis].attach_scale(file[dimension])
        dataset.dims[axis].label = dimension.rpartition("/")[2]
