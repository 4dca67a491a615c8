"""Five programs side by side: their figures against the plan's, against curves read another way, and by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from brazesoak.analysis.ceilings import SENSITISING, time_between
from brazesoak.analysis.limits import largest_across
from brazesoak.analysis.plan import make_plan
from brazesoak.analysis.strategies import EVEN, compare_programs, evening_temperature
from brazesoak.parts.assembly import assemble
from brazesoak.plots.programs import figure_programs
from brazesoak.plots.style import svg_text
from brazesoak.programs import OWN, Compared, Leg, Outcome, Program
from brazesoak.report.format import minutes, temperature_text
from brazesoak.report.programs_json import compared_json_text
from brazesoak.report.programs_text import compared_text, program_sentence
from brazesoak.report.wording import STAND

from .jobs import LIBRARY, boss, joint, kelvin, plate, read

KILN = 'name = "bench-kiln-3l"'
PARTS = (plate(), boss(metal="UNS C36000", surface="bright"), joint("boss", "plate", "seat"))
NAMES = ["straight ramp", "even out, then quickly", "loaded hot", "full power", OWN]


@cache
def compared(
    fidelity: str = "network", furnace: str = KILN, filler: str = "BAg-7", program: str = "", limits: str = ""
) -> Compared:
    job = read(*PARTS, furnace=furnace, filler=filler, program=program, limits=limits)
    return compare_programs(job, LIBRARY, fidelity)


def outcome(name: str, found: Compared) -> Outcome:
    found_outcome = next(t.outcome for t in found.tried if t.name == name)
    assert found_outcome is not None
    return found_outcome


@pytest.mark.parametrize("kept", [False, True])
def test_the_own_program_breaks_just_what_its_plan_breaks(kept: bool) -> None:
    """Plain 304: by the end of the hold the plate has been in its sensitising range for less than is allowed; only the
    cooling makes it too long, of the own program as of the others."""
    parts = (plate(metal="AISI 304"), *PARTS[1:])
    free = compare_programs(read(*parts, furnace=KILN), LIBRARY, "network")
    h, end = free.plan.histories, free.plan.hold_end
    heated = h.time <= end
    by_end = time_between(h.time[heated], h.segment_hottest[0, heated], *SENSITISING)
    cooled = time_between(h.time, h.segment_hottest[0], *SENSITISING)
    assert cooled > by_end + 600.0
    most = cooled + 60.0 if kept else 0.5 * (by_end + cooled)
    limits = f'sensitisation = "{most} s"'
    found = compare_programs(read(*parts, furnace=KILN, limits=limits), LIBRARY, "network")
    assert found.plan.window is not None
    planned = {(c.name, c.reason) for c in found.plan.window.violated}
    assert {(b.name, b.reason) for b in outcome(OWN, found).broken} == planned
    assert {name for name, _ in planned} == (set() if kept else {"sensitisation"})
    # The straight ramp is the own program, without a cooling of its own.
    straight, own = outcome(NAMES[0], found), outcome(OWN, found)
    assert straight.sensitising == pytest.approx(own.sensitising, abs=5.0)
    assert [b.name for b in straight.broken] == [b.name for b in own.broken]


@pytest.mark.parametrize("fidelity", ["network", "section"])
def test_the_users_own_is_the_plan(fidelity: str) -> None:
    found, p = compared(fidelity), make_plan(read(*PARTS, furnace=KILN), LIBRARY, fidelity=fidelity)
    assert [t.name for t in found.tried] == NAMES
    own = outcome(OWN, found)
    assert (own.total, own.hold, own.heater) == pytest.approx((p.hold_end, p.hold_time, p.energy.heater))
    for a, b in zip(own.joints, p.joints, strict=True):
        assert (a.flux, a.between) == pytest.approx((b.flux_time, b.time_between_solidus_and_liquidus))
    assert (own.within is None) == (fidelity == "network")


def test_a_job_that_is_a_straight_ramp_is_its_own_straight_ramp() -> None:
    straight, own = outcome("straight ramp", compared()), outcome(OWN, compared())
    assert straight.total == pytest.approx(own.total, abs=1.0)
    assert straight.across == pytest.approx(own.across, abs=0.5)  # kept at other times: steps differ by the cooling


def test_what_the_trade_says_of_the_strategies() -> None:
    """Common practice, no source: evening out spares the flux, speed strains the load, hot loading most of all."""
    o = {name: outcome(name, compared("section")) for name in NAMES}
    assert o["even out, then quickly"].flux < o["straight ramp"].flux
    assert o["even out, then quickly"].joints[0].between < o["straight ramp"].joints[0].between
    assert o["loaded hot"].total < o["full power"].total < o["straight ramp"].total
    assert o["loaded hot"].difference > o["full power"].difference > o["straight ramp"].difference


def test_a_cold_job_tried_hot_opens_its_door() -> None:
    shut, open_ = (outcome(NAMES[2], compared(program=f'door_open = "{s} s"')) for s in (0, 300))
    assert open_.total > shut.total + 60.0


def test_evening_out_ends_even_and_before_the_flux_works() -> None:
    found = compared()
    (leg, top) = next(t for t in found.tried if t.name == NAMES[1]).program.legs
    assembly = assemble(read(*PARTS, furnace=KILN), LIBRARY)
    assert leg.to == evening_temperature(assembly) == pytest.approx(kelvin(535.0))  # BAg-7: 618 - 80 = 538 degC
    assert top.rate is None
    o = outcome(NAMES[1], found)
    assert leg.rate is not None
    end = (leg.to - kelvin(20.0)) / leg.rate + leg.hold
    spread = np.interp(end, o.curves.time, o.curves.hottest - o.curves.coldest)
    assert spread <= EVEN + 1.0
    assert np.interp(end, o.curves.time, o.curves.hottest) < kelvin(565.0)  # the clock of FB3-C


def test_flux_and_difference_against_the_curves() -> None:
    """Read from the curves for the figure: a network's hottest point of the only joint is the hottest of the load."""
    for name in NAMES:
        o = outcome(name, compared())
        rising = np.maximum.accumulate(o.curves.hottest)
        began = float(np.interp(kelvin(565.0), rising, o.curves.time))
        assert o.flux == pytest.approx(o.total - began, abs=2.0)
        assert o.across == pytest.approx(float((o.curves.hottest - o.curves.coldest).max()), abs=0.01)


