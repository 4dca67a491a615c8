"""How well a joint conducts: through gas, radiation and flux before the filler melts, through filler after.

All functions give conductance per area [W/(m2 K)] against the mean temperature of the joint [K].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS

FloatArray = NDArray[np.float64]

ROUGHNESS = 10e-6
"""Smallest distance between two machined faces that touch [m]. From memory: Ra 0.8 to 3.2 um a face."""
FLUX_CONDUCTIVITY = 1.0
"""Molten borate and fluoride flux [W/(m K)]. From memory; 0.5 to 1.5."""
FILLER_CONDUCTIVITY = 80.0
"""Molten silver filler [W/(m K)]. From memory, 50 to 150: the joint is then no resistance worth the name."""
FLUX_MELTS_OVER = 30.0
"""The flux goes from solid to a wetting liquid over so many kelvin. Common practice, no source."""
_GRID = np.concatenate([np.arange(250.0, 800.0, 50.0), np.arange(800.0, 1500.0, 10.0)])


@dataclass(frozen=True, slots=True)
class Gas:
    """Conductivity of the gas in the gap against temperature: float64[n] [K], float64[n] [W/(m K)]."""

    temperature: FloatArray
    conductivity: FloatArray


Curve = tuple[FloatArray, FloatArray]


def jump_length(T: FloatArray) -> FloatArray:
    """Temperature-jump length of air at 1 bar [m]: 0.4 um at 20 degC, 1.5 um at 700 degC. From memory."""
    return np.asarray(0.4e-6 + 1.1e-6 * (T - ZERO_CELSIUS - 20.0) / 680.0)


def dry_conductance(gap: float, gas: Gas, emissivity_a: float, emissivity_b: float, flux_active: float | None) -> Curve:
    """Conductance of a gap that the filler has not filled, against temperature.

    Gas in parallel with radiation between two grey faces; above `flux_active` [K] a film of molten flux takes
    the place of the gas. Source: series and parallel resistances, Incropera and DeWitt, section 3.1 and 13.3
    (recalled); numbers of gas and film with the constants of this module.

    Returns
    -------
    (float64[n], float64[n])    temperature [K], conductance [W/(m2 K)]
    """
    T = _GRID
    distance = max(gap, ROUGHNESS)
    through_gas = np.interp(T, gas.temperature, gas.conductivity) / (distance + jump_length(T))
    radiation = 4.0 * STEFAN_BOLTZMANN * T**3 / (1.0 / emissivity_a + 1.0 / emissivity_b - 1.0)
    if flux_active is None:
        return T, through_gas + radiation
    molten = np.clip((T - flux_active) / FLUX_MELTS_OVER, 0.0, 1.0)
    film = FLUX_CONDUCTIVITY / distance
    return T, (1.0 - molten) * (through_gas + radiation) + molten * film


def filled_conductance(gap: float) -> Curve:
    """Conductance of a gap full of filler, molten or solid, against temperature."""
    return _GRID, np.full(_GRID.size, FILLER_CONDUCTIVITY / max(gap, ROUGHNESS))
