"""Where to put the thermocouple: against closed forms of lumped bodies, and as a rule tried on heats."""

from math import exp, log, sqrt
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from brazesoak.analysis.percentiles import Heated, inputs_at, percentile, positions
from brazesoak.analysis.placing import (
    RANGE,
    Heats,
    HoldRule,
    find_place,
    misread,
    sampled_since,
)
from brazesoak.analysis.plan import make_plan
from brazesoak.analysis.readings import bead, levels, passings, since
from brazesoak.analysis.spread import Uncertain
from brazesoak.bridge.discretise import discretise
from brazesoak.bridge.simulate import simulate
from brazesoak.bridge.spots import Spot
from brazesoak.errors import TargetNotReachedError
from brazesoak.thermal.model import Inputs

from .jobs import LIBRARY, boss, joint, kelvin, plate, prepared, read

USE = Inputs(7.0)
CAPACITY = Uncertain(
    "mass and specific heat", Inputs(7.0, capacity_factor=0.8), Inputs(7.0, capacity_factor=1.25), "", "", ""
)
PARTS = (plate(), boss(metal="UNS C36000", surface="bright"), joint("boss", "plate", "seat"))


@pytest.mark.parametrize("time_constant", [5.0, 20.0, 60.0])
def test_a_bead_in_a_ramp_is_ramp_times_lag_behind(time_constant: float) -> None:
    """y = r (t - tau + tau exp(-t / tau)): Incropera and DeWitt, section 5.1 (recalled); exact for any step."""
    time, rate = np.array([0.0, 3.0, 50.0, 51.0, 400.0, 900.0]), 10.0 / 60.0
    shown = bead(time, 293.15 + rate * time, time_constant)
    exact = 293.15 + rate * (time - time_constant + time_constant * np.exp(-time / time_constant))
    assert shown == pytest.approx(exact, abs=1e-9)
    assert 293.15 + rate * 900.0 - shown[-1] == pytest.approx(rate * time_constant, rel=1e-6)


def test_a_bead_after_a_jump_and_one_without_lag() -> None:
    time = np.array([0.0, 0.0, 15.0, 40.0])
    T = np.array([300.0, 400.0, 400.0, 400.0])
    assert bead(time, T, 20.0)[2:] == pytest.approx([400.0 - 100.0 * exp(-15 / 20), 400.0 - 100.0 * exp(-2.0)])
    assert bead(time, T, 0.0) == pytest.approx(T)


def test_a_reading_passes_once_and_one_that_never_comes_is_none() -> None:
    time = np.array([0.0, 10.0, 20.0, 30.0])
    found = passings(time, np.array([300.0, 400.0, 390.0, 500.0]), np.array([350.0, 395.0, 450.0, 501.0]))
    assert found[:3] == pytest.approx([5.0, 9.5, 20.0 + 10.0 * 50.0 / 100.0], abs=1e-9)
    assert np.isnan(found[3])


def test_readings_are_round_and_lie_around_the_solidus() -> None:
    at = levels(kelvin(618.0), kelvin(727.0)) - 273.15
    assert at[0] == pytest.approx(520.0)
    assert at[-1] == pytest.approx(725.0)
    assert np.diff(at) == pytest.approx(5.0)


def test_a_thermocouple_that_is_off_in_a_steady_ramp() -> None:
    """It shows X when its place is X - e, e / r earlier or later; e triangular within 0.0075 t: the percentile of the
    triangle is 1 - sqrt(2 (1 - p)) (Johnson, Kotz and Balakrishnan, recalled)."""
    at = np.arange(600.0, 741.0, 5.0) + 273.15
    rate, target = 0.1, kelvin(700.0)
    rows = np.tile((target - at) / rate, (1024, 1))
    found = misread(rows, at)
    n = int(np.flatnonzero(at == kelvin(680.0))[0])
    off = (1.0 - sqrt(2.0 * 0.05)) * 0.0075 * 680.0 / rate
    for share, exact in zip(RANGE, (200.0 - off, 200.0 + off), strict=True):
        assert percentile(found[:, n], share) == pytest.approx(exact, abs=0.01 * off)
    assert np.isnan(found[:, 0]).any()  # what would be read below the lowest level is not known


def test_a_better_thermocouple_is_off_by_less_and_its_class_is_the_jobs() -> None:
    """IEC 60584-1: at 680 degC type K of class 1 is within 0.004 x 680 = 2.72 K, of class 2 within 5.1 K."""
    at, rate = np.arange(600.0, 741.0, 5.0) + 273.15, 0.1
    rows = np.tile((kelvin(700.0) - at) / rate, (1024, 1))
    n = int(np.flatnonzero(at == kelvin(680.0))[0])
    first, second = (misread(rows, at, kind)[:, n] for kind in ("K class 1", "K class 2"))
    assert np.abs(first - 200.0).max() == pytest.approx(2.72 / rate, rel=0.05)
    assert first.std() / second.std() == pytest.approx(2.72 / 5.1, rel=0.01)
    job = prepared(*PARTS, hold='thermocouple = "K class 1"')
    assert job.settings.load_thermocouple == "K class 1"
    assert "thermocouple on the load" not in {a.what for a in job.settings.assumptions}
    assert "thermocouple on the load" in {a.what for a in prepared(*PARTS).settings.assumptions}


