"""The cache of machine code: a change in any source must show, a missing folder must not stop anything, and
what a
second process loads must give the numbers of the first."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import brazesoak_solvers

CORE = Path(brazesoak_solvers.__file__ or "").parent
RUN = (
    "import tiny._jit as j, tiny.kernel as k; told = []; j.when_compiling(lambda: told.append(1)); "
    "print(k.twice(20.0), j._FOLDER, not told)"
)


def environment(**more: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k not in ("NUMBA_CACHE_DIR", "XDG_CACHE_HOME", "NUMBA_DISABLE_JIT")}
    return {**kept, **more}


def python(code: str, **more: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, env=environment(**more)
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


@pytest.fixture
def tiny(tmp_path: Path) -> Path:
    """A package with the project's own `_jit` and a kernel that calls a helper of another module."""
    package = tmp_path / "source" / "tiny"
    package.mkdir(parents=True)
    shutil.copy(CORE / "_jit.py", package)
    (package / "__init__.py").touch()
    write_helper(package, 2.0)
    kernel = "from ._jit import kernel\nfrom .helper import times\n\n\n@kernel\ndef twice(x):\n    return times(x)\n"
    (package / "kernel.py").write_text(kernel, encoding="utf-8")
    return package


def write_helper(package: Path, factor: float) -> None:
    text = f"from ._jit import kernel\n\n\n@kernel\ndef times(x):\n    return {factor} * x\n"
    (package / "helper.py").write_text(text, encoding="utf-8")


def paths(package: Path, tmp_path: Path) -> dict[str, str]:
    return {
        "PYTHONPATH": str(package.parent),
        "XDG_CACHE_HOME": str(tmp_path / "cache"),
        "PYTHONDONTWRITEBYTECODE": "1",
    }


def test_a_changed_helper_shows_although_the_kernel_s_own_file_did_not_change(tiny: Path, tmp_path: Path) -> None:
    """With numba's own `cache=True` the second run gives the old number."""
    where = paths(tiny, tmp_path)
    first = python(RUN, **where)
    assert (first[0], first[2]) == ("40.0", "False")
    assert python(RUN, **where) == [*first[:2], "True"], "a warm cache must not compile again, and must say so"
    write_helper(tiny, 3.0)
    second = python(RUN, **where)
    assert second[0] == "60.0"
    assert second[1] != first[1]
    assert Path(second[1]).is_relative_to(tmp_path / "cache" / "tiny")


def test_the_cache_is_private(tiny: Path, tmp_path: Path) -> None:
    folder = Path(python(RUN, **paths(tiny, tmp_path))[1])
    assert folder.stat().st_mode & 0o077 == 0
    folder.chmod(0o777)  # cache files are pickles: others must not be able to put theirs there
    again = Path(python(RUN, **paths(tiny, tmp_path))[1])
    assert again != folder


def test_without_a_user_folder_a_temporary_one_is_taken(tiny: Path, tmp_path: Path) -> None:
    blocked = tmp_path / "a-file"
    blocked.touch()
    (tmp_path / "temporary").mkdir()
    where = paths(tiny, tmp_path) | {"XDG_CACHE_HOME": str(blocked), "TMPDIR": str(tmp_path / "temporary")}
    found = python(RUN, **where)
    assert found[0] == "40.0"
    assert Path(found[1]).is_relative_to(tmp_path / "temporary")


def test_without_any_folder_kernels_still_work(tiny: Path, tmp_path: Path) -> None:
    blocked = tmp_path / "a-file"
    blocked.touch()
    (tmp_path / "temporary").mkdir()
    # A file stands where the folder would be made; root may write anywhere, so permissions would prove
    # nothing.
    (tmp_path / "temporary" / f"tiny-{os.getuid()}").touch()
    where = paths(tiny, tmp_path) | {"XDG_CACHE_HOME": str(blocked), "TMPDIR": str(tmp_path / "temporary")}
    assert python(RUN, **where) == ["40.0", "None", "False"]


def test_folders_of_old_versions_are_removed_after_a_month(tiny: Path, tmp_path: Path) -> None:
    root = tmp_path / "cache" / "tiny"
    old, recent = root / ("0" * 16), root / ("f" * 16)
    for folder in (old, recent):
        (folder / "inner").mkdir(parents=True)
        (folder / "inner" / "kernel.nbc").touch()
    root.chmod(0o700)
    os.utime(old, (0.0, 0.0))
    python(RUN, **paths(tiny, tmp_path))
    assert (old.exists(), recent.exists()) == (False, True)


MULTILEVEL = """
import numpy as np
from brazesoak_solvers import Graph, Options, Watch, Probe, linear, material, steps, structured
from brazesoak_solvers import stepping

kept = linear.choose
stepping.linear.choose = lambda problem, conductance, band_work=0: kept(problem, conductance, band_work=0)
graph = Graph()
steel = graph.material(material(3.9e6, 40.0))
edges = np.linspace(0.0, 0.05, 13)
mesh = structured([edges, edges], "plane")
cells = graph.mesh(mesh, [steel])
walls = graph.ambient(1000.0)
outer = mesh.outer
graph.boundary(cells[outer.cell], outer.area, outer.shape, gas=walls, film=20.0, emissivity=0.8)
problem = graph.problem(300.0)
T = linear_iterations = 0
for step in steps(problem, 600.0, Options(tolerance=0.1)):
    T, linear_iterations = step.T, linear_iterations + step.linear
assert kept(problem, np.ones(problem.arrays.f.a.size), band_work=0).width < 0
print(linear_iterations, *(float(t).hex() for t in T[:: T.size // 7]))
"""
"""A section marched with the multilevel solver, forced by giving the band solver no work at all."""


def test_a_second_process_with_a_warm_cache_marches_with_the_multilevel_solver() -> None:
    """A self-recursive kernel once crashed when it was loaded from the cache instead of compiled."""
    source = str(CORE.parent)
    first, second = (python(MULTILEVEL, PYTHONPATH=source) for _ in range(2))
    assert int(first[0]) > 0
    assert second == first  # to the last bit


def test_without_compilation_the_numbers_are_the_same() -> None:
    """Interpreted, sums may be taken in another order: 1e-9 relative."""
    source = str(CORE.parent)
    small = MULTILEVEL.replace("0.05, 13", "0.05, 7").replace("600.0", "20.0")
    one, other = (python(small, PYTHONPATH=source, **more) for more in ({}, {"NUMBA_DISABLE_JIT": "1"}))
    values = [[float.fromhex(v) for v in found[1:]] for found in (one, other)]
    assert values[1] == pytest.approx(values[0], rel=1e-9)
