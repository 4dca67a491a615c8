"""What is loaded, and how long it takes: each in a process of its own."""

import subprocess
import sys
import time
from pathlib import Path

from .jobs import job

HEAVY = {"numba", "scipy.stats", "matplotlib", "h5py"}
HELP = 0.4
"""Longest `brazesoak --help` [s], agreed for the project."""


def loaded(code: str) -> set[str]:
    """Modules in memory after running `code`."""
    tail = "\nimport sys\nprint('MODULES', *sys.modules)"
    done = subprocess.run([sys.executable, "-c", code + tail], capture_output=True, text=True, check=True)
    return set(done.stdout.rpartition("MODULES")[2].split())


def test_help_loads_next_to_nothing() -> None:
    found = loaded("from brazesoak.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass")
    assert found & (HEAVY | {"pint", "pydantic", "numpy", "scipy", "rich"}) == set()
    assert "brazesoak.cli" in found


def test_help_is_quick() -> None:
    """Best of three: the machine may be busy with other things."""
    times = []
    for _ in range(3):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-m", "brazesoak", "--help"], capture_output=True, check=True)
        times.append(time.perf_counter() - began)
    assert min(times) < HELP


def test_reading_a_job_loads_no_compiler_and_no_plots(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(job(), encoding="utf-8")
    found = loaded(f"from brazesoak.jobfile.read import read_job\nread_job({str(path)!r})")
    assert found & HEAVY == set()
    assert "brazesoak.jobfile.schema" in found


def test_check_and_data_load_no_compiler_and_no_plots(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(job(), encoding="utf-8")
    run = f"from brazesoak.cli import main\nassert main(['check', {str(path)!r}]) == 0\nassert main(['data', 'BAg-7']) == 0"  # noqa: E501
    assert loaded(run) & HEAVY == set()


def test_the_package_itself_is_light() -> None:
    assert loaded("import brazesoak") & (HEAVY | {"numpy", "pydantic"}) == set()
