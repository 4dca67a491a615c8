"""Every shipped data file: it opens, keeps the format, and holds what its source says."""

import math
from pathlib import Path

import numpy as np
import pytest

from brazesoak.analysis.furnaces import compare_furnaces
from brazesoak.trade.library import DATA, Library
from brazesoak.trade.properties import Table
from brazesoak.trade.records import CONFIDENCES, METAL_FAMILIES, SURFACES, Datum, Metal, Spread
from brazesoak.trade.reference import practice
from brazesoak_solvers.constants import ZERO_CELSIUS

LIBRARY = Library()


def _ids(folder: str) -> list[str]:
    return sorted(p.stem for p in (DATA / folder).glob("*.toml"))


def _sourced(item: Datum | Spread | Table) -> None:
    assert item.source.strip()
    assert item.confidence in CONFIDENCES


def _check_table(table: Table) -> None:
    _sourced(table)
    assert np.all(np.diff(table.temperature) > 0.0)
    T, value = table.nodes()
    assert np.all(np.diff(T) > 0.0)
    assert np.all(np.isfinite(value))
    fine = table.at(np.linspace(*table.valid_range, 2001))
    assert np.all(np.isfinite(fine))
    assert np.all(fine > 0.0)
    if table.published_up_to is not None:
        assert table.published_up_to <= table.valid_range[1]


def _check_spread(spread: Spread, most: float = math.inf) -> None:
    _sourced(spread)
    assert spread.low <= spread.use <= spread.high <= most


def test_the_library_is_as_large_as_promised() -> None:
    counts = [len(_ids(folder)) for folder in ("metals", "fillers", "fluxes", "furnaces", "refractories")]
    assert counts == [23, 45, 18, 8, 10]
    assert counts[0] >= 20
    assert counts[1] >= 30
    assert counts[2] >= 12


@pytest.mark.parametrize("name", _ids("metals"))
def test_metal_file(name: str) -> None:
    metal = LIBRARY.metal(name)
    for table in (metal.specific_heat, metal.thermal_conductivity, metal.expansion):
        _check_table(table)
    if metal.emissivity_in_air is not None:
        _check_table(metal.emissivity_in_air)
        assert metal.emissivity_in_air.value.max() <= 1.0
    for datum in (metal.density, metal.solidus, metal.liquidus):
        _sourced(datum)
    assert metal.solidus.value <= metal.liquidus.value
    assert tuple(metal.emissivity) == SURFACES
    for spread in metal.emissivity.values():
        _check_spread(spread, most=1.0)
        assert spread.low > 0.0
    assert metal.family in METAL_FAMILIES
    # Any solid metal: density 1.7 (magnesium) to 19.3 (tungsten) g/cm3; a wrong unit is outside.
    assert 1700.0 < metal.density.value < 19300.0


@pytest.mark.parametrize("name", _ids("metals"))
def test_properties_reach_the_usual_brazing_temperatures(name: str) -> None:
    """A braze at 700 degC must not fall outside a table that heat flow needs."""
    metal = LIBRARY.metal(name)
    T = 700.0 + ZERO_CELSIUS
    assert 200.0 < metal.specific_heat.at(T) < 1100.0
    assert 10.0 < metal.thermal_conductivity.at(T) < 400.0
    # Expansion only moves gaps; A2's table ends at 650 degC, and its last value is then kept.
    assert 4e-6 < metal.expansion.at(T, extrapolate="hold") < 30e-6


@pytest.mark.parametrize("name", _ids("fillers"))
def test_filler_file(name: str) -> None:
    filler = LIBRARY.filler(name)
    assert filler.solidus <= filler.liquidus < filler.braze_high
    assert filler.solidus <= filler.braze_low < filler.braze_high
    assert filler.confidence in CONFIDENCES
    assert filler.source
    # Nominal compositions add up to 100 %; RBCuZn-C leaves 0.6 % to iron and others.
    assert sum(filler.composition.values()) == pytest.approx(100.0, abs=0.7)
    assert filler.cadmium == ("Cd" in filler.composition)
    assert filler.phosphorus == ("P" in filler.composition)
    assert 7000.0 < filler.density < 10500.0
    assert 50e3 < filler.heat_of_fusion < 250e3
    assert filler.name in filler.designations


@pytest.mark.parametrize("name", _ids("fluxes"))
def test_flux_file(name: str) -> None:
    flux = LIBRARY.flux(name)
    assert flux.active_low < flux.active_high
    assert flux.confidence in CONFIDENCES
    assert flux.source
    assert flux.clock_source
    assert set(flux.suited_families) <= set(METAL_FAMILIES)
    assert flux.clock_from >= flux.active_low
    if flux.warn_after is not None:
        assert flux.stop_after is not None
        assert 0.0 < flux.warn_after < flux.stop_after


