"""Tables and formulas: exact values of EN 1993-1-2:2005, interpolation, range."""

import numpy as np
import pytest

from brazesoak.errors import OutOfRangeError
from brazesoak.trade.formulas import FORMULAS
from brazesoak.trade.library import Library
from brazesoak.trade.properties import Table
from brazesoak_solvers.constants import ZERO_CELSIUS

STEEL = Library().metal("carbon-steel")
ENTHALPY = {
    400: 201.3444845,
    600: 335.7378179,
    700: 419.106075,
    735: 475.4278133,
    750: 511.3689504,
    800: 561.6008257,
    900: 632.0638429,
    1000: 697.0638429,
}
"""From 20 degC [kJ/kg]. Source: EN 1993-1-2:2005 3.4.1.2, integrated analytically."""


def _straight(formula: str | None = None) -> Table:
    T = np.array([300.0, 400.0, 600.0])
    return Table(T, np.array([1.0, 2.0, 6.0]), "invented for the test", "derived", (300.0, 600.0), formula)


def _integral(table: Table, celsius: float) -> float:
    """Trapezoid integral of the nodes from 20 degC, the last interval cut at `celsius`."""
    T, value = table.nodes()
    end = celsius + ZERO_CELSIUS
    grid = np.append(T[end - 1e-9 > T], end)
    return float(np.trapezoid(np.interp(grid, T, value), grid))


@pytest.mark.parametrize(("celsius", "expected"), ENTHALPY.items())
def test_enthalpy_of_carbon_steel(celsius: float, expected: float) -> None:
    """Nodes integrate to the enthalpy of EN 1993-1-2:2005 3.4.1.2; 1e-7 is what `nodes` promises."""
    assert _integral(STEEL.specific_heat, celsius) * 1e-3 == pytest.approx(expected, rel=1e-7)


def test_enthalpy_is_right_between_nodes_as_well() -> None:
    """Against the analytic integral of 3.4.1.2, at 4000 temperatures from 100 degC; promised 1e-7."""
    T = np.linspace(100.0, 1200.0, 4001)

    def cubic(t: np.ndarray | float) -> np.ndarray | float:
        return 425.0 * t + 0.773 / 2 * t**2 - 1.69e-3 / 3 * t**3 + 2.22e-6 / 4 * t**4

    rise, fall = np.clip(T, 600.0, 735.0), np.clip(T, 735.0, 900.0)
    exact = cubic(np.minimum(T, 600.0)) - cubic(20.0)
    exact = exact + 666.0 * (rise - 600.0) + 13002.0 * np.log(138.0 / (738.0 - rise))
    exact += 545.0 * (fall - 735.0) + 17820.0 * np.log((fall - 731.0) / 4.0)
    exact += 650.0 * (np.maximum(T, 900.0) - 900.0)
    nodes, value = STEEL.specific_heat.nodes()
    area = np.concatenate([[0.0], np.cumsum(np.diff(nodes) * (value[1:] + value[:-1]) / 2.0)])
    at = T + ZERO_CELSIUS
    i = np.minimum(np.searchsorted(nodes, at) - 1, nodes.size - 2)
    computed = area[i] + (at - nodes[i]) * (value[i] + np.interp(at, nodes, value)) / 2.0
    assert computed == pytest.approx(exact, rel=1e-7)


