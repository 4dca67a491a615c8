"""Slabs whose surface takes up radiation: nonlinear boundary, k(T), c(T) and a peak of the heat capacity.

No closed form exists. The reference is a Chebyshev collocation solved here (`exact_2d.chebyshev_slab`), which
agrees with the catalogue's run of it to all digits printed there and was cross-checked by
Richardson-extrapolated finite volumes of an independent code to 1e-4 K. Symmetric slab, black furnace at 1000
degC, from 20 degC.
"""

import numpy as np
import pytest

from brazesoak_solvers import Graph, Material, material, structured
from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS

from .build import history
from .build_2d import sides
from .exact_2d import chebyshev_slab

SOURCE = "Chebyshev collocation"
START, FURNACE = 20.0 + ZERO_CELSIUS, 1000.0 + ZERO_CELSIUS


def _run(solid: Material, half: float, times, **law) -> tuple[np.ndarray, np.ndarray]:
    """Surface and centre [degC] at each time, from 40 cells over the half-thickness."""
    graph = Graph()
    mesh = structured([np.linspace(0.0, half, 41)], "plane")
    cells = graph.mesh(mesh, [graph.material(solid)])
    sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(FURNACE), **law)
    T = np.array(history(graph.problem(START), times, tolerance=2e-3)) - ZERO_CELSIUS
    # On the surface a parabola through the last three cells, which knows nothing of the boundary law.
    return T[:, -3:] @ np.array([3.0, -10.0, 15.0]) / 8.0, (9.0 * T[:, 0] - T[:, 1]) / 8.0


def _compare(record, case, reference, catalogue, computed, times, tolerance, digits) -> None:
    for place, exact, printed, values in zip(("surface", "centre"), reference, catalogue, computed, strict=True):
        for time, e, p, value in zip(times, exact - ZERO_CELSIUS, printed, values, strict=True):
            assert e == pytest.approx(p, abs=digits)
            record(f"{case} {place} {time:g} s", SOURCE, e, value, "degC", tolerance=tolerance)


def test_constant_properties(record):
    """K1. 25 mm half, k 30, rho c 7850 x 650, emissivity 0.8 and film 15. Tolerance 0.05 K with 40 cells
    (case K1).
    """
    times = (60.0, 300.0, 600.0, 1200.0, 1800.0)
    catalogue = (
        (118.62007, 355.34308, 609.37399, 897.89621, 978.83836),
        (63.96971, 304.40089, 568.36289, 882.84944, 975.40547),
    )
    reference = chebyshev_slab(
        0.025,
        lambda T: 30.0 + 0.0 * T,
        lambda T: 7850.0 * 650.0 + 0.0 * T,
        lambda T: 15.0 * (FURNACE - T) + 0.8 * STEFAN_BOLTZMANN * (FURNACE**4 - T**4),
        START,
        times,
        24,
    )
    computed = _run(material(7850.0 * 650.0, 30.0), 0.025, times, film=15.0, emissivity=0.8)
    _compare(record, "K1", reference, catalogue, computed, times, 0.05, 2e-5)


def test_properties_linear_in_temperature(record):
    """K2. 25 mm half, k = 14.6 + 0.0127 T, rho 7900, c = 480 + 0.15 T (T in degC), emissivity 0.5. 0.05 K
    (case K2).
    """
    times = (60.0, 300.0, 600.0, 1200.0, 1800.0)
    catalogue = (
        (105.19055, 276.40573, 467.96705, 751.92680, 900.84535),
        (46.65285, 225.58521, 427.04908, 729.18704, 890.77332),
    )

    def k(T):
        return 14.6 + 0.0127 * (T - ZERO_CELSIUS)

    def capacity(T):
        return 7900.0 * (480.0 + 0.15 * (T - ZERO_CELSIUS))

    reference = chebyshev_slab(
        0.025, k, capacity, lambda T: 0.5 * STEFAN_BOLTZMANN * (FURNACE**4 - T**4), START, times, 24
    )
    ends = np.array([250.0, 1400.0])
    computed = _run(material(capacity(ends), k(ends), ends, ends), 0.025, times, emissivity=0.5)
    _compare(record, "K2", reference, catalogue, computed, times, 0.05, 2e-5)


def test_peak_of_the_heat_capacity(record):
    """K3. 20 mm half, k 30, rho 7850, c = 600 + a Gaussian of 80 kJ/kg at 800 degC, deviation 15 K,
    emissivity 0.8.

    The core gets the peak as a table every kelvin. Tolerance 0.2 K with 40 cells (case K3).
    """
    times = (600.0, 900.0, 1200.0, 1500.0)
    catalogue = ((707.4770, 818.0978, 907.1246, 967.0919), (681.4968, 799.0215, 896.5764, 963.0690))

    def capacity(T):
        peak = np.exp(-0.5 * ((T - ZERO_CELSIUS - 800.0) / 15.0) ** 2) / (15.0 * np.sqrt(2.0 * np.pi))
        return 7850.0 * (600.0 + 80000.0 * peak)

    reference = chebyshev_slab(
        0.02,
        lambda T: 30.0 + 0.0 * T,
        capacity,
        lambda T: 0.8 * STEFAN_BOLTZMANN * (FURNACE**4 - T**4),
        START,
        times,
        40,
    )
    table = np.arange(680.0, 921.0) + ZERO_CELSIUS
    computed = _run(material(capacity(table), 30.0, table), 0.02, times, emissivity=0.8)
    _compare(record, "K3", reference, catalogue, computed, times, 0.2, 1e-4)
