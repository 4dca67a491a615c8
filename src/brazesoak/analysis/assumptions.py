"""What the plan takes for granted: defaults of the job, figures of the furnace, simplifications of the model."""

from __future__ import annotations

import re
from math import floor
from typing import TYPE_CHECKING

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import Assumption
from ..parts.assembly import Assembly
from ..thermal.support import GAPS, ON_PROPS, ON_SHELF

if TYPE_CHECKING:
    from ..jobfile.schema import FurnaceChoice, Job
    from ..trade.furnace_records import Furnace
    from .settings import Settings

PRACTICE = "common practice, no source"
LAG = "from memory: a sheathed thermocouple 1.5 to 3 mm thick pressed on metal, 5 to 20 s"
SHADE_LEFT_OUT = Assumption(
    "shade",
    "parts do not shade each other",
    "radiation between parts is not computed: an inside corner heats more slowly than this says",
    short="no shade between parts (an inside corner is slower)",
)
SHADE_COMPUTED = Assumption(
    "shade",
    "parts shade each other and radiate to each other",
    "view factors by ray casting, grey and diffuse surfaces, one irradiation a patch",
    short="parts shade and heat each other",
)


def celsius(T: float) -> str:
    """A temperature [K] as data files and messages write it."""
    return f"{T - ZERO_CELSIUS:.0f} degC"


def in_time(time: float) -> str:
    """A limit in time [s] as messages write it, never more than it is: ``10 s``, ``2.5 min``, ``30 min``."""
    if time < 119.5 and time % 60.0:
        return f"{floor(time + 1e-9)} s"
    return f"{floor(time / 6.0 + 1e-9) / 10.0:g} min"


def silent(job: Job, open_below: float) -> list[Assumption]:
    """Defaults of the job file that were used because it is silent."""
    hold, room = job.hold, celsius(job.furnace.room)
    checks = [
        ("program", "loading", "loading", "cold", PRACTICE),
        ("program", "start", "temperature of the load at the start", room, "that of the room"),
        ("hold", "superheat", "superheat over the liquidus", f"{hold.superheat:.0f} K", PRACTICE),
        ("hold", "time", "time above that", in_time(hold.time), PRACTICE),
        ("hold", "thermocouple", "thermocouple on the load", f"type {hold.thermocouple}", "the most usual"),
        ("hold", "thermocouple_lag", "lag of a thermocouple on the load", f"{hold.thermocouple_lag:.0f} s", LAG),
        ("hold", "open_below", "door opened below", celsius(open_below), PRACTICE),
        ("furnace", "room", "temperature of the room", room, "room temperature"),
    ]
    return [
        Assumption(what, value, why, table, f"{key} {value.removeprefix('type ')}")
        for table, key, what, value, why in checks
        if key not in getattr(job, table).model_fields_set
    ]


def unused_figures(own: FurnaceChoice, furnace: Furnace) -> list[Assumption]:
    """Figures of a real furnace that the job gives for an ideal one."""
    real = ("power", "heat_capacity", "loss_conductance", "wall_emissivity", "sensor_time_constant", "price_per_kwh")
    given = [key for key in real if furnace.kind == "ideal" and key in own.model_fields_set]
    if furnace.kind == "ideal":
        given += [f"control.{key}" for key in sorted(own.control.model_fields_set - {"clock_band"})]
    why = "an ideal furnace follows the program exactly, with black walls; name a furnace with a chamber to use it"
    return [Assumption(f"furnace.{key} of the job file", "not used", why) for key in given]


def in_bodies(own: FurnaceChoice, furnace: Furnace) -> bool:
    """Whether the furnace is computed in bodies: the library tells of them, and no figure of the job replaces them."""
    return furnace.interior is not None and own.heat_capacity is None and own.loss_conductance is None


