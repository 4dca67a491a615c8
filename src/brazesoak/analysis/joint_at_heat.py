"""A joint at its brazing temperature: the gap there, how high filler climbs in it, how much filler, strain on cooling.

Everything is taken to be at one temperature and free to expand. SI throughout.
"""

from __future__ import annotations

from math import cos, pi, radians
from typing import TYPE_CHECKING

from brazesoak_solvers.constants import ZERO_CELSIUS

from .. import answer
from ..parts.assembly import Assembly, Joint
from .fillets import FILLET, edge_length, fillet_area

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ..bridge.placement import Box
    from ..trade.properties import Table
    from ..trade.records import Spread

ROOM = 20.0 + ZERO_CELSIUS
"""Mean expansion counts from here [K], as `Metal.expansion` does."""
GRAVITY = 9.80665
"""[m/s2] ISO 80000-3."""
SURFACE_TENSION = 0.8, 1.0, 1.3
"""Low, use and high of molten filler [N/m]. From memory: 0.78 of zinc, 0.9 of silver and 1.3 of copper near their
melting points."""
CONTACT_ANGLE = 0.0, 20.0, 40.0
"""Low, use and high of molten filler on clean, fluxed metal [degrees]. From memory."""
ALLOWANCE = 1.3
"""Filler for loss, times the volume of gap and fillets: 1.1 to 1.5. Common practice, no source."""
WIRES = 1.0e-3, 1.5e-3
"""Diameters of wire that are told [m]."""
FOIL = 0.1e-3
"""Thickness of foil that is told [m]."""


def elongation(expansion: Table, T: float) -> float:
    """Growth of a length from 20 degC to T [K], in shares of the length at 20 degC.

    Outside the range of the table the nearest mean coefficient is kept.
    """
    return expansion.at(T, "hold") * (T - ROOM)


def plug_gap(gap: float, diameter: float, plug: float, host: float) -> float:
    """Gap all round a plug of a cold `diameter` with a cold `gap` [m] when plug and host have grown by these shares.

    A hole grows like the metal around it, so the gap is (d/2 + g) (1 + host) - d/2 (1 + plug). Below zero: the plug
    is squeezed by so much, or the host stretched.
    """
    return (0.5 * diameter + gap) * (1.0 + host) - 0.5 * diameter * (1.0 + plug)


def cold_gap(hot: float, diameter: float, plug: float, host: float) -> float:
    """The cold gap that comes to a `hot` one [m] round a plug of a cold `diameter`: `plug_gap` the other way round."""
    return (hot + 0.5 * diameter * (1.0 + plug)) / (1.0 + host) - 0.5 * diameter


def capillary_rise(gap: float, density: float, tension: float, angle: float) -> float:
    """Height that a liquid climbs between two upright walls a `gap` apart [m].

    Jurin's law for parallel walls: 2 gamma cos(theta) / (rho g gap); `density` [kg/m3], `tension` [N/m], `angle`
    [degrees].

    Raises
    ------
    ValueError      gap or density is not above zero
    """
    if gap <= 0.0 or density <= 0.0:
        raise ValueError(f"gap {gap} m and density {density} kg/m3 must be above zero")
    return 2.0 * tension * cos(radians(angle)) / (density * GRAVITY * gap)


def wire_length(volume: float, diameter: float) -> float:
    """Length of round wire of a `diameter` [m] that holds a volume [m3]."""
    return volume / (0.25 * pi * diameter**2)


def clearance_family(assembly: Assembly, joint: Joint) -> str:
    """Key of `Practice.clearances` for a joint: ``carbide`` where one side is, else the family of its filler."""
    carbide = any(assembly.segments[i].metal.family == "carbide" for i in joint.segments)
    return "carbide" if carbide else joint.filler.family


