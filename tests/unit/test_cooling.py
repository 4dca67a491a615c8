"""Door and cooling: what goes out through an opening, how fast a load cools, what may be done with it when."""

from dataclasses import replace
from math import log, sqrt

import numpy as np
import pytest

from brazesoak.analysis.cooling import may_harden, quench
from brazesoak.analysis.plan import make_plan
from brazesoak.bridge.cooling import BENCH_FILM, HANDLE
from brazesoak.bridge.door import SEEN, air_through, shining
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.parts.assembly import Segment
from brazesoak.report.as_json import plan_json
from brazesoak.report.text import plan_text
from brazesoak_solvers import Graph, March, Options, Probe, Watch, material

from .jobs import LIBRARY, SIGMA, assembly, boss, joint, kelvin, plate, prepared, read

KILN = 'name = "bench-kiln-3l"'
LONG = "samples = 64"


def run(program: str = "", open_below: float = 500.0, fidelity: str = "network") -> Simulation:
    p = prepared(furnace=KILN, program=program)
    return simulate(p.model(p.inputs), fidelity, lambda c, t: max(c, t) + 300.0, open_below=kelvin(open_below))


def test_air_and_radiation_through_an_opening() -> None:
    # Kawagoe 1958 (recalled): 0.5 A sqrt(H) kg/s, here of air at 1010 J/(kg K).
    assert air_through(0.04, 0.2) == pytest.approx(0.5 * 0.04 * sqrt(0.2) * 1010.0)
    # A cavity's e sigma (T^4 - T0^4) over T - T0, exact at every node of the curve.
    room = kelvin(20.0)
    mean, G = shining(0.04, room, SEEN)
    hot = 2.0 * mean - room
    at = abs(hot - room) > 1.0
    assert G[at] == pytest.approx(0.04 * SEEN * SIGMA * (hot[at] ** 4 - room**4) / (hot[at] - room))


@pytest.mark.parametrize("fidelity", ["network", "section"])
def test_the_wider_it_is_opened_the_sooner_the_load_can_be_handled(fidelity: str) -> None:
    shut, ajar, out = (run(f'cooling = "{how}"', fidelity=fidelity) for how in ("shut", "ajar", "still air"))
    for r in (shut, ajar, out):
        assert r.joints_solid is not None
        assert r.safe_to_open is not None
        assert r.safe_to_handle is not None
        assert r.hold_end < r.joints_solid < r.safe_to_open < r.safe_to_handle
        assert r.hottest[:, -1].max() <= HANDLE
        assert r.safe_to_open == pytest.approx(shut.safe_to_open or 0.0)  # the door is shut until then
    assert (out.safe_to_handle or 0.0) < (ajar.safe_to_handle or 0.0) < (shut.safe_to_handle or 0.0)


def test_out_in_still_air_the_load_cools_as_a_lump() -> None:
    # m c dT/dt = -A (h (T - T0) + e sigma (T^4 - T0^4)), by quadrature from where it is taken out to 60 degC, both
    # parts alike. 3 %: the parts are not quite of one temperature when they come out.
    parts = (boss("a", metal="UNS C11000"), boss("b", metal="UNS C11000"), joint("a", "b", faces=["end", "end"]))
    p = prepared(*parts, furnace=KILN, program='cooling = "still air"')
    model = p.model(p.inputs)
    r = simulate(model, "network", lambda c, t: max(c, t), open_below=kelvin(500.0))
    assert r.safe_to_handle is not None
    begin = np.flatnonzero(np.diff(r.time) == 0.0)[-1] + 1
    T = np.linspace(kelvin(60.0), float(r.coldest[:, begin].mean()), 4001)
    b = model.bodies[0]
    C = b.volume * np.interp(T, *b.capacity)
    e = np.interp(T, *b.emissivity)
    room = kelvin(20.0)
    lost = b.exposed_area * (BENCH_FILM * (T - room) + e * SIGMA * (T**4 - room**4))
    assert r.safe_to_handle - r.time[begin] == pytest.approx(float(np.trapezoid(C / lost, T)), rel=0.03)


def test_rate_from_700_to_500() -> None:
    r = run('set_point = "760 degC"', open_below=300.0)
    after = r.time >= r.hold_end
    t, T = r.time[after], r.coldest[0, after]
    crossed = [float(np.interp(-kelvin(c), -T, t)) for c in (700.0, 500.0)]
    assert r.cooling_rates[0] == pytest.approx(200.0 / (crossed[1] - crossed[0]), rel=0.01)


