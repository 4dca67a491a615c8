"""A march in one call against the same march step by step: readings, passings, heat, switches, goals, failures."""

from __future__ import annotations

import numpy as np
import pytest

from brazesoak_solvers import (
    ConvergenceError,
    Goal,
    Graph,
    March,
    Options,
    Probe,
    Problem,
    ProblemError,
    Switch,
    Watch,
    material,
    steps,
)
from brazesoak_solvers.watching import ROOM

GAS = (np.array([0.0, 900.0, 900.0, 1500.0]), np.array([300.0, 800.0, 1100.0, 1100.0]))
PROBES = (Probe((0,)), Probe((1,)), Probe((0,), "cold side"))
LEVELS = [(0, 500.0), (1, 500.0), (2, 700.0), (1, 1000.0)]
MELTS = [Switch(PROBES[2], 650.0, 0, 1)]
OPTIONS = Options(tolerance=0.05)


def pair(gas=GAS, breakpoints=()) -> Problem:
    """Two lumps, the second heated through a contact that conducts better once it has switched."""
    graph = Graph()
    solid = graph.material(material(4e6, 40.0))
    cells = graph.cells([1e-4, 2e-4], solid)
    graph.boundary(cells[0], 0.05, gas=graph.ambient(gas), film=30.0, emissivity=0.8)
    graph.faces(cells[0], cells[1], 0.01, contact=graph.contact(50.0, 500.0))
    return graph.problem(300.0, breakpoints)


def stepwise(problem: Problem, end: float, every: float = np.inf) -> Watch:
    watch = Watch(problem, PROBES, LEVELS, every)
    for step in steps(problem, end, OPTIONS, MELTS):
        watch.see(step)
    return watch


def same(one: Watch, other: Watch) -> None:
    assert one.time.tolist() == other.time.tolist()
    assert one.reading.tolist() == other.reading.tolist()
    assert one.passings == other.passings
    assert (one.heat, one.exchanged, one.taken_up) == (other.heat, other.exchanged, other.taken_up)
    assert (one.steps, one.newton, one.linear) == (other.steps, other.newton, other.linear)


@pytest.mark.parametrize("every", [np.inf, 7.0])
def test_a_march_in_one_call_is_the_march_step_by_step(every):
    watch = Watch(pair(), PROBES, LEVELS, every)
    assert not March(pair(), OPTIONS, MELTS).run(3000.0, watch)
    assert len(watch.passings) == len(LEVELS)
    assert watch.balance_error < 1e-12
    same(watch, stepwise(pair(), 3000.0, every))


def test_there_is_room_for_any_number_of_readings():
    watch = Watch(pair(), PROBES, LEVELS, 1.0)
    March(pair(), OPTIONS, MELTS).run(6000.0, watch)
    assert watch.time.size > 8 * ROOM
    same(watch, stepwise(pair(), 6000.0, 1.0))
    assert np.all(np.diff(watch.time) > 0.0)


def test_a_march_that_is_gone_on_with_is_the_march_in_one_go():
    """Its halt at a breakpoint changes nothing: a step ends there anyway."""
    watch = Watch(pair(), PROBES, LEVELS)
    march = March(pair(), OPTIONS, MELTS)
    for end in (900.0, 3000.0):
        march.run(end, watch)
        assert march.time == end
    same(watch, stepwise(pair(), 3000.0))


def test_functions_are_asked_and_give_the_march_of_their_table():
    def gas(t: float) -> float:
        return float(np.interp(t, GAS[0][:2], GAS[1][:2])) if t < 900.0 else 1100.0

    problem = pair(gas, GAS[0])
    watch = Watch(problem, PROBES, LEVELS)
    March(problem, OPTIONS, MELTS).run(3000.0, watch)
    exact = stepwise(pair(), 3000.0)
    assert watch.steps == exact.steps
    assert [p.time for p in watch.passings] == pytest.approx([p.time for p in exact.passings], rel=1e-9)