def gap_at(assembly: Assembly, joint: Joint, T: float) -> float | None:
    """Gap of a joint at T [K]: of a plug by expansion, of any other as it is cold, since its parts lie on each other.

    None for a plug whose diameter is not known, because plug or host is given by mass and area only.
    """
    if joint.fit != "plug":
        return joint.gap
    grown = _grown(assembly, joint, T)
    return None if grown is None else plug_gap(joint.gap, *grown)


def gap_to_make(assembly: Assembly, joint: Joint, T: float, hot: float) -> float | None:
    """The cold gap that is `hot` at T [m], in the cases of `gap_at`."""
    if joint.fit != "plug":
        return hot
    grown = _grown(assembly, joint, T)
    return None if grown is None else cold_gap(hot, *grown)


def _grown(assembly: Assembly, joint: Joint, T: float) -> tuple[float, float, float] | None:
    """Cold diameter of a plug [m], and the elongation of plug and host at T [K]; None where it is not known."""
    plug, host = (assembly.segments[i] for i in joint.segments)
    if "lump" in (plug.shape.kind, host.shape.kind):
        return None
    return plug.shape.diameter, elongation(plug.metal.expansion, T), elongation(host.metal.expansion, T)


def cooling_strain(assembly: Assembly, joint: Joint) -> float:
    """What the first segment of a joint would shrink more than the second from the filler's solidus to 20 degC.

    The difference of the mean coefficients times the fall of temperature: (alpha1 - alpha2) (T - 20 degC).
    """
    one, other = (elongation(assembly.segments[i].metal.expansion, joint.filler.solidus) for i in joint.segments)
    return one - other


def joints_at_heat(
    assembly: Assembly,
    targets: tuple[float, ...],
    clearances: Mapping[str, Spread],
    boxes: Sequence[Box] | None = None,
) -> tuple[answer.JointAtHeat, ...]:
    """What is told of every joint at its brazing temperature, its target [K]; boxes: of the segments, if known."""
    return tuple(_told(assembly, j, T, clearances, boxes) for j, T in zip(assembly.joints, targets, strict=True))


def _told(
    assembly: Assembly, joint: Joint, T: float, clearances: Mapping[str, Spread], boxes: Sequence[Box] | None
) -> answer.JointAtHeat:
    gap, filler = gap_at(assembly, joint, T), joint.filler
    clearance = clearances[clearance_family(assembly, joint)]
    # Whatever the gap is when the filler sets, the wider of the two is enough to fill it.
    gap_volume = joint.area * max(joint.gap, gap or 0.0)
    fillets = fillet_area(FILLET) * edge_length(assembly, joint, boxes)
    volume = ALLOWANCE * (gap_volume + fillets)
    return answer.JointAtHeat(
        name=joint.name,
        is_plug=joint.fit == "plug",
        temperature=T,
        gap=gap,
        clearance=(clearance.low, clearance.high),
        depth=joint.depth,
        rise=None if gap is None or gap <= 0.0 else _rise(gap, filler.density),
        gap_volume=gap_volume,
        fillet_volume=fillets,
        filler_volume=volume,
        filler_mass=volume * filler.density,
        wires=tuple((d, wire_length(volume, d)) for d in WIRES),
        foil=(FOIL, volume / FOIL),
        cooling_strain=cooling_strain(assembly, joint),
        source=_source(assembly, joint),
    )


def _rise(gap: float, density: float) -> tuple[float, float, float]:
    """Low, use and high [m]; the solid's density stands for the liquid's."""
    low, use, high = (
        capillary_rise(gap, density, tension, angle)
        for tension, angle in zip(SURFACE_TENSION, reversed(CONTACT_ANGLE), strict=True)
    )
    return low, use, high


def _source(assembly: Assembly, joint: Joint) -> str:
    """Where the expansion of both metals is from, each once."""
    metals = {assembly.segments[i].metal.id: assembly.segments[i].metal for i in joint.segments}
    return "; ".join(f"{m.name}: {m.expansion.source} ({m.expansion.confidence})" for m in metals.values())
