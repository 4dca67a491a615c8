from dataclasses import replace
from functools import cache

from brazesoak.analysis import advice
from brazesoak.analysis.plan import Prepared
from brazesoak.bridge.simulate import Simulation, simulate

from .jobs import boss, joint, kelvin, plate, prepared


@cache
def run(parts: tuple[str, ...]) -> tuple[Prepared, Simulation]:
    job = prepared(*parts, program='loading = "hot"')
    return job, simulate(job.model(job.inputs), "network", lambda clock, last: last)


HEAVY = (
    plate(metal="AISI 304"),
    boss(metal="UNS C36000", surface="bright", diameter="60 mm", height="60 mm"),
    joint("boss", "plate", "seat"),
)


def test_the_slower_side_is_the_colder_one() -> None:
    job, found = run(HEAVY)
    passed = found.joints[0].target
    assert passed is not None
    assert advice.slower_side(job.assembly.joints[0], found, 0.5 * passed) == 1
    reason = advice.ruling_reason(job.assembly, found, 0)
    assert '"boss"' in reason
    assert "bright free-machining brass" in reason


def test_shade_is_named_where_it_is_the_cause() -> None:
    """The boss has most mass for its surface; the plate would, if nine tenths of the furnace were hidden from it."""
    job, found = run(HEAVY)
    plate_slow = replace(found, coldest=found.coldest[::-1])

    def reason(run: Simulation, *seen: float) -> str:
        return advice.ruling_reason(job.assembly, replace(run, discrete=replace(run.discrete, seen=seen)), 0)

    assert "hides" not in reason(found, 1.0, 0.95)
    assert "the most of all; what stands around it hides 30 % of the furnace" in reason(found, 1.0, 0.7)
    assert "the most of all where it sees the furnace; what stands around it hides 90 %" in reason(plate_slow, 0.1, 1.0)
    assert "and its joint waits for it" in reason(plate_slow, 1.0, 1.0)


def test_a_part_that_sees_nothing_of_the_furnace_is_slow_for_that() -> None:
    """A bush sunk in a closed hole."""
    job, found = run(HEAVY)
    blind = replace(found, discrete=replace(found.discrete, seen=(1.0, 0.0)))
    assert "hides 100 % of the furnace" in advice.ruling_reason(job.assembly, blind, 0)


def test_where_the_thermocouple_goes() -> None:
    job, found = run(HEAVY)
    text = advice.thermocouple(job.assembly, found, 0, kelvin(682.0), None)
    assert 'joint "seat"' in text
    assert "682" in text


def test_zinc_smoke_is_watched_for_only_where_there_is_zinc() -> None:
    with_brass = " ".join(advice.watch(*(run(HEAVY)[0].assembly, run(HEAVY)[1])))
    steel = (plate(), boss(), joint("boss", "plate"))
    without = " ".join(advice.watch(*(run(steel)[0].assembly, run(steel)[1])))
    assert "zinc" in with_brass
    assert "zinc" not in without
    assert "flux" in without  # that nothing is to be moved before it is solid is said with the cooling
