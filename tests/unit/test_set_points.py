"""The map of set-points: what breaks a limit is shown with it, and the best is the shortest in the band."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from brazesoak.analysis.ceilings import scale_ceiling, scale_thickness
from brazesoak.analysis.set_points import NOT_SURE, Point, SetPoints, map_set_points, recommend
from brazesoak.analysis.strategies import compare_programs
from brazesoak.jobfile.names import read_with_library
from brazesoak.plots.set_points import figure_set_points
from brazesoak.plots.style import svg_text
from brazesoak.programs import OWN
from brazesoak.report.set_points import NONE_IS_ENOUGH, set_points_json, set_points_json_text, set_points_text

from .fake_plan import make_plan
from .jobs import LIBRARY, boss, joint, kelvin, plate, read

MINUTE = 60.0
PEDESTAL = Path(__file__).parents[2] / "examples" / "01_bearing_pedestal" / "job.toml"
SCHEMA = json.loads(files("brazesoak.report").joinpath("map.schema.json").read_text(encoding="utf-8"))


@cache
def pedestal() -> SetPoints:
    return map_set_points(*read_with_library(PEDESTAL), "network")


def point(celsius: float, end: float, *limits: tuple[str, str]) -> Point:
    return Point(kelvin(celsius), replace(make_plan(), hold_end=end * MINUTE), limits)


def made_up() -> SetPoints:
    """Two points that break a limit, one that is refused, three that work; all numbers invented."""
    points = (
        point(682.0, 150.0, ("flux", "spent")),
        point(702.0, 140.0, ("flux", "spent"), ("zinc", "lost")),
        point(712.0, 110.0),
        point(722.0, 100.0),
        point(732.0, 99.5),
        Point(kelvin(742.0), None, (("solidus", "less than 50 K below a solidus"),)),
    )
    best, reason = recommend(points[1:])
    return SetPoints(points, (kelvin(702.0), kelvin(752.0)), best, reason, 1e-4, ("Band: practice",))


def test_map_of_the_pedestal() -> None:
    found = pedestal()
    assert len(found.points) == 10
    low, high = found.band
    allowed = [p for p in found.points if p.works and low - 1e-6 <= p.set_point <= high + 1e-6]
    assert found.best in allowed
    assert found.best is not None
    assert found.best.plan is not None
    assert found.best.plan.hold_end <= min(p.plan.hold_end for p in allowed if p.plan) + MINUTE
    assert not any(p.works for p in found.points if p.plan and any(w.code in NOT_SURE for w in p.plan.warnings))
    assert "never get there" in found.points[0].why  # 30 K above the liquidus, with a furnace that is 28 K uneven
    assert [p.scale is None for p in found.points] == [p.held is None for p in found.points]
    scales = [p.scale for p in found.points if p.scale is not None]
    assert len(scales) >= len(allowed) > 3
    assert all(5e-6 < s < 1e-4 for s in scales)


def test_the_scale_shown_is_what_the_limit_is_compared_with() -> None:
    """The job allows a little less and a little more than is shown: cooling counts, and what has grown by the end of
    the hold would not tell which of the two breaks the limit. Map and plan show the same."""
    shown = pedestal().points[5].scale
    assert shown is not None
    plan = pedestal().points[5].plan
    assert plan is not None
    h = plan.histories
    heated = h.time <= plan.hold_end
    at_end = [scale_thickness(h.time[heated], T[heated]) for T in h.segment_hottest]
    assert shown > 1.01 * max(x for x, s in zip(at_end, plan.segments, strict=True) if s.scale is not None)
    assert shown == max(s.scale for s in plan.segments if s.scale is not None)
    for factor, breaks in ((0.99, True), (1.01, False)):
        ceilings = [
            scale_ceiling(h.time, hottest, plan.hold_end, factor * shown, s.name)
            for s, hottest in zip(plan.segments, h.segment_hottest, strict=True)
            if s.scale is not None
        ]
        assert any(c is not None and c.latest < plan.hold_end for c in ceilings) == breaks


def test_no_hold_is_told_where_too_many_heats_never_arrive() -> None:
    """A furnace uneven by 60 K: at liquidus + 30 K the target lies 20 K below the set-point, and
    (60 - 20)^2 / (2 x 60^2) = 22 of 100 heats of a triangular offset do not come to it. Of the others a hold could be
    told, shorter than higher up."""
    found = map_set_points(read(furnace='name = "bench-kiln-3l"\nuniformity = "60 K"'), LIBRARY, "network")
    first = found.points[0]
    assert first.plan is not None
    assert first.plan.chances is not None
    assert first.plan.chances.never == pytest.approx(0.22, abs=0.05)
    assert first.held is None
    assert first.scale is None
    row = next(line for line in set_points_text(found).splitlines() if "too cool" in line)
    assert NONE_IS_ENOUGH in row
    told = set_points_json(found)["points"][0]
    assert [told[k] for k in ("hold_time_min", "hold_end_min", "flux_time_min", "scale_um", "heater_kJ")] == [None] * 5
    texts = [t.get_text() for t in figure_set_points(found).axes[0].texts]
    assert f"hold: {NONE_IS_ENOUGH}" in texts
    holds = [p.held.hold_time for p in found.points if p.held]
    assert 0 < len(holds) < len(found.points)
    assert holds == sorted(holds, reverse=True)


def test_a_filler_that_parts_is_a_limit_of_the_map_in_the_words_of_the_programs() -> None:
    """BAg-24 melts over 47 K; through it at 4 K/min takes more than the 5 min of the check `liquation`."""
    slow = read(filler="BAg-24", program='ramp = "4 K/min"')
    found = map_set_points(slow, LIBRARY, "network")
    own = next(t for t in compare_programs(slow, LIBRARY, "network").tried if t.name == OWN)
    assert own.outcome is not None
    reasons = [b.reason for b in own.outcome.broken if b.name == "liquation"]
    assert reasons
    assert all([r for name, r in p.limits if name == "liquation"] == reasons for p in found.points if p.plan)
    assert found.best is None
    assert "a quicker ramp through its range" in found.reason
    quick = map_set_points(read(filler="BAg-24", program='ramp = "100 K/min"'), LIBRARY, "network")
    assert not any("liquation" in dict(p.limits) for p in quick.points)


def test_the_cooler_of_two_heats_that_are_as_long() -> None:
    found = made_up()
    assert found.best is found.points[3]
    assert "cooler, at 712 degC, it takes 10 min longer" in found.reason
    assert "hotter, at 732 degC, it takes as long" in found.reason
    assert "from 742 degC upwards less than 50 K" in found.reason


def test_where_nothing_works_every_reason_is_told_once() -> None:
    best, reason = recommend((point(702.0, 140.0, ("zinc", "lost")), point(712.0, 130.0, ("zinc", "lost"))))
    assert best is None
    assert reason.startswith("No set-point in the trade's band works.")
    assert "702 degC: zinc: lost." in reason


@pytest.mark.parametrize("found", [pedestal, made_up])
def test_json_keeps_its_schema(found: object) -> None:
    assert callable(found)
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    answer = set_points_json(found())
    jsonschema.validate(answer, SCHEMA)
    assert json.loads(set_points_json_text(found())) == answer
    assert answer["recommended_C"] in [p["set_point_C"] for p in answer["points"] if p["works"]]


def test_the_table_names_limits_and_marks_the_best() -> None:
    text = set_points_text(made_up())
    assert "722 °C *" in text
    assert "flux, zinc" in text
    assert "LIMITS BROKEN\n- 682 °C: Flux: spent." in text
    assert "Recommended: 722 °C" in text


def test_the_figure_shows_band_limits_and_recommendation() -> None:
    figure = figure_set_points(made_up(), "Job")
    texts = [t.get_text() for axes in figure.axes for t in axes.texts]
    assert any(t.startswith("recommended: 722 °C") for t in texts)
    assert "the trade's band, 702 °C to 752 °C" in texts
    assert {"flux", "flux,\nzinc", "solidus"} <= set(texts)
    assert len(figure.axes) == 3  # hold, flux, energy: the made-up plan has no scale
    assert svg_text(figure).count("<svg") == 1
    assert len(figure_set_points(pedestal()).axes) == 4


def test_a_flux_without_a_known_life_is_said_to_have_none() -> None:
    """FH11: no minutes in the library. The user's own figure counts instead."""
    parts = (plate(metal="AISI 304"), boss(metal="AISI 304"), joint("boss", "plate"))
    found = map_set_points(read(*parts, flux="FH11"), LIBRARY, "network")
    own = map_set_points(
        read(*parts, flux="FH11", limits='flux = "2 min"\nsensitisation = "1 min"'), LIBRARY, "network"
    )
    assert any("FH11" in note for note in found.notes)
    assert "no life known" in set_points_text(found)
    assert own.best is None
    assert {"flux", "sensitisation"} <= {name for name, _ in own.points[5].limits}
    assert "of 2 min" in set_points_text(own)


def test_a_flux_life_of_seconds_is_told_in_seconds_in_table_and_figure() -> None:
    found = made_up()
    plan = found.points[2].plan
    assert plan is not None
    brief = replace(plan, joints=tuple(replace(j, flux_life=20.0, flux_time=40.0) for j in plan.joints))
    points = tuple(replace(p, plan=brief) if p.plan else p for p in found.points)
    short = replace(found, points=points)
    assert "of 20 s" in set_points_text(short)
    assert "life 20 s" in {t.get_text() for axes in figure_set_points(short).axes for t in axes.texts}
