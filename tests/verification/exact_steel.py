"""Heat content of structural steel and its heating in the standard fire, EN 1993-1-2, without the core."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.integrate import solve_ivp

from .exact import BOOK_STEFAN_BOLTZMANN

FloatArray = NDArray[np.float64]


def steel_enthalpy(T: ArrayLike) -> FloatArray:
    """Heat content of carbon steel at T above 20 degC [J/kg], 20 to 1200 degC: clause 3.4.1.2 integrated."""
    T = np.asarray(T, float)

    def cubic(T: FloatArray) -> FloatArray:
        return 425.0 * T + 0.773 * T**2 / 2.0 - 1.69e-3 * T**3 / 3.0 + 2.22e-6 * T**4 / 4.0

    a, b, c = np.minimum(T, 600.0), np.clip(T, 600.0, 735.0), np.clip(T, 735.0, 900.0)
    rise = 666.0 * (b - 600.0) + 13002.0 * np.log(138.0 / (738.0 - b))
    fall = 545.0 * (c - 735.0) + 17820.0 * np.log((c - 731.0) / 4.0)
    return np.asarray(cubic(a) - cubic(20.0) + rise + fall + 650.0 * np.maximum(T - 900.0, 0.0))


def standard_fire(time: float) -> float:
    """Gas temperature of ISO 834 [degC] at `time` [s]."""
    return 20.0 + 345.0 * float(np.log10(8.0 * time / 60.0 + 1.0))


def fire_flux(time: float, steel: FloatArray) -> FloatArray:
    """Net heat flux of EN 1991-1-2 into steel [degC]: film 25, emissivity 0.7, rounded constants [W/m2]."""
    gas = standard_fire(time)
    radiation = BOOK_STEFAN_BOLTZMANN * ((gas + 273.0) ** 4 - (steel + 273.0) ** 4)
    return np.asarray(25.0 * (gas - steel) + 0.7 * radiation)


def steel_in_fire(section_factors: ArrayLike, times: Sequence[float]) -> FloatArray:
    """Bare steel of `section_factors` [1/m] at `times` [s], clause 4.2.5.1 as an equation [degC].

    Enthalpy is marched, so that the peak at 735 degC is not in the integrand; float64[section, time].
    """
    factor = np.asarray(section_factors, float)
    grid = np.linspace(20.0, 1200.0, 118_001)
    content = steel_enthalpy(grid)

    def rate(t: float, H: FloatArray) -> FloatArray:
        return factor / 7850.0 * fire_flux(t, np.interp(H, content, grid))

    run = solve_ivp(rate, (0.0, times[-1]), np.zeros(factor.size), "DOP853", times, rtol=1e-9, atol=1e-2, max_step=30.0)
    return np.interp(run.y, content, grid)
