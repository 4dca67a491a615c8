"""The shortest program: against brute force on a grid, inside every limit, typed in again, and when there is none."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brazesoak.analysis.best_program import best_program, impossible_limits, is_safer, worth_telling
from brazesoak.analysis.plan import compute, make_plan, prepare
from brazesoak.analysis.program_search import front
from brazesoak.analysis.program_space import FASTEST, SLOWEST, Space, space_of
from brazesoak.analysis.sampling import COARSE_TOLERANCE
from brazesoak.analysis.set_points import NOT_SURE
from brazesoak.analysis.trial import FULL, Trial, new_trial
from brazesoak.answer import ProgramStep
from brazesoak.cli.main import main
from brazesoak.errors import SimulationError
from brazesoak.jobfile.read import ReadJob, read_job_text
from brazesoak.plots.best import figure_best
from brazesoak.plots.style import svg_text
from brazesoak.programs import Broken, Found, Leg, Outcome, Program, Tried
from brazesoak.report.best_json import best_json_text
from brazesoak.report.best_text import NONE, NONE_COLD, best_text, hot_sentence, job_lines, told
from brazesoak.report.format import minutes
from brazesoak.report.wording import STAND

from .jobs import LIBRARY, boss, job, joint, kelvin, plate

KILN = 'name = "bench-kiln-3l"'
PARTS = (plate(), boss(metal="UNS C36000", surface="bright"), joint("boss", "plate", "seat"))
HEATS = 120
ROUNDING = 60.0
"""Programs alike to the minute count as equal, the simpler first. So much longer than the best of a grid the one found
may be [s], holds not rounded up: rounding of both would add up to a minute that no search can find."""


def text(limits: str = "", furnace: str = KILN) -> str:
    return job(*PARTS, furnace=furnace, limits=limits)


def as_read(limits: str = "", furnace: str = KILN) -> ReadJob:
    return read_job_text(text(limits, furnace))


@cache
def found(limits: str = "", furnace: str = KILN, fidelity: str = "network") -> Found:
    return best_program(as_read(limits, furnace), LIBRARY, fidelity, heats=HEATS)


@cache
def trial() -> Trial:
    prepared = prepare(as_read(), LIBRARY)
    return new_trial(prepared, compute(prepared, "network", False, lambda what, share: None))


def outcome(t: Tried | None) -> Outcome:
    assert t is not None
    assert t.outcome is not None
    return t.outcome


def test_programs_are_keyed_in_by_a_display_that_is_off() -> None:
    """It reads 15 K too high: everything keyed in lies 15 K higher, and what the load comes to stays. Holds that are
    not rounded up are compared: a whole minute more or less at the end is 1 K of the load."""
    off = prepare(as_read(furnace=f'{KILN}\ncontrol = {{ sensor_offset = "15 K" }}'), LIBRARY)
    tried = new_trial(off, compute(off, "network", False, lambda what, share: None))
    assert tried.worst_offset == pytest.approx(trial().worst_offset - 15.0)
    right, shifted = space_of(trial()), space_of(tried)
    assert shifted.set_points == pytest.approx([T + 15.0 for T in right.set_points])
    assert shifted.evening[1] == pytest.approx(right.evening[1] + 15.0)
    hot = Program((Leg(tried.own.set_point, None, 0.0),), hot=True)
    wanted = Program((Leg(trial().own.set_point, None, 0.0),), hot=True)
    hottest = [t.heat(p, smooth=True).curves.hottest[-1] for t, p in ((tried, hot), (trial(), wanted))]
    assert hottest[0] == pytest.approx(hottest[1], abs=0.1)


@cache
def brute_force() -> tuple[Outcome, ...]:
    """The coarse grid: every combination of few values of each parameter."""
    low, high = space_of(trial()).set_points
    rates: tuple[float | None, ...] = (5.0 / 60.0, 10.0 / 60.0, 16.0 / 60.0, None)
    heats, tops = [], (0.5 * (low + high), high)
    for first, to, hold, last, top in product(rates, (480.0, 560.0), (0.0, 900.0), rates[2:], tops):
        program = Program((Leg(kelvin(to), first, hold), Leg(top, last, 0.0)))
        heats.append(trial().heat(program, fineness=1, tolerance=COARSE_TOLERANCE))
    return tuple(heats)


VALUES: dict[str, Callable[[Outcome], float]] = {"difference": lambda o: o.difference, "flux": lambda o: o.flux}
UNITS = {"difference": "K", "flux": "s"}


def limit(name: str) -> float:
    """What a third of the grid keeps to [K] or [s]: it binds, and it can be kept."""
    return round(sorted(map(VALUES[name], brute_force()))[len(brute_force()) // 3], 1)


def limits_of(name: str) -> str:
    """The same as the job file has it."""
    return f'{name} = "{limit(name)} {UNITS[name]}"'


@pytest.mark.parametrize("name", VALUES)
def test_no_program_of_a_grid_is_shorter(name: str) -> None:
    within = [o.sure for o in brute_force() if not o.broken and VALUES[name](o) <= limit(name)]
    assert 0 < len(within) < len(brute_force())
    best = outcome(found(limits_of(name)).best)
    assert best.broken == ()
    assert best.sure <= min(within) + ROUNDING


@pytest.mark.parametrize("name", VALUES)
def test_the_plan_of_the_best_keeps_within_every_limit(name: str) -> None:
    f = found(limits_of(name))
    p, best = f.best_plan, outcome(f.best)
    assert p is not None
    assert p.window is not None
    assert p.window.works
    assert not {w.code for w in p.warnings} & {*NOT_SURE, "uneven", "no-hold-works"}
    assert p.hold_end == pytest.approx(best.total)
    assert f.set_points[0] - 1.0 <= p.set_point <= f.set_points[1] + 1.0
    h = p.histories
    heated = h.time <= p.hold_end
    spread = float((h.segment_hottest.max(axis=0) - h.segment_coldest.min(axis=0))[heated].max())
    assert {"difference": spread, "flux": max(j.flux_time for j in p.joints)}[name] <= limit(name) + 1e-6


def test_without_a_limit_that_binds_the_best_is_full_power_to_the_top_of_the_band() -> None:
    top = space_of(trial()).set_points[1]
    quick = trial().heat(Program((Leg(top, None, 0.0),)))
    assert outcome(found().best).sure <= quick.sure + ROUNDING


def test_what_is_printed_can_be_typed_in() -> None:
    f = found(limits_of("difference"))
    assert f.best is not None
    assert f.best_plan is not None
    shown = job_lines(f.best.program)
    assert shown in best_text(f)
    typed = read_job_text(text(limits_of("difference")).replace("[program]\n", shown, 1))
    again = make_plan(typed, LIBRARY, fidelity="network")
    assert again.hold_end == pytest.approx(f.best_plan.hold_end, abs=1.0)
    assert [s.action for s in again.program] == [s.action for s in f.best_plan.program]
    assert [s.temperature for s in again.program] == pytest.approx([s.temperature for s in f.best_plan.program])


def test_the_same_job_gives_the_same_program(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many cores there are."""
    told = []
    for cores in (None, 1, 3):
        if cores is not None:
            monkeypatch.setattr("brazesoak.analysis.many.cores", lambda cores=cores: cores)
        one = best_program(as_read(limits_of("difference")), LIBRARY, "network", heats=50)
        assert len(one.tried) <= 50
        told.append((best_json_text(one), one.tried))
    assert told[0][0] == told[1][0] == told[2][0]
    assert [[t.program for t in tried] for _, tried in told] == [[t.program for t in told[0][1]]] * 3


