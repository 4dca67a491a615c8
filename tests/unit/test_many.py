"""Many heats at once: the same as one after another, in their order, each once, also where one comes to no end."""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path

import pytest

from brazesoak.analysis import many
from brazesoak.analysis.many import Kept, divided, side_by_side
from brazesoak.analysis.percentiles import Heated, inputs_at, positions, sample
from brazesoak.analysis.plan import prepare, uncertain
from brazesoak.analysis.sampling import Counted
from brazesoak.analysis.spread import Uncertain
from brazesoak.errors import NotConvergedError, SimulationError, TargetNotReachedError
from brazesoak.jobfile.names import read_with_library
from brazesoak.thermal.model import Inputs

FILMS = [Inputs(float(n)) for n in range(40)]


@pytest.fixture(scope="module")
def lined_job():
    return prepare(*read_with_library(Path(__file__).parents[2] / "examples" / "01_bearing_pedestal" / "job.toml"))


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


@pytest.mark.skipif(not many.forks(), reason="a system that cannot fork")
def test_the_work_is_divided_among_processes(monkeypatch):
    monkeypatch.setattr(many, "cores", lambda: 2)
    kept = Kept(lambda x: os.getpid(), lambda: None)
    kept.ahead(FILMS)
    assert os.getpid() not in {kept(x) for x in FILMS}


def test_where_a_process_may_not_divide_itself_threads_give_the_same(monkeypatch):
    """Both workers are inside a heat at the same time, each heat is told of by whoever asked, in order, and no thread
    asks for more of them."""
    both, told, home = threading.Barrier(2, timeout=30.0), list[int](), threading.get_ident()
    monkeypatch.setattr(many, "forks", lambda: False)
    monkeypatch.setattr(many.os, "cpu_count", lambda: 2)

    def together(x: Inputs) -> float:
        both.wait()
        assert many.cores() == 1
        return heat(x)

    kept = Kept(together, lambda: told.append(threading.get_ident()))
    kept.ahead(FILMS)
    assert told == [home] * len(FILMS)
    assert [kept(x) for x in FILMS[:7]] == [2.0 * x.film for x in FILMS[:7]]
    with pytest.raises(SimulationError, match="gave up"):
        kept(FILMS[7])
    assert many.cores() == 2


def test_a_sample_is_the_same_to_the_last_bit_whoever_computes_it(monkeypatch, lined_job):
    """Forks, threads and one after another."""
    inputs = uncertain(lined_job)
    asked = [inputs_at(lined_job.inputs, inputs, at) for at in positions(len(inputs), 16)]
    found = []
    for workers, forks in ((1, True), (2, True), (3, False)):
        monkeypatch.setattr(many, "cores", lambda workers=workers: workers)
        monkeypatch.setattr(many, "forks", lambda forks=forks: forks and sys.platform.startswith("linux"))
        heats = Counted(lined_job, lambda what, share: None).at("network", 1)
        heats.ahead(asked)
        found.append([(heats(x).need, heats(x).passings) for x in asked])
    assert found[0] == found[1] == found[2]


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


def test_tasks_go_side_by_side_and_whoever_waits_tells_of_it(monkeypatch):
    both, told, done, home = threading.Barrier(2, timeout=30.0), list[int](), list[int](), threading.get_ident()
    monkeypatch.setattr(many, "cores", lambda: 2)
    monkeypatch.setattr(many, "TELL_EVERY", 0.001)

    usual = sys.getswitchinterval()

    def task(n: int) -> None:
        both.wait()
        assert sys.getswitchinterval() < usual
        while not told:
            pass
        done.append(n)

    side_by_side([lambda: task(1), lambda: task(2)], lambda: told.append(threading.get_ident()), list)
    assert sorted(done) == [1, 2]
    assert set(told) == {home}
    assert sys.getswitchinterval() == usual


def test_an_interrupted_wait_stops_the_tasks_and_an_error_in_one_comes_through(monkeypatch):
    over = threading.Event()
    monkeypatch.setattr(many, "cores", lambda: 2)

    def interrupt() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        side_by_side([lambda: None if over.wait(30.0) else pytest.fail("not stopped")] * 2, interrupt, over.set)
    assert over.is_set()
    with pytest.raises(SimulationError, match="gave up"):
        side_by_side([lambda: None, lambda: heat(FILMS[7])], lambda: None, list)
