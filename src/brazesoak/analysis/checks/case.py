"""What the checks look at, and how they gather what is alike, so that one notice names every joint it is about."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from ...answer import JointAnswer, JointAtHeat, Orientation, Placing, SegmentAnswer, Window
from ...bridge.simulate import Simulation
from ...parts.assembly import Assembly, Joint, Segment
from ...thermal.model import ThermalModel
from ..room import Crowding
from ..settings import Settings
from ..spread import Spread

if TYPE_CHECKING:
    from ...trade.records import Spread as Clearance

READ_SOON = 3
"""So many names are told one by one."""
K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the checks look at."""

    assembly: Assembly
    settings: Settings
    clearances: Mapping[str, Clearance]
    joints: tuple[JointAnswer, ...]
    segments: tuple[SegmentAnswer, ...]
    run: Simulation
    model: ThermalModel
    fidelity: str
    spread: Spread
    undeclared: tuple[tuple[int, int, float], ...] = ()
    """Segments that touch without a joint, and the area [m2]."""
    never: float = 0.0
    """Share of heats like this in which a joint never comes to its target."""
    window: Window | None = None
    crowding: Crowding | None = None
    """Why the load has no room in the chamber."""
    at_heat: tuple[JointAtHeat, ...] = ()
    orientation: Orientation | None = None
    placing: Placing | None = None

    @property
    def sides(self) -> Iterator[tuple[Joint, Segment]]:
        """Every joint with each of its segments."""
        for joint in self.assembly.joints:
            for i in joint.segments:
                yield joint, self.assembly.segments[i]

    def joints_named(self, names: Sequence[str]) -> str:
        """The subject of a sentence about joints: joint "a", joints "a" and "b", or all 8 joints."""
        if _are_all(names, [j.name for j in self.assembly.joints]):
            return f"all {len(self.assembly.joints)} joints"
        return f"joint{'' if is_one(names) else 's'} {quoted(names)}"

    def segments_named(self, names: Sequence[str]) -> str:
        """The same of segments: "a", or "a" and "b", or all 7 segments."""
        if _are_all(names, [s.name for s in self.assembly.segments]):
            return f"all {len(self.assembly.segments)} segments"
        return quoted(names)

    @property
    def answered(self) -> Iterator[tuple[Joint, JointAnswer]]:
        """Every joint with what was found of it."""
        yield from zip(self.assembly.joints, self.joints, strict=True)


def gathered(found: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    """Values by key, both in the order they came."""
    groups: dict[K, list[V]] = {}
    for key, value in found:
        groups.setdefault(key, []).append(value)
    return groups


def quoted(names: Iterable[str]) -> str:
    """Names in quotes, each once: "a", "b" and "c"."""
    once = [f'"{name}"' for name in dict.fromkeys(names)]
    return once[0] if len(once) == 1 else f"{', '.join(once[:-1])} and {once[-1]}"


def _are_all(names: Sequence[str], known: Sequence[str]) -> bool:
    """Whether names are all that there are, and more than are soon read."""
    return len(known) > READ_SOON and set(names) >= set(known)


def is_one(names: Iterable[str]) -> bool:
    """Whether all names are the same, so that the verb is in the singular."""
    return len(set(names)) == 1


def span(values: Iterable[float], digits: str = ".0f") -> str:
    """A number, or least and greatest where they read differently: 31, or 31 to 33."""
    given = list(values)
    low, high = format(min(given), digits), format(max(given), digits)
    return low if low == high else f"{low} to {high}"