def support_kind(own: FurnaceChoice, furnace: Furnace, notes: list[Assumption]) -> str:
    """What the load stands on, ``shelf``, ``props`` or ``none``; notes what the job leaves open."""
    has_shelf = in_bodies(own, furnace) and furnace.interior is not None and furnace.interior.shelf is not None
    wanted = own.support
    if not has_shelf:
        if wanted in (ON_SHELF, ON_PROPS):
            why = "this furnace has no shelf in the model: an ideal one, one lump, or one with a rack"
            notes.append(Assumption("furnace.support of the job file", "not used", why))
        return "none"
    if wanted is None:
        why = f"{PRACTICE}; laid flat on the shelf the underside is slower: write support in [furnace]"
        props = f"props {GAPS[ON_PROPS] * 1e3:.0f} mm high on the shelf"
        notes.append(Assumption("support", props, why, "furnace", f"support props {GAPS[ON_PROPS] * 1e3:.0f} mm high"))
    return wanted or ON_PROPS


def lining_note(own: FurnaceChoice, furnace: Furnace) -> Assumption | None:
    """How the lining is computed."""
    if furnace.interior is None:
        return None
    if not in_bodies(own, furnace):
        why = "the job gives heat_capacity or loss_conductance, which replace the bodies of the library"
        return Assumption("lining of the furnace", "one lump with the chamber", why, "furnace", "lining in one lump")
    layers = ", ".join(f"{y.thickness * 1e3:.0f} mm {y.name}" for y in furnace.interior.layers)
    value = f"{layers}, as conduction through its layers"
    short = f"lining {', '.join(f'{y.thickness * 1e3:.0f} mm {_kind(y.name)}' for y in furnace.interior.layers)}"
    return Assumption("lining of the furnace", value, furnace.interior.source, "furnace", short)


def _kind(layer: str) -> str:
    """A layer without its group or density, for example ``insulating firebrick``."""
    return re.split(r" group | \d", layer, maxsplit=1)[0]


def default_figures(own: FurnaceChoice, furnace: Furnace) -> list[Assumption]:
    """Figures of the furnace that come from the library because the job gives none."""
    notes = []
    if own.film is None:
        film = f"{furnace.film.use:.3g} W/(m2 K)"
        notes.append(Assumption("convection film", film, furnace.film.source, "furnace", f"film {film}"))
    if furnace.kind == "ideal":
        return notes
    if own.wall_emissivity is None:
        walls = f"{furnace.wall_emissivity.use:.2g}"
        what, why = "emissivity of the chamber walls", furnace.wall_emissivity.source
        notes.append(Assumption(what, walls, why, "furnace", f"wall_emissivity {walls}"))
    if (lining := lining_note(own, furnace)) is not None:
        notes.append(lining)
    lump = not in_bodies(own, furnace)
    figures = (
        ("power", furnace.power, "power", "{:.0f} W"),
        ("heat_capacity", furnace.chamber_heat_capacity if lump else None, "heat capacity", "{:.0f} J/K"),
        ("loss_conductance", furnace.loss_conductance if lump else None, "loss", "{:.2g} W/K"),
        ("sensor_time_constant", furnace.sensor_time_constant, "lag of the sensor", "{:.0f} s"),
    )
    used = [
        (key, name, form.format(value))
        for key, value, name, form in figures
        if getattr(own, key) is None and value is not None
    ]
    if used:
        text, short = (", ".join(f"{one[n]} {one[2]}" for one in used) for n in (1, 0))
        notes.append(Assumption("figures of the furnace", text, furnace.source, "furnace", short))
    return notes


NOT_PLACED = Assumption(
    "places of the parts",
    "not known: each part has one temperature throughout",
    'give the size and the place ("at") of every segment; without places only two parts or a single pile are laid out, '
    "centre on centre",
    short="places of the parts not known: each has one temperature throughout",
)
UNDERSIDE_GUESSED = Assumption(
    "underside",
    "a sixth of the surface of the largest part looks down at the shelf",
    "that of a cube, an assumption: the places of the parts are not known",
    short="a sixth of the largest part looks down at the shelf",
)


