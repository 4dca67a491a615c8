"""Who may import whom. Imports inside functions count; imports for type checkers only do not."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import brazesoak
import brazesoak_solvers

APPLICATION, CORE = (Path(p.__file__ or "").parent for p in (brazesoak, brazesoak_solvers))
EDGE = ("cli", "jobfile", "results", "report", "plots", "__main__")
PHYSICS = ("parts", "thermal")
BRIDGE = ("bridge",)
"""The only rooms that know the solver."""
SHOWING = ("results", "report", "plots")


def imports(tree: ast.AST, package: list[str]) -> Iterator[str]:
    """Full name of everything imported when the code runs; `package` holds the module."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) + 1 - node.level] if node.level else []
            module = [*above, *(node.module.split(".") if node.module else [])]
            yield from (".".join([*module, alias.name]) for alias in node.names)
        yield from imports(node, package)


@cache
def modules(root: Path) -> dict[str, frozenset[str]]:
    """Imports of every module of a package, by its name within the package, such as ``analysis.plan``."""
    found = {}
    for path in root.rglob("*.py"):
        inner = path.relative_to(root).with_suffix("").parts
        package = [root.name, *inner[:-1]]
        found[".".join(inner)] = frozenset(imports(ast.parse(path.read_text(encoding="utf-8")), package))
    return found


def within(name: str, parts: tuple[str, ...]) -> bool:
    """Whether a module of the application belongs to one of these modules or packages."""
    return name.split(".")[0] in parts


def breaches(who: tuple[str, ...], whom: tuple[str, ...]) -> list[str]:
    """Imports by modules of `who` from the application's `whom`."""
    return [
        f"{module} imports {name}"
        for module, names in modules(APPLICATION).items()
        if within(module, who)
        for name in names
        if name.startswith("brazesoak.") and within(name.removeprefix("brazesoak."), whom)
    ]


def test_the_parser_sees_what_there_is_to_see() -> None:
    assert "brazesoak.answer.Plan" not in modules(APPLICATION)["api"]  # for type checkers
    assert "brazesoak.analysis.plan.make_plan" in modules(APPLICATION)["api"]  # inside a function
    case = modules(APPLICATION)["analysis.checks.case"]
    assert "brazesoak.bridge.simulate.Simulation" in case  # relative, from a package
    assert "brazesoak_solvers.constants.STEFAN_BOLTZMANN" in modules(CORE)["kernels.settling"]
    assert {*PHYSICS, *BRIDGE} <= {name.split(".")[0] for name in modules(APPLICATION)}


def test_the_core_knows_nothing_of_the_trade() -> None:
    assert [n for names in modules(CORE).values() for n in names if n.split(".")[0] == "brazesoak"] == []


def test_only_the_bridge_knows_the_solver() -> None:
    allowed = ("brazesoak_solvers.constants.",)
    found = {
        module: name
        for module, names in modules(APPLICATION).items()
        if not within(module, BRIDGE)
        for name in names
        if name.split(".")[0] == "brazesoak_solvers" and not name.startswith(allowed)
    }
    assert found == {"cli.common": "brazesoak_solvers._jit.when_compiling"}


def test_whatever_shows_an_answer_computes_nothing() -> None:
    assert breaches(SHOWING, ("analysis", *PHYSICS, *BRIDGE)) == []


def test_physics_and_questions_know_no_files_and_no_people() -> None:
    assert breaches((*PHYSICS, *BRIDGE, "analysis"), EDGE) == []


def test_physics_asks_no_questions() -> None:
    assert breaches((*PHYSICS, *BRIDGE), ("analysis", "api", "answer")) == []
    assert breaches(PHYSICS, BRIDGE) == []


def test_trade_data_stand_alone() -> None:
    assert breaches(("trade",), (*PHYSICS, *BRIDGE, "analysis", *EDGE)) == []


@pytest.mark.parametrize("root", [APPLICATION, CORE])
def test_constants_are_written_once(root: Path) -> None:
    """Stefan-Boltzmann's constant stands in the core's constants and nowhere else."""
    again = [
        str(path.relative_to(root))
        for path in root.rglob("*.py")
        if "5.67" in path.read_text(encoding="utf-8") and path.name != "constants.py"
    ]
    assert again == []


def test_numba_is_used_through_one_door() -> None:
    direct = {
        m for m, names in {**modules(CORE), **modules(APPLICATION)}.items() for n in names if n.startswith("numba")
    }
    assert direct == {"_jit"}