class Lumps:
    """Two bodies of one temperature each in a constant film, 727 degC from 20; the joint waits for the heavy one.

    t = (C / hA) ln((T_f - T_0) / (T_f - T)), Incropera and DeWitt, section 5.1 (recalled). The capacity of the heavy
    one is uncertain, that of the light one known.
    """

    TARGET = kelvin(680.0)
    AT = levels(kelvin(650.0), kelvin(700.0))
    HEAVY, LIGHT = (0, "anywhere", None), (1, "anywhere", None)

    @staticmethod
    def time(T: Any, constant: float) -> Any:
        return constant * np.log(707.0 / (kelvin(727.0) - T))

    def heat(self, x: Inputs) -> Heated:
        heavy, light = 1500.0 * x.capacity_factor, 500.0
        last = float(self.time(self.TARGET, heavy))
        return Heated(
            last,
            (last,),
            {self.HEAVY: last - self.time(self.AT, heavy), self.LIGHT: last - self.time(self.AT, light)},
        )

    def run(self) -> Any:
        time = np.linspace(0.0, 6000.0, 6001)
        T = np.array([kelvin(727.0) - 707.0 * np.exp(-time / constant) for constant in (1500.0, 500.0)])
        spots = (Spot(0, "anywhere", None, 0), Spot(1, "anywhere", None, 1))
        return SimpleNamespace(
            time=time, spots=T, discrete=SimpleNamespace(spots=spots), last_target=self.heat(USE).need
        )


def test_the_place_with_the_joints_own_history_is_chosen() -> None:
    lumps = Lumps()
    heats = Heats(USE, [CAPACITY], lumps.heat, lumps.heat, 256)
    needs = np.array([lumps.heat(inputs_at(USE, [CAPACITY], at)).need for at in positions(1, 256)])
    job = prepared(*PARTS)
    rule = HoldRule(wanted=300.0, confidence=0.95, time_constant=0.0)
    found = find_place(job.assembly, lumps.run(), heats, needs, lumps.AT, lumps.TARGET, rule)
    assert found is not None
    assert found.segment == "plate"  # the first, heavy one
    assert [c.place for c in found.candidates] == ['anywhere on "plate"', 'anywhere on "boss"']
    assert found.high - found.low < 0.5 * (found.display_high - found.display_low)
    # Counted from the light one, whose own time is known, nothing is gained over counting from the start.
    light = found.candidates[1]
    assert light.high - light.low == pytest.approx(found.display_high - found.display_low, rel=0.05)
    assert found.hold >= found.high
    assert found.hold % 60.0 == pytest.approx(0.0, abs=1e-6)
    assert found.delay == pytest.approx(0.0, abs=1.0)
    assert found.behind == pytest.approx(0.0, abs=1e-6)
    exact = 1500.0 * log(707.0 / (727.0 - (found.reading - 273.15)))
    assert found.expected == pytest.approx(exact, abs=1.0)


def test_the_hold_from_a_reading_is_as_sure_as_that_from_the_display() -> None:
    """A model error that the correction at the ends does not see is added, and a heat that never arrives counts."""
    lumps, job = Lumps(), prepared(*PARTS)
    needs = np.array([lumps.heat(inputs_at(USE, [CAPACITY], at)).need for at in positions(1, 256)])
    seen = {USE, CAPACITY.low, CAPACITY.high}

    def exact(x: Inputs) -> Heated:
        found, late = lumps.heat(x), 0.0 if x in seen else 200.0
        return Heated(found.need + late, found.passings, {key: row + late for key, row in found.since.items()})

    def found(needs: Any, exact: Any) -> Any:
        heats = Heats(USE, [CAPACITY], lumps.heat, exact, 256, exact, 1.0, [200, 201, 202, 203])
        return find_place(job.assembly, lumps.run(), heats, needs, lumps.AT, lumps.TARGET, rule)

    rule = HoldRule(wanted=300.0, confidence=0.95, time_constant=0.0)
    plain = found(needs, lumps.heat)
    # 200 s more, each hold rounded up to a whole minute; the sampling error beside it adds some seconds at most.
    assert 180.0 - 1e-6 <= found(needs, exact).hold - plain.hold <= 240.0 + 1e-6
    # 12 heats of 256 without an end leave 95 of 100 nearly the longest of those that arrive.
    fewer = np.where(np.arange(256) % 23 == 0, np.inf, needs)
    assert np.isinf(fewer).sum() == 12
    some = found(fewer, lumps.heat)
    assert some.hold >= max(plain.hold, some.high)


