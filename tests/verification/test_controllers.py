"""Controllers on plants of the first order, against closed forms and against scipy."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm
from scipy.optimize import brentq

from brazesoak_solvers import Graph, Options, Probe, Problem, ProblemError, Switch, Watch, material, steady, steps
from brazesoak_solvers.kernels.control import DERIVATIVE_GAIN, FADE, WAIT

from .build import history

C, G, K, FEED, MOST = 1e4, 10.0, 100.0, 5e3, 1e4  # J/K, W/K, W/K, W, W
ROOM, RISE, TI, TD = 300.0, 20.0, 60.0, 15.0  # K, K, s, s
CELL = [Probe((0,))]
BASE = ROOM + FEED / G
"""Where the feed alone holds the plant [K]: half the power, so that a step of 20 K stays clear of both limits."""


def plant(start: float, loss: float = G, relay: bool = False, **law) -> Problem:
    """One lump that loses `loss` [W/K] to the room and heats itself."""
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    graph.boundary(0, 1.0, gas=graph.ambient(ROOM), film=loss)
    (graph.relay if relay else graph.controller)(0, 0, **law)
    return graph.problem(start)


def seen(
    problem: Problem, end: float, tolerance: float = 1e-4, fixed: float | None = None, third_order: bool | None = None
) -> Watch:
    watch = Watch(problem, [Probe((n,)) for n in range(problem.n_cell)])
    for step in steps(problem, end, Options(tolerance=tolerance, fixed=fixed, third_order=third_order)):
        watch.see(step)
    return watch


def oscillation(t: float) -> float:
    """C x'' + (G + K) x' + K/Ti x = K/Ti r from x = 0, x' = K r/C: a damped oscillation about r."""
    a = (G + K) / (2.0 * C)
    w = np.sqrt(K / (TI * C) - a * a)
    return RISE - RISE * np.exp(-a * t) * (np.cos(w * t) - (K / C - a) / w * np.sin(w * t))


def test_proportional_and_integral(record):
    """Second-order closed loop, underdamped (damping 0.43). Tolerance 1e-4 of the step of 20 K."""
    problem = plant(BASE, gain=K, maximum=MOST, target=BASE + RISE, integral_time=TI, feed=FEED)
    times = [30.0, 100.0, 250.0, 400.0, 1000.0]
    for t, T in zip(times, history(problem, times, tolerance=1e-4), strict=True):
        record(f"PI {t:g} s", "closed form", oscillation(t), T[0] - BASE, "K", tolerance=1e-4 * RISE)


@pytest.mark.parametrize(("third", "ratio"), [(False, 4.0), (True, 8.0)])
def test_order_in_time(third, ratio):
    """Fixed steps of 8, 4 and 2 s on the oscillation: each halving divides the error by 4 (TR-BDF2) or, with its error
    taken out, by 8; 10 % allowed."""
    problem = plant(BASE, gain=K, maximum=MOST, target=BASE + RISE, integral_time=TI, feed=FEED)
    runs = [seen(problem, 240.0, fixed=h, third_order=third) for h in (8.0, 4.0, 2.0)]
    errors = [run.reading[-1][0] - BASE - oscillation(240.0) for run in runs]
    assert [errors[0] / errors[1], errors[1] / errors[2]] == pytest.approx([ratio, ratio], rel=0.1)


def test_all_three_terms(record):
    """Plant, integral and filtered measurement as a linear system, by matrix exponential. 1e-4 of the step of 20 K."""
    n = DERIVATIVE_GAIN / TD
    heat = [-(G + K + K * DERIVATIVE_GAIN) / C, K / C, K * DERIVATIVE_GAIN / C, (K * RISE) / C]
    matrix = np.array([heat, [-1.0 / TI, 0.0, 0.0, RISE / TI], [n, 0.0, -n, 0.0], np.zeros(4)])
    law = {"gain": K, "maximum": MOST, "target": BASE + RISE, "feed": FEED}
    problem = plant(BASE, integral_time=TI, derivative_time=TD, **law)
    times = [5.0, 50.0, 200.0, 600.0]
    for t, T in zip(times, history(problem, times, tolerance=1e-4), strict=True):
        exact = (expm(matrix * t) @ [0.0, 0.0, 0.0, 1.0])[0]
        record(f"PID {t:g} s", "matrix exponential", exact, T[0] - BASE, "K", tolerance=1e-4 * RISE)


def test_offset_without_and_with_the_integral(record):
    """At rest K (r - x) = G x: an offset of r G/(G + K), and none with the integral. 1e-8 of the rise of 400 K."""
    for name, integral, exact in (("P", np.inf, 400.0 * G / (G + K)), ("PI", 300.0, 0.0)):
        problem = plant(ROOM, gain=K, maximum=MOST, target=ROOM + 400.0, integral_time=integral)
        record(f"{name} offset", "closed form", exact, ROOM + 400.0 - steady(problem)[0], "K", tolerance=4e-6)


@pytest.mark.parametrize("derivative", [0.0, TD])
def test_power_limit_and_wind_up(derivative, record):
    """Heating by 400 K with the power at its limit most of the way, against scipy's Radau on the same law.

    Tolerances: 1e-4 of the rise, 2e-3 K on the overshoot, that is twenty times the error allowed in a step.
    """
    most, target = 6e3, ROOM + 400.0

    def law(_: float, y: np.ndarray) -> list[float]:
        T, z, m = y
        rate = (T - m) * DERIVATIVE_GAIN / derivative if derivative else 0.0
        e = target - T
        u = K * (e + z - derivative * rate)
        fade = np.clip((most - u if e > 0.0 else u) / (FADE * most), 0.0, 1.0)
        return [(np.clip(u, 0.0, most) - G * (T - ROOM)) / C, fade * e / 200.0, rate]

    end = 3000.0
    exact = solve_ivp(law, (0.0, end), [ROOM, 0.0, ROOM], "Radau", max_step=5.0, rtol=1e-9, atol=1e-8)
    problem = plant(ROOM, gain=K, maximum=most, target=target, integral_time=200.0, derivative_time=derivative)
    watch = seen(problem, end, tolerance=1e-4)
    found = np.array(watch.reading)[:, 0]
    worst = np.max(np.abs(found - np.interp(watch.time, exact.t, exact.y[0])))
    name = "PID" if derivative else "PI"
    record(f"{name} limited, worst", "scipy Radau", 0.0, worst, "K", tolerance=0.04)
    over = exact.y[0].max() - target
    assert over > 0.5
    record(f"{name} overshoot", "scipy Radau", over, found.max() - target, "K", tolerance=2e-3)
    # Integration that did not stop at the limit would have overshot by far more: the area on the way is
    # 400^2/2 K2 over 0.4 K/s at least, or 1e5 K s, and only time above the target takes it back.
    assert over < 40.0
    assert watch.balance_error < 1e-12


def test_a_program_with_a_jump(record):
    """C T' = K (target - T): exponentials towards a line, piece by piece. Tolerance 1e-4 of the jump of 100 K.

    A constant drain takes what the feed gives, so that the power keeps clear of its limits.
    """
    times, values = np.array([0.0, 600.0, 600.0, 1200.0]), np.array([300.0, 400.0, 500.0, 450.0])
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    graph.source(0, -FEED)
    graph.controller(0, 0, gain=K, maximum=3e4, target=(times, values), feed=FEED)
    problem = graph.problem(300.0)
    exact, T, tau = {}, 300.0, C / K
    for begin, v, end, slope in (
        (0.0, 300.0, 600.0, 1 / 6),
        (600.0, 500.0, 1200.0, -1 / 12),
        (1200.0, 450.0, 2e3, 0.0),
    ):
        for t in (begin + 50.0, end):
            exact[t] = v + slope * (t - begin - tau) + (T - v + slope * tau) * np.exp((begin - t) / tau)
        T = exact[end]
    for t, T in zip(exact, history(problem, list(exact), tolerance=1e-4), strict=True):
        record(f"program {t:g} s", "closed form", exact[t], T[0], "K", tolerance=0.01)
        assert T[1] == pytest.approx(t, abs=1e-6)  # nothing holds the program: its time is the time


def test_resumed_inside_a_program():
    """A march that begins where another ended, in the middle of a ramp, goes on as one march does.."""
    problem = plant(ROOM, gain=K, maximum=MOST, target=([0.0, 500.0, 2000.0], [300.0, 300.0, 600.0]), holdback=10.0)
    whole = seen(problem, 3000.0).reading[-1]
    half = seen(problem, 1500.0).reading[-1]
    later = replace(problem, initial=half)
    watch = Watch(later, [Probe((n,)) for n in range(2)])
    for step in steps(later, 3000.0, Options(tolerance=1e-4), start=1500.0):
        watch.see(step)
    assert watch.reading[-1] == pytest.approx(whole, abs=1e-3)


def test_a_program_waits_for_a_weak_heater(record):
    """Lossless lump, P/C = 0.1 K/s, asked for 0.25 K/s over 300 K: the ramp's end comes when the lump is there.

    With so high a gain the power is at its limit from the start, T = T0 + P t/C. The program then moves at
    P/(C r) = 0.4 of its pace, which it does at a deviation of band + (1/2 - 0.4) WAIT, and its corner comes when
    T is that much below the end. Tolerance 1e-4 of the time; 1 s for the gain's own band of 0.1 K.
    """
    band, power, rate, rise = 15.0, 1e3, 0.25, 300.0
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    target = ([0.0, rise / rate, 1e4], [ROOM, ROOM + rise, ROOM + rise + 1.0])
    graph.controller(0, 0, gain=1e4, maximum=power, target=target, holdback=band)
    problem = graph.problem(ROOM)
    watch = Watch(problem, [Probe((0,)), Probe((1,))], [(1, rise / rate)])
    for step in steps(problem, 5000.0, Options(tolerance=1e-3)):
        watch.see(step)
    behind = band + (0.5 - power / C / rate) * WAIT
    exact = (rise - behind) * C / power
    record("holdback", "closed form", exact, watch.first(1, rise / rate), "s", tolerance=1e-4 * exact + 1.0)
    assert watch.balance_error < 1e-12
    assert max(np.array(watch.reading)[:, 0]) < ROOM + rise + 1.0


def test_switches_and_programs_side_by_side():
    """A contact that closes at a temperature while a program runs: both act, each at its own time.

    The lump lags the ramp by C r/K = 0.4 K, that is 1 s, and passes 500 K at 501 s.
    """
    graph = Graph()
    graph.cells([C, C], graph.material(material(1.0, 1.0)))
    contact = graph.contact(1e-6, 500.0)
    graph.faces(0, 1, 1.0, contact=contact)
    graph.controller(0, 0, gain=1e4, maximum=1e4, target=([0.0, 1000.0], [300.0, 700.0]))
    last = None
    for step in steps(graph.problem(300.0), 1500.0, switches=[Switch(Probe((0,)), 500.0, contact, 1)]):
        last = step
        assert (step.states[contact] == 1) == (step.end > 501.01)
        assert (step.states[1] == 1) == (step.end > 1000.01)
    assert last is not None
    assert last.T[:2] == pytest.approx([700.0, 700.0], abs=1.0)


@pytest.mark.parametrize(
    ("law", "word"),
    [
        ({"gain": 0.0}, "gain"),
        ({"maximum": 0.0}, "maximum"),
        ({"integral_time": 0.0}, "integral"),
        ({"derivative_time": -1.0}, "derivative"),
        ({"holdback": 0.0}, "holdback"),
        ({"target": ([0.0, 10.0], [300.0])}, "as many"),
        ({"target": ([10.0, 0.0], [300.0, 400.0])}, "decrease"),
        ({"target": ([0.0, np.inf], [300.0, 400.0])}, "finite"),
    ],
)
def test_what_cannot_control_is_refused(law, word):
    with pytest.raises(ProblemError, match=word):
        plant(ROOM, **({"gain": K, "maximum": MOST, "target": 400.0} | law))


def test_a_program_has_no_steady_state():
    with pytest.raises(ProblemError, match="program"):
        steady(plant(ROOM, gain=K, maximum=MOST, target=([0.0, 10.0], [300.0, 400.0])))


def test_a_sensor_reads_the_mean_of_its_cells_late(record):
    """Two lumps warmed evenly, 0.1 and 0.3 K/s: the reading lags their weighted mean, as r (t - lag (1 - e^(-t/lag))).

    One of them is on the border, as surroundings of the other would be. Tolerance 1e-5 of the rise. No heat is lost.
    """
    graph = Graph()
    graph.cells([C, C], graph.material(material(1.0, 1.0)))
    graph.boundary(0, 1.0, gas=graph.surroundings(1), film=0.0)
    graph.source([0, 1], [0.1 * C, 0.3 * C])
    sensor = graph.sensor([0, 1], [3.0, 1.0], 40.0)
    problem = graph.problem(ROOM)
    watch = Watch(problem, [Probe((problem.cell_of(sensor),))], [(0, ROOM + 30.0)])
    for step in steps(problem, 600.0, Options(tolerance=1e-4)):
        watch.see(step)
        exact = 0.15 * (step.end - 40.0 * (1.0 - np.exp(-step.end / 40.0)))
        assert step.T[2] - ROOM == pytest.approx(exact, abs=1e-5 * 90.0)
    late = brentq(lambda t: 0.15 * (t - 40.0 * (1.0 - np.exp(-t / 40.0))) - 30.0, 200.0, 400.0)
    record("sensor's lag", "closed form", late, watch.first(0, ROOM + 30.0), "s", tolerance=1e-4 * late)
    assert watch.balance_error < 1e-12


def test_control_by_a_late_sensor(record):
    """Plant, sensor and integral as a linear system, by matrix exponential. 1e-4 of the step of 20 K."""
    lag = 20.0
    heat = [-G / C, -K / C, K / C, K * RISE / C]
    matrix = np.array([heat, [1.0 / lag, -1.0 / lag, 0.0, 0.0], [0.0, -1.0 / TI, 0.0, RISE / TI], np.zeros(4)])
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    graph.boundary(0, 1.0, gas=graph.ambient(ROOM), film=G)
    sensor = graph.sensor(0, 1.0, lag)
    graph.controller(0, sensor, gain=K, maximum=MOST, target=BASE + RISE, integral_time=TI, feed=FEED)
    times = [10.0, 60.0, 200.0, 500.0]
    for t, T in zip(times, history(graph.problem(BASE), times, tolerance=1e-4), strict=True):
        exact = (expm(matrix * t) @ [0.0, 0.0, 0.0, 1.0])[0]
        record(f"PI, sensor {t:g} s", "matrix exponential", exact, T[0] - BASE, "K", tolerance=1e-4 * RISE)


def test_what_cannot_sense_is_refused():
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    for cells, weights, lag in (([], [], 1.0), ([0], [-1.0], 1.0), ([0], [1.0], 0.0), ([5], [1.0], 1.0)):
        with pytest.raises(ProblemError, match=r"sensor|cell"):
            graph.sensor(cells, weights, lag)
    with pytest.raises(ProblemError, match="sensor"):
        graph.controller(0, -9, gain=K, maximum=MOST, target=BASE)


def test_relay(record):
    """Limit cycle of a relay on a first-order plant without lag: exponentials between target - h and target + h.

    T goes to 300 + 6000/10 = 900 K with time constant C/G while on, to 300 K while off; the period is
    C/G (ln((900 - 690)/(900 - 710)) + ln((710 - 300)/(690 - 300))). Tolerance 1e-5 of it, amplitude 1e-3 K.
    """
    target, h, most, tau = 700.0, 10.0, 6e3, C / G
    low, high, top = target - h, target + h, ROOM + most / G
    watch = Watch(plant(ROOM, relay=True, maximum=most, target=target, hysteresis=h), CELL, [(0, target)])
    for step in steps(watch.problem, 12e3, Options(tolerance=1e-4)):
        watch.see(step)
    ups = np.array([p.time for p in watch.passings if p.upwards])
    on, off = tau * np.log((top - low) / (top - high)), tau * np.log((high - ROOM) / (low - ROOM))
    assert ups.size > 20
    record("relay, period", "closed form", on + off, np.mean(np.diff(ups)), "s", tolerance=1e-5 * (on + off))
    first = tau * np.log((top - ROOM) / (top - target))
    record("relay, first passing", "closed form", first, ups[0], "s", tolerance=1e-5 * first)
    settled = np.array(watch.reading)[np.array(watch.time) > ups[0], 0]
    record("relay, highest", "closed form", high, settled.max(), "K", tolerance=1e-3)
    record("relay, lowest", "closed form", low, settled[settled.argmax() :].min(), "K", tolerance=1e-3)
    # On for on/(on + off) of the time, which in a whole number of cycles gives what is lost; each step closes.
    assert watch.balance_error < 1e-10


def test_a_relay_follows_a_program_with_a_jump():
    """Lossless lump, 0.5 K/s while on: it follows a ramp of 0.1 K/s within its hysteresis, and a jump at full power."""
    graph = Graph()
    graph.cells(C, graph.material(material(1.0, 1.0)))
    graph.source(0, -0.2 * C)
    target = ([0.0, 1000.0, 1000.0, 2000.0], [300.0, 400.0, 500.0, 600.0])
    number = graph.relay(0, 0, maximum=0.7 * C, target=target, hysteresis=2.0)
    problem = graph.problem(300.0)
    watch = Watch(problem, [Probe((number,), "deviation"), Probe((0,))])
    for step in steps(problem, 3000.0, Options(tolerance=1e-3)):
        watch.see(step)
    time, (off, T) = np.array(watch.time), np.array(watch.reading).T
    assert np.all(np.abs(off[time < 999.9]) < 2.001)
    assert off[time > 1000.01].min() == pytest.approx(-100.0 - 2.0, abs=4.1)
    jump = (time > 1000.01) & (off < -2.1)
    assert np.diff(T[jump]) / np.diff(time[jump]) == pytest.approx(np.full(jump.sum() - 1, 0.5), rel=1e-6)
    assert np.all(np.abs(off[time > time[jump][-1] + 10.0]) < 2.001)
