"""Properties of a solid by direct look-up: the fastest way that plain numpy has.

Temperature, heat capacity and conductivity are tabulated over equal intervals of enthalpy, so that a look-up
is one multiplication and two reads; 16,384 intervals keep temperature right to about 1e-4 K.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..cases import Metal

FloatArray = NDArray[np.float64]
POINTS = 16385
LOWEST, HIGHEST = 250.0, 1450.0


class Solid:
    """T, c and k of one metal against enthalpy [J/m3] above `LOWEST` kelvin."""

    def __init__(self, metal: Metal) -> None:
        T = np.unique(np.concatenate([np.linspace(LOWEST, HIGHEST, 20001), metal.capacity[0]]))
        T = T[(T >= LOWEST) & (T <= HIGHEST)]
        c = np.interp(T, *metal.capacity)
        H = np.concatenate([[0.0], np.cumsum(0.5 * (c[1:] + c[:-1]) * np.diff(T))])
        grid = np.linspace(0.0, H[-1], POINTS)
        self._T, self._H = T, H
        self.per_interval = (POINTS - 1) / H[-1]
        self.T = np.interp(grid, H, T)
        self.c = np.diff(grid) / np.diff(self.T)
        self.k = np.interp(self.T, *metal.conductivity)

    def enthalpy(self, T: float) -> float:
        """Enthalpy at one temperature [J/m3]."""
        return float(np.interp(T, self._T, self._H))

    def state(self, H: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """T [K], dH/dT [J/(m3 K)] and k [W/(m K)] at each enthalpy."""
        x = H * self.per_interval
        i = x.astype(np.intp)
        np.clip(i, 0, POINTS - 2, out=i)
        x -= i
        T, k = self.T[i], self.k[i]
        return T + x * (self.T[i + 1] - T), self.c[i], k + x * (self.k[i + 1] - k)


class Solids:
    """Properties of all points of a grid, each of one of several metals."""

    def __init__(self, metals: tuple[Metal, ...], which: NDArray[np.int64]) -> None:
        names = list(dict.fromkeys(m.name for m in metals))
        number = np.array([names.index(m.name) for m in metals])[which]
        by_name = {m.name: Solid(m) for m in metals}
        self._solids = [by_name[n] for n in names]
        self._at = [np.flatnonzero(number == i) for i in range(len(names))]
        self.size = which.size

    def enthalpy(self, T: float) -> FloatArray:
        """Enthalpy of every point at one temperature [J/m3]."""
        H = np.empty(self.size)
        for solid, at in zip(self._solids, self._at, strict=True):
            H[at] = solid.enthalpy(T)
        return H

    def state(self, H: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """T, dH/dT and k of every point."""
        out = np.empty((3, self.size))
        for solid, at in zip(self._solids, self._at, strict=True):
            out[:, at] = solid.state(H[at])
        return out[0], out[1], out[2]
