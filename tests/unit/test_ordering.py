"""The order of cells for a band, against scipy.sparse.csgraph.reverse_cuthill_mckee."""

import numpy as np
import pytest
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from brazesoak_solvers.ordering import narrow_order


def _grid(*shape):
    """Cells of a grid with its neighbours, in no order."""
    number = np.random.default_rng(0).permutation(int(np.prod(shape))).reshape(shape)
    low = [np.delete(number, -1, axis).ravel() for axis in range(len(shape))]
    high = [np.delete(number, 0, axis).ravel() for axis in range(len(shape))]
    return number.size, np.concatenate(low), np.concatenate(high)


def _width(place, a, b):
    return np.max(np.abs(place[a] - place[b]), initial=0)


def _theirs(n, a, b):
    graph = csr_array(coo_array((np.ones(a.size), (a, b)), shape=(n, n)))
    order = reverse_cuthill_mckee(csr_array(graph + graph.T), symmetric_mode=True)
    place = np.empty(n, np.int64)
    place[order] = np.arange(n)
    return place


@pytest.mark.parametrize("shape", [(50,), (12, 40), (6, 7, 8)], ids=str)
def test_band_is_no_wider_than_that_of_scipy(shape):
    n, a, b = _grid(*shape)
    place = narrow_order(n, a, b)
    assert sorted(place) == list(range(n))
    assert _width(place, a, b) <= _width(_theirs(n, a, b), a, b)


def test_a_chain_is_tridiagonal_and_a_cell_by_itself_has_a_row():
    n, a, b = _grid(50)
    assert _width(narrow_order(n, a, b), a, b) == 1
    apart = narrow_order(5, np.array([1]), np.array([3]))
    assert sorted(apart) == [0, 1, 2, 3, 4]
    assert abs(apart[1] - apart[3]) == 1