def test_the_hot_furnace_that_is_not_searched_is_told_beside_the_best() -> None:
    f = found()
    assert f.hot is not None
    assert f.best is not None
    assert f.hot.program == Program((Leg(f.best.program.set_point, None, 0.0),), hot=True)
    assert outcome(f.hot).total == trial().heat(f.hot.program).total
    text = " ".join(best_text(f).split())
    assert "Not searched: loaded hot at " in text
    before = outcome(f.hot).before
    assert before is not None
    on = minutes(before + STAND + outcome(f.hot).total)
    assert f"before that the empty furnace needs about {minutes(before)} and " in text
    assert f": about {on} from switching on." in text
    assert json.loads(best_json_text(f))["loaded_hot"]["heat"]["hold_min"] == pytest.approx(outcome(f.hot).hold / 60.0)
    assert ". It never arrives." in hot_sentence(Tried("", f.hot.program, None, "it never arrives"))


def test_an_impossible_flux_is_named_with_what_it_lacks() -> None:
    f = found('flux = "4 min"')
    assert f.best is None
    (one,) = f.impossible
    assert (one.least.name, one.alone) == ("flux", True)
    assert one.least.over == pytest.approx(min(o.flux for t in f.tried if (o := t.outcome)) - 240.0, abs=0.5)
    shown = best_text(f)
    assert NONE in shown
    assert "What would help: " in shown
    assert "Safety data sheets, local codes" in shown
    assert json.loads(best_json_text(f))["best"] is None


HOT_ONLY = 'flux = "735 s"'
"""Loaded hot the flux works for some 11 min, and 12 min or more loaded cold."""


