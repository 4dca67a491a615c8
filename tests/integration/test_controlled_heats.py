"""An example under each controller, from the job's text to the answer's."""

import re
from pathlib import Path

import numpy as np
import pytest

from brazesoak.analysis.plan import make_plan
from brazesoak.jobfile.read import read_job_text
from brazesoak.report.text import plan_text
from brazesoak.trade.library import Library

JOB = (Path(__file__).parents[2] / "examples" / "01_bearing_pedestal" / "job.toml").read_text(encoding="utf-8")
LIBRARY = Library()


def planned(control: str, ramp: str = 'ramp = "10 K/min"'):  # type: ignore[no-untyped-def]
    """The plan of the bearing pedestal, as a network, in the library's bench furnace under a controller."""
    text, n = re.subn(r"(\[furnace\]\nname = )\"[^\"]*\"[^\n]*", rf'\1"bench-kiln-10l"\ncontrol = {{ {control} }}', JOB)
    assert n == 1
    text, n = re.subn(r"ramp = \"10 K/min\"", ramp, text, count=1)
    assert n == 1
    return make_plan(read_job_text(text), LIBRARY, fidelity="network")


def test_what_the_program_waits_for_is_told_where_it_is_keyed_in() -> None:
    plan = planned('mode = "pid", holdback = "20 K"', 'ramp = "60 K/min"')
    ramp = plan.program[0]
    waited = float(re.fullmatch(r"and (\d+) min in which it waits for the furnace", ramp.note)[1]) * 60.0  # type: ignore[index]
    assert ramp.duration is not None
    assert waited > ramp.duration > 600.0
    # The clock starts when both are over and the display has come from the holdback's band into its own.
    assert 0.0 < plan.clock_start - ramp.duration - waited < 600.0
    (notice,) = (n for n in plan.warnings if n.code == "program-waits")
    assert f"waits {waited / 60.0:.0f} min" in notice.message
    assert "Widen holdback to 40 K" in notice.action


@pytest.mark.parametrize(
    ("control", "swing", "said"),
    [
        ("", 6.0, "proportional, full power 30 K below"),
        ('mode = "pid", holdback = "20 K"', 15.0, "PID, full power 40 K below"),
        ('mode = "on-off"', 15.0, "on-off, on 3 K below"),
        ('mode = "pid", control_on = "boss", clock_band = "8 K"', 25.0, 'a thermocouple in "boss"'),
    ],
)
def test_an_example_under_each_controller(control: str, swing: float, said: str) -> None:
    plan = planned(control)
    text = " ".join(plan_text(plan, full=True).split())
    assert said in text
    # The clock starts as the display first comes within the band that is stated.
    h = plan.histories
    shown = float(np.interp(plan.clock_start, h.time, h.sensor))
    assert shown == pytest.approx(plan.set_point - plan.clock_band, abs=0.5)
    assert f"{plan.display} first shows {plan.set_point - plan.clock_band - 273.15:.0f} °C" in text
    assert plan.energy_balance_error < 1e-6
    held = (h.time >= plan.clock_start) & (h.time <= plan.hold_end)
    assert np.abs(h.sensor[held] - plan.set_point).max() < swing
    assert plan.overshoot == pytest.approx(max(h.sensor[h.time <= plan.hold_end].max() - plan.set_point, 0.0), abs=1e-6)
    assert (f"{plan.display} goes up to" in text) == (plan.overshoot >= 5.0)
