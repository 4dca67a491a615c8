"""Total exchange between grey, diffuse patches, with exact view factors."""

import numpy as np
import pytest

from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from brazesoak_solvers.errors import ProblemError
from brazesoak_solvers.exchange import (
    eliminate,
    irradiation,
    merge,
    net_heat,
    patch_irradiation,
    through_walls,
    total_exchange,
)

from .rooms import parallel, perpendicular

COLD, HOT = 600.0 + ZERO_CELSIUS, 1000.0 + ZERO_CELSIUS
DRIVE = STEFAN_BOLTZMANN * (HOT**4 - COLD**4)
SOURCE = "Incropera sec. 13.3"


def _cube() -> np.ndarray:
    """View factors of the six walls of a cube, opposite ones side by side: 0 and 1, 2 and 3, 4 and 5."""
    i, j = np.indices((6, 6))
    return np.where(i == j, 0.0, np.where(i // 2 == j // 2, parallel(1.0, 1.0), perpendicular(1.0, 1.0)))


def _some_enclosure(n: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """View factors and areas of an enclosure of n patches that see each other and themselves."""
    X = np.random.default_rng(seed).random((n, n))
    X += X.T
    return X / X.sum(axis=1, keepdims=True), X.sum(axis=1)


def test_load_inside_a_grey_enclosure(record):
    """J5a. 1 m2 of 0.8 at 600 degC inside 6 m2 of 0.4 at 1000 degC: 77348.1522943 W. Tolerance 1e-9."""
    exact = DRIVE / (0.6 / (0.4 * 6.0) + 1.0 + 0.2 / 0.8)
    assert exact == pytest.approx(77348.1522943, rel=1e-11)
    S = total_exchange([[0.0, 1.0], [1.0 / 6.0, 5.0 / 6.0]], [1.0, 6.0], [0.8, 0.4])
    q = net_heat(S, [COLD, HOT])
    record("J5a by exchange areas", SOURCE, exact, q[0], "W", tolerance=1e-9 * exact)
    assert S[0, 1] == pytest.approx(2.0 / 3.0, rel=1e-14)
    assert q.sum() == pytest.approx(0.0, abs=1e-9)


def test_parallel_plates_and_a_shield(record):
    """J5b. Plates of 0.8 and 0.4: 42189.9012514 W/m2; with a shield of 0.1: 5334.35533064. Tolerance 1e-9.

    The shield is two patches of one temperature that keep no heat.
    """
    exact = DRIVE / (1.0 / 0.8 + 1.0 / 0.4 - 1.0)
    shielded = DRIVE / (1.0 / 0.8 + 1.0 / 0.4 - 1.0 + 2.0 / 0.1 - 1.0)
    assert shielded == pytest.approx(5334.35533064, rel=1e-11)
    S = total_exchange([[0.0, 1.0], [1.0, 0.0]], [1.0, 1.0], [0.8, 0.4])
    record("J5b by exchange areas", SOURCE, exact, S[0, 1] * DRIVE, "W/m2", tolerance=1e-9 * exact)

    F = np.array([[0, 1, 0, 0], [1, 0, 0, 0], [0, 0, 0, 1], [0, 0, 1, 0]], float)
    S = merge(total_exchange(F, np.ones(4), [0.8, 0.1, 0.1, 0.4]), [0, 1, 1, 2])
    left, share = eliminate(S, [False, True, False])
    record("J5b shield eliminated", SOURCE, shielded, left[0, 1] * DRIVE, "W/m2", tolerance=1e-9 * shielded)
    T = (share[0] @ np.array([COLD, HOT]) ** 4) ** 0.25
    assert net_heat(S, [COLD, T, HOT]) == pytest.approx([shielded, 0.0, -shielded], abs=1e-8)


def test_cube_with_reradiating_walls(record):
    """J6. 1 m cube, floor 0.8 at 600 degC, top 0.4 at 1000 degC, side walls adiabatic: 33955.3080852 W.

    Series and parallel resistances (Incropera sec. 13.3, recalled). Tolerance 1e-8, as one patch and as four;
    walls of any emissivity eliminated, or of emissivity 0 from the start, are the same.
    """
    F = parallel(1.0, 1.0)
    through = F + 1.0 / (1.0 / (1.0 - F) + 1.0 / (1.0 - F))
    exact = DRIVE / (0.2 / 0.8 + 1.0 / through + 0.6 / 0.4)
    assert exact == pytest.approx(33955.3080852, rel=1e-11)
    adiabatic = np.arange(6) > 1
    for wall in (0.05, 0.7, 1.0):
        S = total_exchange(_cube(), np.ones(6), [0.8, 0.4, *4 * [wall]])
        for name, areas in (("four walls", S), ("one wall", merge(S, [0, 1, 2, 2, 2, 2]))):
            left, _ = eliminate(areas, adiabatic[: len(areas)])
            record(f"J6 {name} {wall:g}", SOURCE, exact, left[0, 1] * DRIVE, "W", tolerance=1e-8 * exact)
    S = total_exchange(_cube(), np.ones(6), [0.8, 0.4, 0, 0, 0, 0])
    record("J6 reflecting walls", SOURCE, exact, S[0, 1] * DRIVE, "W", tolerance=1e-8 * exact)
    # By symmetry of the view factors, the walls' emissive power is midway between both radiosities.
    e = np.array([COLD**4, HOT**4, 0, 0, 0, 0]) * STEFAN_BOLTZMANN
    low, high = e[0] + exact * 0.2 / 0.8, e[1] - exact * 0.6 / 0.4
    assert irradiation(_cube(), [0.8, 0.4, 0, 0, 0, 0])[2:] @ e == pytest.approx(4 * [0.5 * (low + high)], rel=1e-12)


@pytest.mark.parametrize("n", [1, 2, 7, 40])
def test_what_holds_in_any_enclosure(n):
    """Symmetric, rows sum to eps A, no area negative, heat sums to zero and flows from hot to cold: 1e-12."""
    F, A = _some_enclosure(n, seed=n)
    rng = np.random.default_rng(n)
    eps, T = rng.uniform(0.02, 1.0, n), rng.uniform(300.0, 1300.0, n)
    S = total_exchange(F, A, eps)
    assert np.array_equal(S, S.T)
    assert S.min() >= 0.0
    assert S.sum(axis=1) == pytest.approx(eps * A, rel=1e-12)
    q = net_heat(S, T)
    assert abs(q.sum()) <= 1e-12 * np.abs(q).sum() + 1e-12
    # Entropy that the heat carries out of the surfaces never falls: sum of q / T >= 0.
    assert np.sum(q / T) >= -1e-12 * np.abs(q / T).sum()
    assert q[np.argmax(T)] <= 0.0 <= q[np.argmin(T)]
    assert np.all(net_heat(S, np.full(n, 900.0)) == 0.0)


def test_black_patches_exchange_by_view_factors_alone():
    F, A = _some_enclosure(9, seed=3)
    assert total_exchange(F, A, np.ones(9)) == pytest.approx(A[:, None] * F, rel=1e-13)


def test_brighter_patches_exchange_less():
    """Each net exchange area through a two-patch cut falls when any emissivity falls."""
    F, A = _some_enclosure(5, seed=5)
    eps = np.full(5, 0.7)
    cut = np.array([True, True, False, False, False])
    before = total_exchange(F, A, eps)[np.ix_(cut, ~cut)].sum()
    for i in range(5):
        duller = np.where(np.arange(5) == i, 0.3, eps)
        assert total_exchange(F, A, duller)[np.ix_(cut, ~cut)].sum() < before


@pytest.mark.parametrize(
    ("F", "area", "emissivity"),
    [
        ([[0.0, 0.9], [1.0, 0.0]], [1.0, 1.0], [0.5, 0.5]),  # a row that leaks
        ([[0.0, 1.0], [1.0, 0.0]], [1.0, 2.0], [0.5, 0.5]),  # not reciprocal
        ([[0.0, 1.0], [1.0, 0.0]], [1.0, 1.0], [0.5, 1.5]),  # emissivity above 1
        ([[0.0, 1.0], [1.0, 0.0]], [1.0, 1.0], [0.0, 0.0]),  # nothing absorbs
        ([[0.0, 1.0], [1.0, 0.0]], [1.0], [0.5, 0.5]),  # areas missing
        ([[0.0, 1.0], [1.0, 0.0]], [1.0, 1.0], [0.5]),  # emissivities missing
    ],
)
def test_what_is_no_enclosure_is_refused(F, area, emissivity):
    with pytest.raises(ProblemError):
        total_exchange(F, area, emissivity)


def test_a_patch_that_exchanges_nothing_cannot_be_eliminated():
    S = total_exchange(_cube(), np.ones(6), [0.8, 0.4, 0.5, 0.5, 0.5, 0.0])
    with pytest.raises(ProblemError):
        eliminate(S, np.arange(6) == 5)


@pytest.mark.parametrize("enclosure", [-0.2, 0.0, 0.7])
def test_one_convex_patch_in_a_field_takes_up_by_its_own_resistance(enclosure: float) -> None:
    """q = (e_field - e) / (1/eps + enclosure), down to what of the field is the patch's own; exact, 1e-12.

    The network of A. K. Oppenheim, Trans. ASME 78 (1956) 725-735 (recalled), for one surface and its surroundings.
    """
    F = np.array([[0.0, 1.0], [0.1, 0.9]])
    eps = np.array([0.6])
    ((own, field),) = patch_irradiation(through_walls(F, enclosure), eps)
    assert own + field == pytest.approx(1.0, abs=1e-12)
    assert eps[0] * field == pytest.approx(1.0 / (1.0 / eps[0] + enclosure), abs=1e-12)
