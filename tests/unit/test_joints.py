"""Conductance of gaps. Published figures: the trade's reference table "contact and gaps", derived there from
k/(gap + jump) and 4 sigma T^3/(1/e1 + 1/e2 - 1)."""

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError

from brazesoak.jobfile.quantities import Gap
from brazesoak.thermal.joints import (
    FILLER_CONDUCTIVITY,
    FLUX_CONDUCTIVITY,
    FLUX_MELTS_OVER,
    ROUGHNESS,
    Gas,
    dry_conductance,
    filled_conductance,
    jump_length,
)

from .jobs import LIBRARY, SIGMA, kelvin

AIR = LIBRARY.practice().air.thermal_conductivity
GAS = Gas(AIR.temperature, AIR.value)
TABLE = {
    20.0: {25: 1028.0, 50: 514.0, 75: 343.0, 130: 198.0, 250: 103.0},
    700.0: {25: 2620.0, 50: 1310.0, 75: 873.0, 130: 504.0, 250: 262.0},
}
"""Through gas alone [W/(m2 K)] by temperature [degC] and gap [um], without the temperature jump."""


def at(curve: tuple[np.ndarray, np.ndarray], T: float) -> float:
    return float(np.interp(T, *curve))


def radiation(T: float, one: float, other: float) -> float:
    return 4.0 * SIGMA * T**3 / (1.0 / one + 1.0 / other - 1.0)


@pytest.mark.parametrize(("celsius", "micrometres"), [(t, g) for t in TABLE for g in TABLE[t]])
def test_gas_gap(celsius: float, micrometres: int) -> None:
    """What is left after radiation, with the temperature jump taken out again, is k/gap.

    Tolerance 2.5 %: the table has k 0.0257 and 0.0655 W/(m K), our air 0.0259 and 0.0663 (Lemmon and Jacobsen
    2004), 0.8 and 1.2 % more; at 20 degC the curve, which is linear from 250 to 300 K, reads another 1.6 %
    high.
    """
    T, gap = kelvin(celsius), micrometres * 1e-6
    found = at(dry_conductance(gap, GAS, 0.8, 0.8, None), T) - radiation(T, 0.8, 0.8)
    without_jump = found * (gap + float(jump_length(np.array(T)))) / gap
    assert without_jump == pytest.approx(TABLE[celsius][micrometres], rel=0.025)


@pytest.mark.parametrize("celsius", [20.0, 700.0])
def test_the_jump_matters_only_in_tight_gaps(celsius: float) -> None:
    """Jump length 0.4 um at 20 degC and 1.5 um at 700 degC: 1.6 and 5.7 % of 25 um, under 0.7 % of 250 um."""
    jump = float(jump_length(np.array(kelvin(celsius))))
    assert jump == pytest.approx(0.4e-6 if celsius == 20.0 else 1.5e-6, rel=1e-9)


def test_radiation_across_the_gap() -> None:
    """139 W/(m2 K) at 700 degC between emissivities 0.8 and 0.8; the table gives whole numbers."""
    T = kelvin(700.0)
    wide = at(dry_conductance(1.0, GAS, 0.8, 0.8, None), T)  # a metre of gas conducts next to nothing
    assert wide == pytest.approx(139.0, abs=0.6)
    assert radiation(T, 0.8, 0.8) == pytest.approx(139.0, abs=0.5)


def test_faces_that_touch_are_as_far_apart_as_they_are_rough() -> None:
    """Own-weight contact of machined faces in air: 300 to 1500 W/(m2 K) at 30 to 150 um mean gap; ours, at
    the
    roughness itself, lies above that and stays finite."""
    touching = at(dry_conductance(0.0, GAS, 0.8, 0.8, None), kelvin(20.0))
    assert touching == pytest.approx(at(dry_conductance(ROUGHNESS, GAS, 0.8, 0.8, None), kelvin(20.0)))
    assert 1500.0 < touching < 3000.0


def test_molten_flux_takes_the_place_of_the_gas() -> None:
    """A film of 0.1 mm: 5000 to 15000 W/(m2 K), from memory."""
    active = kelvin(565.0)
    dry, plain = (dry_conductance(1e-4, GAS, 0.8, 0.8, a) for a in (active, None))
    assert at(dry, active - 50.0) == at(plain, active - 50.0)
    assert at(dry, active + FLUX_MELTS_OVER + 10.0) == pytest.approx(FLUX_CONDUCTIVITY / 1e-4)
    assert 5000.0 <= at(dry, kelvin(650.0)) <= 15000.0
    assert np.all(np.diff(dry[1]) >= 0.0)  # it never conducts worse for being hotter


def test_filler_in_the_gap() -> None:
    """Molten filler, 0.1 mm: 500 000 to 1 500 000 W/(m2 K), from memory."""
    filled = filled_conductance(1e-4)
    assert set(filled[1]) == {FILLER_CONDUCTIVITY / 1e-4}
    assert 5e5 <= filled[1][0] <= 1.5e6
    assert np.all(np.isfinite(filled_conductance(0.0)[1]))


def test_a_wider_gap_never_conducts_better() -> None:
    narrow, wide = (dry_conductance(g, GAS, 0.5, 0.8, kelvin(565.0))[1] for g in (5e-5, 2e-4))
    assert np.all(wide < narrow)


def test_no_gap_of_a_job_is_thinner_than_faces_are_rough() -> None:
    """A thinner one would count as the roughness without a word; the job file refuses it."""
    read = TypeAdapter(Gap).validate_python
    assert read(f"{ROUGHNESS * 1e3:g} mm") == pytest.approx(ROUGHNESS)
    with pytest.raises(ValidationError, match="parts that touch"):
        read(f"{0.99 * ROUGHNESS * 1e3:g} mm")
