"""How heats are sampled: which way is taken, what it costs in heats, and that the plan says so."""

import pytest

from brazesoak.analysis.percentiles import CHECKED, inputs_at, positions
from brazesoak.analysis.plan import make_plan, uncertain
from brazesoak.analysis.sampling import AFFORDABLE, COARSE_TOLERANCE, MOST_CELLS, Way, how_sure, way_of
from brazesoak.bridge.simulate import simulate
from brazesoak.errors import JobFileError
from brazesoak.thermal.model import Inputs

from .jobs import LIBRARY, boss, joint, plate, prepared, read

PARTS = plate(), boss(metal="UNS C36000", surface="bright"), joint("boss", "plate", "seat")
CHEAP = AFFORDABLE // 64


@pytest.mark.parametrize(
    ("wanted", "fidelity", "cells", "finer", "way"),
    [
        ("auto", "section", CHEAP, 4 * CHEAP, Way("section", 1, ("section", 2), 4.0 / 3.0)),
        ("auto", "section", CHEAP + 1, 4 * CHEAP, Way("network", 1, ("section", 2))),
        ("auto", "solid", CHEAP, 8 * CHEAP, Way("network", 1, ("solid", 2))),
        ("network", "section", 10, 40, Way("network", 1, ("section", 2))),
        ("network", "section", MOST_CELLS, 4 * MOST_CELLS, Way("network", 1, ("section", 1))),
        ("coarse", "section", MOST_CELLS, 4 * MOST_CELLS, Way("section", 1, ("section", 2), 4.0 / 3.0)),
        ("own", "section", 500, MOST_CELLS, Way("section", 2, ("section", 4), 4.0 / 3.0)),
        ("own", "section", 700, MOST_CELLS + 1, Way("section", 1, ("section", 2), 4.0 / 3.0)),
        ("own", "network", 2, 0, Way("network", 1, None)),
    ],
)
def test_which_way(wanted: str, fidelity: str, cells: int, finer: float, way: Way) -> None:
    assert way_of(wanted, fidelity, cells, finer, 64) == way


@pytest.mark.parametrize("wanted", ["network", "coarse", "own"])
def test_progress_counts_every_heat_and_ends_at_their_true_number(wanted: str) -> None:
    job = prepared(*PARTS, hold=f'sampled = "{wanted}"\nsamples = 32\nconfidence = 0.9')
    inputs, told = uncertain(job), list[tuple[str, float]]()
    _, found, _ = how_sure(job, "section", inputs, lambda what, share: told.append((what, share)))
    ends, corrected = 2 * len(inputs), wanted == "network"
    grids = {"network": 3, "coarse": 2, "own": 3}[wanted]  # each with its nominal heat
    total = grids + ends * (2 if corrected else 1) + 32 + CHECKED
    assert told[-1] == (f"how sure, heat {total} of {total}", 1.0)
    assert [share for _, share in told] == sorted(share for _, share in told)
    assert (found.by, found.need.size) == ("network" if corrected else "section axisymmetric", 32)
    assert found.cells < found.checked_on


def test_the_plan_says_how_its_heats_were_computed() -> None:
    job = read(*PARTS, hold='sampled = "coarse"\nsamples = 32\nconfidence = 0.9')
    p = make_plan(job, LIBRARY, fidelity="section")
    assert p.chances is not None
    assert p.chances.sampled_as == p.fidelity == "section axisymmetric"
    assert 2 < p.chances.cells < p.chances.checked_on
    assert p.chances.model_error is not None
    assert p.chances.model_error > 0.0
    lumped = make_plan(job, LIBRARY, fidelity="network").chances
    assert lumped is not None
    assert (lumped.sampled_as, lumped.cells, lumped.checked_on, lumped.model_error) == ("network", 2, 0, 0.0)


def test_heats_of_the_own_fidelity_are_those_that_a_single_run_gives() -> None:
    job = prepared(*PARTS, hold='sampled = "coarse"\nsamples = 32\nconfidence = 0.9')
    inputs, s = uncertain(job), job.settings
    _, found, heats = how_sure(job, "section", inputs, lambda what, share: None)
    assert heats.exact is heats.quick
    at = positions(len(inputs), 32)

    def late(x: Inputs) -> float:
        """From the clock's start to the last joint at its target [s]."""
        run = simulate(job.model(x), "section", lambda clock, last: last, fineness=1, tolerance=COARSE_TOLERANCE)
        return run.last_target - run.clock_start

    nominal = late(job.inputs)
    for n in (0, 7, 31):
        assert found.need[n] == pytest.approx(late(inputs_at(job.inputs, inputs, at[n])) - nominal, abs=0.5)
    assert s.sampled == "coarse"


def test_another_word_is_refused_with_those_there_are() -> None:
    with pytest.raises(JobFileError) as caught:
        read(*PARTS, hold='sampled = "fine"')
    (fault,) = caught.value.faults
    assert fault.key == "hold.sampled"
    assert all(word in fault.message for word in ("auto", "network", "coarse", "own"))
