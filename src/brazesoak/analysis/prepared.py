"""A job made ready to be simulated: names looked up, what is open settled, segments put in their places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..answer import Caution, FloatArray
from ..bridge.placement import Placement, find_placement, measured
from ..bridge.sides import box, sides
from ..bridge.underside import undersides
from ..errors import GeometryError
from ..parts.assembly import Assembly, assemble
from ..thermal.joints import Gas
from ..thermal.layout import Layout, NoLayout, find_layout
from ..thermal.model import Inputs, Targets, ThermalModel, thermal_model
from ..thermal.neighbours import Extents, Grid, Neighbours, arranged, seen_of_neighbours
from ..thermal.support import support
from .cautions import cautions_for
from .readings import levels
from .room import Crowding, crowding
from .settings import Settings, settle

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from ..trade.records import Spread as Clearance


@dataclass(frozen=True, slots=True)
class Prepared:
    """A job ready to be simulated."""

    assembly: Assembly
    settings: Settings
    gas: Gas
    layout: Layout | NoLayout
    placement: Placement | NoLayout
    clearances: Mapping[str, Clearance]
    cautions: tuple[Caution, ...]

    @property
    def readings(self) -> FloatArray:
        """Readings of a thermocouple that are tried [K]."""
        return levels(min(j.filler.solidus for j in self.assembly.joints), self.settings.true_set_point)

    @property
    def inputs(self) -> Inputs:
        """Every uncertain input at its use value."""
        return Inputs(self.settings.surroundings.film)

    def model(self, inputs: Inputs) -> ThermalModel:
        """The thermal model with these inputs."""
        s = self.settings
        layout = self.layout if isinstance(self.layout, Layout) else None
        placement = self.placement if isinstance(self.placement, Placement) else None
        targets = Targets(s.targets)
        below = support(s.support, undersides(self.assembly, self.placement), self.gas)
        model = thermal_model(
            self.assembly, targets, s.surroundings, inputs, s.start, self.gas, layout, placement, below
        )
        return replace(model, door_open=s.door_open, cooling=s.cooling, neighbours=self.neighbours)

    @property
    def box(self) -> Extents:
        """Length of the load along x, y and z [m]."""
        return box(self.assembly, self.placement)

    @property
    def grid(self) -> Grid | None:
        """How the copies of the load stand; None of a single one."""
        s = self.settings
        return None if s.spacing is None else arranged(s.copies, self.box, s.spacing)

    @property
    def crowding(self) -> Crowding | None:
        """Why the load has no room in its chamber; None where it has."""
        placed = isinstance(self.placement, Placement)
        return crowding(self.assembly, self.box, placed, self.grid, self.settings.furnace.volume)

    @property
    def neighbours(self) -> Neighbours | None:
        """What a load sees of its copies; None of a single one."""
        grid = self.grid
        if grid is None:
            return None
        return Neighbours(grid.copies, sides(self.assembly, self.placement), seen_of_neighbours(grid, self.box))


def prepare(read: ReadJob, library: Library) -> Prepared:
    """Look everything up and settle what is open.

    Raises
    ------
    JobFileError, DataError     names, shapes or a set-point that cannot work
    """
    assembly = assemble(read, library)
    with told_with_its_line(read):
        placement = find_placement(assembly)
        layout: Layout | NoLayout = NoLayout("its segments have places of their own")
        if isinstance(placement, NoLayout) or placement.is_pile:
            layout = find_layout(assembly)
        else:
            assembly, placement = measured(assembly, placement)
    settings = settle(read, assembly, library.furnace(read.job.furnace.name))
    practice = library.practice()
    air = practice.air.thermal_conductivity
    return Prepared(
        assembly,
        settings,
        Gas(air.temperature, air.value),
        layout,
        placement,
        practice.clearances,
        cautions_for(assembly, library.cautions()),
    )


@contextmanager
def told_with_its_line(read: ReadJob) -> Iterator[None]:
    """What does not fit in space is the job file's fault: of a joint, of a segment, or of the fidelity asked for."""
    try:
        yield
    except GeometryError as error:
        where: tuple[str, ...] = ("fidelity",)
        if any(j.name == error.part for j in read.job.joints):
            where = ("joint", error.part)
        elif any(s.name == error.part for s in read.job.segments):
            where = ("segment", error.part)
        raise read.error(read.fault(where, str(error))) from error