def test_differences_between_bodies_by_hand() -> None:
    coldest = np.array([[300.0, 400.0], [300.0, 350.0], [300.0, 500.0]])
    hottest = np.array([[300.0, 460.0], [300.0, 355.0], [300.0, 590.0]])
    assert largest_across(coldest, hottest) == 590.0 - 350.0
    assert largest_across(coldest[:2], hottest[:2]) == 460.0 - 350.0


@pytest.mark.parametrize("name", NAMES[:4])
def test_the_hold_is_nearly_that_of_a_plan_of_its_own(name: str) -> None:
    """The allowance comes from one heat instead of 64. On the examples and all four strategies the holds differ by
    2 min at most (28 plans, 2026-11-25); so they may here."""
    program = next(t.program for t in compared("section").tried if t.name == name)
    lines = []
    if program.hot:
        lines.append('loading = "hot"')
    else:
        rates = [leg.rate or 100.0 / 60.0 for leg in program.legs]
        lines.append(f'ramp = "{rates[-1] * 60.0} K/min"')
        steps = [
            f'{{ to = "{leg.to} K", ramp = "{rate * 60.0} K/min", hold = "{leg.hold} s" }}'
            for leg, rate in zip(program.legs[:-1], rates, strict=False)
        ]
        lines.append(f"steps = [{', '.join(steps)}]")
    p = make_plan(read(*PARTS, furnace=KILN, program="\n".join(lines)), LIBRARY, fidelity="section")
    assert outcome(name, compared("section")).hold == pytest.approx(p.hold_time, abs=121.0)


def test_a_filler_of_wide_range_breaks_its_limit_when_heated_slowly() -> None:
    """BAg-24 melts over 47 K; through it at 4 K/min takes more than the 5 min of the check `liquation`."""
    found = compared(filler="BAg-24", program='ramp = "4 K/min"')
    own = next(t for t in found.tried if t.name == OWN)
    assert own.outcome is not None
    (broken,) = [b for b in own.outcome.broken if b.name == "liquation"]
    assert broken.over == pytest.approx(own.outcome.joints[0].between - 300.0)
    assert not own.works
    assert "liquation" in compared_text(found)
    quick = next(t for t in found.tried if t.name == "full power")
    assert quick.works


def test_limits_of_the_users_own_are_kept_to() -> None:
    """A difference between what the straight ramp and hot loading come to, and a flux life likewise."""
    free = compared("section")
    gentle, harsh = outcome("straight ramp", free), outcome("loaded hot", free)
    most = 0.5 * (gentle.difference + harsh.difference)
    found = compared("section", limits=f'difference = "{most} K"')
    assert not any(b.name == "difference" for b in outcome("straight ramp", found).broken)
    (broken,) = [b for b in outcome("loaded hot", found).broken if b.name == "difference"]
    assert broken.over == pytest.approx(harsh.difference - most)
    assert not broken.is_time
    life = gentle.flux - 60.0
    found = compared("section", limits=f'flux = "{life} s"')
    (broken,) = [b for b in outcome("straight ramp", found).broken if b.name == "flux"]
    assert broken.over == pytest.approx(60.0, abs=0.5)


