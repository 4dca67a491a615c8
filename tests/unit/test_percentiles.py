"""Percentiles against closed forms: monotone functions of one input, a body of one temperature in a constant film."""

from functools import partial
from math import exp, inf, log, sqrt

import numpy as np
import pytest

from brazesoak.analysis.percentiles import (
    CHECKED,
    Heated,
    Sample,
    checked,
    inputs_at,
    percentile,
    positions,
    sample,
    standard_error,
    what_to_measure,
)
from brazesoak.analysis.spread import Uncertain, uncertain_inputs
from brazesoak.bridge.simulate import grid_error
from brazesoak.errors import JobFileError, TargetNotReachedError
from brazesoak.thermal.model import Inputs

from .jobs import boss, joint, plate, read

USE = Inputs(7.0)
LIGHT, HEAVY = Inputs(7.0, capacity_factor=0.8), Inputs(7.0, capacity_factor=1.25)
CAPACITY = Uncertain("mass and specific heat", LIGHT, HEAVY, "", "", "")
FILM = Uncertain("convection film", Inputs(4.5), Inputs(10.0), "", "", "")


def triangular(share: float) -> float:
    """Quantile of the symmetrical triangle between -1 and 1. Source: Johnson, Kotz and Balakrishnan (recalled)."""
    return sqrt(2.0 * share) - 1.0 if share < 0.5 else 1.0 - sqrt(2.0 * (1.0 - share))


def lumped(x: Inputs) -> Heated:
    """Incropera and DeWitt, section 5.1 (recalled): t = (C / hA) ln((T_f - T_0) / (T_f - T)), from 20 to 680 in 727
    degC, C = 500 J/K, A = 0.02 m2."""
    passed = 500.0 * x.capacity_factor / (x.film * 0.02) * log((727.0 + x.offset - 20.0) / (727.0 + x.offset - 680.0))
    return Heated(passed, (passed,))


@pytest.mark.parametrize("share", [0.05, 0.5, 0.9, 0.95])
def test_lumped_body_of_uncertain_capacity(share: float) -> None:
    """The passing time is proportional to the capacity, 1.25^t with t triangular: its percentile is exact. 1024 points
    are within 1/1024 of the share, and up to 0.95 the time's slope against it is below 0.9 of the nominal time."""
    found = sample(USE, [CAPACITY], lumped, 1024)
    nominal = lumped(USE).need
    exact = nominal * 1.25 ** triangular(share)
    assert nominal + percentile(found.need, share) == pytest.approx(exact, abs=nominal * 0.9 / 1024)
    assert found.passings[:, 0] == pytest.approx(found.need)


@pytest.mark.parametrize("share", [0.5, 0.9, 0.95])
def test_lumped_body_of_lognormal_capacity(share: float) -> None:
    """Capacity lognormal, sigma 0.1: the percentile of the time is nominal exp(0.1 z). z: NIST/SEMATECH e-Handbook
    1.3.6.7.1 (recalled)."""
    z = {0.5: 0.0, 0.9: 1.281552, 0.95: 1.644854}[share]
    u = (np.arange(4096) + 0.5) / 4096
    from scipy.special import ndtri

    times = lumped(USE).need * np.exp(0.1 * ndtri(u))
    assert percentile(times, share) == pytest.approx(lumped(USE).need * exp(0.1 * z), rel=1e-4)


def test_a_falling_function_of_one_input_and_a_kink_at_its_use_value() -> None:
    """More film, less time: P95 of the time is its value at P5 of the film, on the low side, of another width."""
    found = sample(USE, [FILM], lumped, 1024)
    film = 7.0 + triangular(0.05) * -1.0 * (4.5 - 7.0)
    assert lumped(USE).need + percentile(found.need, 0.95) == pytest.approx(lumped(Inputs(film)).need, rel=2e-3)
    assert percentile(found.need, 0.5) == pytest.approx(0.0, abs=2e-3 * lumped(USE).need)


def test_more_samples_come_nearer_and_the_stated_error_covers_them() -> None:
    """Two inputs; the reference is a run of 16384 points. Three standard errors, of an estimate that errs on the large
    side."""
    reference = percentile(sample(USE, [CAPACITY, FILM], lumped, 16384).need, 0.95)
    off = []
    for n in (64, 1024):
        need = sample(USE, [CAPACITY, FILM], lumped, n).need
        off.append(abs(percentile(need, 0.95) - reference))
        assert off[-1] <= 3.0 * standard_error(need, 0.95)
    assert off[1] < off[0]


