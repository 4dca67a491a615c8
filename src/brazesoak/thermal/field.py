"""How the surfaces of a chamber radiate to each other: by way of a field that all of them feel alike. SI.

Where every surface sees each other one in proportion to what that shows, as in a sphere, all radiosities meet in one
node, the field, and a surface of area A and emissivity e takes up A sigma (T_field^4 - T^4) / (1/e - g): the network of
A. K. Oppenheim, Trans. ASME 78 (1956) 725-735 (recalled). Its own share g of the field is what a convex body sends
out and does not see again; hot face and elements lie all around, see themselves, and have none.

A shelf parts the chamber in two spaces, each with its field, which shine into each other past its edges. A load takes
up what total exchange by rays in three dimensions says within 5 % on the ramp and while it soaks, within 10 % where
parts of the furnace are hundreds of kelvin apart (tests/verification/test_chamber_field.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .furnace import Chamber

SHELF_HEIGHT = 1.0 / 6.0
"""Where the shelf stands, as a share of the height: on stubs, near the floor. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Space:
    """A part of the chamber and what lies around it [m2]: hot face, elements, and the opening to the other part."""

    walls: float
    elements: float
    opening: float

    @property
    def around(self) -> float:
        """All of it [m2]."""
        return self.walls + self.elements + self.opening


def spaces(c: Chamber) -> tuple[Space, ...]:
    """The space that the load stands in, and where there is a shelf, that below it.

    The elements are in the side walls; of those the space below has as much as of the height.
    """
    b = c.interior
    if b is None:
        return ()
    if b.shelf is None:
        return (Space(c.wall_area, b.elements.area, 0.0),)
    face = c.wall_area / 6.0
    below, past = (1.0 + 4.0 * SHELF_HEIGHT) / 6.0, max(face - b.shelf.area, 0.0)
    shares = ((1.0 - below, 1.0 - SHELF_HEIGHT), (below, SHELF_HEIGHT))
    return tuple(Space(c.wall_area * walls, b.elements.area * elements, past) for walls, elements in shares)


MOST = 0.9
"""Share of the area around it that a body inside may show: one with more hides behind itself."""
_CLOSE = 1e-12


@lru_cache(maxsize=256)
def own_shares(around: float, inside: tuple[float, ...]) -> tuple[float, ...]:
    """Share g of the field that is each body's own; kept, since many heats go on in one chamber.

    Exact for one convex body in a grey enclosure: 1/e - g + A/(e_w A_w) = 1/e + (1/e_w - 1) A/A_w. With several,
    G (1 - G/S) = A for each, with G = A/(1 - g) its conductance to the field and S that of all: reciprocal, and what a
    convex body sends out all falls on others.

    Parameters
    ----------
    around : float              area of what encloses, [m2] > 0: hot face and elements
    inside : (float, ...)       area that each convex body shows [m2]; all copies of a load are one
    """
    area = [min(A, MOST * around) for A in inside]
    G = list(area)
    while True:
        S = around + sum(G)
        closer = [A + g * g / S for A, g in zip(area, G, strict=True)]
        if all(abs(b - a) <= _CLOSE * around for a, b in zip(G, closer, strict=True)):
            return tuple(g / S for g in closer)
        G = closer
