"""How many heats a hold is enough for: percentiles of the hold, every uncertain input varied at once.

Each input lies at a position between its low (-1), use (0) and high (1) value. Positions are triangular between -1
and 1 with the mode at the use value. Low and high are read as ends and not as percentiles, for so they were found:
tolerance and class limits, the outermost of handbook figures, the range of a computed film. Beyond them the model's
values (an emissivity, a film) would leave what is physical. Triangular, because values near the use value are likelier
than those at the ends (JCGM 100:2008, 4.3.9; JCGM 101:2008, 6.4.5). Use is the median, whatever the two sides measure.
Inputs are independent. Two that move the same quantity add (offsets) or multiply (factors; a gap goes from half to
double evenly on a logarithmic scale).

Samples are scrambled Sobol points with a stated seed (scipy.stats.qmc; I. M. Sobol', 1967; A. B. Owen, 1998, both
recalled). Their deviations from the nominal value of the same fidelity and grid are added to the nominal one of the
plan. `sampling` says how they are computed: by the plan's own fidelity on a coarser grid, or, where that is too dear,
as networks. Where the plan's fidelity then deviates otherwise at the ends of an input, the difference is added in
proportion to the input's position. What is left, of the grid or of the network, is measured in a few heats, see
`checked`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot, inf, isfinite, sqrt

import numpy as np

from ..answer import Chances, FloatArray, Percentile
from ..errors import SimulationError, TargetNotReachedError
from ..thermal.model import Inputs
from .spread import Uncertain

SHARES = 0.5, 0.9, 0.95
"""Percentiles that are always told."""
SEED = 0
RESAMPLES = 400
"""Of the bootstrap: its own scatter is then some 4 % of the standard error (1/sqrt(2 x 400), for normal scatter)."""
WORTH_ADDING = 30.0
"""An error of the percentile up to this is covered by rounding up to a whole minute [s]."""
FEWEST = 16
"""Samples from which on the percentiles are shown to settle."""
CHECKED = 4
"""Heats nearest the recommended percentile whose error is measured. One alone may agree by chance: one of the guide
flange (examples/06) differed by 2 s where its neighbours did by 25 s. Our own choice."""
LEAST_BEYOND = 3.0
"""Samples that must lie beyond a percentile for it to be told; its standard error is told with it. Our own choice."""


@dataclass(frozen=True, slots=True)
class Heated:
    """One heat: the hold it needs, below 0 where the joints are ready before the clock starts, and passings [s].

    since : {place: float64[n_level]}   see `readings.since`
    cells : int                         of the load
    """

    need: float
    passings: tuple[float, ...]
    since: Mapping[tuple[int, str, int | None], FloatArray] = field(default_factory=dict, compare=False)
    cells: int = 0


@dataclass(frozen=True, slots=True)
class Sample:
    """Deviations from the nominal values [s]; infinite where a joint never comes to its target.

    need : float64[n];  passings : float64[n, n_joint]
    model_error : float or None     of the holds near the recommended percentile, see `checked` [s]; None: one of those
                                    heats never arrives
    gave_up : int                   heats that the solver could not finish; they count as never
    by, cells                       fidelity and cells of the load that the heats were computed with
    checked_on : int                cells of the load that they were checked with; 0: there was nothing to check
    """

    need: FloatArray
    passings: FloatArray
    model_error: float | None = 0.0
    gave_up: int = 0
    by: str = "network"
    cells: int = 0
    checked_on: int = 0

    @property
    def never(self) -> float:
        """Share of the heats in which a joint never comes to its target, or that the solver could not finish."""
        return float(np.mean(np.isinf(self.need)))

    def allowance(self, confidence: float) -> float:
        """What the hold needs beyond its nominal value [s]; where no hold is enough, for all heats that arrive."""
        found = percentile(self.need, confidence)
        if isfinite(found):
            return found
        return float(max(self.need[np.isfinite(self.need)], default=0.0))

    def nearest(self, confidence: float) -> int:
        """Number of the heat whose hold lies nearest that allowance."""
        return int(np.argmin(np.abs(self.need - self.allowance(confidence))))

    def around(self, confidence: float) -> list[int]:
        """Numbers of the `CHECKED` heats whose holds lie nearest it, nearest first; none of those that never arrive."""
        order = np.argsort(np.abs(self.need - self.allowance(confidence)), kind="stable")
        return [int(n) for n in order[:CHECKED] if np.isfinite(self.need[n])]

    def margin(self, confidence: float) -> float:
        """What the recommended hold adds to its percentile for the percentile's own error [s].

        The percentile comes from few heats, and these from a simpler model. A hold at the bare estimate would be too
        short in about half of such plans for the share of heats that it promises. One standard error of sampling and
        the model error, independent and so combined as a root sum of squares (JCGM 100:2008, 5.1.2), make that one plan
        in six. Below half a minute nothing is added: rounding up to a whole minute gives that on average. An error that
        is not finite cannot be added; the plan says so instead.
        """
        sampling = standard_error(self.need, confidence) if isfinite(percentile(self.need, confidence)) else inf
        parts = [e for e in (sampling, self.model_error) if e is not None and isfinite(e)]
        found = hypot(*parts)
        return found if found > WORTH_ADDING else 0.0

    def recommended(self, confidence: float) -> float:
        """What the recommended hold adds to the nominal one [s], before it is rounded up."""
        return self.allowance(confidence) + self.margin(confidence)

    def chances(self, need: float, passings: Mapping[str, float | None], confidence: float, measure: str) -> Chances:
        """The percentiles about the nominal values of the plan's own fidelity [s]."""
        holds = np.maximum(self.need + need, 0.0)
        columns = {name: self.passings[:, j] + (at or 0.0) for j, (name, at) in enumerate(passings.items())}
        half = holds.size // 2
        found = tuple(
            Percentile(
                share,
                _finite(percentile(holds, share)),
                _finite(standard_error(holds, share)),
                _finite(percentile(holds[:half], share)),
                {name: _finite(percentile(column, share)) for name, column in columns.items()},
                tuple((m, _finite(percentile(holds[:m], share))) for m in _doubling(holds.size)),
            )
            for share in sorted({*SHARES, confidence})
            if holds.size * (1.0 - share) >= LEAST_BEYOND - 1e-9
        )
        margin = self.margin(confidence)
        return Chances(
            confidence, found, holds.size, SEED, self.never, self.model_error, measure, margin, self.gave_up,
            self.by, self.cells, self.checked_on,
        )  # fmt: skip