def test_where_only_the_hot_furnace_keeps_the_limits_it_is_the_answer() -> None:
    f = found(HOT_ONLY)
    assert f.best is None
    assert f.hot_plan is not None
    assert f.answer is f.hot
    hot = outcome(f.hot)
    assert hot.broken == ()
    assert f.hot_plan.window is not None
    assert f.hot_plan.window.works
    assert f.hot_plan.hold_end == pytest.approx(hot.total)
    shown = best_text(f)
    assert NONE not in shown
    at = f"{round(f.hot_plan.set_point - 273.15)}"
    headline = f"NO PROGRAM LOADED COLD KEEPS WITHIN EVERY LIMIT; LOADED HOT AT {at} \N{DEGREE SIGN}C THE HEAT DOES"
    assert headline in " ".join(shown.split())
    assert f'loading = "hot"\nset_point = "{at} degC"' in shown
    assert "flux: " in shown.split(NONE_COLD)[1]
    told = json.loads(best_json_text(f))
    assert (told["best"], told["answer"], told["loaded_hot"]["works"]) == (None, "loaded_hot", True)
    typed = read_job_text(text(HOT_ONLY).replace("[program]\n", told["job_file"], 1))
    assert make_plan(typed, LIBRARY, fidelity="network").hold_end == pytest.approx(hot.total, abs=1.0)
    assert "loaded hot" in {line.get_label() for line in figure_best(f).axes[1].lines}