def test_standard_error_of_a_median_of_uniform_values() -> None:
    """1 / (2 sqrt(n)) for a uniform of width 1 (Kendall and Stuart, recalled); 15 %: its own scatter with 400 draws
    of 400 values."""
    values = np.random.default_rng(1).random(400)
    assert standard_error(values, 0.5) == pytest.approx(1.0 / (2.0 * sqrt(400)), rel=0.15)


def test_percentile_by_hand() -> None:
    """Four values stand for 1/8, 3/8, 5/8 and 7/8 (Hyndman and Fan 1996, definition 5)."""
    values = np.array([30.0, 10.0, 40.0, 20.0])
    assert percentile(values, 0.5) == 25.0
    assert percentile(values, 0.375) == 20.0
    assert percentile(values, 0.01) == 10.0
    assert percentile(np.array([10.0, 20.0, inf, inf]), 0.375) == 20.0
    assert percentile(np.array([10.0, 20.0, inf, inf]), 0.5) == inf


def test_positions_are_triangular_and_repeatable() -> None:
    """Variance 1/6 (JCGM 100:2008, 4.3.9, a^2 / 6)."""
    t = positions(7, 1024)
    assert t.min() >= -1.0
    assert t.max() <= 1.0
    assert t.mean(axis=0) == pytest.approx(np.zeros(7), abs=1e-3)
    assert t.var(axis=0) == pytest.approx(np.full(7, 1.0 / 6.0), rel=5e-3)
    assert np.array_equal(t, positions(7, 1024))
    assert not np.array_equal(t, positions(7, 1024, seed=1))


def test_inputs_of_one_kind_add_up() -> None:
    group = Uncertain("emissivity of a", Inputs(7.0, (("a", -1.0),)), Inputs(7.0, (("a", 1.0),)), "", "", "")
    all_of_them = uncertain_inputs(USE, [group], (4.5, 10.0), "f", (-28.0, 28.0), "u", 5.0, "s")
    found = inputs_at(USE, all_of_them, [-0.5, 0.5, -0.5, 1.0, 1.0, -1.0, 1.0])
    assert found == Inputs(8.5, (("a", -0.5),), 2.0, pytest.approx(0.95), -9.0, pytest.approx(1.1))  # type: ignore[arg-type]
    assert inputs_at(USE, all_of_them, [0.0] * 7) == Inputs(7.0, (("a", 0.0),))


def test_heats_that_never_arrive_count_as_infinite() -> None:
    def heat(x: Inputs) -> Heated:
        if x.film < 5.75:  # the half-way to the low end: 1/8 of a triangle
            raise TargetNotReachedError("never", part="a", reached=0.0, target=1.0)
        return lumped(x)

    found = sample(USE, [FILM], heat, 256)
    assert found.never == pytest.approx(0.125, abs=1.0 / 256)
    chances = found.chances(1000.0, {"a": 2000.0}, 0.95, "")
    by_share = {p.share: p for p in chances.percentiles}
    assert by_share[0.5].hold == pytest.approx(1000.0, rel=0.02)
    assert by_share[0.5].passes_target["a"] == pytest.approx(2000.0, rel=0.02)
    assert (by_share[0.9].hold, by_share[0.9].standard_error, by_share[0.9].passes_target) == (None, None, {"a": None})
    assert found.allowance(0.95) == found.need[np.isfinite(found.need)].max()


def test_what_the_network_leaves_out_is_put_right_at_the_ends_and_the_rest_is_told() -> None:
    """The other fidelity takes longer by 10 s at the low end of the film, in proportion: put right exactly. One with
    as much more for the square of the position is right at the end, and the rest, 10 (t - t^2), is told."""

    def more(x: Inputs, power: int) -> Heated:
        extra = 10.0 * (max(7.0 - x.film, 0.0) / 2.5) ** power
        return Heated(lumped(x).need + extra, (lumped(x).need + extra,))

    use = lumped(USE).need
    for power in (1, 2):
        better = partial(more, power=power)
        found = checked(sample(USE, [FILM], lumped, 64, better), USE, [FILM], better, 0.9)
        t = np.maximum(-positions(1, 64)[:, 0], 0.0)
        plain = sample(USE, [FILM], lumped, 64).need
        assert found.need == pytest.approx(plain + 10.0 * t)
        assert found.passings[:, 0] == pytest.approx(found.need)
        i = np.argsort(np.abs(found.need - percentile(found.need, 0.9)))[:CHECKED]
        left = sqrt(np.mean((10.0 * (t[i] - t[i] ** 2)) ** 2))
        assert left > 0.1
        assert found.model_error == pytest.approx(0.0 if power == 1 else left, abs=1e-9 * use)
    assert sample(USE, [CAPACITY], lumped, 32, lumped).model_error == 0.0


