"""The study of the kilogram rule: a small slice of it, against what the physics demands."""

from __future__ import annotations

import importlib.util
import re
import sys
from math import pi
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from scipy.integrate import quad

from brazesoak.bridge.simulate import Simulation, simulate

HERE = Path(__file__).parents[2] / "examples" / "08_kilogram_rule"
SIGMA = 5.670374419e-8  # CODATA 2018


def _load() -> ModuleType:
    spec = importlib.util.spec_from_file_location("kilogram_study", HERE / "study.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


study = _load()


def heated(mass: float, surface: str = "dark", seen: str = "open", film: float | None = 0.0) -> Simulation:
    """As one lump, put into the furnace at its set-point."""
    job = study.prepared(study.Case(mass, surface, seen, "hot"), film)
    return simulate(job.model(job.inputs), "network", lambda clock, last: last, tolerance=0.02)


def test_in_the_radiative_limit_time_goes_with_the_cube_root_of_the_mass() -> None:
    """m c dT/dt = e sigma A (Ts^4 - T^4) is separable, A goes with m^(2/3): eight times the mass, twice the time."""
    times = [heated(mass).last_target for mass in (0.1, 0.8, 6.4)]
    assert times[1] / times[0] == pytest.approx(2.0, rel=2e-3)
    assert times[2] / times[0] == pytest.approx(4.0, rel=2e-3)


def test_in_the_radiative_limit_time_is_that_of_the_quadrature() -> None:
    mass, start, target, furnace = 1.0, 293.15, 273.15 + 682.0, 273.15 + 727.0
    T, cp = study.LIBRARY.metal("carbon-steel").specific_heat.nodes()
    area = 1.5 * pi * (4.0 * mass / (pi * study.DENSITY)) ** (2.0 / 3.0)  # side pi d^2, ends pi d^2 / 2
    whole, _ = quad(lambda x: np.interp(x, T, cp) / (furnace**4 - x**4), start, target, limit=400, epsrel=1e-6)
    assert heated(mass).last_target == pytest.approx(mass * whole / (0.8 * SIGMA * area), rel=3e-3)


def test_half_the_view_takes_twice_the_time_and_less_emissivity_takes_more() -> None:
    whole = heated(1.0, film=None).last_target
    assert heated(1.0, seen="half shaded", film=None).last_target / whole == pytest.approx(2.0, rel=2e-3)
    assert heated(1.0, "half-dark").last_target / heated(1.0, "dark").last_target == pytest.approx(0.8 / 0.35, rel=2e-3)


def test_rule_and_hold_are_counted_from_the_same_instant() -> None:
    """The furnace is within 5 K of 727 degC after (722 - 20) / 10 min; the hold runs from there."""
    case = study.Case(1.0, "dark", "open", "cold")
    job = study.prepared(case)
    run = simulate(job.model(job.inputs), "network", lambda clock, last: last)
    assert run.clock_start == pytest.approx(70.2 * 60.0, abs=0.1)
    assert study.computed(case, "network").hold == pytest.approx(run.last_target + 300.0 - run.clock_start)
    assert study.computed(case, "network").rule == 3600.0


def test_the_rule_turns_from_dangerous_to_generous_as_the_mass_grows() -> None:
    """The hold goes with a third power or so of the mass, the rule with the mass: they cross once."""
    order = ["dangerous", "right", "generous"]
    cases = [study.Case(mass, "bright", "open", "hot") for mass in (0.1, 0.5, 2.0, 5.0, 20.0)]
    verdicts = [order.index(study.computed(case, "network").verdict) for case in cases]
    assert verdicts == sorted(verdicts)
    assert verdicts[0] == 0
    assert verdicts[-1] == 2


def test_the_page_shows_the_table_that_the_command_makes() -> None:
    page, made = ((HERE / name).read_text(encoding="utf-8") for name in ("README.md", "kilogram.md"))
    assert made.strip() in page
    row = next(line for line in made.splitlines() if line.startswith("| 2 kg |"))
    cells = re.split(r"\s*\|\s*", row.strip("| "))
    for at, (surface, seen) in ((2, ("bright", "open")), (7, ("dark", "half shaded"))):
        found = study.computed(study.Case(2.0, surface, seen, "cold"))
        assert cells[at] == f"{study.minutes(found.hold)} {study.MARKS[found.verdict]}"


def test_what_the_table_says_is_what_the_lines_for_machines_say() -> None:
    lines = (HERE / "kilogram.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 1 + len(study.MASSES) * len(study.SEEN) * len(study.SURFACES) * len(study.LOADINGS)
    rows = [dict(zip(lines[0].split(","), line.split(","), strict=True)) for line in lines[1:]]
    for row in rows:
        assert (row["verdict"] == "dangerous") == (float(row["rule_min"]) < float(row["hold_min"]))
