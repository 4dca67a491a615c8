"""Uniformity classes of furnaces and tolerance classes of thermocouples, as spreads of the temperature. SI."""

from __future__ import annotations

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import FloatArray

UNIFORMITY = {"class 1": 3.0, "class 2": 6.0, "class 3": 8.0, "class 4": 10.0, "class 5": 14.0, "class 6": 28.0}
"""Largest deviation from the set-point in the working space [K]: SAE AMS2750F (2020), furnace classes (read in a
summary of it)."""
TOLERANCES = {
    "K class 1": (1.5, 0.004), "K class 2": (2.5, 0.0075), "N class 1": (1.5, 0.004), "N class 2": (2.5, 0.0075),
    "S class 1": (1.0, 0.0), "S class 2": (1.5, 0.0025), "R class 1": (1.0, 0.0), "R class 2": (1.5, 0.0025),
}  # fmt: skip
"""The greater of so many kelvins and such a share of the reading in degC: IEC 60584-1:2013, tolerance table (reprint
read); types S and R of class 1 up to 1100 degC."""
USUAL = "K class 2"


def uniformity(given: float | str) -> tuple[float, str]:
    """Deviation either way [K] and its source, of a figure or a class of the job."""
    if isinstance(given, str):
        return UNIFORMITY[given], f"SAE AMS2750F (2020), {given} as the job says"
    return given, "the job file"


def thermocouple(kind: str, set_point: float) -> tuple[float, str]:
    """Tolerance either way at a set-point [K], and its source."""
    letter, _, name = kind.partition(" ")
    return float(tolerance(kind, np.array(set_point))), f"IEC 60584-1:2013, type {letter}, {name}"


def tolerance(kind: str, T: FloatArray) -> FloatArray:
    """Tolerance either way at readings T [K], of the same shape."""
    least, share = TOLERANCES[kind]
    return np.maximum(least, share * (T - ZERO_CELSIUS))
