"""Fillers of some width that go through it so slowly that they part: a limit on a heat, whatever its hold."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..programs import Broken
from .checks.joints import SLOW_MELTING, WIDE

if TYPE_CHECKING:
    from ..parts.assembly import Assembly


def slowly_melting(assembly: Assembly, between: Sequence[float | None]) -> list[Broken]:
    """The joints whose filler parts.

    between : (float or None, ...)      of each joint, from solidus to liquidus at its coldest point [s]; None: it is
                                        never all liquid
    """
    return [
        Broken(
            "liquation",
            f'{j.filler.name} at "{j.name}" melts over {j.filler.melting_width:.0f} K and takes more than '
            f"{SLOW_MELTING / 60.0:.0f} min",
            time - SLOW_MELTING, True, "a filler that melts over less, or a quicker ramp through its range",
        )
        for j, time in zip(assembly.joints, between, strict=True)
        if time is not None and j.filler.melting_width > WIDE and time > SLOW_MELTING
    ]  # fmt: skip
