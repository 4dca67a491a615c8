"""How fine a grid: made finer while a passing is not right to a hundredth, and no finer than a computer stands."""

from dataclasses import replace

import pytest

from brazesoak.analysis import fidelity
from brazesoak.analysis.fidelity import MainRun, grid_assumption, main_run
from brazesoak.analysis.fidelity_choice import available, choose
from brazesoak.bridge.simulate import FINENESS

from .jobs import boss, joint, plate, prepared

PARTS = (plate(), boss(metal="UNS C36000"), joint("boss", "plate", "seat"))


def run(kind: str) -> MainRun:
    job = prepared(*PARTS)
    return main_run(job.model(job.inputs), kind, lambda clock, last: last, None, lambda what, share: None)


def test_a_grid_that_is_fine_enough_is_kept() -> None:
    found = run("section")
    assert found.share <= fidelity.LARGEST_ERROR
    assert found.fineness == FINENESS


@pytest.mark.parametrize(("cells", "times"), [(1e9, 2), (5000, 1), (100, 0)])
def test_a_grid_that_is_not_is_made_finer_within_limits(
    monkeypatch: pytest.MonkeyPatch, cells: float, times: int
) -> None:
    """Nothing is ever right to nothing; a section's cells grow fourfold, from about 700."""
    monkeypatch.setattr(fidelity, "LARGEST_ERROR", 0.0)
    monkeypatch.setattr(fidelity, "MOST_CELLS", cells)
    found = run("section")
    assert found.fineness == FINENESS * 2**times
    if times:
        (note,) = grid_assumption("section", found)
        assert f"made {2**times} times as fine" in note.why


def test_a_network_has_no_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fidelity, "LARGEST_ERROR", 0.0)
    found = run("network")
    assert found.fineness == FINENESS
    assert grid_assumption("network", found) == ()


def test_the_share_is_of_the_way_to_each_passing() -> None:
    found = run("section")
    (passed,) = found.simulation.joints
    assert passed.target is not None
    assert replace(found, errors=(0.02 * passed.target,)).share == pytest.approx(0.02)


def test_how_far_the_grid_was_off_is_said() -> None:
    """A plate as a disc of the same area has less edge than the plate."""
    found = run("section")
    assert found.simulation.discrete.on_grid is not None
    off = abs(found.simulation.discrete.on_grid.scale - 1.0)
    assert 0.001 < off < 0.2
    why = grid_assumption("section", found)[0].why
    assert f"differed by {off:.1%} at most" in why
    assert "sees of another" not in why


def test_how_sure_the_view_factors_are_is_said() -> None:
    """Of a solid whose parts shade each other: less than a hundredth."""
    found = run("solid")
    error = found.simulation.discrete.sight_error
    assert error is not None
    assert 0.0 < error < 0.01
    assert f"right to {error:.1%} of all it sees" in grid_assumption("solid", found)[0].why


def test_a_pile_of_plates_is_a_solid_for_a_stack_is_too_quick() -> None:
    """See tests/verification/test_cut_cells.py for how quick; who asks for the section still gets the stack."""
    job = prepared(plate("a"), plate("b"), plate("c"), joint("a", "b", "1"), joint("b", "c", "2"))
    assert next(iter(available(job))) == "solid"
    assert choose(job, "section")[0] == "section"
