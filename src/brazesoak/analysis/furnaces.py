"""The furnaces of the library side by side, each empty and at full power."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import FurnaceRow, FurnaceTrial
from ..bridge.chamber import EmptyHeat, empty_heat, steady_loss
from ..bridge.simulate import Simulation, simulate
from ..errors import InputError, SimulationError
from ..thermal.furnace import Profile, Surroundings
from .chambers import library_chamber
from .hold import needed_hold, nominal_hold
from .prepared import prepare

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.furnace_records import Furnace
    from ..trade.library import Library

TO = 750.0 + ZERO_CELSIUS
"""Where the furnaces are compared [K]: a usual set-point for silver brazing. Common practice, no source."""
ROOM = 20.0 + ZERO_CELSIUS


def compare_furnaces(furnaces: Iterable[Furnace]) -> tuple[FurnaceRow, ...]:
    """Every furnace with a chamber, in the order given; an ideal one has no heat of its own."""
    rows = []
    for furnace in furnaces:
        chamber = library_chamber(furnace)
        if chamber is None or furnace.volume is None:
            continue
        holding = steady_loss(chamber, TO, ROOM, furnace.film.use)
        empty = _empty(furnace)
        rows.append(FurnaceRow(furnace.id, chamber.power, furnace.volume, empty.time, empty.heat, holding))
    return tuple(rows)


def _empty(furnace: Furnace) -> EmptyHeat:
    """The furnace empty, at full power to 750 degC."""
    program = Profile(np.array([0.0, 1.0]), np.array([ROOM, TO]))
    return empty_heat(Surroundings(program, furnace.film.use, library_chamber(furnace), furnace.clock_band, ROOM), TO)


def try_furnaces(read: ReadJob, library: Library) -> tuple[FurnaceTrial, ...]:
    """The load of a job in every furnace with a chamber, each with its own figures and the job's program.

    Raises
    ------
    JobFileError, DataError     what the job itself cannot be
    """
    prepare(read, library)
    found = []
    for furnace in library.furnaces:
        if furnace.kind == "chamber" and furnace.power is not None and furnace.volume is not None:
            found.append(_trial(read, library, furnace))
    return tuple(found)


def _trial(read: ReadJob, library: Library, furnace: Furnace) -> FurnaceTrial:
    own = read.job.furnace.model_copy(update={**dict.fromkeys(_OWN), "name": furnace.id})
    job = read.job.model_copy(update={"furnace": own, "fidelity": "network"})
    prepared = prepare(replace(read, job=job), library)
    empty, crowded = _empty(furnace), prepared.crowding
    note = ""
    if crowded is not None:
        note = f"{'too near the walls' if crowded.near else 'does not fit'}: {crowded.text}"
    run: Simulation | None = None
    try:
        if not note:
            run = simulate(
                prepared.model(prepared.inputs), "network",
                lambda clock, last: clock + nominal_hold(clock, last, prepared.settings.wanted),
            )  # fmt: skip
    except (InputError, SimulationError) as error:
        note = str(error)
    assert furnace.volume is not None
    assert furnace.power is not None
    none = np.zeros(0)
    liquid = None if run is None else max(j.liquidus or 0.0 for j in run.joints)
    return FurnaceTrial(
        furnace.id, furnace.volume, furnace.power, empty.time,
        None if run is None else run.clock_start,
        liquid,
        None if run is None else max(needed_hold(run.clock_start, run.last_target, prepared.settings.wanted), 0.0),
        None if run is None else run.heater_heat,
        note,
        none if run is None else run.time,
        none if run is None else run.sensor,
        none if run is None else run.joint.min(axis=0),
        empty.time_axis,
        empty.sensor,
    )  # fmt: skip


_OWN = ("film", "wall_emissivity", "power", "heat_capacity", "loss_conductance", "sensor_time_constant", "uniformity")
"""Figures of a job that are of its own furnace, and not of one that is tried."""

