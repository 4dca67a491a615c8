"""What is in a chamber, in cells: elements, where the power enters, air, pieces, shelf, and the radiation between.

Elements, hot face, shelf, pieces and load exchange radiation with a field (`thermal.field`), a cell that holds next to
no heat, and heat with the air through one film.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.field import own_shares, spaces
from ..thermal.furnace import Interior, Surroundings
from ..thermal.support import Support
from .at_rest import AtRest
from .furnace_cells import Furnace
from .shelf import Side, add_shelf, covered

FIELD_CAPACITY = 0.1
"""Heat capacity of the field of radiation [J/K], a hundredth of the air's: it follows within a tenth of a second."""


@dataclass(frozen=True, slots=True)
class Load:
    """The load as its chamber sees it: area of all copies [m2], how each stands on the shelf, how many there are."""

    area: float
    below: Support | None
    copies: int

    def hidden(self, b: Interior) -> float:
        """What load and shelf hide of each other [m2]."""
        return (
            0.0
            if self.below is None or b.shelf is None
            else self.below.view * covered(b.shelf, self.below, self.copies)
        )


def add_interior(graph: Graph, f: Furnace, s: Surroundings, inside: float, rest: AtRest, load: Load) -> None:
    """Add what is in the chamber to a furnace that has its lining: at `inside` [K]; air and elements as at `rest`."""
    assert s.chamber is not None
    assert s.chamber.interior is not None
    c, b = s.chamber, s.chamber.interior
    unit = graph.material(core_material(1.0, 1.0))
    parts = spaces(c)
    f.sensed = f.put("field", graph.cells(np.full(len(parts), FIELD_CAPACITY), unit), inside)
    seen = [graph.surroundings(int(n)) for n in f.cells["field"]]
    air = f.put("air", graph.cells(b.air_heat_capacity, unit), rest.air)
    f.air, f.walls = graph.surroundings(air), seen[0]
    if b.air_leak > 0.0:
        graph.faces(air, int(f.cells["room"][0]), 1.0, contact=graph.contact(b.air_leak))
    f.heated = f.put("elements", graph.cells(b.elements.heat_capacity, unit), rest.elements)
    shelf, hidden = 0.0 if b.shelf is None else b.shelf.area, load.hidden(b)
    own = own_shares(parts[0].around, (load.area - hidden, shelf - hidden, *(p.area for p in b.pieces)))
    f.enclosure = -own[0]

    def shine(cell: int, area: float, emissivity: float, side: Side) -> None:
        if area > 0.0:
            graph.boundary(
                cell, area, gas=f.air, walls=side.walls, film=s.film, emissivity=emissivity, enclosure=side.enclosure
            )  # fmt: skip

    for part, walls in zip(parts, seen, strict=True):
        shine(int(f.cells["lining"][0]), part.walls, c.wall_emissivity, Side(walls, 0.0))
        shine(f.heated, part.elements, b.elements.emissivity, Side(walls, 0.0))
    if b.pieces:
        f.put("pieces", graph.cells([p.heat_capacity for p in b.pieces], unit), inside)
        for n, p, g in zip(f.cells["pieces"], b.pieces, own[2:], strict=True):
            shine(int(n), p.area, p.emissivity, Side(f.walls, -g))
    if b.shelf is not None:
        (beneath,) = own_shares(parts[1].around, (shelf,))
        sides = Side(f.walls, -own[1]), Side(seen[1], -beneath)
        cells, f.shelf = add_shelf(graph, b.shelf, shine, sides, load.below, load.copies)
        f.put("shelf", cells, inside)
        f.shelf_resistance = (1.0 - b.shelf.emissivity) / b.shelf.emissivity
        if parts[0].opening > 0.0:
            graph.boundary(f.sensed, parts[0].opening, gas=seen[1], emissivity=1.0)