def test_specific_heat_of_carbon_steel_peaks_from_both_sides() -> None:
    """EN 1993-1-2:2005 3.4.1.2: 666 + 13002/3 = 545 + 17820/4 = 5000 J/(kg K) at 735 degC."""
    peak = 735.0 + ZERO_CELSIUS
    assert STEEL.specific_heat.at(peak) == pytest.approx(5000.0, rel=1e-9)
    # 1e-6 K to either side the slopes, 1444.7 and -1113.8 J/(kg K2), change it by 0.002.
    assert STEEL.specific_heat.at(peak - 1e-6) == pytest.approx(5000.0, abs=2e-3)
    assert STEEL.specific_heat.at(peak + 1e-6) == pytest.approx(5000.0, abs=2e-3)
    assert STEEL.specific_heat.nodes()[1].max() == pytest.approx(5000.0, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "celsius", "expected"),
    [
        ("EN 1993-1-2:2005 3.4.1.2", 20.0, 439.80176),
        ("EN 1993-1-2:2005 3.4.1.2", 1000.0, 650.0),
        ("EN 1993-1-2:2005 3.4.1.3", 400.0, 40.68),
        ("EN 1993-1-2:2005 3.4.1.3", 800.0, 27.3),
        ("EN 1993-1-2:2005 C.3.2", 500.0, 450.0 + 140.0 - 72.75 + 16.75),
        ("EN 1993-1-2:2005 C.3.3", 700.0, 23.49),
        ("EN 1993-1-2:2005 C.3.1", 600.0, (16.0 + 2.874 - 0.44748) * 1e-6),
    ],
)
def test_formula_of_the_standard(name: str, celsius: float, expected: float) -> None:
    """By hand from the clause in the name."""
    assert FORMULAS[name].at(np.array([celsius]))[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("celsius", [20.5, 400.0, 749.0, 800.0, 900.0, 1200.0])
def test_mean_expansion_is_elongation_over_temperature_rise(celsius: float) -> None:
    """EN 1993-1-2:2005 3.4.1.1 as written there, which `formulas` has with (T - 20) divided out."""
    if celsius < 750.0:
        elongation = 1.2e-5 * celsius + 0.4e-8 * celsius**2 - 2.416e-4
    else:
        elongation = 1.1e-2 if celsius <= 860.0 else 2e-5 * celsius - 6.2e-3
    # 2e-10: at 20.5 degC the written form loses six digits to cancellation.
    assert STEEL.expansion.at(celsius + ZERO_CELSIUS) == pytest.approx(elongation / (celsius - 20.0), rel=2e-10)


@pytest.mark.parametrize("name", FORMULAS)
def test_nodes_follow_the_formula(name: str) -> None:
    """Interpolated nodes are within the bow that sampling allows, 1e-4; jumps (0.3 K wide at most) apart."""
    formula = FORMULAS[name]
    low, high = formula.breaks[0] + ZERO_CELSIUS, formula.breaks[-1] + ZERO_CELSIUS
    table = Table(np.array([low, high]), np.array([1.0, 1.0]), "the clause", "published", (low, high), name)
    T = np.linspace(low, high, 20011)
    T = T[np.min(np.abs(T[:, None] - ZERO_CELSIUS - np.array(formula.breaks)), axis=1) > 0.002]
    assert np.interp(T, *table.nodes()) == pytest.approx(table.at(T), rel=1e-4)
    assert table.nodes()[0].size < 2000


def test_a_table_is_straight_between_its_points() -> None:
    table = _straight()
    assert table.at(350.0) == pytest.approx(1.5)
    assert table.at(np.array([300.0, 500.0, 600.0])) == pytest.approx([1.0, 4.0, 6.0])
    assert isinstance(table.at(350.0), float)
    assert table.nodes()[0] is table.temperature


@pytest.mark.parametrize("outside", [299.9, 600.1, float("nan")])
def test_outside_its_range_a_table_refuses(outside: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        _straight().at(np.array([400.0, outside]))
    assert caught.value.valid_range == (300.0, 600.0)
    assert caught.value.source == "invented for the test"
    assert "27 to 327 °C" in str(caught.value)


def test_outside_its_range_a_table_can_hold_its_ends() -> None:
    assert _straight().at(np.array([0.0, 1000.0]), extrapolate="hold") == pytest.approx([1.0, 6.0])
    assert STEEL.specific_heat.at(2000.0, extrapolate="hold") == pytest.approx(650.0)


def test_arrays_of_the_library_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        STEEL.thermal_conductivity.value[0] = 1.0
