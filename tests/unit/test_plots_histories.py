import re
import sys
from dataclasses import replace
from itertools import islice, pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from brazesoak.errors import ResultFileError
from brazesoak.plots.flux_steps import SEEN, TEXT, steps
from brazesoak.plots.histories import figure_histories, save_figure, svg_text
from brazesoak.plots.levels import spread_apart
from brazesoak.plots.style import looks, svg_inline

from .fake_plan import make_crowded_plan, make_plan


def texts(figure: Figure) -> list[str]:
    return [text.get_text() for axes in figure.axes for text in axes.texts]


def test_shows_every_curve() -> None:
    plan = make_crowded_plan()
    upper = figure_histories(plan).axes[0]
    curves = [line for line in upper.lines if len(line.get_xdata()) == plan.histories.time.size]
    assert len(curves) == 1 + len(plan.segments) + len(plan.joints)
    program = next(line for line in upper.lines if line.get_label() == "program")
    assert max(program.get_xdata()) <= plan.hold_end / 60.0  # what follows is off, not a temperature


def test_passings_are_marked_where_they_are() -> None:
    plan = make_plan()
    upper = figure_histories(plan).axes[0]
    marks = [line for line in upper.lines if line.get_marker() == "o"]
    joint = plan.joints[0]
    expected = [
        time / 60.0 for time in (joint.passes_solidus, joint.passes_liquidus, joint.passes_target) if time is not None
    ]
    assert np.allclose(marks[0].get_xdata(), expected)
    assert np.allclose(marks[0].get_ydata(), [joint.solidus - 273.15, joint.liquidus - 273.15, joint.target - 273.15])


def test_times_levels_and_hold_are_written() -> None:
    found = texts(figure_histories(make_plan()))
    assert "84, 88, 93" in found
    assert "set-point 730 °C" in found
    assert "BAg-7 melts 618 to 652 °C" in found
    assert "37 min" in found
    assert "clock starts at 725 °C " in found


def test_a_hold_that_begins_early_is_named_beside_its_box() -> None:
    plan = make_plan()
    early = replace(plan, clock_start=300.0, hold_end=300.0 + plan.hold_time)
    found = texts(figure_histories(early))
    assert "37 min" in found
    assert " clock starts at 725 °C" in found


def test_a_passing_that_never_comes_is_written_not_drawn() -> None:
    assert "88, never, 94" in texts(figure_histories(make_crowded_plan()))


def test_no_two_labels_of_the_margin_overlap() -> None:
    figure = figure_histories(make_crowded_plan())
    renderer = figure._get_renderer()  # type: ignore[attr-defined]
    figure.draw(renderer)
    # Of the words alone: the extent of an annotation takes in its leader line.
    boxes = [Text.get_window_extent(text, renderer) for text in figure.axes[0].texts]
    boxes.sort(key=lambda box: box.y0)
    assert len(boxes) == 6  # set-point, three fillers, two different targets
    assert all(low.y1 <= high.y0 for low, high in pairwise(boxes))


def test_curves_are_told_apart_without_colour() -> None:
    upper = figure_histories(make_crowded_plan()).axes[0]
    plan = make_crowded_plan()
    names = {segment.name for segment in plan.segments}
    styles = {str(line._unscaled_dash_pattern) for line in upper.lines if line.get_label() in names}  # type: ignore[attr-defined]
    assert len(styles) == len(names)


def test_close_up_begins_below_the_lowest_solidus() -> None:
    plan = make_plan()
    axes = figure_histories(plan, with_times=False, close_up=True).axes[0]
    assert axes.get_ylim()[0] == pytest.approx(618.0 - 150.0)
    assert 40.0 < axes.get_xlim()[0] < 84.0


def test_more_segments_and_joints_than_looks() -> None:
    plan = make_crowded_plan()
    joints = tuple(replace(joint, name=f"joint {i}") for i, joint in enumerate(plan.joints * 2))
    histories = replace(plan.histories, joint_coldest=np.vstack([plan.histories.joint_coldest] * 2))
    figure = figure_histories(replace(plan, joints=joints, histories=histories), height=8.0)
    assert len(figure.axes[1].get_yticklabels()) == 13


def test_no_two_of_36_lines_look_alike() -> None:
    assert len(set(islice(looks(), 36))) == 36


def test_svg_is_the_same_every_time_and_carries_no_date() -> None:
    first, second = (svg_text(figure_histories(make_plan())) for _ in range(2))
    assert first == second
    assert "dc:date" not in first
    assert re.search(r"<text\b", first) is None  # letters are outlines: no font is needed to show it


def test_inline_svg_has_no_prolog() -> None:
    assert svg_inline(figure_histories(make_plan())).startswith("<svg")


@pytest.mark.parametrize(("ending", "magic"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_saves_by_ending(tmp_path: Path, ending: str, magic: bytes) -> None:
    save_figure(figure_histories(make_plan()), tmp_path / f"figure.{ending}")
    assert (tmp_path / f"figure.{ending}").read_bytes().startswith(magic)
    assert [path.name for path in tmp_path.iterdir()] == [f"figure.{ending}"]


def test_an_unknown_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ResultFileError, match="svg, png, pdf"):
        save_figure(figure_histories(make_plan()), tmp_path / "figure.docx")
    assert list(tmp_path.iterdir()) == []


def test_pyplot_is_not_used() -> None:
    figure_histories(make_plan())
    assert "matplotlib.pyplot" not in sys.modules


@pytest.mark.parametrize("wanted", [[0.5], [0.0, 0.5, 1.0], [0.5, 0.5, 0.5], [0.1, 0.11, 0.6, 0.61, 0.62]])
def test_spread_apart_keeps_order_and_distance(wanted: list[float]) -> None:
    places = spread_apart(wanted, 0.1)
    gaps = np.diff(places)
    assert (gaps >= 0.1 - 1e-12).all()
    assert sum(places) == pytest.approx(sum(wanted))  # each group keeps its mean


def test_the_step_at_which_flux_bridges_a_gap_is_named_where_it_is_seen() -> None:
    """Boss and plate lag apart; a flux that melts while they are 20 K apart or more makes a step, at the warmer."""
    plan = make_plan()
    level = 565.0 + 273.15
    melting = replace(plan, joints=(replace(plan.joints[0], flux_active=level), *plan.joints[1:]))
    ((minute, at),) = steps(melting)
    h, (warm, cold) = plan.histories, (1, 0)  # plate, boss
    assert at == level
    assert np.interp(minute * 60.0, h.time, h.segment_coldest[warm]) == pytest.approx(level, abs=1.0)
    assert np.interp(minute * 60.0, h.time, h.segment_coldest[cold]) < level - SEEN
    assert TEXT in {t.get_text() for t in figure_histories(melting).axes[0].texts}
    assert TEXT not in {t.get_text() for t in figure_histories(plan).axes[0].texts}
    alike = replace(h, segment_coldest=np.tile(h.segment_coldest[:1], (3, 1)))
    assert list(steps(replace(melting, histories=alike))) == []
