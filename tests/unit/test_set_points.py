"""The map of set-points: what breaks a limit is shown with it, and the best is the shortest in the band."""

from __future__ import annotations

from pathlib import Path

from brazesoak.analysis.set_points import NOT_SURE, map_set_points
from brazesoak.jobfile.names import read_with_library


def test_map_of_the_pedestal():
    found = map_set_points(*read_with_library(Path("examples/01_bearing_pedestal/job.toml")), "network")
    assert len(found.points) == 10
    low, high = found.band
    allowed = [p for p in found.points if p.works and low - 1e-6 <= p.set_point <= high + 1e-6]
    assert found.best in allowed
    assert found.best.plan.hold_end == min(p.plan.hold_end for p in allowed)
    assert not any(p.works for p in found.points if p.plan and any(w.code in NOT_SURE for w in p.plan.warnings))
    assert "never get there" in found.points[0].why  # 30 K above the liquidus, with a furnace that is 28 K uneven
