"""How sure the hold is, and from where it is counted most surely."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Driver:
    """One uncertain input and the nominal hold at its low and its high value."""

    name: str
    low_input: str
    high_input: str
    hold_at_low: float | None
    """[s]; None: a joint never comes to its target."""
    hold_at_high: float | None
    """[s]; None: a joint never comes to its target."""
    source: str


@dataclass(frozen=True, slots=True)
class Percentile:
    """What is enough in a share of heats like this one. ``None``: no time is enough, a joint never gets there."""

    share: float
    hold: float | None
    """[s]"""
    standard_error: float | None
    """Sampling error of `hold` [s]."""
    hold_of_half: float | None
    """`hold` from the first half of the samples, to see it settle [s]."""
    passes_target: dict[str, float | None]
    """By joint name [s]."""
    settling: tuple[tuple[int, float | None], ...] = ()
    """Number of samples, each twice the one before, and `hold` from the first so many [s]."""


@dataclass(frozen=True, slots=True)
class Chances:
    """The hold with every uncertain input varied at once."""

    confidence: float
    """Share of heats that the recommended hold is to be enough for."""
    percentiles: tuple[Percentile, ...]
    """By rising share."""
    samples: int
    seed: int
    never: float
    """Share of the heats in which a joint never comes to its target, those that the solver could not finish among them.
    """
    model_error: float | None
    """Of the holds near the recommended percentile, for the network or the grid that the heats were computed with [s];
    None: computed better, a joint of one of those heats never gets there."""
    measure: str
    """The one measurement that would narrow the range most, one sentence; empty when nothing is uncertain."""
    margin: float = 0.0
    """Added to the recommended hold for sampling and model error [s]."""
    gave_up: int = 0
    """Heats that the solver could not finish; they count as never, which errs on the long side."""
    sampled_as: str = "network"
    """Fidelity that the heats were computed with."""
    cells: int = 0
    """Of the load in each of them; 0: not told."""
    checked_on: int = 0
    """Cells of the load in the few heats of the plan's fidelity that `model_error` is from; 0: nothing to check."""

    @property
    def recommended(self) -> Percentile:
        """The percentile at `confidence`."""
        return next(p for p in self.percentiles if p.share == self.confidence)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place for a thermocouple and the best reading to count from there."""

    place: str
    """In words."""
    reading: float
    """[K]"""
    low: float
    high: float
    """Needed from the reading in 5 and in 95 of 100 heats [s]; below 0: joints are ready before it."""


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a thermocouple on the load tells most about the slowest joint, and the hold counted from its reading."""

    segment: str
    place: str
    """In words."""
    reading: float
    """To count from [K]."""
    expected: float
    """When it comes with every input at its use value [s]."""
    hold: float
    """From the reading, enough in the share of heats that the plan is for, up to a whole minute [s]."""
    low: float
    high: float
    """Needed from the reading in 5 and in 95 of 100 heats [s]."""
    display_low: float
    display_high: float
    """The same from the furnace's own display [s]."""
    time_constant: float
    """Of the thermocouple [s]."""
    behind: float
    """Its place less what it shows, at the reading [K]."""
    delay: float | None
    """From when it shows the joint's target until the slowest joint is there [s]; below 0: the joint is there first;
    None: it does not show it by the end of the hold."""
    candidates: tuple[Candidate, ...]
    """Every place, the one that tells most first."""
    thermocouple: str = "K class 2"
    """Type and tolerance class; a wrong reading within it is counted in all of these."""

    @property
    def end(self) -> float:
        """When the hold from the reading ends with every input at its use value [s]."""
        return self.expected + self.hold
