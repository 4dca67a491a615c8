"""Unknown names are told together with wrong values, and once."""

from pathlib import Path

import pytest

from brazesoak.errors import Fault, JobFileError
from brazesoak.jobfile.names import read_with_library

from .jobs import boss, job, joint, plate


def faults(folder: Path, text: str) -> tuple[Fault, ...]:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobFileError) as caught:
        read_with_library(path)
    return caught.value.faults


def test_names_and_values_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    parts = plate(metal="unobtainium", thickness="6 kg"), boss(), joint("boss", "plate", "seat", flux="FB9-Z")
    found = faults(tmp_path, job(*parts, furnace='name = "idael"', filler="BAg-77"))
    assert [f.key for f in found] == [
        "furnace.name", "brazing.filler", 'segment "plate".metal', 'segment "plate".thickness', 'joint "seat".flux',
    ]  # fmt: skip
    assert all(f.line for f in found)


def test_a_name_that_is_no_text_is_one_fault(tmp_path: Path) -> None:
    found = faults(tmp_path, job(furnace="name = 7"))
    assert [f.key for f in found] == ["furnace.name"]


def test_names_are_not_judged_where_the_folder_that_may_hold_them_is_missing(tmp_path: Path) -> None:
    text = job(plate(metal="mine"), boss(), joint("boss", "plate")).replace('title = "t"', 'title = "t"\ndata = ["my"]')
    assert [f.key for f in faults(tmp_path, text)] == ["data[1]"]


def test_a_text_that_is_no_toml_is_one_fault(tmp_path: Path) -> None:
    assert len(faults(tmp_path, "title = ")) == 1


def test_a_sound_job_comes_with_its_library(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(job(), encoding="utf-8")
    read, library = read_with_library(path)
    assert library.metal(read.job.segments[0].metal).id == "carbon-steel"