@pytest.mark.parametrize(("limits", "code"), [(HOT_ONLY, 0), ('flux = "4 min"', SimulationError.exit_code)])
def test_the_command_succeeds_where_there_is_an_answer(
    limits: str, code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(text(limits), encoding="utf-8")
    monkeypatch.setattr("brazesoak.analysis.best_program.best_program", lambda *_: found(limits))
    assert main(["best", str(path), "--no-files"]) == code


def made_up(*broken: tuple[str, float]) -> Tried:
    """A heat of no matter what that breaks these limits by so many seconds."""
    limits = tuple(Broken(name, name, over, True, "") for name, over in broken)
    return Tried("t", trial().own, replace(outcome(found().best), broken=limits))


def test_limits_in_the_way_are_those_that_all_break_or_else_those_of_the_nearest() -> None:
    both = made_up(("flux", 60.0), ("zinc", 5.0))
    always = impossible_limits((both, made_up(("flux", 20.0)), made_up(("flux", 90.0))))
    assert [(i.least.name, i.least.over, i.alone) for i in always] == [("flux", 20.0, True)]
    together = impossible_limits((made_up(("flux", 60.0)), made_up(("zinc", 30.0))))
    assert [(i.least.name, i.least.over, i.alone) for i in together] == [("zinc", 30.0, False)]
    assert impossible_limits(()) == ()


@pytest.mark.parametrize("name", ["zinc", "liquation", "sensitisation"])
def test_the_next_program_planned_has_less_of_what_the_last_broke(name: str) -> None:
    """Over by 30 s: 20 s less is not enough, 40 s less is."""
    failed = outcome(found().best)
    failed = replace(failed, sensitising=1000.0, joints=tuple(replace(j, between=200.0) for j in failed.joints))

    def less(s: float) -> Tried:
        joints = tuple(replace(j, molten=j.molten - s, between=j.between - s) for j in failed.joints)
        heat = replace(failed, joints=joints, sensitising=failed.sensitising - s)
        return Tried("t", trial().own, heat)

    broken = (Broken(name, "", 30.0, True, ""),)
    assert [is_safer(less(s), less(0.0), broken) for s in (20.0, 40.0)] == [False, True]


def test_a_furnace_too_uneven_for_the_band_is_said_so() -> None:
    """80 K colder than shown: liquidus + 30 K is reached from liquidus + 110 K on, + 0.5 K to spare, in steps of 1 K;
    the band ends at + 100 K."""
    f = found(furnace=f'{KILN}\nuniformity = "80 K"\n')
    assert f.best is None
    assert f.tried == ()
    (one,) = f.impossible
    assert (one.least.name, one.least.over) == ("arrival", pytest.approx(11.0))
    assert "(11 K too much)" in best_text(f)


def test_fronts_begin_with_the_chosen_and_no_other_is_better_by_more_than_rounding() -> None:
    """Nothing tried is shorter by a minute and 2 %, and as low."""
    f = found()
    assert f.chosen is not None
    assert f.best is not None
    assert f.chosen.program == f.best.program
    for points, value in ((f.by_difference, lambda o: o.difference), (f.by_flux, lambda o: o.flux)):
        assert points[0] is f.chosen
        for p in points:
            o = outcome(p)
            assert p.works
            assert not any(
                outcome(t).total < o.total - max(60.0, 0.02 * o.total) and value(outcome(t)) <= value(o)
                for t in f.tried
                if t.works
            )
    assert outcome(f.by_difference[-1]).difference < 0.6 * outcome(f.by_difference[0]).difference
    assert front((), lambda o: o.flux) == ()


def test_the_star_lies_on_the_front() -> None:
    for axes in figure_best(found()).axes[1:]:
        lines = {line.get_label(): line.get_xydata() for line in axes.lines}
        assert lines["shortest"].tolist() == lines["front"][:1].tolist()


def test_the_users_own_is_a_candidate_and_stands_among_the_others() -> None:
    """As the coarse grid has it, its hold not rounded up: nowhere before the front by more than rounding. Loaded hot it
    is no candidate, for its time does not count the heating of the empty furnace, and is named as that."""
    f = found()
    coarse = outcome(f.own_coarse)
    assert [outcome(t) for t in f.tried if t.program == f.own.program] == [coarse]
    drawn = [f"{coarse.total / 60.0:.6f} {v:.6f}" for v in (coarse.difference, coarse.flux / 60.0)]
    for axes, at in zip(figure_best(f).axes[1:], drawn, strict=True):
        ((x, y),) = {line.get_label(): line.get_xydata() for line in axes.lines}["your own"].tolist()
        assert f"{x:.6f} {y:.6f}" == at
    hot_text = text().replace("[program]\n", '[program]\nloading = "hot"\n', 1)
    hot = best_program(read_job_text(hot_text), LIBRARY, "network", heats=20)
    assert hot.own_coarse is not None
    assert hot.own.program not in {t.program for t in hot.tried}
    assert "your own, loaded hot" in {line.get_label() for line in figure_best(hot).axes[1].lines}


def test_points_of_a_front_that_read_alike_are_told_once() -> None:
    """By minutes and kelvins: 10 K lower in the same minute is told beside the chosen; 0.4 K (less than 1 K), and 3 K
    of 250 K (less than 2 %), are not; two points as long to 2 % of 140 min are told as the lower one."""
    heat = outcome(found().best)

    def points(*pairs: tuple[float, float]) -> list[Tried]:
        return [Tried("", found().own.program, replace(heat, total=60.0 * m, across=K, within=None)) for m, K in pairs]

    def told(chosen: Tried | None, *pairs: tuple[float, float]) -> list[float]:
        return [outcome(t).difference for t in worth_telling(points(*pairs), lambda o: o.difference, 1.0, chosen)]

    (chosen,) = points((119.8, 270.0))
    assert told(chosen, (118.0, 290.0), (119.5, 260.0), (130.0, 259.6)) == [270.0, 260.0]
    assert told(None, (120.0, 253.0), (130.0, 250.0), (140.0, 240.0), (142.0, 230.0), (150.0, 200.0)) == [
        253.0, 230.0, 200.0,
    ]  # fmt: skip
    assert told(None, (135.0, 9.5), (136.0, 9.4)) == [9.5]
    assert told(None, (50.0, 9.5), (50.5, 8.0), (51.5, 6.0)) == [8.0, 6.0]


SPACE = Space((SLOWEST, FASTEST), True, (kelvin(300.0), kelvin(598.0)), 5400.0, (kelvin(702.0), kelvin(752.0)))
SHARE = st.floats(0.0, 1.0)


@given(u=st.tuples(SHARE, SHARE, SHARE, SHARE, SHARE))
def test_programs_are_what_a_controller_takes_and_points_lead_back(u: tuple[float, ...]) -> None:
    program = SPACE.program(u)
    assert SPACE.program(SPACE.point(program)) == program
    for leg in program.legs:
        assert leg.to - 273.15 == pytest.approx(round(leg.to - 273.15))
        assert leg.hold % 60.0 == 0.0
        if leg.rate is not None:
            assert SLOWEST - 1e-9 <= leg.rate <= FASTEST
            assert leg.rate * 600.0 == pytest.approx(round(leg.rate * 600.0))
    assert SPACE.set_points[0] <= program.set_point <= SPACE.set_points[1]


def test_the_figure_is_reproducible_and_text_keeps_its_width() -> None:
    f = found(limits_of("difference"))
    assert svg_text(figure_best(f)) == svg_text(figure_best(f))
    assert max(len(line) for line in best_text(f).splitlines()) <= 100


def test_full_power_is_told_as_that() -> None:
    """The job file needs a number for it, and people do not."""
    quick, ramp = (
        ProgramStep("ramp", kelvin(752.0), FULL, 120.0),
        ProgramStep("ramp", kelvin(752.0), 10.0 / 60.0, 120.0),
    )
    assert (told(quick).rate, told(quick).duration) == (None, None)
    assert told(ramp) == ramp