def test_a_march_ends_with_the_step_that_meets_its_goals():
    goals = [Goal(0, 500.0), Goal(1, 700.0)]
    watch = Watch(pair(), PROBES, LEVELS, goals=goals)
    assert March(pair(), OPTIONS, MELTS).run(1e5, watch)
    assert watch.reading[-2][1] < 700.0 <= watch.reading[-1][1]
    at_start = Watch(pair(), PROBES, goals=[Goal(0, 300.0), Goal(1, 300.0)])
    assert March(pair(), OPTIONS).run(1e5, at_start)
    assert at_start.steps == 1


@pytest.mark.parametrize(("at_once", "met"), [(False, True), (True, False)])
def test_goals_are_met_each_at_some_time_or_all_at_once(at_once, met):
    """The gas pulses: the first body passes 900 K long before the second passes 415 K, and is below it by then."""
    pulse = (np.array([0.0, 200.0, 200.0, 1e4]), np.array([1200.0, 1200.0, 300.0, 300.0]))
    watch = Watch(pair(pulse), PROBES, goals=[Goal(0, 900.0), Goal(1, 415.0)], at_once=at_once)
    assert March(pair(pulse), OPTIONS).run(1e4, watch) is met
    assert watch.reading[:, 0].max() > 900.0
    assert watch.reading[:, 1].max() > 415.0


def test_every_step_with_a_passing_is_shown():
    seen = []
    watch = Watch(pair(), PROBES, LEVELS)
    March(pair(), OPTIONS, MELTS).run(3000.0, watch, passed=seen.append)
    for p in watch.passings:
        step = next(s for s in seen if s.start < p.time <= s.end)
        assert watch.value(step.temperature(p.time), step)[p.probe] == pytest.approx(p.threshold, abs=1e-5)
    same(watch, stepwise(pair(), 3000.0))


def test_a_step_that_fails_says_when_and_where_and_keeps_what_was_read():
    def gas(t: float) -> float:
        return np.nan if t > 100.0 else 600.0

    problem = pair(gas)
    watch = Watch(problem, PROBES)
    with pytest.raises(ConvergenceError) as error:
        March(problem, OPTIONS).run(3000.0, watch)
    assert 90.0 < error.value.time <= 100.0
    assert watch.time[-1] == error.value.time
    assert error.value.step < 1e-6


def furnace(power: float = 2000.0) -> Problem:
    """A chamber of 2 kJ/K that loses 1 W/K and follows a ramp to 600 K and a corner beyond the end of its heating."""
    graph = Graph()
    chamber = graph.cells(1.0, graph.material(material(2000.0, 1.0)))
    graph.boundary(chamber, 1.0, gas=graph.ambient(300.0), film=1.0)
    program = (np.array([0.0, 600.0, 900.0]), np.array([300.0, 600.0, 600.0]))
    graph.controller(0, 0, gain=50.0, maximum=power, integral_time=300.0, target=program)
    return graph.problem(300.0)


def test_a_controller_that_is_switched_off_leaves_the_chamber_to_itself():
    """T = 300 + (T0 - 300) exp(-t/tau), tau = C/G = 2000 s: closed form of a lump that cools."""
    problem = furnace()
    march, watch = March(problem, Options(tolerance=1e-3)), Watch(problem, [Probe((0,))])
    march.run(800.0, watch)
    hot = watch.reading[-1][0]
    assert hot == pytest.approx(600.0, abs=15.0)  # it overshoots the corner
    march.switch_off()
    cooling = Watch(problem, [Probe((0,))])
    march.run(2800.0, cooling)
    assert cooling.reading[-1][0] == pytest.approx(300.0 + (hot - 300.0) * np.exp(-1.0), abs=0.02)
    assert cooling.balance_error < 1e-12
    again = Watch(furnace(), [Probe((0,))])
    March(furnace(), Options(tolerance=1e-3)).run(2800.0, again)
    assert again.reading[-1][0] == pytest.approx(600.0, abs=5.0)  # another march of the problem has its own controllers


DRY, FILLED, SOLID = range(3)


