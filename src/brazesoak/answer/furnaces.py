"""Furnaces side by side, and how many copies of a load they take."""

from __future__ import annotations

from dataclasses import dataclass

from .arrays import FloatArray


@dataclass(frozen=True, slots=True)
class CopiesRow:
    """So many copies of the load in one heat, every input at its most likely value; times [s], None: never."""

    copies: int
    columns: int
    rows: int
    at_set_point: float | None
    """The display reads the set-point, within the clock's band."""
    hold: float | None
    """Needed, nominal."""
    total: float | None
    """From the start to the end of that hold."""
    heater: float | None
    """Given until then, for all copies [J]."""
    note: str
    """Why they do not get there; empty where all is well."""


@dataclass(frozen=True, slots=True)
class CopiesTried:
    """How many copies of a load stand in its furnace, and what a heat of fewer and of all of them is like."""

    room_for: int
    spacing: float
    """[m]"""
    box: tuple[float, float, float]
    """Around one load, along x, y and z [m]."""
    side: float
    """Of the space in the chamber that may be filled [m]."""
    fidelity: str
    rows: tuple[CopiesRow, ...]
    thick: tuple[tuple[str, float], ...] = ()
    """Segments for which one temperature is not enough, with their Biot numbers; empty where they have more."""


@dataclass(frozen=True, slots=True)
class FurnaceTrial:
    """A furnace of the library with the load of a job, its own program, nominal inputs, as a network.

    Times from the start [s]; None where the load does not come to its target, or does not fit, see `note`.
    """

    id: str
    volume: float
    """[m3]"""
    power: float
    """[W]"""
    empty: float | None
    """Empty at full power from 20 to 750 degC on the display; None if it never comes to it."""
    loaded: float | None
    """The same with the load; None if it never comes to it or does not fit."""
    at_set_point: float | None
    """The display reads the set-point, within the clock's band."""
    liquid: float | None
    """The slowest joint passes its liquidus."""
    hold: float | None
    """Needed, nominal [s]."""
    heater: float | None
    """Given to the end of the hold [J]."""
    note: str
    """Why the load does not fit, or does not get there; empty where all is well."""
    time: FloatArray
    """float64[n] of the loaded heat [s], empty where there is none."""
    display: FloatArray
    """float64[n] [K]"""
    coldest: FloatArray
    """float64[n], of all joints [K]"""
    empty_time: FloatArray
    """float64[m] of the empty heat [s]"""
    empty_display: FloatArray
    """float64[m] [K]"""
    full_time: FloatArray
    """float64[k] of the load at full power [s], empty where it does not fit"""
    full_display: FloatArray
    """float64[k] [K]"""
    thick: tuple[tuple[str, float], ...] = ()
    """Segments for which one temperature is not enough, with their Biot numbers."""


@dataclass(frozen=True, slots=True)
class FurnaceRow:
    """A furnace of the library, empty and at full power from 20 to 750 degC."""

    id: str
    power: float
    """[W]"""
    volume: float
    """[m3]"""
    time: float | None
    """Until the chamber is there [s]; None if it never comes to it."""
    heat: float
    """Given by the heater until then [J]."""
    holding: float
    """Power that holds it there once the lining is warm through [W]."""
    heated: FloatArray
    """float64[n] of that heat [s]"""
    display: FloatArray
    """float64[n] [K]"""
