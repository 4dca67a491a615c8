"""The core's signals: tables against numpy, jumps, a march by tables against one by functions, and bad tables."""

import numpy as np
import pytest

from brazesoak_solvers import Graph, Options, Problem, ProblemError, material, steps

TIME = np.array([0.0, 100.0, 100.0, 250.0, 400.0])
VALUE = np.array([300.0, 500.0, 700.0, 700.0, 400.0])


def lump(gas, source=0.0, breakpoints=()) -> Problem:
    """One body of 1000 J/K in gas, with a source of heat."""
    graph = Graph()
    cell = graph.cells(1.0, graph.material(material(1000.0, 1.0)))
    graph.boundary(cell, 1.0, gas=graph.ambient(gas), film=20.0)
    graph.source(cell, source)
    return graph.problem(300.0, breakpoints)


def at(time: float) -> float:
    """The table as a function, at a jump the new value."""
    if time < 100.0:
        return float(np.interp(time, TIME[:2], VALUE[:2]))
    return float(np.interp(time, TIME[2:], VALUE[2:]))


@pytest.mark.parametrize("time", [-5.0, 0.0, 30.0, 99.999, 100.0, 101.0, 250.0, 300.0, 400.0, 1e6])
def test_a_table_is_what_numpy_interpolates_between_its_jumps(time):
    found = lump((TIME, VALUE), (TIME, 2.0 * VALUE)).signals(time)
    assert found.ambient[0] == pytest.approx(at(time), rel=1e-14)
    assert found.source[0] == pytest.approx(2.0 * at(time), rel=1e-14)


def test_sources_of_one_cell_add_whatever_sort_they_are():
    graph = Graph()
    cells = graph.cells([1.0, 1.0], graph.material(material(1000.0, 1.0)))
    graph.source(cells, np.array([1.0, 2.0]))
    graph.source([1, 1], ([0.0, 10.0], [0.0, 30.0]))
    graph.source(cells, lambda t: np.array([t, 0.0]))
    assert graph.problem(300.0).signals(5.0).source.tolist() == [1.0 + 5.0, 2.0 + 15.0 + 15.0]


def test_the_corners_of_a_table_are_breakpoints_and_those_of_functions_are_given():
    assert lump((TIME, VALUE), (np.array([50.0, 60.0]), np.array([0.0, 1.0]))).breakpoints.tolist() == [
        0.0, 50.0, 60.0, 100.0, 250.0, 400.0,
    ]  # fmt: skip
    assert lump(300.0, lambda t: t, [70.0]).breakpoints.tolist() == [70.0]


def test_a_march_by_tables_is_the_march_by_functions():
    tables = list(steps(lump((TIME, VALUE)), 600.0, Options(tolerance=0.01)))
    functions = list(steps(lump(at, breakpoints=TIME), 600.0, Options(tolerance=0.01)))
    assert len(tables) == len(functions)
    assert [s.T[0] for s in tables] == pytest.approx([s.T[0] for s in functions], rel=1e-10)  # both round differently


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (([0.0, 1.0], [300.0]), "as many values as times"),
        (([0.0, 2.0, 1.0], [300.0, 300.0, 300.0]), "do not decrease"),
        (([0.0, np.inf], [300.0, 400.0]), "finite"),
        (([0.0, 1.0], [300.0, -1.0]), "absolute"),
        (([], []), "as many values as times"),
        (np.nan, "finite"),
    ],
)
def test_a_bad_table_is_refused(table, said):
    with pytest.raises(ProblemError, match=said):
        lump(table)


def test_a_source_that_is_no_number_is_refused():
    with pytest.raises(ProblemError, match="source: must be finite"):
        lump(300.0, np.nan)
