"""The starter job: valid, complete, and never written over something."""

import re
from pathlib import Path

import pytest

from brazesoak.errors import InputError
from brazesoak.jobfile import schema, starter
from brazesoak.jobfile.read import read_job, read_job_text
from brazesoak.jobfile.starter import starter_text, write_starter


def test_starter_is_a_valid_job(tmp_path: Path) -> None:
    path = write_starter(tmp_path / "new.toml")
    job = read_job(path).job
    assert [segment.name for segment in job.segments] == ["boss", "plate"]
    assert path.read_text(encoding="utf-8") == starter_text()
    assert [entry.name for entry in tmp_path.iterdir()] == ["new.toml"]


def test_starter_names_every_key_there_is() -> None:
    models = [schema.Job, schema.FurnaceChoice, schema.Program, schema.ProgramStepInput, schema.HoldRule]
    models += [schema.LoadInput, schema.LimitsInput, schema.Brazing, schema.Joint, *schema.SHAPES.values()]
    for model in models:
        for name, field in model.model_fields.items():
            assert re.search(rf"\b{field.alias or name}\b", starter_text())


def test_keys_in_comments_are_valid_too() -> None:
    # Without "plug" a depth is refused, and the joint's own folder is not there: these two stay comments.
    lines = starter_text().split("\n")
    uncommented = [re.sub(r"^# (?!depth|data)(\w+ = )", r"\1", line) for line in lines]
    assert sum(a != b for a, b in zip(lines, uncommented, strict=True)) >= 11
    job = read_job_text("\n".join(uncommented)).job
    assert job.furnace.power == pytest.approx(2500.0)
    assert job.joints[0].area == pytest.approx(0.0012)


def test_lines_fit_a_screen() -> None:
    assert max(len(line) for line in starter_text().split("\n")) <= 120


def test_an_existing_file_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text("mine")
    with pytest.raises(InputError, match="exists already"):
        write_starter(path)
    assert path.read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_file_that_appears_meanwhile_is_left_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "job.toml"
    path.write_text("mine")
    monkeypatch.setattr(starter.os.path, "lexists", lambda _: False)
    with pytest.raises(InputError, match="exists already"):
        write_starter(path)
    assert path.read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("name", ["missing folder/job.toml", "a\0b", "x" * 3000, "."])
def test_places_that_cannot_be_written_to(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError) as caught:
        write_starter(tmp_path / name)
    assert caught.value.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(starter, "_name", full)
    with pytest.raises(InputError, match="No space left"):
        write_starter(tmp_path / "job.toml")
    assert list(tmp_path.iterdir()) == []
