"""The furnaces of the library with the load of a job: times, what does not fit, what is printed and drawn."""

import json
from dataclasses import replace

import numpy as np
import pytest

from brazesoak.analysis.checks import uneven_inside
from brazesoak.analysis.furnaces import compare_furnaces, try_furnaces
from brazesoak.analysis.plan import make_plan
from brazesoak.answer import FurnaceTrial
from brazesoak.bridge.simulate import simulate
from brazesoak.plots.furnaces import figure_empty, figure_furnaces
from brazesoak.plots.style import svg_text
from brazesoak.report.furnaces_text import furnaces_json_text, trials_json_text, trials_text

from .jobs import LIBRARY, boss, joint, plate, prepared, read

LARGE = (plate(length="160 mm", width="160 mm", thickness="16 mm"), boss(), joint("boss", "plate"))


@pytest.fixture(scope="module")
def trials() -> dict[str, FurnaceTrial]:
    # A figure of the job's own furnace is not one of those that are tried.
    return {t.id: t for t in try_furnaces(read(*LARGE, furnace='name = "kiln-60l"\npower = "20 kW"'), LIBRARY)}


def test_every_furnace_is_tried_empty_and_loaded(trials: dict[str, FurnaceTrial]) -> None:
    empty = {row.id: row.time for row in compare_furnaces(LIBRARY.furnaces)}
    assert list(trials) == list(empty)
    for t in trials.values():
        assert t.empty == pytest.approx(empty[t.id])
        if not t.note:
            assert t.at_set_point is not None
            assert t.liquid is not None
            assert t.heater is not None
            # The load, 3.5 kg of steel with some 0.65 kJ/(kg K) over 730 K, takes longer than no load at full power.
            assert t.empty is not None
            assert t.loaded is not None
            assert t.empty < t.loaded < t.empty + 2.0 * 3.5 * 650.0 * 730.0 / t.power
            assert t.full_display[-1] >= 1023.15 > t.full_display[0]
            assert np.interp(t.liquid, t.time, t.coldest) == pytest.approx(273.15 + 652.0, abs=1.0)


def test_a_trial_is_the_heat_of_that_furnace(trials: dict[str, FurnaceTrial]) -> None:
    p = prepared(*LARGE, furnace='name = "kiln-60l"')
    run = simulate(p.model(p.inputs), "network", lambda clock, last: max(clock, last + p.settings.wanted))
    t = trials["kiln-60l"]
    assert t.power == 7000.0
    assert t.at_set_point == pytest.approx(run.clock_start)
    assert t.hold == pytest.approx(max(run.last_target + p.settings.wanted - run.clock_start, 0.0))
    assert t.heater == pytest.approx(run.heater_heat, rel=1e-3)


def test_a_load_that_does_not_fit_is_said(trials: dict[str, FurnaceTrial]) -> None:
    small = trials["bench-kiln-3l"]
    # 3 L: a cube of 144 mm; 160 mm are 16 more.
    assert small.note.startswith("does not fit")
    assert "160 mm" in small.note
    assert "16 mm more than the 144 mm" in small.note
    assert (small.loaded, small.at_set_point, small.hold, small.heater) == (None, None, None, None)
    near = {t.id: t for t in try_furnaces(read(plate(length="125 mm"), boss(), joint("boss", "plate")), LIBRARY)}
    assert near["bench-kiln-3l"].note.startswith("too near the walls")
    assert "10 mm from the walls on either side, 10 mm less than the 20 mm wanted" in near["bench-kiln-3l"].note
    assert near["bench-kiln-3l"].hold is not None  # it does lie inside


def test_copies_that_do_not_stand_side_by_side_are_said() -> None:
    # One of 120 by 90 mm fits into 10 L (215 mm); four of them, 250 by 190 mm, do not; into 60 L (391 mm) they do.
    tried = try_furnaces(read(load='copies = 4\nspacing = "10 mm"'), LIBRARY)
    notes = {t.id: t.note for t in tried}
    assert "4 copies, 2 by 2" in notes["bench-kiln-10l"]
    assert notes["bench-kiln-10l"].startswith("does not fit")
    assert notes["kiln-60l"] == ""


def test_the_plan_warns_of_a_part_near_the_wall() -> None:
    parts = (plate(length="125 mm"), boss(), joint("boss", "plate"))
    plan = make_plan(read(*parts, furnace='name = "bench-kiln-3l"', fidelity="network"), LIBRARY)
    (warning,) = [w for w in plan.warnings if w.code == "near-wall"]
    assert "10 mm from the walls" in warning.message


def test_a_thick_part_is_named_and_plan_tells_how_long(trials: dict[str, FurnaceTrial]) -> None:
    """Biot number of an 80 mm block of stainless 304 in radiation at 727 degC: h 0.04 m / k is above 0.1, by hand.

    Emissivity 0.8 gives h of some 190 W/(m2 K), and k is some 24 W/(m K): 0.3.
    """
    thin = tuple(replace(t, thick=()) for t in trials.values())
    text = " ".join(trials_text(thin, "A flange").split())
    assert "large or thick parts need longer than told here; plan tells how long" in text
    assert "Biot number" not in text
    thick = replace(trials["kiln-60l"], thick=(("block", 0.31),))
    hotter = replace(thick, id="other", thick=(("block", 0.32), ("ring", 0.12)))
    text = " ".join(trials_text((thick, hotter), "A block").split())
    assert '"block" (Biot number 0.32) and "ring" (Biot number 0.12) are thick for the conductivity' in text
    p = prepared(plate(), boss("block", metal="AISI 304", surface=0.8, diameter="80 mm", height="80 mm"),
                 joint("block", "plate"))  # fmt: skip
    ((name, biot),) = uneven_inside(p.model(p.inputs), p.settings)
    assert name == "block"
    assert biot == pytest.approx(0.3, rel=0.25)


def test_what_is_printed_and_drawn(trials: dict[str, FurnaceTrial]) -> None:
    text = trials_text(tuple(trials.values()), "A flange", 100)
    assert all(t.id in text for t in trials.values())
    assert "bench-kiln-3l: Does not fit: " in text
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "<svg" in svg_text(figure_furnaces(tuple(trials.values())))
    rows = {row["furnace"]: row for row in json.loads(trials_json_text(tuple(trials.values())))}
    assert rows["kiln-60l"]["volume_L"] == 60.0
    assert rows["kiln-60l"]["loaded_min"] == pytest.approx(trials["kiln-60l"].loaded / 60.0, abs=1e-3)  # type: ignore[operator]
    assert rows["bench-kiln-3l"]["loaded_min"] is None
    empty = json.loads(furnaces_json_text(compare_furnaces(LIBRARY.furnaces)))
    assert [row["furnace"] for row in empty] == list(trials)
    assert empty[0]["heat_kJ"] == pytest.approx(empty[0]["power_W"] * empty[0]["empty_min"] * 0.06, rel=1e-3)


def test_the_empty_furnaces_are_drawn_with_their_times() -> None:
    rows = compare_furnaces(LIBRARY.furnaces)
    figure = figure_empty(rows)
    (axes,) = figure.axes
    assert [line.get_label() for line in axes.lines] == [f"{r.id}, {r.time / 60.0:.0f} min" for r in rows if r.time]
    for line, row in zip(axes.lines, rows, strict=True):
        minutes, shown = line.get_xydata()[-1]
        assert row.time is not None
        assert (minutes, shown) == (pytest.approx(row.time / 60.0, abs=0.1), pytest.approx(750.0, abs=1.0))
    assert svg_text(figure) == svg_text(figure_empty(rows))