def _doubling(samples: int) -> list[int]:
    """16, 32, ... up to all samples: the first so many of a Sobol sequence are as even as the whole."""
    return [FEWEST << n for n in range(samples.bit_length()) if FEWEST << n <= samples]


def positions(inputs: int, samples: int, seed: int = SEED) -> FloatArray:
    """Where each input lies in each sample, -1 to 1: float64[samples, inputs]. `samples` is a power of two."""
    from scipy.stats import qmc

    u = qmc.Sobol(inputs, scramble=True, rng=np.random.default_rng(seed)).random(samples)
    below = np.sqrt(2.0 * np.minimum(u, 0.5)) - 1.0
    above = 1.0 - np.sqrt(2.0 * np.minimum(1.0 - u, 0.5))
    found: FloatArray = np.where(u < 0.5, below, above)
    return found


def inputs_at(use: Inputs, inputs: Sequence[Uncertain], where: Sequence[float] | FloatArray) -> Inputs:
    """The model's inputs with each uncertain one at its position."""
    found = use
    for one, at in zip(inputs, where, strict=True):
        end, share = (one.high if at > 0.0 else one.low), abs(float(at))
        found = replace(
            found,
            film=found.film + share * (end.film - use.film),
            emissivity=(*found.emissivity, *((group, share * to) for group, to in end.emissivity)),
            gap_factor=found.gap_factor * (end.gap_factor / use.gap_factor) ** share,
            capacity_factor=found.capacity_factor * (end.capacity_factor / use.capacity_factor) ** share,
            offset=found.offset + share * (end.offset - use.offset),
            conductivity_factor=found.conductivity_factor
            * (end.conductivity_factor / use.conductivity_factor) ** share,
        )
    return found


def sample(
    use: Inputs,
    inputs: Sequence[Uncertain],
    heat: Callable[[Inputs], Heated],
    samples: int,
    exact: Callable[[Inputs], Heated] | None = None,
) -> Sample:
    """Heats with every input varied at once.

    Parameters
    ----------
    heat, exact : Inputs -> Heated  of the samples, and of the plan's own fidelity to put them right towards (None:
                                    nothing to put right); raise TargetNotReachedError where a joint never comes to its
                                    target, SimulationError where the solver gives up. All joints of that heat then
                                    count as never, which errs on the long side
    samples : int                   a power of two
    """
    quick = _Deviation(heat, use)
    where = positions(len(inputs), samples)
    rows = np.array([quick(inputs_at(use, inputs, at)) for at in where])
    gave_up = quick.gave_up
    if exact is None or exact is heat:
        return Sample(rows[:, 0], rows[:, 1:], gave_up=gave_up)
    slow = _Deviation(exact, use)
    for i, one in enumerate(inputs):
        for end, share in ((one.low, np.maximum(-where[:, i], 0.0)), (one.high, np.maximum(where[:, i], 0.0))):
            left, right = slow(end), quick(end)
            if np.isfinite(left).all() and np.isfinite(right).all():
                rows += share[:, None] * (left - right)
    return Sample(rows[:, 0], rows[:, 1:], gave_up=gave_up)


