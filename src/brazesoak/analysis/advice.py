"""What the answer says beside its numbers: where the thermocouple goes and what to watch."""

from __future__ import annotations

from ..answer import Placing
from ..bridge.simulate import Simulation
from ..parts.assembly import Assembly, Joint, Segment
from .assumptions import celsius

FAST_FROM = 480.0, 540.0
"""Hold to even out between these [degC], then go through quickly. Common practice, no source."""
SHADED = 0.1
"""Share of the furnace hidden from a part from which on its shade is named. Our own choice."""
UNSEEN = 1e-9
"""Surface of a part that sees nothing of the furnace, such as one inside a closed hole [m2]."""


def slower_side(joint: Joint, simulation: Simulation, at: float) -> int:
    """Number of the segment of a joint that is the colder one at a time [s]."""
    import numpy as np

    column = int(np.searchsorted(simulation.time, at))
    column = min(column, simulation.time.size - 1)
    return min(joint.segments, key=lambda i: float(simulation.coldest[i, column]))


def ruling_reason(assembly: Assembly, simulation: Simulation, ruling: int) -> str:
    """Why the slowest joint is the slowest, one sentence."""
    joint = assembly.joints[ruling]
    passed = simulation.joints[ruling].target or 0.0
    side = assembly.segments[slower_side(joint, simulation, passed)]
    per_area = _per_area(side)
    seen = simulation.discrete.seen or (1.0,) * len(assembly.segments)
    in_sight = {s.name: _per_area(s, share) for s, share in zip(assembly.segments, seen, strict=True)}
    hidden = 1.0 - seen[assembly.segments.index(side)]
    most = max(_per_area(s) for s in assembly.segments)
    if per_area >= most:
        heavy = "the most of all"
    elif hidden > SHADED and in_sight[side.name] >= max(in_sight.values()):
        heavy = "the most of all where it sees the furnace"
    else:
        heavy = "and its joint waits for it"
    if hidden > SHADED:
        heavy += f"; what stands around it hides {100.0 * hidden:.0f} % of the furnace from it"
    surface = side.surface if isinstance(side.surface, str) else f"emissivity {side.surface:g}"
    return (
        f'its slower side is "{side.name}": {per_area:.0f} kg for each square metre of surface ({surface} '
        f"{side.metal.name.lower()}), {heavy}."
    )


def _per_area(segment: Segment, share: float = 1.0) -> float:
    """Mass of a segment over what the furnace sees of its surface, a share of it [kg/m2]."""
    return segment.mass / max(segment.exposed_area * share, UNSEEN)


def thermocouple(
    assembly: Assembly, simulation: Simulation, ruling: int, target: float, placing: Placing | None
) -> str:
    """Where to put the thermocouple; what it should read where no place is better than another."""
    if placing is not None:
        return f"Tie a thermocouple tightly {placing.place}, its tip touching metal and covered from the heaters."
    joint = assembly.joints[ruling]
    side = assembly.segments[slower_side(joint, simulation, simulation.joints[ruling].target or 0.0)]
    return (
        f'Fix a thermocouple to "{side.name}" beside joint "{joint.name}", out of sight of the heaters; when it reads '
        f"{celsius(target)} the minutes at temperature begin, whatever the furnace shows."
    )


def watch(assembly: Assembly, simulation: Simulation) -> tuple[str, ...]:
    """What to watch during the heat, one sentence each."""
    notes = []
    spread = _melting_spread(simulation)
    if spread > 600.0:
        notes.append(
            f"The first joint melts {spread / 60.0:.0f} min before the last: hold at {FAST_FROM[0]:.0f} to "
            f"{FAST_FROM[1]:.0f} degC until the parts are even, then go on quickly (common practice, no source)."
        )
    notes.append("The flux goes clear and glassy before the filler runs; if it is brown or dry, the heat has failed.")
    if any(s.metal.zinc_bearing for s in assembly.segments):
        notes.append("White smoke is zinc: too hot or too long; do not breathe it.")
    return tuple(notes)


def _melting_spread(simulation: Simulation) -> float:
    times = [p.liquidus for p in simulation.joints if p.liquidus is not None]
    return max(times) - min(times) if times else 0.0
