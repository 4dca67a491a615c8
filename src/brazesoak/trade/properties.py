"""A property against temperature: a table with its source, or the published formula it stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, overload

import numpy as np
from numpy.typing import NDArray

from brazesoak.errors import OutOfRangeError
from brazesoak_solvers.constants import ZERO_CELSIUS

from .formulas import FORMULAS, sampled

FloatArray = NDArray[np.float64]
Outside = Literal["raise", "hold"]

_SLACK = 1e-6
"""A temperature this little outside the range is a rounding error, not a question outside it [K]."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A property against temperature, linear between its points.

    Attributes
    ----------
    temperature : float64[n]        [K], strictly increasing
    value : float64[n]              in SI
    source, confidence : str
    valid_range : (float, float)    [K]
    formula : str or None           name in `formulas.FORMULAS`; `at` and `nodes` then follow the formula
    published_up_to : float or None     points up to here were read in the source [K]; None: none were
    quantity : str                  what it is and of what, for messages
    """

    temperature: FloatArray
    value: FloatArray
    source: str
    confidence: str
    valid_range: tuple[float, float]
    formula: str | None = None
    published_up_to: float | None = None
    note: str = ""
    quantity: str = "property"

    @overload
    def at(self, T: float, extrapolate: Outside = ...) -> float: ...
    @overload
    def at(self, T: FloatArray, extrapolate: Outside = ...) -> FloatArray: ...
    def at(self, T: float | FloatArray, extrapolate: Outside = "raise") -> float | FloatArray:
        """Value at temperature T [K], a number or an array.

        Parameters
        ----------
        extrapolate : ``"hold"`` keeps the value of the nearer end outside `valid_range`

        Raises
        ------
        OutOfRangeError     T outside `valid_range`, or not a number, and `extrapolate` is ``"raise"``
        """
        wanted = np.asarray(T, dtype=np.float64)
        low, high = self.valid_range
        outside = ~((wanted >= low - _SLACK) & (wanted <= high + _SLACK))
        if extrapolate == "raise" and np.any(outside):
            raise self._out_of_range(float(wanted[outside].flat[0]))
        inside = np.clip(wanted, low, high)
        if self.formula is None:
            value = np.interp(inside, self.temperature, self.value)
        else:
            value = FORMULAS[self.formula].at(inside - ZERO_CELSIUS)
        return float(value) if np.ndim(T) == 0 else np.asarray(value)

    def nodes(self) -> tuple[FloatArray, FloatArray]:
        """Points to interpolate between.

        Returns
        -------
        (float64[n], float64[n])    temperature [K], strictly increasing, and value: the table's points, or
                                    samples of the formula; their trapezoid integral is right to 1e-7
        """
        if self.formula is None:
            return self.temperature, self.value
        T, value = sampled(self.formula)
        return T + ZERO_CELSIUS, value

    def _out_of_range(self, T: float) -> OutOfRangeError:
        low, high = (t - ZERO_CELSIUS for t in self.valid_range)
        return OutOfRangeError(
            f"{self.quantity} is known from {low:.0f} to {high:.0f} °C and was asked for at "
            f"{T - ZERO_CELSIUS:.0f} °C; stay inside, or extend the table in a data file of your own. "
            f"Source: {self.source}.",
            quantity=self.quantity,
            value=T,
            valid_range=self.valid_range,
            source=self.source,
        )