def test_the_plan_warns_of_a_difference_larger_than_allowed() -> None:
    own = outcome(OWN, compared())
    for most, warned in ((own.difference - 1.0, True), (own.difference + 1.0, False)):
        p = make_plan(read(*PARTS, furnace=KILN, limits=f'difference = "{most} K"'), LIBRARY, fidelity="network")
        assert ("uneven" in {w.code for w in p.warnings}) == warned


def test_an_ideal_furnace_goes_no_faster_than_real_ones() -> None:
    found = compared(furnace='name = "ideal"')
    quick = outcome("full power", found)
    steepest = max(
        (T1 - T0) / (t1 - t0)
        for (t0, T0), (t1, T1) in pairwise(zip(quick.curves.time, quick.curves.shown, strict=True))
        if t1 > t0
    )
    assert steepest * 60.0 == pytest.approx(25.0, rel=1e-6)
    assert quick.heater is None


def test_text_json_and_figure_tell_the_same() -> None:
    found = compared()
    text, data = compared_text(found), json.loads(compared_json_text(found))
    assert [p["name"] for p in data["programs"]] == NAMES
    for t, p in zip(found.tried, data["programs"], strict=True):
        assert t.outcome is not None
        assert p["heat"]["total_min"] == pytest.approx(t.outcome.total / 60.0)
        assert p["works"] == t.works
    assert found.shortest is not None
    assert data["shortest"] == found.shortest.name
    assert f"Shortest within the limits: {found.shortest.name}" in text
    alone = replace(found, tried=tuple(t for t in found.tried if t.name == found.shortest.name))
    assert "No other of them does; in it two places differ by up to" in " ".join(compared_text(alone).split())
    assert "No other of them does" not in " ".join(text.split())
    assert "CAUTIONS" in text
    assert "Safety data sheets, local codes" in text
    assert {c["hazard"] for c in data["cautions"]} == {c.hazard for c in found.plan.cautions}
    assert max(len(line) for line in text.splitlines()) <= 100
    assert svg_text(figure_programs(found)) == svg_text(figure_programs(found))


def test_a_ramp_that_is_not_kept_is_told_with_its_time_and_what_is_left_of_its_hold() -> None:
    """By hand from the curve: at full power to 535 degC, 35 min later on to the set-point."""
    heat = outcome("full power", compared())
    time, shown = 60.0 * np.arange(101.0), kelvin(20.0) + 10.0 * np.arange(101.0)
    curves = replace(heat.curves, time=time, shown=shown)
    program = Program((Leg(kelvin(535.0), None, 2100.0), Leg(kelvin(750.0), 55.0 / 60.0, 0.0)))
    told = program_sentence(program, replace(heat, curves=curves, takes=(1200.0, 900.0), rests=(1140.0, None)))
    assert told == (
        "As fast as the furnace can to 535 °C, about 20 min, hold 19 min from there, then as fast as the furnace can "
        "(key in 55 °C/min) to 750 °C, about 15 min"
    )
    kept = program_sentence(program, replace(heat, curves=curves, takes=(1200.0, 240.0), rests=(1140.0, None)))
    assert kept.endswith("then at 55 °C/min to 750 °C")
    assert program_sentence(program) == "As fast as the furnace can to 535 °C, hold 35 min, then at 55 °C/min to 750 °C"


def test_real_ramps_take_as_long_as_the_clock_needs() -> None:
    for name in ("straight ramp", "full power"):
        o = outcome(name, compared())
        assert o.takes == (pytest.approx(o.clock_start, abs=90.0),)
        assert o.rests == (None,)
    assert outcome("loaded hot", compared()).takes == ()


def test_loaded_hot_counts_the_heat_of_the_empty_furnace_beside_its_total() -> None:
    found = compared()
    o, text = outcome("loaded hot", found), " ".join(compared_text(found).split())
    assert o.before is not None
    assert o.before_heat == pytest.approx(1200.0 * o.before)
    on = minutes(o.before + STAND + o.total)
    assert f"to {temperature_text(found.plan.set_point)}, and an hour there until its lining is hot through" in text
    assert f": about {on} from switching on." in text
    if found.shortest is not None and found.shortest.program.hot:
        assert f"from when the door closes, {on} from switching on; loaded cold: full power, " in text
