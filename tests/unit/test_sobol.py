"""Scrambled Sobol points against scipy.stats.qmc.Sobol."""

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats.qmc import Sobol

from brazesoak.analysis.sobol import MOST, sobol


@pytest.mark.parametrize("dimensions", [*range(1, MOST + 3)])
def test_points_are_those_of_scipy_bit_for_bit(dimensions: int) -> None:
    for samples, seed in ((1, 0), (16, 0), (64, 0), (512, 3)):
        theirs = Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed)).random(samples)
        assert np.array_equal(sobol(dimensions, samples, seed), theirs)


def test_scipy_stats_is_not_loaded() -> None:
    """It takes longer than all heats of a small job."""
    code = (
        "import sys; from brazesoak.analysis.sobol import sobol; sobol(8, 64, 0); print('scipy.stats' in sys.modules)"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "False"
