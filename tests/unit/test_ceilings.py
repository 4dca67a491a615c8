"""Each ceiling on made-up histories, against hand calculation and closed forms."""

from __future__ import annotations

from dataclasses import replace
from math import exp, sqrt

import numpy as np
import pytest
from scipy.special import exp1

from brazesoak.analysis.ceilings import (
    SCALE_CONSTANT,
    SCALE_ENERGY,
    SENSITISING,
    floor,
    flux_ceiling,
    passing,
    scale_ceiling,
    scale_thickness,
    sensitising_ceiling,
    solidus_ceiling,
    time_between,
    zinc_ceiling,
)
from brazesoak.answer import Placing, Window, told_once
from brazesoak_solvers.constants import GAS_CONSTANT

TIME = np.linspace(0.0, 1000.0, 1001)
RAMP = 300.0 + 0.8 * TIME
"""300 to 1100 K at 0.8 K/s."""
THERE_AND_BACK = np.concatenate((RAMP, RAMP[-2::-1]))
LONG = np.arange(THERE_AND_BACK.size, dtype=float)


def test_floor_is_the_slowest_joint_plus_the_wanted_time():
    joints = RAMP, RAMP - 80.0

    def done(*targets: float) -> float | None:
        return floor([passing(TIME, T, target) for T, target in zip(joints, targets, strict=True)], 60.0)

    assert done(940.0, 940.0) == pytest.approx(900.0 + 60.0)  # (940 - 220) / 0.8 = 900 s
    assert done(940.0, 1090.0) is None  # the second peaks at 1020 K
    assert floor([], 60.0) is None


def test_flux_zinc_and_solidus_by_hand():
    flux = flux_ceiling(TIME, RAMP, 860.0, 120.0, "seat", "trial")
    solid = solidus_ceiling(TIME, RAMP, 1150.0, 50.0, "boss")
    zinc = zinc_ceiling(TIME, RAMP, 900.0, 600.0, "seat")
    assert flux is not None
    assert flux.latest == pytest.approx(700.0 + 120.0)  # (860 - 300) / 0.8 = 700 s
    assert flux.source == "trial"
    assert solid is not None
    assert solid.latest == pytest.approx(1000.0)  # 1100 K
    assert zinc is not None
    assert zinc.latest == pytest.approx(750.0 + 600.0)  # (900 - 300) / 0.8 = 750 s
    assert solidus_ceiling(TIME, RAMP, 1151.0, 50.0, "boss") is None
    assert flux_ceiling(TIME, RAMP, 1101.0, 120.0, "seat", "trial") is None
    assert zinc_ceiling(TIME, RAMP, 1101.0, 120.0, "seat") is None


def test_a_window_that_crosses_says_what_would_work():
    flux = flux_ceiling(TIME, RAMP, 860.0, 120.0, "seat", "trial")
    assert flux is not None
    assert Window(820.0, 800.0, (flux,)).works
    crossed = Window(960.0, 900.0, (flux,))
    assert crossed.violated == (flux,)
    assert crossed.message.startswith("No hold works at this set-point: before all joints are done, the flux of")
    assert all(way in crossed.remedy for way in ("flux", "surfaces", "a hotter set-point", "ramp"))
    assert "sure to be long enough" in Window(960.0, 800.0, (flux,)).message  # the nominal heat keeps the limit
    assert "never comes" in Window(None, None, ()).message


def test_a_remedy_helps_for_the_limit_that_is_broken():
    """Zinc is lost under liquid filler: hotter is shorter. A part that melts wants it cooler. Both: neither."""
    zinc = zinc_ceiling(TIME, RAMP, 900.0, 600.0, "seat")
    solid = solidus_ceiling(TIME, RAMP, 1150.0, 50.0, "boss")
    assert zinc is not None
    assert solid is not None
    hotter = Window(1500.0, 1500.0, (zinc,)).remedy
    assert hotter.startswith("What would: a hotter set-point")
    assert not any(way in hotter for way in ("superheat", "lower"))
    cooler = Window(1500.0, 1500.0, (solid,)).remedy
    assert "a lower set-point" in cooler
    assert "hotter" not in cooler
    both = Window(1500.0, 1500.0, (solid, zinc)).remedy
    assert both.startswith("What would: a lower-melting filler")
    assert "a lower set-point or" not in both


def test_a_hold_from_the_thermocouple_may_keep_what_that_from_the_display_breaks():
    flux = flux_ceiling(TIME, RAMP, 860.0, 120.0, "seat", "trial")  # until 820 s
    assert flux is not None
    place = Placing("boss", "on it", 900.0, 700.0, 120.0, 0.0, 1.0, 0.0, 1.0, 10.0, 0.0, None, ())  # 700 + 120 s
    crossed = Window(960.0, 900.0, (flux,))
    assert crossed.kept_from(place)
    assert not crossed.kept_from(replace(place, hold=121.0))
    assert not crossed.kept_from(None)
    assert not Window(820.0, 800.0, (flux,)).kept_from(place)  # nothing is broken
    assert not Window(None, None, (flux,)).kept_from(place)