def test_a_door_that_stands_open_costs_heat_and_time() -> None:
    shut, short, long = (run(f'loading = "hot"\ndoor_open = "{s} s"') for s in (0, 15, 60))
    assert shut.door_heat == 0.0 < short.door_heat < long.door_heat < long.loss_heat
    assert shut.last_target < short.last_target < long.last_target
    for r in (shut, short, long):
        parts = r.load_heat + r.chamber_heat + r.shelf_heat + r.lining_heat + r.loss_heat
        assert r.heater_heat == pytest.approx(parts, rel=1e-6)
    # 15 s at 727 degC through 0.144 m square at first: e sigma A (T^4 - T0^4) + flow; the hot face cools meanwhile.
    T, room, area = kelvin(727.0), kelvin(20.0), 0.1442**2
    most = 15.0 * (area * SEEN * SIGMA * (T**4 - room**4) + air_through(area, 0.1442) * (T - room))
    assert 0.3 * most < short.door_heat < 1.1 * most


def test_loaded_cold_no_door_is_opened() -> None:
    assert run('door_open = "60 s"').door_heat == 0.0


def test_a_contact_can_be_put_into_a_state() -> None:
    # Two lumps of C = 100 J/K and G = 2 W/K from 10 s on: their difference falls as exp(-2 G t / C), exact.
    graph = Graph()
    cells = graph.cells([100.0, 100.0], graph.material(material(1.0, 1.0)))
    door = graph.contact(0.0, 2.0)
    graph.faces(cells[0], cells[1], 1.0, contact=door)
    problem = graph.problem([400.0, 300.0])
    march = March(problem, Options(tolerance=1e-4))
    watch = Watch(problem, (Probe((0,)), Probe((1,))))
    march.run(10.0, watch)
    assert watch.reading[-1] == pytest.approx([400.0, 300.0])
    march.set_state(door, 1)
    later = Watch(problem, (Probe((0,)), Probe((1,))))
    march.run(60.0, later)
    assert log(100.0 / (later.reading[-1][0] - later.reading[-1][1])) == pytest.approx(2.0, rel=1e-4)


def test_what_may_be_quenched() -> None:
    alike = assembly(plate(metal="AISI 304"), boss(metal="AISI 304"), joint("boss", "plate"))
    may, how = quench(alike)
    assert may
    assert "below 300 degC and never hotter" in how  # the caution on quenching: tin-bearing fillers crack above
    may, why = quench(assembly(plate(), boss(), joint("boss", "plate")))  # plain carbon steel
    assert not may
    assert "carbon" in why
    brass = assembly(plate(), boss(metal="UNS C36000"), joint("boss", "plate"))
    may, why = quench(brass)
    assert not may
    assert "shrink differently" in why
    tool = assembly(plate(metal="tool-steel-a2"), boss(metal="tool-steel-a2"), joint("boss", "plate"))
    may, why = quench(tool)
    assert not may
    assert "harden" in why


def test_steels_that_harden_in_air() -> None:

    def of(metal: str) -> Segment:
        return assembly(plate(metal=metal), boss(metal=metal), joint("boss", "plate")).segments[0]

    tool, plain = of("tool-steel-a2"), of("AISI 1018")
    hot, slow = kelvin(740.0), 5.0 / 60.0
    assert may_harden(tool, hot, slow)
    assert not may_harden(tool, kelvin(700.0), slow)  # never austenite
    assert not may_harden(plain, hot, slow)
    assert may_harden(plain, hot, 10.0)
    assert not may_harden(tool, hot, None)


def test_the_plan_tells_of_cooling() -> None:
    parts = (plate(metal="tool-steel-a2"), boss(metal="tool-steel-a2"), joint("boss", "plate"))
    job = read(
        *parts, furnace=KILN, program='set_point = "740 degC"\ncooling = "ajar"', hold='open_below = "600 degC"',
        fidelity="network",
    )  # fmt: skip
    plan = make_plan(job, LIBRARY)
    assert plan.cooling is not None
    assert {"opened-hot", "may-harden"} <= {w.code for w in plan.warnings}
    text = " ".join(plan_text(plan).split())
    assert "With the door ajar from then, everything can be handled with gloves, below 60 °C" in text
    assert "Quench to loosen flux: no" in text
    assert "then door ajar" in text
    way = plan_json(plan)["cooling"]
    assert way["how"] == "ajar"
    assert way["may_quench"] is False
    assert [r["segment"] for r in way["from_700_to_500_C"]] == ["plate", "boss"]
    assert make_plan(read(furnace='name = "ideal"', fidelity="network"), LIBRARY).cooling is None


def test_the_load_comes_out_when_every_joint_is_solid_however_early_the_job_opens() -> None:
    job = read(furnace=KILN, program='cooling = "still air"', hold='open_below = "720 degC"', fidelity="network")
    way = make_plan(job, LIBRARY)
    assert way.joints_solid is not None
    assert way.safe_to_open is not None
    assert way.safe_to_open >= way.joints_solid


def test_a_cooling_that_was_not_asked_for_is_not_computed() -> None:
    p = prepared(furnace=KILN)
    r = simulate(replace(p.model(p.inputs), cooling="ajar"), "network", lambda c, t: max(c, t))
    assert (r.safe_to_handle, r.cooling_rates) == (None, ())
