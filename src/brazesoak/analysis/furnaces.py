"""The furnaces of the library side by side, empty and with the load of a job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import FurnaceRow, FurnaceTrial
from ..bridge.at_rest import at_rest
from ..bridge.full_power import FullPower, empty_heat, loaded_heat
from ..bridge.simulate import Simulation, simulate
from ..errors import InputError, SimulationError
from ..thermal.furnace import Profile, Surroundings
from .chambers import library_chamber
from .checks import uneven_inside
from .hold import needed_hold, nominal_hold
from .prepared import Prepared, prepare

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
        holding = at_rest(chamber, TO, ROOM, furnace.film.use).power
        empty = _empty(furnace)
        curve = empty.time_axis, empty.sensor
        rows.append(FurnaceRow(furnace.id, chamber.power, furnace.volume, empty.time, empty.heat, holding, *curve))
    return tuple(rows)


def _empty(furnace: Furnace) -> FullPower:
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
    note, run, full = "", None, None
    if crowded is not None:
        note = f"{'too near the walls' if crowded.near else 'does not fit'}: {crowded.text}"
    if crowded is None or crowded.near:
        full = _full(prepared, furnace)
        try:
            run = _own_program(prepared)
        except (InputError, SimulationError) as error:
            note = str(error)
    assert furnace.volume is not None
    assert furnace.power is not None
    none = np.zeros(0)
    return FurnaceTrial(
        id=furnace.id,
        volume=furnace.volume,
        power=furnace.power,
        empty=empty.time,
        loaded=None if full is None else full.time,
        at_set_point=None if run is None else run.clock_start,
        liquid=None if run is None else max(j.liquidus or 0.0 for j in run.joints),
        hold=None if run is None else max(needed_hold(run.clock_start, run.last_target, prepared.settings.wanted), 0.0),
        heater=None if run is None else run.heater_heat,
        note=note,
        time=none if run is None else run.time,
        display=none if run is None else run.sensor,
        coldest=none if run is None else run.joint.min(axis=0),
        empty_time=empty.time_axis,
        empty_display=empty.sensor,
        full_time=none if full is None else full.time_axis,
        full_display=none if full is None else full.sensor,
        thick=uneven_inside(prepared.model(prepared.inputs), prepared.settings),
    )


def _own_program(prepared: Prepared) -> Simulation:
    """The load by the job's program."""
    return simulate(
        prepared.model(prepared.inputs), "network",
        lambda clock, last: clock + nominal_hold(clock, last, prepared.settings.wanted),
    )  # fmt: skip


def _full(prepared: Prepared, furnace: Furnace) -> FullPower:
    """The load at full power, in the room in which the furnace was empty."""
    model = prepared.model(prepared.inputs)
    s = replace(model.surroundings, chamber=library_chamber(furnace), room=ROOM)
    return loaded_heat(replace(model, surroundings=s), TO)


_OWN = ("film", "wall_emissivity", "power", "heat_capacity", "loss_conductance", "sensor_time_constant", "uniformity")
"""Figures of a job that are of its own furnace, and not of one that is tried."""
