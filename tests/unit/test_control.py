"""Controllers of a furnace in a job: what is asked for, what is told, and how each follows its program."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from brazesoak.analysis.control import controller
from brazesoak.bridge.discretise import discretise
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.errors import JobFileError
from brazesoak.parts.assembly import assemble
from brazesoak.thermal.control import Controller, proportional
from brazesoak.thermal.furnace import Chamber, Profile, Surroundings

from .jobs import LIBRARY, body, kelvin, lump, model, prepared, read

ROOM, HOT = kelvin(20.0), kelvin(730.0)
LUMP = Chamber(2000.0, 15000.0, 1.5, 0.3, 0.75, 30.0, 10.0)
"""power [W], heat capacity [J/K], loss [W/K], walls [m2], their emissivity, sensor [s], control band [K]; invented."""
PID = Controller("pid", 40.0, 480.0, 60.0, 3.0, None, "wall", None, 30.0)
RAMP = 12.0 / 60.0


def heat(control: Controller, rate: float = RAMP, hold: float = 1800.0, chamber: Chamber = LUMP) -> Simulation:
    """Two bodies heated at a rate [K/s] and held."""
    program = Profile(np.array([0.0, (HOT - ROOM) / rate]), np.array([ROOM, HOT]))
    surroundings = Surroundings(program, 7.0, replace(chamber, control=control), 5.0, ROOM)
    m = replace(model(body("a"), body("b"), start=20.0), surroundings=surroundings)
    return simulate(m, "network", lambda clock, last: max(clock, last) + hold)


def ends(run: Simulation) -> float:
    """Display less set-point at the end of the hold [K]."""
    return float(run.sensor[-1] - HOT)


def test_a_pid_overshoots_and_settles() -> None:
    run = heat(PID, hold=7200.0)
    assert 2.0 < run.overshoot < 20.0
    assert abs(ends(run)) < 0.5
    assert run.balance_error < 1e-9
    # Near the set-point within the clock's band from the clock's start on, but for the overshoot.
    assert np.min((run.sensor - run.program)[run.time >= run.clock_start]) > -5.1


def test_on_off_swings_about_the_set_point() -> None:
    # A lump that loses 1.5 W/K, a sensor 30 s late. The furnace warms by (P - loss)/C at most while on and cools by
    # loss/C while off, and its walls pass the switching point by the lag: hysteresis, and with it lag times rate,
    # bound the swing of the display, which is smaller than that of the walls.
    run = heat(replace(PID, mode="on-off"), hold=3600.0)
    settled = run.sensor[run.time > run.clock_start + 2400.0] - HOT
    up, down = (2000.0 - 1.5 * (HOT - ROOM)) / 15e3, 1.5 * (HOT - ROOM) / 15e3
    assert 3.0 < settled.max() < 3.0 + 30.0 * up
    assert -3.0 - 30.0 * down < settled.min() < -3.0
    assert abs(settled.mean()) < 2.0
    assert run.balance_error < 1e-9


def test_a_load_thermocouple_is_brought_to_the_set_point_and_its_furnace_beyond_it() -> None:
    # A wide band and a slow integral: the load follows its walls by many minutes, and what suits those would swing.
    slow_law = replace(PID, band=100.0, integral_time=3600.0)
    run = heat(replace(slow_law, body=0), hold=14400.0)
    assert ends(run) == pytest.approx(0.0, abs=1.0)
    # The display is the first body's temperature, late by the lag.
    late = np.interp(run.time - 30.0, run.time, run.coldest[0])
    slow = run.time > 1000.0
    assert run.sensor[slow] == pytest.approx(late[slow], abs=1.0)
    # While the load lags, the walls go beyond the set-point, so that all is quicker than with the sensor at the walls.
    assert run.last_target < heat(slow_law).last_target - 120.0


def test_a_sensor_beside_the_load_reads_half_of_each() -> None:
    own = replace(proportional(10.0, 30.0), place="load")
    d = discretise(replace(model(body("a"), body("b")), surroundings=_surroundings(own)), "network")
    c = d.problem.arrays.c
    assert c.place.tolist() == [d.furnace.sensed, *(int(n) for cells in d.cells for n in cells)]
    assert c.share == pytest.approx([0.5, 0.25, 0.25])
    run, at_wall = heat(own), heat(proportional(10.0, 30.0))
    assert run.last_target < at_wall.last_target  # it reads low while the load is colder, so the walls go higher


def _surroundings(control: Controller) -> Surroundings:
    return Surroundings(Profile(np.zeros(1), np.array([HOT])), 7.0, replace(LUMP, control=control), 5.0, ROOM)


def test_a_program_that_waits_keeps_the_band() -> None:
    # 40 K/min is more than the furnace can: the program stays within band + 1/2 K ahead of the display, and the last
    # ramp ends later by what the program had to wait: its own time at the end is the ramp's.
    fast = 40.0 / 60.0
    run = heat(replace(PID, holdback=15.0), rate=fast)
    behind = (run.program - run.sensor)[run.time <= run.clock_start]
    assert 14.0 < behind.max() < 15.6
    assert run.clock_start > (HOT - ROOM) / fast + 600.0
    rising = run.time <= run.clock_start
    corner = float(np.interp(HOT - 15.0, run.sensor[rising], run.time[rising]))
    assert run.waited == pytest.approx(corner - (HOT - ROOM) / fast, abs=30.0)
    free = heat(PID, rate=fast)
    assert (free.program - free.sensor).max() > 100.0
    # The power is at its limit most of the way in both: waiting costs little.
    assert run.clock_start == pytest.approx(free.clock_start, rel=0.15)


def test_the_clock_starts_by_the_display_whatever_its_error() -> None:
    # The display reads 10 K too high: it shows the set-point's band when the walls are 10 K below.
    run = heat(PID)
    off = _with_offset(-10.0)
    for found in (run, off):
        assert np.interp(found.clock_start, found.time, found.sensor) == pytest.approx(HOT - 5.0, abs=0.2)
    assert np.max(run.hottest) - np.max(off.hottest) == pytest.approx(10.0, abs=1.0)


def _with_offset(offset: float) -> Simulation:
    program = Profile(np.array([0.0, (HOT - ROOM) / RAMP]), np.array([ROOM, HOT]))
    surroundings = Surroundings(program, 7.0, replace(LUMP, control=PID), 5.0, ROOM, offset)
    m = replace(model(body("a"), body("b"), start=20.0), surroundings=surroundings)
    return simulate(m, "network", lambda clock, last: max(clock, last) + 1800.0)


PARTS = lump("a", "AISI 304"), lump("b"), '[[joint]]\nname = "j"\nbetween = ["a", "b"]\narea = "6 cm2"\n'


@cache
def settled(control: str):  # type: ignore[no-untyped-def]
    furnace = f'name = "bench-kiln-10l"\ncontrol = {{ {control} }}'
    return prepared(*PARTS, furnace=furnace, program='set_point = "730 degC"', fidelity="network").settings


@pytest.mark.parametrize(
    ("control", "said"),
    [
        ("", "proportional, full power 30 K below"),
        ('mode = "pid", band = "25 K"', "PID, full power 25 K below the program and further, integral 8 min"),
        ('mode = "on-off", hysteresis = "4 K"', "on-off, on 4 K below the program and off 4 K above it"),
        ('holdback = "15 K"', "the program waits while the display is more than 15 K below it"),
        ('control_on = "b"', 'goes by a thermocouple in "b"'),
        ('sensor_place = "load", sensor_offset = "-4 K"', "beside the load, half of which it sees, which reads -4 K"),
    ],
)
def test_the_controller_is_told_in_one_sentence(control: str, said: str) -> None:
    (note,) = (a for a in settled(control).assumptions if a.what == "controller")
    assert said in note.value
    assert note.why


def test_a_load_thermocouple_does_not_take_the_unevenness_away_and_says_so() -> None:
    notes = [a for a in settled('control_on = "b"').assumptions if a.what == "evenness of the furnace"]
    assert len(notes) == 1
    assert not any(a.what == "evenness of the furnace" for a in settled("").assumptions)


def test_figures_of_the_job_reach_the_model() -> None:
    s = settled('mode = "pid", band = "25 K", derivative_time = "0 s", holdback = "15 K", clock_band = "3 K"')
    c = s.surroundings.chamber.controller
    assert (c.mode, c.band, c.integral_time, c.derivative_time, c.holdback) == ("pid", 25.0, 480.0, 0.0, 15.0)
    assert s.surroundings.clock_band == 3.0
    assert settled('sensor_offset = "4 K"').surroundings.offset == -4.0


def test_a_program_that_waits_within_the_hysteresis_would_never_heat() -> None:
    with pytest.raises(JobFileError, match="holdback 5 K or more"):
        settled('mode = "on-off", hysteresis = "5 K", holdback = "4 K"')
    least = settled('mode = "on-off", hysteresis = "5 K", holdback = "5 K"').surroundings.chamber.controller
    run = heat(replace(least, lag=30.0), hold=600.0)
    assert run.joints[0].target is not None
    assert run.waited > 0.0


@pytest.mark.parametrize(
    ("control", "key", "said"),
    [
        ('hysteresis = "3 K"', "hysteresis", 'set mode = "on-off"'),
        ('mode = "on-off", band = "3 K"', "band", 'set mode = "proportional" or "pid"'),
        ('integral_time = "3 min"', "integral_time", 'set mode = "pid"'),
        ('control_on = "c"', "control_on", 'give one of "furnace", "a", "b"'),
        ('control_on = "a", sensor_place = "wall"', "sensor_place", "remove one of the two"),
        ('holdback = "0 K"', "holdback", "at least 0.1 K"),
        ('mode = "bang-bang"', "mode", "on-off"),
    ],
)
def test_what_says_nothing_is_refused(control: str, key: str, said: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read(*PARTS, furnace=f'name = "bench-kiln-10l"\ncontrol = {{ {control} }}')
    (fault,) = caught.value.faults
    assert fault.key == f"furnace.control.{key}"
    assert said in fault.message


def test_a_furnace_s_file_that_does_not_say_is_asked_for() -> None:
    r = read(*PARTS, furnace='name = "bench-kiln-10l"\ncontrol = { mode = "pid", band = "20 K" }')
    (furnace,) = (f for f in LIBRARY.furnaces if f.id == "bench-kiln-10l")
    parts = assemble(r, LIBRARY)
    with pytest.raises(JobFileError) as caught:
        controller(r, replace(furnace, integral_time=None), parts)
    (fault,) = caught.value.faults
    assert fault.key == "furnace.control.integral_time"
    assert 'integral_time = "8 min"' in fault.message
    assert controller(r, furnace, parts).integral_time == 480.0


def test_an_ideal_furnace_has_no_controller_and_says_so() -> None:
    s = prepared(*PARTS, furnace='name = "ideal"\ncontrol = { mode = "pid", clock_band = "3 K" }').settings
    assert [a.what for a in s.assumptions if a.what.startswith("furnace.control")] == [
        "furnace.control.mode of the job file"
    ]
    assert not any(a.what == "controller" for a in s.assumptions)
