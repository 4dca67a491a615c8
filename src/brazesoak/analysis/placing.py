"""Where to put a thermocouple on the load, and from which reading to count.

The best place and reading are those after which the slowest joint comes to its target most evenly, whatever the
uncertain inputs: the joint's passing less that of the reading varies least over the sampled heats. The heats are those
of `percentiles`; of a network, each deviation is corrected towards the plan's own fidelity at the ends of every input.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import answer
from ..answer import FloatArray
from ..errors import SimulationError
from ..thermal.model import Inputs
from .hold import recommended_hold
from .instruments import USUAL, tolerance
from .percentiles import SEED, Heated, Sample, inputs_at, percentile, positions, root_mean_square
from .readings import Key, bead, passings, since
from .spread import Uncertain

if TYPE_CHECKING:
    from ..bridge.simulate import Simulation
    from ..parts.assembly import Assembly

RANGE = 0.05, 0.95
"""Shares of heats between which a hold is told."""
AS_GOOD = 15.0, 1.05
"""Ranges that differ by no more than this [s], or this ratio, are as good as each other. Our own choice."""


@dataclass(frozen=True, slots=True)
class Heats:
    """What is known of heats with the inputs varied.

    quick, exact : Inputs -> Heated     of the samples, and of the plan's own fidelity to put them right towards; the
                                        same where nothing is to be put right
    samples : int                       as in `percentiles.sample`
    check : Inputs -> Heated, left : float      as in `percentiles.checked`; None: nothing is to be checked
    checked : [int, ...]                numbers of the heats that were checked
    """

    use: Inputs
    inputs: Sequence[Uncertain]
    quick: Callable[[Inputs], Heated]
    exact: Callable[[Inputs], Heated]
    samples: int
    check: Callable[[Inputs], Heated] | None = None
    left: float = 1.0
    checked: Sequence[int] = ()


def sampled_since(key: Key, nominal: FloatArray, heats: Heats) -> FloatArray:
    """`since` of a place in every sampled heat [s]: float64[n_heat, n_level], NaN in a heat that never arrives.

    Parameters
    ----------
    nominal : float64[n_level]      of the plan's own run
    """
    where = positions(len(heats.inputs), heats.samples)
    own = heats.exact is heats.quick
    quick = _deviation(heats.quick, heats.use, key if own else (key[0], "anywhere", None))
    rows = np.array([nominal + quick(inputs_at(heats.use, heats.inputs, at)) for at in where])
    if own:
        return rows
    slow = _deviation(heats.exact, heats.use, key)
    for i, one in enumerate(heats.inputs):
        for end, share in ((one.low, np.maximum(-where[:, i], 0.0)), (one.high, np.maximum(where[:, i], 0.0))):
            left, right = slow(end), quick(end)
            if not (np.isnan(left).all() or np.isnan(right).all()):  # both arrive
                rows += share[:, None] * (left - right)
    return rows


def _deviation(heat: Callable[[Inputs], Heated], use: Inputs, key: Key) -> Callable[[Inputs], FloatArray]:
    nominal = heat(use).since[key]

    def deviation(x: Inputs) -> FloatArray:
        try:
            return heat(x).since[key] - nominal
        except SimulationError:
            return np.full(nominal.size, np.nan)

    return deviation


def misread(rows: FloatArray, at: FloatArray, thermocouple: str = USUAL) -> FloatArray:
    """The same with a thermocouple that is off: float64[n_heat, n_level], n_heat a power of two.

    Each heat has its own error, triangular between the ends of the tolerance; errors are spread evenly over the heats
    and shuffled. A level at which a wrong reading would lie outside `at` becomes NaN.
    """
    off = np.random.default_rng(SEED).permutation(positions(1, rows.shape[0])[:, 0])
    either_way = tolerance(thermocouple, at)
    found = np.empty_like(rows)
    for k, row in enumerate(rows):
        found[k] = np.interp(at - off[k] * either_way, at, row, left=np.nan, right=np.nan)
    return found


def find_place(
    assembly: Assembly, run: Simulation, heats: Heats, needs: FloatArray, at: FloatArray, target: float, hold: HoldRule
) -> answer.Placing | None:
    """The place and the reading after which the slowest joint is most evenly ready; None where none is read in all.

    Parameters
    ----------
    run : Simulation        the plan's own
    needs : float64[n_heat] needed hold counted from the furnace's display, infinite for never [s]
    at : float64[n]         readings that are tried, see `levels` [K]
    target : float          of the ruling joint [K]
    """
    nominal = since(run, at, hold.time_constant)
    arrives = np.isfinite(needs)
    found: list[tuple[answer.Candidate, Key, FloatArray]] = []
    plain: dict[Key, FloatArray] = {}
    for key in _distinct(run):
        plain[key] = sampled_since(key, nominal[key], heats)
        rows = misread(plain[key], at, hold.thermocouple)[arrives]
        for level in np.flatnonzero(np.isfinite(rows).all(axis=0)):
            low, high = (percentile(rows[:, level], share) for share in RANGE)
            one = answer.Candidate(place(assembly, key), float(at[level]), low + hold.wanted, high + hold.wanted)
            found.append((one, key, rows[:, level]))
    if not found:
        return None
    best = min(c.high - c.low for c, _, _ in found)
    enough = max(best + AS_GOOD[0], best * AS_GOOD[1])
    alike = [f for f in found if f[0].high - f[0].low <= enough]
    chosen, key, after = min(alike, key=lambda f: abs(f[0].reading - target))
    display = needs[arrives]
    n = int(np.flatnonzero(at == chosen.reading)[0])
    sure = _sure(after, arrives, heats, key, n, plain[key][:, n], float(nominal[key][n]), hold)
    return answer.Placing(
        segment=assembly.segments[key[0]].name,
        place=chosen.place,
        reading=chosen.reading,
        expected=float(run.last_target - nominal[key][n]),
        hold=recommended_hold(hold.wanted, sure),
        low=max(chosen.low, 0.0),
        high=max(chosen.high, 0.0),
        display_low=max(percentile(display, RANGE[0]), 0.0),
        display_high=max(percentile(display, RANGE[1]), 0.0),
        time_constant=hold.time_constant,
        thermocouple=hold.thermocouple,
        behind=_behind(run, key, chosen.reading, hold.time_constant),
        delay=_delay(run, key, target, hold.time_constant),
        candidates=_best_of_each(found),
    )


@dataclass(frozen=True, slots=True)
class HoldRule:
    """wanted : time wanted at target [s]; confidence : share of heats; time_constant : of the thermocouple [s];
    thermocouple : its type and class, see `instruments`."""

    wanted: float
    confidence: float
    time_constant: float
    thermocouple: str = USUAL


def _sure(
    after: FloatArray,
    arrives: NDArray[np.bool_],
    heats: Heats,
    key: Key,
    n: int,
    plain: FloatArray,
    nominal: float,
    hold: HoldRule,
) -> float:
    """What the hold from a reading needs beyond the wanted minutes, as sure as the hold from the display [s].

    A heat that never arrives counts as one, and the errors of sampling and of the model are added, see `Sample`; that
    of the model from the heats that were checked for the display.

    Parameters
    ----------
    after : float64[n_arriving]     from the reading until the joint is ready, in the heats that arrive [s]
    arrives : bool[n_heat]
    n : int                         of the reading among those tried
    plain : float64[n_heat]         as `after`, of all heats and read rightly [s]
    nominal : float                 of the plan's own run [s]
    """
    every = np.full(arrives.size, np.inf)
    every[arrives] = after
    error: float | None = 0.0
    if heats.check is not None and heats.checked:
        slow, where = _deviation(heats.check, heats.use, key), positions(len(heats.inputs), heats.samples)
        at = {i: inputs_at(heats.use, heats.inputs, where[i]) for i in heats.checked}
        error = root_mean_square([float(slow(x)[n]) + nominal - float(plain[i]) for i, x in at.items()], heats.left)
    return Sample(every, _NO_JOINTS, error).recommended(hold.confidence)


_NO_JOINTS = np.empty((0, 0))


def _distinct(run: Simulation) -> list[Key]:
    """Places of the run, those in one cell with an earlier one left out."""
    first: dict[int, Key] = {}
    for s in run.discrete.spots:
        first.setdefault(s.cell, s.key)
    return list(first.values())


def _best_of_each(found: Sequence[tuple[answer.Candidate, Key, FloatArray]]) -> tuple[answer.Candidate, ...]:
    """Of every place its best reading, narrowest range first."""
    best: dict[Key, answer.Candidate] = {}
    for one, key, _ in found:
        if key not in best or one.high - one.low < best[key].high - best[key].low:
            best[key] = one
    return tuple(sorted(best.values(), key=lambda c: c.high - c.low))


def _history(run: Simulation, key: Key) -> FloatArray:
    history: FloatArray = run.spots[[s.key for s in run.discrete.spots].index(key)]
    return history


def _behind(run: Simulation, key: Key, reading: float, time_constant: float) -> float:
    """How far the thermocouple is behind its place when it shows `reading` [K]."""
    T = _history(run, key)
    shown = bead(run.time, T, time_constant)
    when = passings(run.time, shown, np.array([reading]))[0]
    return float(np.interp(when, run.time, T)) - reading


def _delay(run: Simulation, key: Key, target: float, time_constant: float) -> float | None:
    """From when the thermocouple shows the joint's target until the joint is there [s]; None: it is not shown."""
    shown = bead(run.time, _history(run, key), time_constant)
    when = passings(run.time, shown, np.array([target]))[0]
    return None if np.isnan(when) else float(run.last_target - when)


_WORDS: Mapping[str, str] = {
    "anywhere": 'anywhere on "{}"',
    "top": 'on top of "{}", nearest its middle',
    "side": 'half-way up the side of "{}"',
    "edge": 'at the outer edge of "{}"',
    "beside": 'on "{}", close beside joint "{}"',
}


def place(assembly: Assembly, key: Key) -> str:
    """A place in words."""
    body, kind, contact = key
    names = [assembly.segments[body].name, *([assembly.joints[contact].name] if contact is not None else [])]
    return _WORDS[kind].format(*names)
