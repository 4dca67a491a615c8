"""How sure the hold is: each uncertain input once at its low and once at its high value.

The holds are computed with the plan's own fidelity on a coarse grid: only their differences count. Deviations upwards
and downwards are combined as a root sum of squares, as for independent inputs. Source: JCGM 100:2008 (GUM), section
5.1.2, with low and high taken as the ends of a 95 % range.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf, sqrt

from ..answer import Driver
from ..errors import SimulationError, TargetNotReachedError
from ..parts.assembly import Assembly, Segment
from ..thermal.model import Inputs, emissivity_curve, surface_group


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One uncertain input: the model's inputs at its low and at its high end, and how to call them."""

    name: str
    low: Inputs
    high: Inputs
    low_text: str
    high_text: str
    source: str


@dataclass(frozen=True, slots=True)
class Spread:
    """Holds at the ends of every input [s], and their combination about the nominal one."""

    drivers: tuple[Driver, ...]
    upwards: float
    downwards: float
    nominal: float
    gave_up: int = 0
    """Heats that the solver could not finish; they count as never."""

    def shifted(self, nominal: float) -> Spread:
        """The same deviations about another nominal hold, that of the plan's own fidelity [s]."""
        move = nominal - self.nominal

        def moved(hold: float | None) -> float | None:
            return None if hold is None else max(hold + move, 0.0)

        drivers = tuple(
            replace(d, hold_at_low=moved(d.hold_at_low), hold_at_high=moved(d.hold_at_high)) for d in self.drivers
        )
        return Spread(drivers, self.upwards, self.downwards, nominal, self.gave_up)

    @property
    def never(self) -> tuple[Driver, ...]:
        """Inputs at one end of which a joint never comes to its target, or the solver gave up."""
        return tuple(d for d in self.drivers if None in (d.hold_at_low, d.hold_at_high))


def hold_spread(nominal: float, inputs: Sequence[Uncertain], hold: Callable[[Inputs], float]) -> Spread:
    """Spread of the hold.

    Parameters
    ----------
    nominal : float             hold of the same fidelity as `hold` computes, every input at its use value [s]
    hold : Inputs -> float      hold with these inputs [s]
    """

    gave_up = 0

    def computed(x: Inputs) -> float | None:
        nonlocal gave_up
        try:
            return hold(x)
        except SimulationError as error:
            gave_up += not isinstance(error, TargetNotReachedError)
            return None

    drivers = [Driver(u.name, u.low_text, u.high_text, computed(u.low), computed(u.high), u.source) for u in inputs]
    ends = [(d.hold_at_low, d.hold_at_high) for d in drivers]
    up = [max([0.0, *(h - nominal for h in pair if h is not None)]) for pair in ends]
    down = [max([0.0, *(nominal - h for h in pair if h is not None)]) for pair in ends]
    order = sorted(range(len(drivers)), key=lambda i: -(inf if None in ends[i] else up[i] + down[i]))
    return Spread(
        tuple(drivers[i] for i in order), sqrt(sum(u * u for u in up)), sqrt(sum(d * d for d in down)), nominal, gave_up
    )


def emissivity_inputs(use: Inputs, assembly: Assembly) -> list[Uncertain]:
    """The emissivity of each group of like surfaces that the job names by their condition."""
    found = []
    groups = {surface_group(s): s for s in assembly.segments if isinstance(s.surface, str)}
    for group, segment in groups.items():
        surface = str(segment.surface)
        low, high = (_emissivity_text(segment, where) for where in (-1.0, 1.0))
        lowest, highest = (replace(use, emissivity=((group, where),)) for where in (-1.0, 1.0))
        source = segment.metal.emissivity[surface].source
        found.append(Uncertain(f"emissivity of {group}", lowest, highest, low, high, source))
    return found


def _emissivity_text(segment: Segment, where: float) -> str:
    """The emissivity at one end of what is likely; of a surface that darkens as it heats, first and last."""
    _, values = emissivity_curve(segment, where)
    first, last = f"{values[0]:.2g}", f"{values[-1]:.2g}"
    return first if first == last else f"{first} cold, {last} hot"


def uncertain_inputs(
    use: Inputs,
    emissivities: Sequence[Uncertain],
    film: tuple[float, float],
    film_source: str,
    furnace_error: tuple[float, float],
    furnace_source: str,
    sensor_error: float,
    sensor_source: str,
) -> list[Uncertain]:
    """What is uncertain in every job.

    Parameters
    ----------
    emissivities : (Uncertain, ...) see `emissivity_inputs`
    film : (low, high)              [W/(m2 K)]
    furnace_error : (low, high)     furnace temperature at the load less that at its sensor [K]
    sensor_error : float            tolerance of the furnace's thermocouple, either way [K], and its source
    """
    (film_low, film_high), (low, high) = film, furnace_error
    one, other = replace(use, film=film_low), replace(use, film=film_high)
    film_texts = f"{film_low:g} W/(m2 K)", f"{film_high:g} W/(m2 K)"
    found = [*emissivities, Uncertain("convection film", one, other, *film_texts, film_source)]
    if low or high:
        one, other = replace(use, offset=low), replace(use, offset=high)
        found.append(Uncertain("evenness of the furnace", one, other, f"{low:+g} K", f"{high:+g} K", furnace_source))
    one, other = replace(use, offset=-sensor_error), replace(use, offset=sensor_error)
    sensor_texts = f"{-sensor_error:+.1f} K", f"{sensor_error:+.1f} K"
    found.append(Uncertain("furnace thermocouple", one, other, *sensor_texts, sensor_source))
    one, other = replace(use, gap_factor=0.5), replace(use, gap_factor=2.0)
    found.append(Uncertain("gap width", one, other, "half", "double", "common practice, no source"))
    one, other = replace(use, capacity_factor=0.95), replace(use, capacity_factor=1.05)
    source = "from memory: scatter between handbooks"
    found.append(Uncertain("mass and specific heat", one, other, "-5 %", "+5 %", source))
    one, other = replace(use, conductivity_factor=0.9), replace(use, conductivity_factor=1.1)
    source = "from memory: scatter between handbooks, of alloys more than of their specific heat; all metals alike"
    found.append(Uncertain("thermal conductivity", one, other, "-10 %", "+10 %", source))
    return found
