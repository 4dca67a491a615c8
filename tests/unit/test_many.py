"""Many heats at once: the same as one after another, in their order, each once, also where one comes to no end."""

from __future__ import annotations

import os

import pytest

from brazesoak.analysis import many
from brazesoak.analysis.many import Kept, divided
from brazesoak.analysis.percentiles import Heated, sample
from brazesoak.analysis.spread import Uncertain
from brazesoak.errors import NotConvergedError, SimulationError, TargetNotReachedError
from brazesoak.thermal.model import Inputs

FILMS = [Inputs(float(n)) for n in range(40)]


def heat(x: Inputs) -> float:
    """Some never arrive, and one the solver cannot finish."""
    if x.film == 7.0:
        raise NotConvergedError("the solver gave up", time=1.0, place="a", residual=2.0, histories={})
    if x.film > 30.0:
        raise TargetNotReachedError("too hot", part="a", reached=x.film, target=30.0)
    return 2.0 * x.film


@pytest.mark.parametrize("workers", [1, 2])
def test_every_heat_is_computed_once_and_told_of(workers, monkeypatch):
    told = []
    monkeypatch.setattr(many, "cores", lambda: workers)
    kept = Kept(heat, lambda: told.append(1))
    kept.ahead([*FILMS, *FILMS])
    assert len(told) == len(FILMS)
    kept.ahead(FILMS)
    assert [kept(x) for x in FILMS if x.film <= 30.0 and x.film != 7.0] == [
        2.0 * x.film for x in FILMS if x.film <= 30.0 and x.film != 7.0
    ]
    assert len(told) == len(FILMS)
    with pytest.raises(TargetNotReachedError, match="too hot") as never:
        kept(FILMS[33])
    assert (never.value.part, never.value.reached, never.value.target) == ("a", 33.0, 30.0)
    with pytest.raises(SimulationError, match="gave up"):
        kept(FILMS[7])


@pytest.mark.skipif(many.cores() == 1, reason="one core, or a system that cannot fork")
def test_the_work_is_divided_among_processes():
    kept = Kept(lambda x: os.getpid(), lambda: None)
    kept.ahead(FILMS)
    assert os.getpid() not in {kept(x) for x in FILMS}


def test_what_a_killed_worker_leaves_is_computed_here(monkeypatch):
    home = os.getpid()

    def kills(x: Inputs) -> float:
        if x.film == 20.0 and os.getpid() != home:
            os._exit(1)
        return x.film

    monkeypatch.setattr(many, "cores", lambda: 2)
    kept = Kept(kills, lambda: None)
    kept.ahead(FILMS)
    assert [kept(x) for x in FILMS] == [x.film for x in FILMS]


def test_a_heat_that_the_solver_cannot_finish_counts_as_never_and_is_told():
    def lumped(x: Inputs) -> Heated:
        if x.film < 7.0:
            raise SimulationError("the solver gave up")
        if x.film > 15.0:
            raise TargetNotReachedError("too hot", part="a", reached=1.0, target=2.0)
        return Heated(100.0 / x.film, (1000.0 / x.film,))

    film = Uncertain("convection film", Inputs(5.0), Inputs(20.0), "low", "high", "made up")
    found = sample(Inputs(10.0), [film], lumped, 256)
    # Triangular, mode 10: below 7 lie (2/5)^2 / 2 of the heats, above 15 (1/2)^2 / 2.
    assert found.gave_up == pytest.approx(0.08 * 256, abs=1.5)
    assert found.never == pytest.approx(0.08 + 0.125, abs=3.0 / 256)
    assert found.chances(100.0, {"j": 10.0}, 0.5, "").gave_up == found.gave_up


@pytest.mark.parametrize("workers", [1, 2])
def test_any_task_is_divided_and_comes_back_in_order_up_to_the_first_without_an_end(workers, monkeypatch):
    monkeypatch.setattr(many, "cores", lambda: workers)
    assert list(divided(lambda text: text.upper(), ["a", "b", "c", "d", "e"])) == ["A", "B", "C", "D", "E"]
    found = divided(heat, FILMS[5:])
    assert [next(found), next(found)] == [10.0, 12.0]
    with pytest.raises(SimulationError, match="gave up"):
        next(found)