@pytest.mark.parametrize("name", _ids("refractories"))
def test_refractory_file(name: str) -> None:
    r = LIBRARY.refractory(name)
    for datum in (r.density, r.service_limit):
        _sourced(datum)
    for table in (r.conductivity, r.specific_heat):
        assert table.source
        assert table.confidence in CONFIDENCES
    # From loose blanket to silicon carbide: wrong units are outside.
    assert 50.0 < r.density.value < 3500.0
    assert 0.03 < r.conductivity.value.min() <= r.conductivity.value.max() < 30.0
    assert 700.0 < r.specific_heat.value.min() <= r.specific_heat.value.max() < 1300.0
    assert 1000.0 < r.service_limit.value - 273.15 < 1800.0


@pytest.mark.parametrize("name", _ids("furnaces"))
def test_furnace_file(name: str) -> None:
    furnace = LIBRARY.furnace(name)
    _check_spread(furnace.film)
    _check_spread(furnace.wall_emissivity, most=1.0)
    _check_spread(furnace.uniformity)
    assert furnace.film.low > 0.0
    assert furnace.confidence in CONFIDENCES
    figures = (furnace.power, furnace.chamber_heat_capacity, furnace.loss_conductance, furnace.wall_area)
    assert all((figure is None) == (furnace.kind == "ideal") for figure in figures)
    assert furnace.default_ramp is not None
    assert furnace.default_ramp * 60.0 == pytest.approx(10.0, abs=2.0)


CHAMBERS = [n for n in _ids("furnaces") if "ideal" not in n]


@pytest.mark.parametrize("name", CHAMBERS)
def test_chamber_furnace_is_a_cube_with_bodies_of_plausible_mass(name: str) -> None:
    furnace = LIBRARY.furnace(name)
    told = furnace.interior
    assert told is not None
    assert furnace.power is not None
    assert furnace.volume == pytest.approx(told.inside**3, rel=5e-3)
    assert furnace.wall_area == pytest.approx(6.0 * told.inside**2, rel=5e-3)
    # Surface load of elements 1.5..3 W/cm2: common practice, no source.
    assert 1.5e4 <= told.elements.surface_load <= 3e4
    # Case: sheet of 0.8 to 2 mm with its frame, 7850 kg/m3, EN 1993-1-2.
    outside = told.inside + 2.0 * sum(y.thickness for y in told.layers)
    assert 0.8e-3 < told.case_mass / (7850.0 * 6.0 * outside**2) < 2.5e-3
    for piece in told.pieces:
        assert piece.area < 2.0 * furnace.wall_area
        assert piece.mass < 0.25 * 2500.0 * furnace.volume


@pytest.mark.parametrize("name", CHAMBERS)
def test_chamber_furnace_heats_as_the_trade_sees_it(name: str) -> None:
    """Empty, 20 to 750 degC at full power: 8..25 K/min (common practice, no source), 26 of two whose bricks are dry and
    that have all of their rated power; holds at half power.

    As one lump, C dT/dt = P - G (T - T0), exact, the furnace takes as long as its bodies do, to 3 digits of C and G.
    """
    furnace = LIBRARY.furnace(name)
    (row,) = compare_furnaces([furnace])
    d = dict(furnace.derivation)
    assert row.time is not None
    rate = 730.0 / row.time * 60.0
    assert 8.0 < rate < (26.5 if name in ("bench-kiln-3l", "bench-kiln-25l") else 25.0)
    assert rate == pytest.approx(float(d["empty_mean_rate_to_750C_K_min"]), rel=0.01)
    assert row.holding == pytest.approx(float(d["holding_power_at_750C_W"]), rel=0.01)
    assert row.holding < 0.5 * row.power
    C, G = furnace.chamber_heat_capacity, furnace.loss_conductance
    assert C is not None
    assert G is not None
    assert pytest.approx(row.holding, rel=0.01) == G * 730.0
    assert C / G * math.log(row.power / (row.power - G * 730.0)) == pytest.approx(row.time, rel=0.02)


@pytest.mark.parametrize(
    ("name", "solidus", "liquidus"), [("BAg-7", 618, 652), ("BAg-5", 677, 743), ("BAg-24", 660, 707)]
)
def test_filler_melts_where_the_standard_says(name: str, solidus: float, liquidus: float) -> None:
    """Source: AWS A5.8-1981 through Machinery's Handbook, 31st ed., table 1b. Exact: they are the figures."""
    filler = LIBRARY.filler(name)
    assert filler.solidus - ZERO_CELSIUS == pytest.approx(solidus, abs=1e-9)
    assert filler.liquidus - ZERO_CELSIUS == pytest.approx(liquidus, abs=1e-9)


