"""Which safety cautions apply to a job."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from ..answer import Caution
from ..parts.assembly import Assembly

if TYPE_CHECKING:
    from ..trade import records

_ALWAYS = (
    "ventilation",
    "sealed cavities",
    "parts that look cold",
    "burns and radiant heat",
    "quench and steam",
    "pickling",
    "electrical",
    "fire",
    "ceramic fibre",
    "limits of this library",
)


def _zinc(assembly: Assembly) -> bool:
    return any(s.metal.zinc_bearing for s in assembly.segments) or _filler_has(assembly, "Zn")


def _filler_has(assembly: Assembly, *elements: str) -> bool:
    return any(j.filler.composition.get(e, 0.0) > 0.0 for j in assembly.joints for e in elements)


_WHEN: dict[str, Callable[[Assembly], bool]] = {
    "cadmium": lambda a: any(j.filler.cadmium for j in a.joints),
    "zinc fume": _zinc,
    "lead": lambda a: any(s.metal.lead_bearing for s in a.segments),
    # Every silver-brazing flux holds fluorides or borates; a flux whose text says neither is treated as if it did.
    "fluoride flux": lambda a: True,
    "borates": lambda a: True,
    "silver, nickel, manganese fume": lambda a: _filler_has(a, "Ag", "Ni", "Mn"),
}


def cautions_for(assembly: Assembly, known: Iterable[records.Caution]) -> tuple[Caution, ...]:
    """The cautions of the library that this job calls for, in the library's order."""
    return tuple(
        Caution(c.hazard, c.text, c.source, c.short)
        for c in known
        if c.hazard in _ALWAYS or (c.hazard in _WHEN and _WHEN[c.hazard](assembly))
    )
