"""What is said of a heat that does not come to its end: the solver gave up, or a target lies out of reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite

from brazesoak_solvers import ConvergenceError
from brazesoak_solvers.constants import ZERO_CELSIUS

from ..errors import NotConvergedError, TargetNotReachedError
from ..thermal.model import ThermalModel
from .at_rest import at_rest
from .cells import FloatArray
from .discretise import Discrete


def not_converged(
    error: ConvergenceError, model: ThermalModel, discrete: Discrete, histories: Mapping[str, Sequence[float]]
) -> NotConvergedError:
    """The core's failure in the user's terms, with what was computed until then."""
    place = next(
        (b.name for b, c in zip(model.bodies, discrete.cells, strict=True) if error.cell in c),
        "the furnace",
    )
    off = f"is still {error.residual:.2g} K off" if isfinite(error.residual) else "has no finite temperature"
    return NotConvergedError(
        f'the solver gave up {error.time / 60.0:.1f} min into the program, in "{place}": '
        f"a step of {error.step:.2g} s {off}. "
        'Expected a step to settle to a thousandth of a kelvin; try fidelity = "network", or look for '
        "a value in the job that is far from any real one.",
        time=error.time,
        place=place,
        residual=error.residual,
        histories=histories,
    )


def not_reached(
    model: ThermalModel, reading: FloatArray, missing: Sequence[int], sensor: float | None, horizon: float
) -> TargetNotReachedError:
    """Which target lies out of reach after `horizon` [s], and why.

    Parameters
    ----------
    reading : float64[n_joint]      coldest point of each joint at the end [K]
    missing : (int, ...)            joints that never came to their targets
    sensor : float or None          what the furnace shows at the end [K]; None of an ideal one
    """
    s = model.surroundings
    slowest = max(missing, key=lambda j: model.contacts[j].target - reading[j], default=None)
    wanted = s.profile.set_point - s.clock_band
    furnace = "" if sensor is None or sensor >= wanted else _furnace_stops(model, sensor, horizon)
    if slowest is None:
        assert sensor is not None
        return TargetNotReachedError(furnace, part="furnace", reached=sensor, target=wanted)
    contact, reached = model.contacts[slowest], float(reading[slowest])
    joint = f'joint "{contact.name}" comes to {_celsius(reached)}'
    target = f"its target is {_celsius(contact.target)}"
    if furnace:
        text = f"{furnace} So {joint}, and {target}."
    else:
        text = (
            f"{joint} and no further, after {horizon / 3600.0:.0f} h; {target}. Expected a program that reaches it; "
            "raise the set-point, ask for less superheat, or use a lower-melting filler."
        )
    return TargetNotReachedError(text, part=contact.name, reached=reached, target=contact.target)


def _furnace_stops(model: ThermalModel, shown: float, horizon: float) -> str:
    """A furnace that does not come to its own set-point."""
    s = model.surroundings
    assert s.chamber is not None
    power, loss = s.chamber.power, at_rest(s.chamber, s.profile.set_point, s.room, s.film).power
    why = f"after {horizon / 3600.0:.0f} h"
    if loss > power:
        why = f"for want of power: it has {power:.0f} W, and at {_celsius(s.profile.set_point)} loses {loss:.0f} W, "
        why += f"{loss - power:.0f} W more"
    return (
        f"the furnace itself stops at {_celsius(shown)} {why}. Expected a furnace that comes to its set-point; lower "
        "the set-point and use a lower-melting filler, use a furnace of more power or less loss, or correct power and "
        "loss_conductance in [furnace]."
    )


def _celsius(temperature: float) -> str:
    return f"{temperature - ZERO_CELSIUS:.0f} degC"
