"""The formula of a step on y' = z y: stability and order, from its constants alone."""

import numpy as np
import pytest
from numpy.typing import NDArray

from brazesoak_solvers.kernels.trbdf2 import E0, E1, E2, STRAIGHT, WEIGHT, D, take_out

Complex = NDArray[np.complex128]


def growth(z: Complex, filters: int = 2) -> Complex:
    """Answer after one step from 1, with the embedded error filtered so often and taken out."""
    inner = (1.0 + D * z) / (1.0 - D * z)
    end = (1.0 + WEIGHT * z * (1.0 + inner)) / (1.0 - D * z)
    error = z * (E0 + E1 * inner + E2 * end)
    return np.asarray(end - error / (1.0 - D * z) ** filters)


SIZES = np.logspace(-3.0, 6.0, 2001)
ANGLES = np.linspace(0.5 * np.pi, np.pi, 46)


def test_nothing_that_decays_grows() -> None:
    """A-stable: |R| <= 1 on the imaginary axis and all over the left half-plane. L-stable: R falls like 1/z."""
    z = SIZES[None, :] * np.exp(1j * ANGLES[:, None])
    assert np.abs(growth(z)).max() <= 1.0 + 1e-12
    assert np.abs(growth(np.array([-1e6 + 0j])))[0] < 1e-6


@pytest.mark.parametrize(("filters", "limit"), [(0, 1e5), (1, 1.5)])
def test_fewer_filters_are_unstable(filters: int, limit: float) -> None:
    """Which is why there are two: with one, stiff cells would grow by 1.6 a step."""
    assert np.abs(growth(np.array([-1e6 + 0j]), filters))[0] > limit


def test_third_order() -> None:
    """R - exp z = C z^4: halving z divides it by 16, 5 % allowed; C as computed with z = -0.001: -0.01066."""
    z = np.array([-0.02, -0.01, -0.005], complex)
    error = (growth(z) - np.exp(z)).real
    assert error[:-1] / error[1:] == pytest.approx(16.0, rel=0.05)
    assert error[-1] / z[-1].real ** 4 == pytest.approx(-0.01066, rel=0.02)


def test_bounds_of_the_overshoot() -> None:
    """R falls to -0.045 on the negative axis: a first step of many Fourier numbers may overshoot a jump by so much,
    where TR-BDF2 by itself overshoots by 0.207."""
    assert growth(-SIZES.astype(complex)).real.min() == pytest.approx(-0.0445, abs=1e-4)


@pytest.mark.parametrize(("missing", "small", "taken"), [
    (0.5, 0.0, True), (0.99, 0.0, True), (1.01, 0.0, False), (1.01, 0.02, True), (3.0, 0.02, False),
    (np.nan, 1.0, False),
])  # fmt: skip
def test_the_error_is_taken_out_unless_the_linear_solver_left_too_much(
    missing: float, small: float, taken: bool
) -> None:
    """Two cells of 2 and 6 J/K, off by 0.1 K and -0.05 K: their sum is -0.1 J. `missing` is the even shift of both as a
    share of the most allowed, 0.01 K. Where the error is taken out the sum of the heat is as told, by hand."""
    V, c, z = np.array([1.0, 2.0]), np.array([2.0, 3.0]), np.array([0.1, -0.05])
    more = 0.1 + 8.0 * missing * STRAIGHT * 0.1
    H, rate = np.zeros(2), np.zeros(2)
    kernel = getattr(take_out, "py_func", take_out)
    assert kernel(V, c, 2, 1.0, z, z, more, 0.0, small, H, rate) == taken
    if taken:
        assert float(V @ H) == pytest.approx(more)
        assert H.tolist() == pytest.approx(c * (missing * STRAIGHT * 0.1 - z))
    else:
        assert H.tolist() == rate.tolist() == [0.0, 0.0]