def checked(
    found: Sample,
    use: Inputs,
    inputs: Sequence[Uncertain],
    check: Callable[[Inputs], Heated],
    confidence: float,
    left: float = 1.0,
) -> Sample:
    """The sample with its model error: the heats nearest the recommended percentile computed again by `check`.

    It is the root mean square of their differences, times `left`: of a grid half as fine as that of `check`, the error
    is more than the difference, see `bridge.simulate.refine`.
    """
    slow, where = _Deviation(check, use), positions(len(inputs), found.need.size)
    off = [float(slow(inputs_at(use, inputs, where[n]))[0] - found.need[n]) for n in found.around(confidence)]
    return replace(found, model_error=root_mean_square(off, left))


def root_mean_square(off: Sequence[float], left: float) -> float | None:
    """Of differences, times a factor; None where there are none, or one is not finite."""
    if not off or not np.isfinite(off).all():
        return None
    return left * sqrt(sum(x * x for x in off) / len(off))


class _Deviation:
    """Need and passings less those with every input at its use value [s]: float64[1 + n_joint], infinite for never.

    gave_up : int       heats that the solver could not finish; they count as never
    """

    def __init__(self, heat: Callable[[Inputs], Heated], use: Inputs) -> None:
        self._heat, self._nominal, self.gave_up = heat, heat(use), 0

    def __call__(self, x: Inputs) -> FloatArray:
        nominal = self._nominal
        try:
            found = self._heat(x)
        except SimulationError as error:
            self.gave_up += not isinstance(error, TargetNotReachedError)
            return np.full(1 + len(nominal.passings), inf)
        pairs = zip((found.need, *found.passings), (nominal.need, *nominal.passings), strict=True)
        return np.array([a - b for a, b in pairs])


def percentile(values: FloatArray, share: float) -> float:
    """The value that `share` of the values do not exceed; infinite where it lies beside an infinite one.

    Each of n values stands for the middle of its n-th part, linear between (Hazen; R. J. Hyndman and Y. Fan, The
    American Statistician 50 (1996) 361-365, definition 5, recalled).
    """
    ordered = np.sort(values)
    at = min(max(share * ordered.size - 0.5, 0.0), ordered.size - 1.0)
    i = int(at)
    rest = at - i
    if rest <= 1e-12:
        return float(ordered[i])
    return inf if np.isinf(ordered[i + 1]) else float(ordered[i] + rest * (ordered[i + 1] - ordered[i]))


def standard_error(values: FloatArray, share: float, seed: int = SEED) -> float:
    """Standard error of a percentile by the bootstrap; infinite where a resampling finds no finite percentile.

    It takes the samples for random ones; Sobol points are more even, so it errs on the large side. Source: B. Efron,
    Annals of Statistics 7 (1979) 1-26 (recalled).
    """
    draws = np.random.default_rng(seed).choice(values, (RESAMPLES, values.size))
    found = np.array([percentile(draw, share) for draw in draws])
    return inf if np.isinf(found).any() else float(found.std(ddof=1))


def what_to_measure(driver: str) -> str:
    """The one measurement that would narrow the range most, from the name of the largest driver; one sentence."""
    if driver.startswith("emissivity of "):
        what = driver.removeprefix("emissivity of ")
        return f"Blacken the {what} evenly, or find its emissivity on a scrap piece with a thermocouple on it."
    return _MEASURE[driver]


_MEASURE = {
    "convection film": "Put a thermocouple on a scrap block of known mass and heat it alone: its curve gives the film.",
    "evenness of the furnace": "Measure your furnace's offset: put a thermocouple where the load lies and compare it "
    "with the display at the set-point.",
    "furnace thermocouple": "Have the furnace's thermocouple compared with a calibrated one at the set-point.",
    "gap width": "Measure the gaps with a feeler gauge before the flux goes on.",
    "mass and specific heat": "Weigh the parts, and put a thermocouple on the heaviest in a first heat.",
    "thermal conductivity": "Ask the metal's supplier for its conductivity, or put thermocouples on both parts of the "
    "slowest joint in a first heat.",
}


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None
