"""The command line as a user meets it: what is printed, what is written, and how it fails."""

import csv
import errno
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import brazesoak
import brazesoak_solvers
from brazesoak.cli import main
from brazesoak.report.as_json import answer_schema
from brazesoak.report.format import sentence, typeset

EXAMPLE = Path(__file__).parents[2] / "examples" / "01_bearing_pedestal" / "job.toml"
JOB = """\
title = "t"
fidelity = "network"

[furnace]
name = "ideal"

[program]
set_point = "730 degC"

[brazing]
filler = "BAg-7"
flux = "FB3-C"
gap = "0.1 mm"

[[segment]]
name = "plate"
metal = "AISI 1018"
surface = "oxidised"
shape = "plate"
length = "60 mm"
width = "50 mm"
thickness = "3 mm"

[[segment]]
name = "boss"
metal = "AISI 1018"
surface = "oxidised"
shape = "boss"
diameter = "20 mm"
height = "10 mm"

[[joint]]
name = "boss to plate"
between = ["boss", "plate"]
"""
"""Sizes invented."""
Captured = pytest.CaptureFixture[str]
INPUT, DATA, SIMULATION, RESULT = 2, 3, 4, 5
"""Exit codes."""
SOURCES = os.pathsep.join(str(Path(p.__file__ or "").resolve().parents[1]) for p in (brazesoak, brazesoak_solvers))
"""Where a process in another folder finds the packages under test."""


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def written(text: str = JOB) -> str:
    Path("job.toml").write_text(text, encoding="utf-8")
    return "job.toml"


def line_of(text: str, part: str) -> int:
    """Number of the first line that holds `part`, from 1."""
    return 1 + next(i for i, line in enumerate(text.split("\n")) if part in line)


def failed(capsys: Captured, code: int, *arguments: str) -> list[str]:
    """Run a command that must fail; what it says, a line for each fault."""
    assert main(arguments) == code
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    assert out == ""
    lines = err.rstrip("\n").split("\n")
    assert lines[0].startswith("brazesoak: ")
    return [lines[0].removeprefix("brazesoak: "), *lines[1:]]


# ---- plan ----------------------------------------------------------------------------------------------