def test_a_contact_that_melts_and_freezes_never_goes_back_to_where_it_was_first():
    """Dry, filled, solid, filled, solid: melting at 650 K by the cold side, freezing at 600 K by the warm side."""
    waves = (np.array([0.0, 2e3, 4e3, 6e3, 8e3]), np.array([1100.0, 1100.0, 300.0, 1100.0, 300.0]))
    graph = Graph()
    cells = graph.cells([1e-4, 2e-4], graph.material(material(4e6, 40.0)))
    graph.boundary(cells[0], 0.05, gas=graph.ambient(waves), film=80.0)
    graph.faces(cells[0], cells[1], 0.01, contact=graph.contact(50.0, 500.0, 400.0))
    cold, warm = Probe((0,), "cold side"), Probe((0,), "warm side")
    cycle = [
        Switch(cold, 650.0, 0, FILLED, after=DRY),
        Switch(warm, 600.0, 0, SOLID, upwards=False, after=FILLED),
        Switch(cold, 650.0, 0, FILLED, after=SOLID),
    ]
    found = []
    for step in steps(graph.problem(300.0), 1e4, OPTIONS, cycle):
        if not found or step.states[0] != found[-1]:
            found.append(int(step.states[0]))
        if step.switched:
            side = step.T.min() if step.switched[0] != 1 else step.T.max()
            assert side == pytest.approx(cycle[step.switched[0]].threshold, abs=0.1 * OPTIONS.tolerance)
    assert found == [DRY, FILLED, SOLID, FILLED, SOLID]


def test_a_switch_that_names_a_state_that_is_not_there_is_refused():
    for wrong in (
        Switch(PROBES[0], 500.0, 0, 2),
        Switch(PROBES[0], 500.0, 0, 1, after=2),
        Switch(PROBES[0], 1.0, 1, 0),
    ):
        with pytest.raises(ProblemError, match="was not added"):
            March(pair(), OPTIONS, [wrong])


def test_what_moves_less_than_newton_leaves_still_moves() -> None:
    """One lump cools and its twin warms by 0.5 mK a step, a fortieth of what Newton's method may leave: closed form."""
    graph = Graph()
    cells = graph.cells([1e-4, 1e-4], graph.material(material(4e6, 40.0)))
    graph.boundary(cells, 0.02, gas=graph.ambient(500.0), film=10.0)
    problem = graph.problem(np.array([600.0, 400.0]))
    march = March(problem, Options(tolerance=1.0, largest=0.01))
    march.run(10.0, Watch(problem, ()))
    fallen = 100.0 * (1.0 - np.exp(-10.0 * 0.02 * 10.0 / 400.0))
    assert march.last().T.tolist() == pytest.approx([600.0 - fallen, 400.0 + fallen], abs=0.01 * fallen)


def test_a_march_can_be_loosened() -> None:
    counts = []
    for loose in (None, 1.0):
        problem = pair()
        march, watch = March(problem, OPTIONS), Watch(problem, PROBES)
        march.run(2000.0, watch)
        if loose is not None:
            march.loosen(loose)
        march.run(20000.0, watch)
        counts.append(watch.steps)
    assert counts[1] < 0.9 * counts[0]


@pytest.mark.parametrize("tolerance", [0.0, -1.0, np.nan, np.inf])
def test_a_march_refuses_a_tolerance_that_is_none(tolerance: float) -> None:
    march = March(pair(), OPTIONS)
    with pytest.raises(ProblemError, match="tolerance"):
        march.loosen(tolerance)
    with pytest.raises(ProblemError, match="tolerance"):
        Options(tolerance=tolerance)


def test_heat_enters_as_it_is_taken_up_in_third_order() -> None:
    """The heat counted is that of the answer with the error taken out: to round-off, with a contact that switches."""
    problem = pair()
    watch = Watch(problem, PROBES)
    March(problem, Options(tolerance=2.0), MELTS).run(2000.0, watch)
    assert watch.steps < 60
    assert abs(watch.heat - watch.taken_up) < 1e-11 * watch.exchanged