def test_scale_at_constant_temperature_is_the_parabola():
    k = SCALE_CONSTANT * exp(-SCALE_ENERGY / (GAS_CONSTANT * 1000.0))
    assert scale_thickness(TIME, np.full_like(TIME, 1000.0)) == pytest.approx(sqrt(k * 1000.0), rel=1e-12)


def test_scale_on_a_ramp_against_its_closed_form():
    """The integral of exp(-a/T) dT is T exp(-a/T) - a E1(a/T), E1 the exponential integral of scipy.special."""
    a = SCALE_ENERGY / GAS_CONSTANT
    whole = [T * exp(-a / T) - a * exp1(a / T) for T in (300.0, 1100.0)]
    squared = SCALE_CONSTANT * (whole[1] - whole[0]) / 0.8
    assert scale_thickness(TIME, RAMP) == pytest.approx(sqrt(squared), rel=1e-4)


def test_scale_against_a_measured_heat():
    """Materials 18 (2025) 2463, conclusions: 5 K/min to 1000 degC, 15 min, 5 K/min down; 401 um on average, porous."""
    up = np.linspace(293.15, 1273.15, 1961)
    T = np.concatenate((up, up[::-1]))
    time = np.concatenate((np.linspace(0.0, 11760.0, 1961), np.linspace(12660.0, 24420.0, 1961)))
    assert scale_thickness(time, T) == pytest.approx(401e-6, rel=0.12)


def test_scale_by_two_recalled_constants_agrees_to_the_stated_factor():
    """0.37 exp(-138 kJ/mol / RT) g2/(cm4 s) of oxygen (Kofstad 1966, from memory); wuestite holds 23 % oxygen by mass
    and weighs 5.7 g/cm3 (from memory). An hour at 700 and at 850 degC."""
    for T in (973.15, 1123.15):
        gained = sqrt(0.37 * exp(-138_000.0 / (GAS_CONSTANT * T)) * 3600.0) * 10.0  # kg/m2
        other = gained / (0.23 * 5700.0)
        assert 0.5 < scale_thickness(np.array([0.0, 3600.0]), np.array([T, T])) / other < 2.0


def test_scale_ceiling_at_constant_temperature():
    """x^2 = k t comes to x at t = x^2 / k; what the cooling adds is taken off before."""
    T = np.full_like(TIME, 1000.0)
    k = SCALE_CONSTANT * exp(-SCALE_ENERGY / (GAS_CONSTANT * 1000.0))
    found = scale_ceiling(TIME, T, 1000.0, sqrt(400.0 * k), "plate")
    early = scale_ceiling(TIME, T, 900.0, sqrt(400.0 * k), "plate")
    assert found is not None
    assert found.latest == pytest.approx(400.0)
    assert early is not None
    assert early.latest == pytest.approx(300.0)
    assert scale_ceiling(TIME, T, 1000.0, sqrt(1001.0 * k), "plate") is None


def test_time_in_the_sensitising_range_counts_both_ways():
    low, high = SENSITISING
    assert high > THERE_AND_BACK.max() - 15.0
    assert time_between(LONG, THERE_AND_BACK, 773.15, 1073.15) == pytest.approx(2.0 * 300.0 / 0.8)
    assert time_between(TIME, np.full_like(TIME, 900.0), low, high) == 1000.0
    assert time_between(TIME, np.full_like(TIME, low - 1.0), low, high) == 0.0


def test_sensitising_leaves_what_the_cooling_takes():
    """425 to 815 degC at 0.8 K/s is 487.5 s up and 487.5 s down; of 800 s, 312.5 s are left for the way up."""
    found = sensitising_ceiling(LONG, THERE_AND_BACK, 1000.0, 800.0, "pin")
    assert found is not None
    assert found.latest == pytest.approx((SENSITISING[0] - 300.0) / 0.8 + 312.5, abs=0.01)
    assert "304L" in found.remedy
    assert sensitising_ceiling(LONG, THERE_AND_BACK, 1000.0, 976.0, "pin") is None


@pytest.mark.parametrize(
    ("names", "told"),
    [
        ("a", 'the flux of "a" is spent; too cool'),
        ("ab", 'the flux of "a" and "b" is spent; too cool'),
        ("abc", 'the flux of "a", "b" and "c" is spent; too cool'),
        ("abcde", 'the flux of "a", "b" and 3 more is spent; too cool'),
    ],
)
def test_reasons_that_differ_in_a_name_are_told_as_one(names: str, told: str) -> None:
    assert "; ".join(told_once([*(f'the flux of "{n}" is spent' for n in names * 2), "too cool"])) == told


@pytest.mark.parametrize(
    ("seconds", "told"), [(10.0, "10 s"), (90.0, "90 s"), (60.0, "1 min"), (150.0, "2.5 min"), (1800.0, "30 min")]
)
def test_a_limit_is_told_in_the_unit_that_shows_it(seconds: float, told: str) -> None:
    ceiling = zinc_ceiling(np.array([0.0, 100.0]), np.array([900.0, 1000.0]), 950.0, seconds, "j")
    assert ceiling is not None
    assert f"loses zinc {told} after" in ceiling.reason