def modelling(assembly: Assembly, s: Settings, fidelity: str, placed: bool) -> tuple[Assumption, ...]:
    """Simplifications of the model itself, so that nobody takes them for measured; `placed`: the places are known."""
    notes = [SHADE_COMPUTED if fidelity == "solid" else SHADE_LEFT_OUT]
    if s.support == "none":
        every = "every exposed face sees the furnace"
        notes.append(Assumption("support", every, "nothing stands below the load", short=every))
    elif not placed:
        notes.append(UNDERSIDE_GUESSED)
    if fidelity == "network" and not placed:
        notes.append(NOT_PLACED)
    if s.furnace.kind == "chamber":
        notes += _chamber(s)
    if s.hot:
        notes.append(_door(s))
        if s.surroundings.chamber is not None:
            notes.append(HOT_THROUGH)
    if fidelity == "section plane":
        notes.append(
            Assumption(
                "depth", "each part is even along its depth, across the section",
                "ends that stand out far to the sides heat the joint more slowly than this says",
                short="each part even across the section (far ends are slower)",
            )
        )  # fmt: skip
    return (*notes, *_doubtful_properties(assembly, s))


HOT_THROUGH = Assumption(
    "lining as the load goes in",
    "hot through",
    "let the empty furnace stand at the set-point for an hour first; loaded at once, the clock starts some 10 min "
    "later and the flux works as much longer",
)


def _door(s: Settings) -> Assumption:
    """How the load goes into a hot furnace."""
    if s.surroundings.chamber is None:
        return Assumption("door", "no heat is lost while the load goes in", "an ideal furnace stays as it is")
    why = "the hot face shines out and air flows through meanwhile, the load inside; write door_open in [program]"
    value = f"{s.door_open:.0f} s"
    return Assumption("door", f"open for {value} while the load goes in", why, "program", f"door_open {value}")


def _chamber(s: Settings) -> list[Assumption]:
    """How many temperatures the furnace has, and what of it the load does not see by itself."""
    chamber = s.surroundings.chamber
    if chamber is None or chamber.interior is None:
        return [Assumption("chamber", "one temperature for heaters, walls and gas", s.furnace.source)]
    text = "heaters, hot face, air and what stands inside each have one temperature"
    why = "no side of the chamber is hotter than another; see uniformity"
    return [Assumption("chamber", text, why, short="no side of the chamber hotter than another"), RADIATION]


RADIATION = Assumption(
    "radiation in the chamber",
    "load and sensor see heaters, walls and shelf as their areas are, the heaters in the side walls and the shelf near "
    "the floor",
    "beside rays in three dimensions the load takes up the same within 5 %, with heaters in the roof within 11 %",
    short="heaters in the side walls, shelf near the floor",
)


def _doubtful_properties(assembly: Assembly, s: Settings) -> list[Assumption]:
    """Metals whose properties are from memory, and tables that do not reach from the start to the set-point."""
    metals = list({seg.metal.id: seg.metal for seg in assembly.segments}.values())
    notes = []
    low = [m.name for m in metals if "memory" in (m.specific_heat.confidence, m.thermal_conductivity.confidence)]
    if low:
        why = "the command brazesoak data shows every value's source"
        short = f"from memory in part: {', '.join(name.lower() for name in low)}"
        notes.append(Assumption("properties from memory", ", ".join(low), why, short=short))
    for m in metals:
        for name, table in (("specific heat", m.specific_heat), ("conductivity", m.thermal_conductivity)):
            first, last = table.valid_range
            if s.start < first - 10.0 or s.set_point > last + 10.0:
                notes.append(
                    Assumption(
                        f"{name} of {m.name.lower()}", "its end values hold outside the table",
                        f"the data go from {celsius(first)} to {celsius(last)}",
                    )
                )  # fmt: skip
    return notes