def test_plan_of_the_first_example(capsys: Captured) -> None:
    assert main(["plan", str(EXAMPLE), "--out", "plan"]) == 0
    out = capsys.readouterr().out
    for words in (
        "Hold",
        "Slowest joint",
        "Rule of thumb",
        "CAUTIONS",
        "DEFAULTS AND ASSUMPTIONS",
        "Written:",
    ):
        assert words in out
    folder = Path("plan")
    assert {p.name for p in folder.iterdir()} == {
        "result.h5",
        "temperatures.png",
        "run_card.html",
        "section.png",
        "how_sure.png",
    }
    assert (folder / "temperatures.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    card = (folder / "run_card.html").read_text(encoding="utf-8")
    assert card.lstrip().lower().startswith("<!doctype html>")
    # Self-contained: nothing is fetched from anywhere.
    assert not re.search(
        r"""(src|href)\s*=\s*["']?(https?:|//)|url\(\s*["']?(https?:|//)|@import|<link|<script""", card
    )


def test_result_file_holds_job_answer_and_histories() -> None:
    import h5py

    assert main(["plan", written(), "--out", "plan"]) == 0
    with h5py.File("plan/result.h5") as file:
        assert file.attrs["job_text"] == JOB
        answer = json.loads(file.attrs["answer_json"])
        hashes = json.loads(file.attrs["data_sha256_json"])
    assert answer["fidelity"] == "network"
    assert any("fillers/bag-7" in name for name in hashes)


def test_plan_for_machines(capsys: Captured) -> None:
    import jsonschema

    assert main(["plan", str(EXAMPLE), "--json", "--no-files"]) == 0
    answer = json.loads(capsys.readouterr().out)
    jsonschema.validate(answer, answer_schema())
    # The keys agreed for those who build on them.
    assert {
        "set_point_C", "hold_time_min", "hold_time_nominal_min", "rule_of_thumb_min", "ruling_joint", "fidelity",
        "energy_balance_error", "segments", "joints", "warnings", "assumptions",
    } <= set(answer)  # fmt: skip
    assert {"name", "mass_kg", "passes_liquidus_min", "peak_C"} <= set(answer["segments"][0])
    assert {"name", "passes_solidus_min", "passes_liquidus_min", "time_above_target_min"} <= set(answer["joints"][0])
    assert all({"code", "message"} <= set(w) for w in answer["warnings"])
    assert answer["energy_balance_error"] <= 1e-6
    assert answer["hold_time_min"] >= answer["hold_time_nominal_min"]
    assert answer["rule_of_thumb_min"] == pytest.approx(60.0 * sum(s["mass_kg"] for s in answer["segments"]))
    assert list(Path().iterdir()) == []


def test_a_joint_that_may_never_melt_can_still_be_planned(capsys: Captured) -> None:
    """An uneven furnace at a low set-point: one end of the range never comes to the target."""
    import jsonschema

    text = JOB.replace('name = "ideal"', 'name = "ideal"\nuniformity = "28 K"').replace("730 degC", "690 degC")
    assert main(["plan", written(text), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    jsonschema.validate(answer, answer_schema())
    assert "may-never-reach" in {w["code"] for w in answer["warnings"]}
    assert main(["plan", "job.toml", "--no-files"]) == 0
    assert "never" in capsys.readouterr().out


def test_side_by_side(capsys: Captured) -> None:
    assert main(["plan", str(EXAMPLE), "--compare", "--no-files", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["fidelities"]
    assert [r["fidelity"] for r in rows] == [
        "network", "section axisymmetric", "solid without shade", "solid",
    ]  # fmt: skip
    assert all(r["energy_balance_error"] <= 1e-6 for r in rows)


def test_fidelity_can_be_asked_for(capsys: Captured) -> None:
    for wanted, found in (("network", "network"), ("section", "section axisymmetric")):
        assert main(["plan", written(), "--fidelity", wanted, "--no-files", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["fidelity"] == found


def test_results_go_into_a_folder_named_after_the_job_or_its_folder(capsys: Captured) -> None:
    """Examples are all called job.toml; their results must not overwrite each other."""
    for job, folder in (("bracket.toml", "bracket_plan"), ("lever/job.toml", "lever_plan")):
        Path(job).parent.mkdir(exist_ok=True)
        Path(job).write_text(JOB, encoding="utf-8")
        assert main(["plan", job]) == 0
        assert Path(folder, "result.h5").is_file()


def test_results_go_where_they_are_asked_to(capsys: Captured) -> None:
    assert main(["plan", written(), "--out", "deep/er"]) == 0
    assert {p.name for p in Path("deep/er").iterdir()} >= {"result.h5", "temperatures.png", "run_card.html"}


def test_the_same_job_gives_the_same_answer(capsys: Captured) -> None:
    answers = []
    for _ in range(2):
        assert main(["plan", written(), "--no-files", "--json"]) == 0
        answers.append(capsys.readouterr().out)
    assert answers[0] == answers[1]


# ---- bad input -----------------------------------------------------------------------------------------

ONE_FAULT = [
    ("broken TOML", 'name = "ideal"', 'name = "ideal', "", "not valid TOML"),
    ("unknown key", 'set_point = "730 degC"', 'set_piont = "730 degC"', "program.set_piont", "set_point"),
    ("wrong unit", 'gap = "0.1 mm"', 'gap = "0.1 kg"', "brazing.gap", "kg"),
    ("no unit", 'gap = "0.1 mm"', "gap = 0.1", "brazing.gap", "unit"),
    ("negative size", 'thickness = "3 mm"', 'thickness = "-3 mm"', 'segment "plate".thickness', "-3 mm"),
    ("unknown metal", 'metal = "AISI 1018"', 'metal = "AISI 1919"', 'segment "plate".metal', "AISI 1919"),
    ("unknown filler", 'filler = "BAg-7"', 'filler = "BAg-77"', "brazing.filler", "bag-7"),
    ("unknown furnace", 'name = "ideal"', 'name = "idael"', "furnace.name", "ideal"),
    ("joint to nowhere", '["boss", "plate"]', '["bos", "plate"]', 'joint "boss to plate".between', "did you mean"),
    ("set-point too low", 'set_point = "730 degC"', 'set_point = "640 degC"', "program.set_point", "652 degC"),
    ("steps loaded hot", '"730 degC"', '"730 degC"\nloading = "hot"\nsteps = [{ to = "520 degC" }]', "program.steps", "hot"),  # noqa: E501
]  # fmt: skip


@pytest.mark.parametrize("command", ["plan", "check"])
@pytest.mark.parametrize(("before", "after", "key", "words"), [c[1:] for c in ONE_FAULT], ids=[c[0] for c in ONE_FAULT])
def test_one_fault_is_one_message(
    capsys: Captured, command: str, before: str, after: str, key: str, words: str
) -> None:
    text = JOB.replace(before, after, 1)
    (said,) = failed(capsys, INPUT, command, written(text))
    place = f"job.toml:{line_of(text, after.split(chr(10))[-1])}: "
    assert said.startswith(place)
    assert key in said
    assert words in said
    assert list(Path().iterdir()) == [Path("job.toml")]


@pytest.mark.parametrize("command", ["plan", "check"])
def test_a_segment_joined_to_nothing(capsys: Captured, command: str) -> None:
    spare = (
        '[[segment]]\nname = "spare"\nmetal = "AISI 1018"\nsurface = "oxidised"\nshape = "boss"\ndiameter = "9 mm"\n'
    )
    text = JOB + spare + 'height = "9 mm"\n'
    (said,) = failed(capsys, INPUT, command, written(text))
    assert said.startswith(f"job.toml:{line_of(text, 'spare') - 1}: ")
    assert '"spare"' in said
    assert "joined to nothing" in said


def test_all_faults_of_a_file_at_once_in_its_order(capsys: Captured) -> None:
    text = JOB.replace('"0.1 mm"', '"0.1 kg"').replace('"3 mm"', '"-3 mm"').replace("shape =", "shpe =", 1)
    text = text.replace('["boss", "plate"]', '["bos", "plate"]')
    said = failed(capsys, INPUT, "plan", written(text))
    lines = [int(s.split(":")[1]) for s in said]
    assert len(said) >= 3
    assert lines == sorted(lines)


def test_a_program_that_never_reaches(capsys: Captured) -> None:
    text = JOB.replace('name = "ideal"', 'name = "bench-kiln-3l"\npower = "200 W"')
    (said,) = failed(capsys, SIMULATION, "plan", written(text))
    assert 'joint "boss to plate"' in said
    assert "degC" in said or "°C" in said
    assert "more power" in said
    assert list(Path().iterdir()) == [Path("job.toml")]


@pytest.mark.parametrize("name", ["missing.toml", "folder", "bytes.toml"])
def test_a_file_that_cannot_be_read(capsys: Captured, name: str) -> None:
    Path("folder").mkdir()
    Path("bytes.toml").write_bytes(b'title = "\xff\xfe"')
    (said,) = failed(capsys, INPUT, "plan", name)
    assert said.startswith(name)


@pytest.mark.skipif(hasattr(os, "getuid") and os.getuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(capsys: Captured) -> None:
    path = Path(written())
    path.chmod(0)
    (said,) = failed(capsys, INPUT, "plan", str(path))
    assert "permissions" in said


def test_a_data_folder_that_is_broken(capsys: Captured) -> None:
    Path("mine/metals").mkdir(parents=True)
    Path("mine/metals/odd.toml").write_text("id = 7\n", encoding="utf-8")
    text = JOB.replace('title = "t"', 'title = "t"\ndata = ["mine"]').replace("AISI 1018", "odd", 1)
    said = failed(capsys, DATA, "plan", written(text))
    assert "odd.toml" in said[0]


def full_disk(*arguments: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_leaves_an_existing_result_as_it_was(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    assert main(["plan", written(), "--out", "plan"]) == 0
    before = {p: p.read_bytes() for p in Path("plan").iterdir()}
    capsys.readouterr()
    monkeypatch.setattr("brazesoak.results.atomic.os.fsync", full_disk)
    (said,) = failed(capsys, RESULT, "plan", "job.toml", "--out", "plan")
    assert "disk is full" in said
    assert "unchanged" in said
    assert {p: p.read_bytes() for p in Path("plan").iterdir()} == before


def test_a_full_disk_leaves_nothing_half_written(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("brazesoak.results.atomic.os.fsync", full_disk)
    (said,) = failed(capsys, RESULT, "plan", written(), "--out", "plan")
    assert "result.h5" in said
    assert list(Path("plan").iterdir()) == []


def test_a_file_stands_where_the_folder_should_be(capsys: Captured) -> None:
    Path("taken").touch()
    (said,) = failed(capsys, RESULT, "plan", written(), "--out", "taken")
    assert said.startswith("taken")
    assert "--out" in said


def test_stopping_is_not_a_crash(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*arguments: object, **keys: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("brazesoak.analysis.plan.make_plan", stop)
    assert main(["plan", written()]) == 130
    assert capsys.readouterr().err.endswith("brazesoak: stopped; nothing was written\n")


def test_stopping_names_what_was_written_before(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*arguments: object, **keys: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("brazesoak.report.run_card.run_card_html", stop)
    assert main(["plan", written(), "--out", "plan"]) == 130
    said = capsys.readouterr().err
    there = sorted(str(p) for p in Path("plan").iterdir())
    assert there == ["plan/result.h5", "plan/temperatures.png"]
    assert all(name in said.partition("stopped; written before: ")[2] for name in there)


def break_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every run break off after ten minutes of the heat."""
    from brazesoak_solvers import ConvergenceError, March, Watch

    marched = March.run

    def fail_late(march: March, end: float, watch: Watch, *told: Any) -> bool:
        marched(march, 610.0, watch, *told)
        raise ConvergenceError(time=610.0, step=1e-7, cell=1, residual=3.0)

    monkeypatch.setattr("brazesoak.bridge.heat.March.run", fail_late)


def test_a_run_that_breaks_off_leaves_what_there_is(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    break_off(monkeypatch)
    (said,) = failed(capsys, SIMULATION, "plan", written(), "--out", "plan")
    assert "The temperatures until then are in plan/partial.csv." in said
    with Path("plan/partial.csv").open(encoding="utf-8", newline="") as file:
        head, first, *_, last = csv.reader(file)
    assert head[:2] == ["time_s", 'coldest of joint "boss to plate" [degC]']
    assert [float(x) for x in first] == pytest.approx([0.0] + [20.0] * (len(head) - 1))
    assert float(last[0]) > 600.0
    assert len(last) == len(head)


def test_without_files_a_run_that_breaks_off_writes_none(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    break_off(monkeypatch)
    (said,) = failed(capsys, SIMULATION, "plan", written(), "--no-files")
    assert "partial" not in said
    assert list(Path().iterdir()) == [Path("job.toml")]


@pytest.mark.parametrize("command", ["plan", "check"])
def test_wrong_names_are_told_together_with_wrong_values(capsys: Captured, command: str) -> None:
    text = JOB.replace("AISI 1018", "unobtainium", 1).replace('gap = "0.1 mm"', 'gap = "0.1 kg"')
    said = failed(capsys, INPUT, command, written(text))
    assert len(said) == 2
    assert any("unobtainium" in line for line in said)
    assert any("0.1 kg" in line for line in said)


@pytest.mark.parametrize("arguments", [[], ["plan"], ["frobnicate"], ["plan", "job.toml", "--fidelity", "exact"]])
def test_wrong_arguments(capsys: Captured, arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


# ---- the other commands --------------------------------------------------------------------------------


def test_check(capsys: Captured) -> None:
    assert main(["check", written()]) == 0
    out = capsys.readouterr().out
    assert "2 segments" in out
    assert "1 joint" in out
    assert list(Path().iterdir()) == [Path("job.toml")]


def test_new_writes_a_job_that_checks_and_plans(capsys: Captured) -> None:
    assert main(["new"]) == 0
    assert main(["check", "job.toml"]) == 0
    assert main(["plan", "job.toml", "--fidelity", "network", "--no-files"]) == 0
    assert "Hold" in capsys.readouterr().out


def test_new_never_touches_an_existing_file(capsys: Captured) -> None:
    written("mine")
    (said,) = failed(capsys, INPUT, "new")
    assert "exists already" in said
    assert Path("job.toml").read_text(encoding="utf-8") == "mine"


def test_data_lists_every_kind(capsys: Captured) -> None:
    assert main(["data"]) == 0
    out = capsys.readouterr().out
    for name in ("brass-c36000", "bag-7", "fb3-c", "bench-kiln-10l"):
        assert name in out.lower()


@pytest.mark.parametrize("kind", ["metals", "fillers", "fluxes", "furnaces"])
def test_data_lists_one_kind(capsys: Captured, kind: str) -> None:
    assert main(["data", kind]) == 0
    out = capsys.readouterr().out.lower()
    assert ("bag-24" in out) == (kind == "fillers")


@pytest.mark.parametrize("name", ["UNS C36000", "bag-7", "FB3-C", "bench-kiln-3l"])
def test_data_shows_an_entry_with_its_sources(capsys: Captured, name: str) -> None:
    assert main(["data", name]) == 0
    assert len(capsys.readouterr().out.splitlines()) > 5


def test_map_writes_its_figure_and_prints_table_or_json(capsys: Captured, tmp_path: Path) -> None:
    job, out = tmp_path / "job.toml", tmp_path / "out"
    job.write_text(JOB, encoding="utf-8")
    assert main(["map", str(job), "--out", str(out)]) == 0
    assert "Recommended: " in capsys.readouterr().out
    assert (out / "set_points.png").read_bytes().startswith(b"\x89PNG")
    assert main(["map", str(job), "--json", "--no-files"]) == 0
    assert len(json.loads(capsys.readouterr().out)["points"]) == 10


def test_data_suggests_the_nearest_names(capsys: Captured) -> None:
    (said,) = failed(capsys, DATA, "data", "BAg-77")
    assert "bag-7" in said


def test_data_of_one_s_own(capsys: Captured) -> None:
    (said,) = failed(capsys, DATA, "data", "BAg-7", "--folder", "nowhere")
    assert said.startswith("nowhere")


@pytest.mark.parametrize("what", ["job", "answer", "choose", "map"])
def test_schema(capsys: Captured, what: str) -> None:
    import jsonschema

    assert main(["schema", what]) == 0
    schema = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert "properties" in schema


# ---- as a process --------------------------------------------------------------------------------------


def process(*arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "brazesoak", *arguments]
    env = {**os.environ, "PYTHONPATH": SOURCES, **more}
    return subprocess.run(command, capture_output=True, text=True, env=env, encoding="utf-8")


def test_exit_code_of_the_process() -> None:
    assert process("check", written()).returncode == 0
    found = process("check", "missing.toml")
    assert (found.returncode, found.stdout) == (INPUT, "")
    assert "Traceback" not in found.stderr


def output_into(stdout: int) -> subprocess.CompletedProcess[str]:
    """A command with much to say, whose output goes to a file handle."""
    command = [sys.executable, "-m", "brazesoak", "data"]
    env = {**os.environ, "PYTHONPATH": SOURCES}
    return subprocess.run(command, stdout=stdout, stderr=subprocess.PIPE, text=True, env=env)


def test_a_reader_that_has_gone_is_no_error() -> None:
    reader, writer = os.pipe()
    os.close(reader)
    found = output_into(writer)
    os.close(writer)
    assert (found.returncode, found.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_output_that_cannot_be_written() -> None:
    with Path("/dev/full").open("w") as full:
        found = output_into(full.fileno())
    assert found.returncode == RESULT
    assert "Traceback" not in found.stderr
    assert "No space left" in found.stderr or "full" in found.stderr


def test_a_terminal_without_degree_signs() -> None:
    found = process("plan", written(), "--no-files", PYTHONIOENCODING="ascii")
    assert "Traceback" not in found.stderr
    assert found.returncode == 0


def test_choose_ranks_fillers_and_ends_with_the_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["choose", str(EXAMPLE)]) == 0
    text = capsys.readouterr().out
    assert text.index("BAg-7 ranks 1") < text.index("Fluxes for BAg-7") < text.index("CAUTIONS")
    assert text.rstrip().endswith("Safety data sheets, local codes and licensed practice come before this page.")
    assert main(["choose", str(EXAMPLE), "--json", "--allow-cadmium"]) == 0
    names = [f["name"] for f in json.loads(capsys.readouterr().out)["together"]["fillers"]]
    assert "BAg-1" in names


def test_choose_says_in_one_line_that_nothing_suits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(EXAMPLE.read_text(encoding="utf-8").replace("UNS C36000", "titanium"), encoding="utf-8")
    assert main(["choose", str(job)]) == 2
    said = capsys.readouterr().err.strip()
    assert "must not be brazed in air" in said
    assert "\n" not in said


def test_rules_stand_beside_the_hold_that_plan_gives(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(EXAMPLE), "--no-files", "--json"]) == 0
    hold = json.loads(capsys.readouterr().out)["hold_time_min"]
    assert main(["rules", str(EXAMPLE)]) == 0
    text = capsys.readouterr().out
    assert f"Computed   {hold:.0f} min" in text
    assert "one hour per inch" in text
    assert "CAUTIONS" in text


def test_furnaces_are_listed_with_time_and_heat(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["furnaces", "--no-files"]) == 0
    text = capsys.readouterr().out
    assert re.search(r"bench-kiln-10l +10 L +2500 W +\d+ min", text)
    assert "ideal" not in text
    assert "kWh" in text
    assert text.rstrip().endswith("Safety data sheets, local codes and licensed practice come before this page.")
    assert list(Path().iterdir()) == []
    assert main(["furnaces"]) == 0
    assert capsys.readouterr().out == f"{text}\nWritten: furnaces.png in furnaces\n"
    assert Path("furnaces/furnaces.png").read_bytes().startswith(b"\x89PNG")


def test_the_plan_in_full_has_every_reason_and_nothing_of_the_short_one_is_lost(capsys: Captured) -> None:
    assert main(["plan", written(), "--json", "--no-files"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert main(["plan", "job.toml", "--full", "--no-files"]) == 0
    full = " ".join(capsys.readouterr().out.split())
    for a in answer["assumptions"]:
        assert typeset(a["value"]) in full
        assert sentence(a["why"]) in full
    for c in answer["cautions"]:
        assert sentence(c["text"]) in full
    assert main(["plan", "job.toml", "--no-files"]) == 0
    short = " ".join(capsys.readouterr().out.split())
    assert len(short) < 0.8 * len(full)
    for c in answer["cautions"]:
        assert f"{c['hazard'].capitalize()}: {typeset(c['short'])}." in short


def test_the_plan_of_the_first_example_is_read_on_two_screens_and_used_from_one(capsys: Captured) -> None:
    """100 lines at most; what is needed at the furnace stands in the first 25."""
    assert main(["plan", str(EXAMPLE), "--no-files"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 100
    first = " ".join(" ".join(lines[:25]).split())
    for words in ("Set ", "Hold ", "Total ", "Program ", "Thermocouple ", "Position ", "Slowest joint ", "Watch ",
                  "Open ", "How sure "):  # fmt: skip
        assert words in first
    assert " in 90, " in first


def test_programs_are_compared(capsys: Captured) -> None:
    assert main(["programs", written(), "--out", "figures"]) == 0
    text = capsys.readouterr().out
    assert "full power" in text
    assert "CAUTIONS" in text
    assert Path("figures/programs.png").read_bytes().startswith(b"\x89PNG")
    assert main(["programs", written(), "--json", "--no-files"]) == 0
    assert len(json.loads(capsys.readouterr().out)["programs"]) == 5


def test_the_best_program_is_found_or_what_stands_in_its_way(capsys: Captured) -> None:
    limits = '\n[limits]\nflux = "1 min"\n'
    assert main(["best", written(JOB + limits), "--json", "--out", "figures"]) == SIMULATION
    data = json.loads(capsys.readouterr().out)
    assert data["best"] is None
    assert [i["limit"] for i in data["impossible"]] == ["flux"]
    assert Path("figures/best.png").exists()
