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

from brazesoak_solvers.constants import ZERO_CELSIUS

from .. import answer
from ..answer import FloatArray
from ..errors import SimulationError
from ..thermal.model import Inputs
from .hold import recommended_hold
from .instruments import USUAL, tolerance
from .percentiles import SEED, Heated, Sample, inputs_at, percentile, positions, root_mean_square
from .spread import Uncertain

if TYPE_CHECKING:
    from ..bridge.simulate import Simulation
    from ..parts.assembly import Assembly

Key = tuple[int, str, int | None]
"""Body, kind and joint of a place, see `bridge.spots.Spot`."""
RANGE = 0.05, 0.95
"""Shares of heats between which a hold is told."""
STEP = 5.0
"""Readings are tried at whole multiples of this [degC]: a display is read no finer."""
BELOW_SOLIDUS = 100.0
"""The lowest reading tried lies so far below the lowest solidus [K]."""
AS_GOOD = 15.0, 1.05
"""Ranges that differ by no more than this [s], or this ratio, are as good as each other. Our own choice."""
READ_EVERY = 30.0
"""Readings are kept at least so often in a sampled heat [s]: linear between them is right to some hundredths of 1 K."""


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


def levels(lowest_solidus: float, set_point: float) -> FloatArray:
    """Readings that are tried [K]: float64[n]."""
    low, high = ((T - ZERO_CELSIUS) / STEP for T in (lowest_solidus - BELOW_SOLIDUS, set_point))
    return np.arange(np.ceil(low), np.floor(high) + 1.0) * STEP + ZERO_CELSIUS


def bead(time: FloatArray, T: FloatArray, time_constant: float) -> FloatArray:
    """What a thermocouple of one time constant [s] shows of histories T, float64[..., n_time].

    y' = (T - y) / tau, solved exactly where T is linear between its times. Source: Incropera and DeWitt, section 5.1
    (recalled); in a ramp it ends up ramp times tau behind.
    """
    T = np.asarray(T, float)
    if time_constant <= 0.0 or time.size < 2:
        return T.copy()
    dt = np.diff(time)
    left = np.exp(-dt / time_constant)
    behind = np.diff(T) * np.divide(time_constant, dt, out=np.zeros_like(dt), where=dt > 0.0)
    given = np.where(dt > 0.0, T[..., 1:] - behind + left * (behind - T[..., :-1]), 0.0)
    shown = np.empty((time.size, *T.shape[:-1]))
    shown[0] = last = T[..., 0]
    for n, (share, more) in enumerate(zip(left.tolist(), np.moveaxis(given, -1, 0), strict=True), 1):
        shown[n] = last = share * last + more
    return np.moveaxis(shown, 0, -1)


def passings(time: FloatArray, shown: FloatArray, at: FloatArray) -> FloatArray:
    """When a reading first comes to each level [s], NaN where it does not: float64[n_level]."""
    so_far = np.maximum.accumulate(shown)
    found = np.interp(at, so_far, time)
    return np.where(at > so_far[-1], np.nan, found)


def since(run: Simulation, at: FloatArray, time_constant: float) -> dict[Key, FloatArray]:
    """From each reading at each place until the slowest joint is at its target [s]; NaN where it is not read."""
    shown = bead(run.time, run.spots, time_constant)
    spots = run.discrete.spots
    return {s.key: run.last_target - passings(run.time, y, at) for s, y in zip(spots, shown, strict=True)}


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
    "top": 'on top of "{}", in the middle',
    "side": 'half-way up the side of "{}"',
    "edge": 'at the outer edge of "{}"',
    "beside": 'on "{}", close beside joint "{}"',
}


def place(assembly: Assembly, key: Key) -> str:
    """A place in words."""
    body, kind, contact = key
    names = [assembly.segments[body].name, *([assembly.joints[contact].name] if contact is not None else [])]
    return _WORDS[kind].format(*names)