def test_the_error_of_a_grid_is_more_than_its_difference_to_a_finer_one() -> None:
    """A grid whose deviations are off by 8 % of the film's, one twice as fine by 2 %: of second order, so the error is
    4/3 of the difference (Roache 1994), and that is 8 % exactly."""

    def on_grid(x: Inputs, off: float) -> Heated:
        need = 1000.0 + (1.0 + off) * 100.0 * (7.0 - x.film)
        return Heated(need, (need,))

    coarse = sample(USE, [FILM], partial(on_grid, off=0.08), 64)
    found = checked(coarse, USE, [FILM], partial(on_grid, off=0.02), 0.9, grid_error("section"))
    near = coarse.around(0.9)
    assert len(near) == CHECKED
    exact = coarse.need[near] / 1.08
    assert found.model_error == pytest.approx(sqrt(np.mean((coarse.need[near] - exact) ** 2)), rel=1e-9)


def test_a_heat_near_the_recommendation_that_never_arrives_has_no_error_to_add() -> None:
    def never(x: Inputs) -> Heated:
        if x != USE:
            raise TargetNotReachedError("never", part="a", reached=0.0, target=1.0)
        return lumped(x)

    found = checked(sample(USE, [FILM], lumped, 64), USE, [FILM], never, 0.9)
    assert found.model_error is None
    need = np.concatenate((np.arange(2.0), np.full(62, inf)))
    assert Sample(need, need[:, None]).around(0.9) == [1, 0]


def test_the_margin_is_the_root_sum_of_squares_and_nothing_below_half_a_minute() -> None:
    """64 holds 0 to 6300 s, 100 s apart, bootstrap error e; with a model error of 400 s, sqrt(e^2 + 400^2)."""
    need = 100.0 * np.arange(64.0)
    error = standard_error(need, 0.5)
    assert Sample(need, need[:, None], 400.0).margin(0.5) == pytest.approx(sqrt(error**2 + 400.0**2))
    assert Sample(need, need[:, None], 400.0).recommended(0.5) == pytest.approx(3150.0 + sqrt(error**2 + 400.0**2))
    assert Sample(need, need[:, None], None).margin(0.5) == pytest.approx(error)
    even = np.full(64, 100.0)
    assert Sample(even, even[:, None], 29.0).margin(0.95) == 0.0
    assert Sample(even, even[:, None], 31.0).margin(0.95) == 31.0


def test_no_margin_can_be_given_for_what_never_arrives() -> None:
    need = np.concatenate((np.full(32, 100.0), np.full(32, inf)))
    assert Sample(need, need[:, None], None).margin(0.95) == 0.0


def test_percentiles_are_told_from_16_samples_on_to_all() -> None:
    need = np.arange(64.0)
    settling = Sample(need, need[:, None]).chances(0.0, {"a": 0.0}, 0.5, "").recommended.settling
    assert settling == ((16, 7.5), (32, 15.5), (64, 31.5))  # the median of 0 to n - 1


def test_a_percentile_with_too_few_samples_beyond_is_not_told() -> None:
    need = np.arange(32.0)
    chances = Sample(need, need[:, None]).chances(0.0, {"a": 0.0}, 0.9, "")
    assert [p.share for p in chances.percentiles] == [0.5, 0.9]
    assert chances.recommended.hold == pytest.approx(0.9 * 32 - 0.5)


PARTS = plate(), boss(), joint("boss", "plate", "1")


@pytest.mark.parametrize(
    ("hold", "message"),
    [
        ("confidence = 1.0", "not a confidence"),
        ("confidence = 0", "not a confidence"),
        ('confidence = "95 %"', "not a confidence"),
        ("samples = 100", "power of two"),
        ("samples = 64.0", "power of two"),
        ("confidence = 0.99", "set samples = 512, or a lower confidence"),
        ("samples = 32", "set samples = 64"),
    ],
)
def test_what_is_no_confidence_or_no_number_of_samples_is_refused(hold: str, message: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read(*PARTS, hold=hold)
    (fault,) = caught.value.faults
    assert message in fault.message
    assert fault.key == ("hold.samples" if "samples" in message or "power" in message else "hold.confidence")


def test_each_input_has_a_measurement() -> None:
    for one in uncertain_inputs(USE, [], (4.5, 10.0), "f", (-28.0, 28.0), "u", 5.0, "s"):
        assert what_to_measure(one.name).endswith(".")
    assert what_to_measure("emissivity of bright brass").startswith("Blacken the bright brass")
