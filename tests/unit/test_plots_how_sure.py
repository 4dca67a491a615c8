from dataclasses import replace

import pytest

from brazesoak.plots.how_sure import figure_how_sure
from brazesoak.plots.style import svg_text

from .fake_plan import make_plan


def test_every_driver_has_its_bars_and_the_largest_is_at_the_top() -> None:
    plan = make_plan()
    figure = figure_how_sure(plan)
    assert figure is not None
    axes = figure.axes[0]
    assert [t.get_text() for t in axes.get_yticklabels()] == [d.name for d in plan.drivers]
    assert axes.get_ylim()[0] > axes.get_ylim()[1]
    low, high = axes.patches[:2]
    assert low.get_x() + low.get_width() == pytest.approx(41.0)  # the made-up hold at the low emissivity, minutes
    assert high.get_x() + high.get_width() == pytest.approx(24.0)
    assert svg_text(figure).count("<svg") == 1


def test_each_percentile_settles_in_a_line() -> None:
    figure = figure_how_sure(make_plan())
    assert figure is not None
    lines = {line.get_label(): line for line in figure.axes[1].lines}
    assert list(lines["95 of 100"].get_xdata()) == [16, 32, 64]
    assert list(lines["95 of 100"].get_ydata()) == pytest.approx([37.9, 37.4, 36.4])


def test_an_end_at_which_a_joint_never_arrives_is_named() -> None:
    plan = make_plan()
    never = replace(plan, drivers=(replace(plan.drivers[0], hold_at_low=None), *plan.drivers[1:]))
    figure = figure_how_sure(never)
    assert figure is not None
    assert "0.05: never gets there" in {t.get_text() for t in figure.axes[0].texts}


def test_nothing_uncertain_is_no_figure() -> None:
    assert figure_how_sure(replace(make_plan(), drivers=())) is None


def test_drivers_without_chances_are_drawn() -> None:
    assert figure_how_sure(replace(make_plan(), chances=None)) is not None
