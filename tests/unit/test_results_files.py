import errno
import hashlib
import json
import os
from datetime import UTC, datetime
from pathlib import Path

import h5py
import numpy as np
import pytest

from brazesoak.answer import Plan
from brazesoak.errors import ResultFileError
from brazesoak.report.as_json import plan_json
from brazesoak.results import atomic
from brazesoak.results.read import read_results
from brazesoak.results.schema import DATASETS, FORMAT_VERSION, ROOT_ATTRIBUTES
from brazesoak.results.write import write_results

from .fake_plan import make_crowded_plan, make_plan

JOB = 'title = "Bearing pedestal"  # 730 °C\n'


def write(plan: Plan, path: Path, job_text: str = JOB) -> Path:
    write_results(
        plan,
        path,
        job_text=job_text,
        data_hashes={"metals/a.toml": "00"},
        settings={"rtol": 1e-6},
        started=datetime(2026, 11, 25, 8, 0, tzinfo=UTC),
    )
    return path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return write(make_plan(), tmp_path / "result.h5")


def test_comes_back_as_it_went(file: Path) -> None:
    plan, results = make_plan(), read_results(file)
    assert results.answer == plan_json(plan)
    assert results.job_text == JOB
    histories = results.histories()
    for name in ("time", "program", "sensor", "segment_coldest", "segment_hottest", "joint_coldest"):
        assert np.array_equal(getattr(histories, name), getattr(plan.histories, name)), name
    assert results.dataset("joint").tolist() == ["boss to plate", "pin to plate"]


def test_root_attributes_tell_what_was_computed_with_what(file: Path) -> None:
    attributes = read_results(file).attributes
    assert set(attributes) == set(ROOT_ATTRIBUTES)
    assert attributes["started_utc"] == "2026-11-25T08:00:00+00:00"
    assert attributes["job_sha256"] == hashlib.sha256(JOB.encode()).hexdigest()
    assert json.loads(attributes["data_sha256_json"]) == {"metals/a.toml": "00"}
    assert json.loads(attributes["settings_json"]) == {"rtol": 1e-6}


def test_every_dataset_is_declared_and_describes_itself(file: Path) -> None:
    specs = {spec.name: spec for spec in DATASETS}
    found: list[str] = []
    with h5py.File(file) as opened:
        opened.visititems(lambda name, item: found.append(name) if isinstance(item, h5py.Dataset) else None)
        assert set(found) == set(specs)
        for name, spec in specs.items():
            assert opened[name].attrs["long_name"] == spec.meaning
            assert opened[name].attrs.get("units", "") == spec.unit


def test_dimensions_are_named_scales(file: Path) -> None:
    with h5py.File(file) as opened:
        coldest = opened["segment_coldest"]
        assert [dimension.label for dimension in coldest.dims] == ["segment", "time"]
        assert coldest.dims[1][0] == opened["time"]
        assert opened["time"].is_scale
        assert opened["section/temperature"].dims[0][0] == opened["section/x"]


def test_never_is_nan_and_a_network_has_no_section(tmp_path: Path) -> None:
    results = read_results(write(make_crowded_plan(), tmp_path / "a.h5"))
    assert np.isnan(results.dataset("joint_passes_liquidus")).tolist() == [
        False,
        False,
        True,
        False,
        False,
        True,
    ]
    with pytest.raises(ResultFileError, match="segment_coldest"):
        results.dataset("section/temperature")


def test_a_job_text_longer_than_an_hdf5_header(tmp_path: Path) -> None:
    long = "# note\n" * 30_000
    assert read_results(write(make_plan(), tmp_path / "a.h5", long)).job_text == long


def test_a_full_disk_leaves_the_old_result(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old = file.read_bytes()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(atomic.os, "fsync", full)
    with pytest.raises(ResultFileError, match="the disk is full"):
        write(make_crowded_plan(), file)
    assert file.read_bytes() == old
    assert list(file.parent.iterdir()) == [file]


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(ResultFileError, match="could not be read"):
        read_results(tmp_path / "no.h5")


@pytest.mark.parametrize("content", [b"", b"title = 'a job'\n", b"\x89HDF\r\n\x1a\n", b"\x00" * 4096])
def test_another_kind_of_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.h5").write_bytes(content)
    with pytest.raises(ResultFileError, match=r"is not a result file|is damaged"):
        read_results(tmp_path / "a.h5")


def test_hdf5_of_somebody_else(tmp_path: Path) -> None:
    with h5py.File(tmp_path / "a.h5", "w") as opened:
        opened["x"] = [1.0]
    with pytest.raises(ResultFileError, match="is not a result file"):
        read_results(tmp_path / "a.h5")


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.999])
def test_a_file_cut_short(file: Path, share: float) -> None:
    whole = file.read_bytes()
    file.write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(ResultFileError, match="damaged"):
        read_results(file)


def test_a_newer_format(file: Path) -> None:
    with h5py.File(file, "r+") as opened:
        opened.attrs["format_version"] = FORMAT_VERSION + 1
    with pytest.raises(ResultFileError, match="newer version"):
        read_results(file)


@pytest.mark.parametrize(
    ("name", "value"),
    [("answer_json", "{"), ("answer_json", "[]"), ("job_text", "changed"), ("format_version", "one")],
)
def test_a_changed_attribute(file: Path, name: str, value: str) -> None:
    with h5py.File(file, "r+") as opened:
        opened.attrs[name] = value
    with pytest.raises(ResultFileError, match="damaged"):
        read_results(file)


def test_a_missing_attribute(file: Path) -> None:
    with h5py.File(file, "r+") as opened:
        del opened.attrs["answer_json"]
    with pytest.raises(ResultFileError, match="lacks answer_json"):
        read_results(file)


def test_changed_bytes_never_give_anything_but_our_error(file: Path) -> None:
    whole = bytearray(file.read_bytes())
    for place in range(8, len(whole), len(whole) // 150):
        changed = bytearray(whole)
        changed[place : place + 16] = b"\xff" * 16
        file.write_bytes(changed)
        try:
            results = read_results(file)
            results.histories()
        except ResultFileError as fault:
            assert str(file) in str(fault)  # noqa: PT017 - either outcome is right, only the kind of error counts
        else:
            assert results.answer["format_version"] == 1
