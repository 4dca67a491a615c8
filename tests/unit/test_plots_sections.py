from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from brazesoak.answer import Section
from brazesoak.plots.sections import OFFSETS, contacts, figure_section, keep_apart, outlines
from brazesoak.plots.style import new_figure, svg_text

from .fake_plan import make_plan, make_section


def length(lines: list[tuple[tuple[float, float], tuple[float, float]]]) -> float:
    return sum(float(np.hypot(x1 - x0, y1 - y0)) for (x0, y0), (x1, y1) in lines)


def test_a_network_has_no_picture() -> None:
    assert figure_section(make_plan(section=None)) is None


def test_contact_of_boss_and_plate_is_the_radius_of_the_boss() -> None:
    assert length(contacts(make_section())) == pytest.approx(0.03)
    assert length(contacts(make_section(), frozenset((0, 1)))) == pytest.approx(0.03)
    assert contacts(make_section(), frozenset((0, 2))) == []


def test_outline_is_the_free_surface_without_the_axis() -> None:
    # boss: side 55 mm and top 30 mm; plate: bottom 80 mm, rim 6 mm, top 50 mm
    assert length(outlines(make_section())) == pytest.approx(0.055 + 0.03 + 0.08 + 0.006 + 0.05)


def test_axisymmetric_is_mirrored_and_named() -> None:
    figure = figure_section(make_plan())
    assert figure is not None
    axes = figure.axes[0]
    assert axes.get_xlim() == pytest.approx((-80.0, 80.0))
    found = {text.get_text() for text in axes.texts}
    assert {"boss", "plate", "boss to plate"} <= found
    assert "pin" not in found  # not in this section


@pytest.mark.parametrize("kind", ["plane", "stack"])
def test_plane_and_stack(kind: str) -> None:
    edges = np.array([0.0, 0.006, 0.012])
    temperature = np.array([[950.0, 960.0]])
    section = Section(kind, np.array([0.0, 0.01]), edges, np.array([[0, 1]]), temperature, 60.0)
    figure = figure_section(replace(make_plan(), section=section))
    assert figure is not None
    assert figure.axes[0].get_xlim() == pytest.approx((0.0, 10.0))
    assert svg_text(figure).count("<svg") == 1


def test_one_temperature_everywhere_is_drawn() -> None:
    section = make_section()
    flat = np.where(section.segment < 0, np.nan, 1000.0)
    figure = figure_section(replace(make_plan(), section=replace(section, temperature=flat)))
    assert figure is not None
    low, high = figure.axes[0].collections[0].get_clim()
    assert high - low == pytest.approx(2.0)


def test_names_of_joints_stand_apart() -> None:
    """Two joints at one place and a segment's name where the first would stand."""
    figure = new_figure(6.0, 4.0)
    axes = figure.subplots()
    axes.set(xlim=(0.0, 10.0), ylim=(0.0, 10.0))
    joints = [axes.annotate(n, xy=(5.0, 5.0), xytext=OFFSETS[0], textcoords="offset points") for n in ("one", "two")]
    figure.draw_without_rendering()
    x, y = joints[0].get_window_extent().p0
    name = axes.annotate("segment", xy=(x, y), xycoords="figure pixels")
    keep_apart(figure, [name], joints)
    boxes = [text.get_window_extent() for text in (name, *joints)]
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))


def test_names_stand_in_their_own_segment_away_from_its_edges() -> None:
    """A bush about a hole in a block, as cells of 1 mm: the centre of area of block and of bush is in the hole."""
    x = 0.5 + np.arange(40.0) - 20.0
    radius = np.hypot(x[:, None], x[None, :])
    edges = np.linspace(-0.02, 0.02, 41)
    segment = np.where(radius < 6.0, -1, np.where(radius < 12.0, 1, 0))
    section = Section("slice", edges, edges, segment, np.full((40, 40), 950.0), 60.0)
    figure = figure_section(replace(make_plan(), section=section))
    assert figure is not None
    at = {text.get_text(): text.get_position() for text in figure.axes[0].texts}
    boss, plate = np.array(at["boss"]), np.array(at["plate"])  # the first and the second segment
    assert 7.5 < np.hypot(*plate) < 10.5
    assert np.hypot(*boss) > 15.0
    assert np.abs(boss).max() < 17.0
