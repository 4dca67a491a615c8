"""When the hold may end, on made-up histories of a real assembly; times by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from brazesoak.analysis.limits import Heat, Limits, ceilings, scales, window
from brazesoak.analysis.plan import make_plan, prepare
from brazesoak.jobfile.read import ReadJob

from .jobs import LIBRARY, boss, joint, kelvin, plate, read

ALLOWED = Limits(None, 1200.0, 1e-4, None, 50.0)
MINUTE = 60.0
TIME = np.linspace(0.0, 7200.0, 1201)
T = np.minimum(kelvin(20.0) + TIME * 10.0 / MINUTE, kelvin(720.0))
"""10 K/min to 720 degC in 70 min, then held."""


def heat(rows: int = 2) -> Heat:
    return Heat(TIME, np.array([T]), np.array([T]), np.array([T] * rows), 7200.0)


def brass_on(metal: str, surface: str = "oxidised", **more: str) -> ReadJob:
    return read(plate(metal=metal, surface=surface), boss(metal="UNS C36000"), joint("boss", "plate", "seat"), **more)


def test_flux_life_of_the_library_and_of_the_user():
    """FB3-C counts from 565 degC, passed after 54.5 min, and lasts 60 min (the library's own figures)."""
    assembly = prepare(brass_on("AISI 1018"), LIBRARY).assembly
    own = replace(ALLOWED, flux=20 * MINUTE)
    found, shorter = (next(c for c in ceilings(assembly, a, heat()) if c.name == "flux") for a in (ALLOWED, own))
    assert found.latest == pytest.approx((54.5 + 60.0) * MINUTE, abs=0.1)
    assert "common practice, no source" in found.source
    assert shorter.latest == pytest.approx((54.5 + 20.0) * MINUTE, abs=0.1)
    assert shorter.source == "the job file"


def test_a_flux_without_a_published_life_has_no_ceiling_but_the_users():
    prepared = prepare(brass_on("AISI 304", flux="FH11"), LIBRARY)
    assert not any(c.name == "flux" for c in ceilings(prepared.assembly, ALLOWED, heat()))
    own = replace(ALLOWED, flux=20 * MINUTE)
    assert any(c.name == "flux" for c in ceilings(prepared.assembly, own, heat()))


def test_each_metal_has_the_ceilings_it_deserves():
    """Brass: zinc 20 min after 652 degC, that is 63.2 + 20 min. 1018: scale. 304: sensitisation, once allowed."""
    steel = prepare(brass_on("AISI 1018"), LIBRARY).assembly
    stainless = prepare(brass_on("AISI 304"), LIBRARY).assembly
    thin = replace(ALLOWED, scale=1e-5, sensitisation=30 * MINUTE)
    on_steel = {c.name: c.latest for c in ceilings(steel, thin, heat())}
    on_stainless = {c.name: c.latest for c in ceilings(stainless, thin, heat())}
    assert set(on_steel) == {"flux", "zinc", "scale"}
    assert set(on_stainless) == {"flux", "zinc", "sensitisation"}
    assert on_steel["zinc"] == pytest.approx((63.2 + 20.0) * MINUTE, abs=0.1)
    assert on_stainless["sensitisation"] == pytest.approx((40.5 + 30.0) * MINUTE, abs=0.1)  # 425 degC at 40.5 min
    assert "sensitisation" not in {c.name for c in ceilings(stainless, ALLOWED, heat())}


def test_flux_keeps_scale_away():
    fluxed = prepare(brass_on("AISI 1018", "fluxed"), LIBRARY).assembly
    assert [scales(s) for s in fluxed.segments] == [False, False]


def test_the_window_is_sorted_and_crosses_where_the_floor_is_later():
    assembly = prepare(brass_on("AISI 1018"), LIBRARY).assembly
    found = window(assembly, ALLOWED, heat(), 82 * MINUTE, 80 * MINUTE)
    latest = [c.latest for c in found.ceilings]
    assert latest == sorted(latest)
    assert found.works
    assert [c.name for c in window(assembly, ALLOWED, heat(), 84 * MINUTE, 80 * MINUTE).violated] == ["zinc"]


def test_the_plan_says_that_no_hold_works_and_what_would():
    limited = make_plan(brass_on("AISI 304", limits='flux = "5 min"\nsensitisation = "10 min"'), LIBRARY)
    assert limited.window is not None
    assert not limited.window.works
    assert {c.name for c in limited.window.violated} >= {"flux", "sensitisation"}
    notice = next(w for w in limited.warnings if w.code == "no-hold-works")
    assert notice.message.startswith("No hold works")
    assert "304L" in notice.action
    assert "brazesoak best seeks the program" in notice.action
    assert {"sensitised", "flux-spent"} <= {w.code for w in limited.warnings}
