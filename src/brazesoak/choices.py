"""What the chooser answers: plain values in SI, made by `analysis.choice`, shown by `report.choice_text`."""

from __future__ import annotations

from dataclasses import dataclass

from .answer import Caution


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something speaks for (points above 0) or against it, or must be known (0), or bars it.

    code : str      stable, for machines
    source : str    published source, or ``common practice, no source``
    points : float  weight in the ranking; common practice, no source
    """

    code: str
    text: str
    source: str
    points: float = 0.0


@dataclass(frozen=True, slots=True)
class Excluded:
    """A filler or a flux that must not be used here, and every reason."""

    name: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class FluxChoice:
    """A flux that suits metals, filler and set-point. active_low, active_high [K]."""

    name: str
    active_low: float
    active_high: float
    reasons: tuple[Reason, ...]

    @property
    def points(self) -> float:
        """Sum over the reasons."""
        return sum(r.points for r in self.reasons)


@dataclass(frozen=True, slots=True)
class FillerChoice:
    """A filler that suits the metals, with the fluxes for it, best first. solidus, liquidus, set_point [K]."""

    name: str
    solidus: float
    liquidus: float
    set_point: float
    reasons: tuple[Reason, ...]
    fluxes: tuple[FluxChoice, ...]
    excluded_fluxes: tuple[Excluded, ...]

    @property
    def points(self) -> float:
        """Sum over the reasons."""
        return sum(r.points for r in self.reasons)


@dataclass(frozen=True, slots=True)
class Choice:
    """The fillers for some joints, best first, and those that must not be used.

    joints : (str, ...)         names of the joints that this is about
    metals : (str, ...)         names of the metals that they join
    in_job : ((str, str), ...)  filler and flux that the job gives these joints
    """

    joints: tuple[str, ...]
    metals: tuple[str, ...]
    in_job: tuple[tuple[str, str], ...]
    fillers: tuple[FillerChoice, ...]
    excluded: tuple[Excluded, ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """The whole answer.

    ceiling : float             lowest solidus of the load less its margin, which no set-point may pass [K]
    lowest : str                the segment that sets it
    together : Choice           one filler for all joints; no fillers in it: none suits all of them
    apart : (Choice, ...)       joints by the metals they join; empty where all join the same metals
    metal_notes : ((str, (str, ...)), ...)      what the trade data say of brazing each metal
    """

    title: str
    ceiling: float
    lowest: str
    together: Choice
    apart: tuple[Choice, ...]
    metal_notes: tuple[tuple[str, tuple[str, ...]], ...]
    cautions: tuple[Caution, ...]
