"""How long ramps really take, on made-up histories, and the empty furnace before it is loaded."""

from __future__ import annotations

import numpy as np
import pytest

from brazesoak.analysis.following import Ramp, heating_empty, ramp_times
from brazesoak.analysis.furnaces import compare_furnaces
from brazesoak.analysis.plan import make_plan
from brazesoak.analysis.prepared import prepare

from .jobs import LIBRARY, boss, joint, plate, read

KILN = 'name = "bench-kiln-3l"'
TIME = np.array([0.0, 100.0, 200.0, 300.0, 400.0, 500.0])
ASKED = np.array([300.0, 500.0, 500.0, 700.0, 700.0, 700.0])
"""Up 200 K in 100 s, 100 s of hold, up 200 K, hold."""


def test_a_display_that_follows_takes_as_long_as_the_ramps() -> None:
    assert ramp_times(TIME, ASKED, ASKED, (500.0, 700.0), 5.0) == (Ramp(100.0, 100.0), Ramp(100.0, None))


def test_a_display_that_lags_takes_longer_and_a_level_that_it_never_comes_to_has_no_time() -> None:
    shown = np.array([300.0, 400.0, 496.0, 500.0, 690.0, 697.0])
    assert ramp_times(TIME, ASKED, shown, (500.0, 700.0), 5.0) == (Ramp(200.0, 0.0), Ramp(300.0, None))
    never = ramp_times(TIME, ASKED, np.minimum(shown, 600.0), (500.0, 700.0), 5.0)
    assert never == (Ramp(200.0, 0.0), Ramp(None, None))


def test_an_ideal_furnace_needs_nothing_before_and_a_real_one_what_the_table_of_furnaces_has() -> None:
    """At 750 degC, where that table is made."""
    parts = (plate(), boss(), joint("boss", "plate"))
    program = 'loading = "hot"\nset_point = "750 degC"'
    assert heating_empty(prepare(read(*parts, program=program), LIBRARY).settings) is None
    hot = heating_empty(prepare(read(*parts, furnace=KILN, program=program), LIBRARY).settings)
    (row,) = (r for r in compare_furnaces(LIBRARY.furnaces) if r.id == "bench-kiln-3l")
    assert hot is not None
    assert (hot.time, hot.heat) == (pytest.approx(row.time, rel=1e-3), pytest.approx(row.heat, rel=1e-3))


def test_a_plan_tells_the_heat_of_the_empty_furnace_only_where_it_is_loaded_hot() -> None:
    parts = (plate(), boss(), joint("boss", "plate"))
    cold = make_plan(read(*parts, furnace=KILN), LIBRARY, fidelity="network")
    hot = make_plan(read(*parts, furnace=KILN, program='loading = "hot"'), LIBRARY, fidelity="network")
    assert (cold.empty_time, cold.empty_heat) == (None, None)
    assert hot.empty_time is not None
    assert 20.0 < hot.empty_time / 60.0 < 50.0
    assert hot.empty_heat == pytest.approx(1200.0 * hot.empty_time)
    assert cold.program[0].takes == pytest.approx(cold.clock_start, abs=60.0)


@pytest.mark.parametrize(("written", "told"), [("1000 K", ", 1000 K"), ("727 degC", ""), ("1341 degF", "")])
def test_a_set_point_in_kelvin_is_told_as_it_was_written(written: str, told: str) -> None:
    parts = (plate(), boss(), joint("boss", "plate"))
    s = prepare(read(*parts, program=f'set_point = "{written}"'), LIBRARY).settings
    assert s.set_point_reason == f"as the job file says{told}"
