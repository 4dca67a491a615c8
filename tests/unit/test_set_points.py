"""The map of set-points: what breaks a limit is shown with it, and the best is the shortest in the band."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from brazesoak.analysis.set_points import NOT_SURE, Point, SetPoints, map_set_points, recommend
from brazesoak.jobfile.names import read_with_library
from brazesoak.plots.set_points import figure_set_points
from brazesoak.plots.style import svg_text
from brazesoak.report.set_points import set_points_json, set_points_json_text, set_points_text

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
    assert all(p.scale is not None and 5e-6 < p.scale < 1e-4 for p in found.points)


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
