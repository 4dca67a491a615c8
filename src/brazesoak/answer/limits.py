"""When the hold may end: limits on it, and the window that they leave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .sure import Placing


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A limit on the end of the hold."""

    name: str
    """``flux``, ``solidus``, ``zinc``, ``scale`` or ``sensitisation``."""
    latest: float
    """Latest end of the hold, from the start of the program [s]."""
    reason: str
    remedy: str
    """What would lift it."""
    source: str


SOLIDUS = "solidus"
"""Name of the ceiling that a hotter set-point makes worse."""
BETWEEN = (
    "a lower-melting filler, or parts evened out below its solidus first; a hotter set-point comes nearer to melting a "
    "part, a lower one takes longer"
)
"""What lifts the ceiling of a part that melts and one that a shorter hold keeps, together."""


@dataclass(frozen=True, slots=True)
class Window:
    """When the hold may end: not before `earliest`, not after any ceiling."""

    earliest: float | None
    """Long enough whatever the inputs, as sure as was asked for [s] from the start; None: a joint never gets there."""
    nominal: float | None
    """Long enough with every input at its use value [s] from the start."""
    ceilings: tuple[Ceiling, ...]
    """Lowest first."""

    @property
    def violated(self) -> tuple[Ceiling, ...]:
        """The ceilings that lie below the floor; all of them when there is no floor."""
        return tuple(c for c in self.ceilings if self.earliest is None or c.latest < self.earliest)

    @property
    def works(self) -> bool:
        """Whether some hold is long enough and short enough."""
        return self.earliest is not None and not self.violated

    @property
    def message(self) -> str:
        """What is the matter, a sentence; empty where a hold works."""
        if self.works:
            return ""
        if self.earliest is None:
            return "No hold works at this set-point: a joint never comes to its target."
        reasons = "; ".join(told_once(c.reason for c in self.violated))
        if self.nominal is not None and self.nominal <= min(c.latest for c in self.violated):
            head = "No hold at this set-point is both short enough and sure to be long enough"
        else:
            head = "No hold works at this set-point"
        return f"{head}: before all joints are done, {reasons}."

    @property
    def remedy(self) -> str:
        """What would work, a sentence; empty where a hold works."""
        if self.works:
            return ""
        if self.earliest is None:
            return "What would: a hotter set-point or a lower-melting filler."
        if len({c.name == SOLIDUS for c in self.violated}) > 1:
            return f"What would: {BETWEEN}."
        return f"What would: {'; or '.join(dict.fromkeys(c.remedy for c in self.violated))}."

    def kept_from(self, placing: Placing | None) -> bool:
        """Whether the hold breaks a limit but that from a thermocouple, with every input at its use value, does not."""
        if self.works or self.earliest is None or placing is None:
            return False
        return all(placing.end <= c.latest for c in self.ceilings)


def told_once(reasons: Iterable[str]) -> list[str]:
    """Reasons, those that differ only in the one name in quotes as one: the flux of "a", "b" and "c" is spent ..."""
    groups: dict[tuple[str, str], list[str]] = {}
    for reason in dict.fromkeys(reasons):
        before, _, rest = reason.partition('"')
        name, _, after = rest.partition('"')
        groups.setdefault((before, after), []).append(f'"{name}"' if rest else "")
    return [f"{before}{_listed(names)}{after}" for (before, after), names in groups.items()]


def _listed(names: Sequence[str]) -> str:
    """One, two or three names, or two and how many more."""
    if len(names) > 3:
        return f"{names[0]}, {names[1]} and {len(names) - 2} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