def test_no_designation_belongs_to_two_items() -> None:
    for items in (LIBRARY.metals, LIBRARY.fillers, LIBRARY.fluxes):
        names = [d.casefold() for item in items for d in item.designations]
        assert len(names) == len(set(names))


def test_only_a_torch_flux_is_barred_from_the_furnace() -> None:
    assert [f.name for f in LIBRARY.fluxes if not f.furnace_use] == ["FB3-K"]


def test_only_titanium_is_barred_from_air() -> None:
    assert [m.id for m in LIBRARY.metals if not m.air_flux_brazing] == ["titanium"]


def test_the_clock_of_a_flux() -> None:
    """Common practice, no source: 30 and 60 min for FB3-C and its like, 15 and 30 for FB3-A, else none."""
    found = {f.name: (f.warn_after, f.stop_after) for f in LIBRARY.fluxes if f.warn_after is not None}
    long, short = (1800.0, 3600.0), (900.0, 1800.0)
    assert found == {
        "FB3-A": short,
        "FB3-G": short,
        "FH10": short,
        "FB3-C": long,
        "FB3-H": long,
        "FH12": long,
    }


def test_steels_of_little_alloy_scale_in_air() -> None:
    """Paloposki and Liedquist, VTT Research Notes 2299 (2005), recalled: 0.28 to 380, 0.69 from 520 degC."""
    scaling = [m for m in LIBRARY.metals if m.emissivity_in_air is not None]
    names = {"carbon-steel", "free-machining-12l14", "alloy-steel-4140", "tool-steel-o1"}
    assert {m.id for m in scaling} == names  # those of 5 % chromium and more stay brighter
    for metal in scaling:
        assert metal.emissivity_in_air is not None
        T = np.array([300.0, 450.0, 700.0]) + ZERO_CELSIUS
        assert metal.emissivity_in_air.at(T) == pytest.approx([0.28, 0.485, 0.69], abs=1e-12)


def test_safety_cautions_have_text_and_source() -> None:
    cautions = LIBRARY.cautions()
    hazards = {c.hazard for c in cautions}
    assert {
        "cadmium",
        "zinc fume",
        "lead",
        "fluoride flux",
        "sealed cavities",
        "limits of this library",
    } <= hazards
    assert all(c.text and c.source and c.confidence in CONFIDENCES for c in cautions)


def test_practice_tables_have_sources_and_sound_numbers() -> None:
    found = practice()
    for rows in found.tables.values():
        assert rows
        assert all(row["source"] and row["confidence"] in CONFIDENCES for row in rows)
    for clearance in found.clearances.values():
        _check_spread(clearance, most=0.3e-3)
    for table in (found.air.thermal_conductivity, found.air.dynamic_viscosity, found.air.density):
        _check_table(table)


def test_air_is_an_ideal_gas() -> None:
    """rho = p M / (R T) with M = 28.9652 g/mol (Lemmon and others 2000); the table has three decimals."""
    density = practice().air.density
    expected = 101325.0 * 28.9652e-3 / (8.314462618 * density.temperature)
    assert density.value == pytest.approx(expected, abs=6e-4)


def test_measured_emissivity_points_are_fractions() -> None:
    points = practice().tables["emissivity_point"]
    assert len(points) == 40
    assert all(0.0 < float(str(p["emissivity"])) <= 1.0 for p in points)


def test_files_say_nothing_that_is_not_utf8_and_ascii_units() -> None:
    for path in DATA.rglob("*.toml"):
        text = Path(path).read_text(encoding="utf-8")
        assert "°" not in text, path


def test_zinc_and_lead_are_marked() -> None:
    def marked(attribute: str) -> set[str]:
        return {m.id for m in LIBRARY.metals if getattr(m, attribute)}

    assert marked("zinc_bearing") == {"brass-c26000", "brass-c36000", "brass-c46400"}
    assert marked("lead_bearing") == {"free-machining-12l14", "brass-c36000"}
    assert marked("hardenable") == {"alloy-steel-4140", "tool-steel-a2", "tool-steel-o1", "stainless-420"}


def test_a_metal_is_found_as_itself() -> None:
    for metal in LIBRARY.metals:
        assert isinstance(metal, Metal)
        assert LIBRARY.metal(metal.id) is metal