def test_a_lag_delays_the_reading_and_the_rule_says_by_how_much() -> None:
    lumps = Lumps()
    heats = Heats(USE, [CAPACITY], lumps.heat, lumps.heat, 64)
    needs = np.full(64, 600.0)
    job = prepared(*PARTS)
    run = lumps.run()
    found = find_place(job.assembly, run, heats, needs, lumps.AT, lumps.TARGET, HoldRule(300.0, 0.95, 20.0))
    assert found is not None
    # Both decay to the same end, so what is shown lags by tau in time, nearly: exactly by the ratio of the modes.
    a, b = 1.0 / 1500.0, 1.0 / 20.0
    shown = b / (b - a)  # y = T_f - 707 shown exp(-a t), once exp(-b t) is gone
    gap = kelvin(727.0) - found.reading
    assert found.behind == pytest.approx(gap * (1.0 - 1.0 / shown), rel=1e-3)
    assert found.delay == pytest.approx(-1500.0 * log(shown), abs=1.0)


def test_a_heat_that_never_arrives_tells_nothing_and_spoils_nothing() -> None:
    lumps = Lumps()

    def heat(x: Inputs) -> Heated:
        if x.capacity_factor > 1.15:
            raise TargetNotReachedError("never", part="seat", reached=0.0, target=1.0)
        return lumps.heat(x)

    heats = Heats(USE, [CAPACITY], heat, heat, 64)
    rows = sampled_since(Lumps.HEAVY, lumps.heat(USE).since[Lumps.HEAVY], heats)
    late = np.array([inputs_at(USE, [CAPACITY], at).capacity_factor for at in positions(1, 64)]) > 1.15
    assert late.any()
    assert np.isnan(rows[late]).all()
    assert np.isfinite(rows[~late]).all()


def test_sampled_heats_are_those_of_the_network() -> None:
    """With the network as the plan's own fidelity the rule is tried on the heats themselves."""
    job = prepared(*PARTS)
    at = job.readings

    def heat(x: Inputs) -> Heated:
        run = simulate(job.model(x), "network", lambda clock, last: last, every=30.0)
        return Heated(run.last_target, (run.last_target,), since(run, at, 10.0))

    heats = Heats(job.inputs, [CAPACITY], heat, heat, 32)
    key = (1, "anywhere", None)
    rows = sampled_since(key, heat(job.inputs).since[key], heats)
    for n in (0, 7, 31):
        direct = heat(inputs_at(job.inputs, [CAPACITY], positions(1, 32)[n])).since[key]
        read = np.isfinite(direct) & np.isfinite(rows[n])
        assert read.sum() > 20
        assert rows[n][read] == pytest.approx(direct[read], abs=1e-6)


@pytest.mark.parametrize("fidelity", ["section", "solid"])
def test_places_on_a_grid_lie_where_they_say(fidelity: str) -> None:
    job = prepared(*PARTS)
    d = discretise(job.model(job.inputs), fidelity, 2)
    named = {s.key: s for s in d.spots}
    assert {k for b, k, _ in named if b == 1} == {"beside", "top", "side", "edge"}
    grid = d.planes[0]
    if fidelity == "section":
        x, y = (0.5 * (e[1:] + e[:-1]) for e in (grid.x_edges, grid.y_edges))
        where = {k: np.argwhere(grid.number == s.cell)[0] for k, s in named.items()}
        r, z = ({k: float(e[n[i]]) for k, n in where.items()} for i, e in ((0, x), (1, y)))
        top = (1, "top", None)
        assert (r[top], z[top]) == (x[0], y[-1])
        assert z[1, "side", None] == pytest.approx(0.021, abs=0.002)
        assert r[1, "side", None] == pytest.approx(0.02, abs=0.002)
        beside = (1, "beside", 0)
        assert r[beside] == pytest.approx(0.02, abs=0.002)
        assert z[beside] == pytest.approx(0.006, abs=0.003)
        assert r[0, "beside", 0] == pytest.approx(0.02, abs=0.003)
        assert r[0, "edge", None] == x[-1]
    assert all(np.isin(s.cell, d.cells[s.body]) for s in d.spots)


def test_counting_from_the_part_is_surer_in_an_uneven_furnace() -> None:
    plan = make_plan(read(*PARTS, furnace='name = "bench-kiln-3l"'), LIBRARY, fidelity="network")
    p = plan.placing
    assert p is not None
    assert p.high - p.low < 0.5 * (p.display_high - p.display_low)
    assert p.display_low <= plan.hold_time_nominal <= p.display_high
    assert p.hold >= p.high - 1e-6
    assert 'on "' in plan.thermocouple
    assert [c.high - c.low for c in p.candidates] == sorted(c.high - c.low for c in p.candidates)
    slow = make_plan(
        read(*PARTS, furnace='name = "bench-kiln-3l"', hold='thermocouple_lag = "2 min"'), LIBRARY, fidelity="network"
    ).placing
    assert slow is not None
    assert slow.behind > 5.0 * p.behind
