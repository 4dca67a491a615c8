"""Further ends of intervals leave a material as it is."""

import numpy as np
import pytest

from brazesoak_solvers import material


def test_capacity_and_enthalpy_stay_what_they_are():
    """A jump, a peak and ends outside both tables; enthalpy differences to 1e-14."""
    solid = material([3e6, 4e6, 5e6, 4.5e6], 30.0, [300.0, 700.0, 700.0, 900.0], latent=((750.0, 760.0, 2e9),))
    at = np.array([200.0, 500.0, 700.0, 755.0, 1500.0])
    more = solid.with_corners(at)
    assert np.isin(at, more.temperature).all()
    assert np.isin(solid.temperature, more.temperature).all()
    where = np.searchsorted(more.temperature, solid.temperature)
    assert np.diff(more.enthalpy[where]) == pytest.approx(np.diff(solid.enthalpy), rel=1e-14)
    ends = more.capacity_left[0], more.capacity_right[0], more.capacity_left[-1], more.capacity_right[-1]
    assert ends == (3e6, 3e6, 4.5e6, 4.5e6)
    middle = np.searchsorted(more.temperature, 500.0)
    assert more.capacity_left[middle] == pytest.approx(3.5e6)
    assert solid.with_corners(solid.temperature[1:3]) is solid
