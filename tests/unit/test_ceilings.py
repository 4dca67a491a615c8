"""The hold's floor and ceilings on made-up histories, against hand calculation and closed forms."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
import pytest
from scipy.integrate import quad

from brazesoak.analysis.ceilings import (
    SCALE_CONSTANT,
    SCALE_ENERGY,
    SENSITISING,
    Window,
    floor,
    flux_ceiling,
    scale_thickness,
    solidus_ceiling,
    time_between,
)
from brazesoak_solvers.constants import GAS_CONSTANT

TIME = np.linspace(0.0, 1000.0, 1001)
RAMP = 300.0 + 0.8 * TIME
"""300 to 1100 K at 0.8 K/s."""


def test_floor_is_the_slowest_joint_plus_the_wanted_time():
    joints = np.array([RAMP, RAMP - 80.0])
    assert floor(TIME, joints, (940.0, 940.0), 60.0) == pytest.approx(900.0 + 60.0)  # (940 - 220) / 0.8 = 900 s
    assert floor(TIME, joints, (940.0, 1090.0), 60.0) is None  # the second peaks at 1020 K


def test_flux_and_solidus_by_hand():
    flux = flux_ceiling(TIME, RAMP, 860.0, 120.0)
    solid = solidus_ceiling(TIME, RAMP, 1150.0, 50.0)
    assert flux is not None
    assert flux.latest == pytest.approx(700.0 + 120.0)  # (860 - 300) / 0.8 = 700 s
    assert solid is not None
    assert solid.latest == pytest.approx(1000.0)  # 1100 K
    assert solidus_ceiling(TIME, RAMP, 1151.0, 50.0) is None


def test_a_window_that_crosses_says_what_would_work():
    flux = flux_ceiling(TIME, RAMP, 860.0, 120.0)
    assert flux is not None
    assert Window(820.0, (flux,)).works
    crossed = Window(960.0, (flux,))
    assert crossed.violated == (flux,)
    assert "another flux" in crossed.message
    assert "never reaches" in Window(None, ()).message


def test_scale_at_constant_temperature_is_the_parabola():
    k = SCALE_CONSTANT * exp(-SCALE_ENERGY / (GAS_CONSTANT * 1000.0))
    assert scale_thickness(TIME, np.full_like(TIME, 1000.0)) == pytest.approx(sqrt(k * 1000.0), rel=1e-12)


def test_scale_on_a_ramp_against_quadrature():
    rate = lambda t: SCALE_CONSTANT * exp(-SCALE_ENERGY / (GAS_CONSTANT * (300.0 + 0.8 * t)))  # noqa: E731
    squared, _ = quad(rate, 0.0, 1000.0, epsabs=0.0, epsrel=1e-10)
    assert scale_thickness(TIME, RAMP) == pytest.approx(sqrt(squared), rel=1e-4)


def test_time_in_the_sensitising_range_counts_both_ways():
    there_and_back = np.concatenate((RAMP, RAMP[-2::-1]))
    time = np.arange(there_and_back.size, dtype=float)
    assert time_between(time, there_and_back, *SENSITISING) == pytest.approx(2.0 * 300.0 / 0.8)
    assert time_between(TIME, np.full_like(TIME, 900.0), *SENSITISING) == 1000.0
