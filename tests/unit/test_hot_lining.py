"""What it is worth that an empty furnace stands at its set-point before it is loaded hot: `report.wording.STAND`."""

from dataclasses import replace

import numpy as np
import pytest

from brazesoak.bridge import heat
from brazesoak.bridge.chamber import add_furnace, follow_program, initial
from brazesoak.bridge.discretise import Discrete, discretise
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.thermal.furnace import Profile
from brazesoak.thermal.model import ThermalModel
from brazesoak_solvers import Graph, March, Options, Probe, Watch

from .jobs import boss, joint, plate, prepared

PARTS = (
    plate(length="180 mm", width="130 mm"),
    boss(metal="UNS C36000", surface="bright", diameter="60 mm", height="55 mm"),
    joint("boss", "plate"),
)


def hot(model: ThermalModel, stand: float, monkeypatch: pytest.MonkeyPatch) -> Simulation:
    """Loaded into a furnace that came from cold to its set-point and then stood there [s]; inf: hot through."""
    with monkeypatch.context() as patch:
        if stand < np.inf:
            at = _after(model, stand)

            def begun(*a: object, **k: object) -> Discrete:
                d = discretise(*a, **k)  # type: ignore[arg-type]
                T = d.problem.initial.copy()
                for name in ("lining", "elements", "field", "air"):
                    T[d.furnace.cells[name]] = at[name]
                return replace(d, problem=replace(d.problem, initial=T))

            patch.setattr(heat, "discretise", begun)
        return simulate(model, "network", lambda clock, last: max(clock, last))


def _after(model: ThermalModel, stand: float) -> dict[str, np.ndarray]:
    s, top = model.surroundings, model.surroundings.profile.set_point
    s = replace(s, profile=Profile(np.array([0.0, 1.0]), np.array([s.room, top])))
    graph = Graph()
    f = add_furnace(graph, s, s.room, 0.0)
    sensor = follow_program(graph, f, s, heating=True)
    problem = graph.problem(initial(f))
    probe = (Probe((problem.cell_of(sensor),)),)
    watch = Watch(problem, probe, [(0, top - s.clock_band)])
    March(problem, Options(tolerance=0.05)).run(4 * 3600.0, watch)
    shown = watch.first(0, top - s.clock_band)
    assert shown is not None
    march = March(problem, Options(tolerance=0.05))
    march.run(shown + stand, Watch(problem, probe))
    T = march.last().T
    return {name: T[cells] for name, cells in f.cells.items()}


def test_after_an_hour_a_furnace_is_as_good_as_hot_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last target comes less than 1 min later after an hour, more than 1 min loaded at once; the clock starts later
    and nothing is told as shorter than it is."""
    job = prepared(*PARTS, furnace='name = "bench-kiln-10l"', program='set_point = "730 degC"\nloading = "hot"')
    model = job.model(job.inputs)
    through, hour, at_once = (hot(model, stand, monkeypatch) for stand in (np.inf, 3600.0, 0.0))
    assert 0.0 < hour.last_target - through.last_target < 60.0
    assert at_once.last_target - through.last_target > 60.0
    needs = [run.last_target - run.clock_start for run in (at_once, hour, through)]
    assert needs == sorted(needs)
