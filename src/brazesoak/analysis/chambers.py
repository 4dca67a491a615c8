"""A furnace of the library as the heat sees it: its bodies with their heat capacities and areas. SI."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..thermal.furnace import Chamber, Interior, Layer, Lining, Piece, Shelf

if TYPE_CHECKING:
    from ..trade.furnace_records import Furnace, FurnaceInterior, LiningLayer

AIR = 0.404 * 1115.0
"""Heat capacity of air at constant pressure, 600 degC [J/(m3 K)]: density from E. W. Lemmon and R. T. Jacobsen, Int. J.
Thermophys. 25 (2004) 21; specific heat recalled. So small beside the rest that one value serves."""


def library_chamber(furnace: Furnace, in_bodies: bool = True) -> Chamber | None:
    """The chamber of a furnace with the library's own figures, in bodies where it tells of them, or as one lump; None
    for an ideal furnace."""
    if furnace.power is None or furnace.wall_area is None or furnace.volume is None:
        return None
    told = furnace.interior if in_bodies else None
    loss = furnace.loss_conductance if told is None else told.openings_conductance
    assert furnace.chamber_heat_capacity is not None
    assert loss is not None
    return Chamber(
        furnace.power, furnace.chamber_heat_capacity, loss, furnace.wall_area, furnace.wall_emissivity.use,
        furnace.sensor_time_constant, furnace.control_band,
        None if told is None else _interior(told, furnace.power, furnace.volume),
    )  # fmt: skip


def _interior(told: FurnaceInterior, power: float, volume: float) -> Interior:
    wire = told.elements
    surface = power / wire.surface_load
    mass = 0.25 * wire.wire_diameter * surface * wire.density
    elements = Piece("elements", mass * wire.specific_heat, wire.radiating_share * surface, wire.emissivity)
    pieces = tuple(Piece(p.name, p.mass * p.specific_heat, p.area, p.emissivity) for p in told.pieces)
    case = told.case_mass * told.case_specific_heat
    lining = Lining(told.inside, tuple(_layer(layer) for layer in told.layers), told.outer_film, case)
    shelf = None
    if (own := told.shelf) is not None:
        shelf = Shelf(own.thickness, own.area, own.density * own.specific_heat, own.conductivity, own.emissivity)
    return Interior(lining, elements, pieces, AIR * volume, told.air_leak, shelf)


def _layer(layer: LiningLayer) -> Layer:
    T, cp = layer.specific_heat.nodes()
    return Layer(layer.thickness, (T, cp * layer.density), layer.conductivity.nodes())
