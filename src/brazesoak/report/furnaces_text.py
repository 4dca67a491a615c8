"""The furnaces side by side, for people and for machines."""

from __future__ import annotations

import json
from collections.abc import Sequence

from brazesoak.answer import FurnaceRow, FurnaceTrial
from brazesoak.report import format as fmt
from brazesoak.report.layout import paragraph, table
from brazesoak.report.wording import DEFERRAL, LONGER, too_thick

ABOUT = (
    "Each furnace of the library, empty and at full power from 20 to 750 \N{DEGREE SIGN}C. A load takes longer: give a "
    "job, too. The trade sees 8 to 25 K/min, 29 to 91 min (common practice, no source); these are at its quick "
    "end, for they have all of their rated power and dry brick. Time your own and compare. Examples, not products; "
    "brazesoak data NAME shows what the figures were computed from."
)


def furnaces_text(rows: Sequence[FurnaceRow], width: int = 100) -> str:
    """A table of the furnaces; no line longer than `width` unless one word is."""
    head = ("Furnace", "Volume", "Power", "Empty to 750 \N{DEGREE SIGN}C", "Heat given", "Power to hold")
    cells = [
        (
            row.id,
            f"{row.volume * 1e3:.3g} L",
            f"{row.power:.0f} W",
            "never" if row.time is None else fmt.minutes(row.time),
            fmt.energy(row.heat),
            f"{row.holding:.0f} W",
        )
        for row in rows
    ]
    return "\n\n".join([table(head, cells, width), paragraph(ABOUT, width), paragraph(DEFERRAL, width)])


LOADED = (
    "Empty and loaded: at full power, from 20 to 750 \N{DEGREE SIGN}C on the display. The rest with the load of the "
    "job and its program. Every input at its most likely value: for a choice of furnace. "
    "Plan the job for the hold to be set. Times from the start; energy to the end of the hold."
)


def trials_text(trials: Sequence[FurnaceTrial], title: str, width: int = 100) -> str:
    """A table of the furnaces with the load of a job."""
    head = ("Furnace", "Power", "Empty", "Loaded", "Display at set-point", "Slowest joint liquid", "Hold", "Energy")
    cells = [
        (
            t.id,
            f"{t.power:.0f} W",
            "never" if t.empty is None else fmt.minutes(t.empty),
            "-" if not t.full_time.size else "never" if t.loaded is None else fmt.minutes(t.loaded),
            *(fmt.minutes_short(v) if v is not None else "-" for v in (t.at_set_point, t.liquid)),
            "-" if t.hold is None else fmt.minutes(t.hold),
            "-" if t.heater is None else fmt.kilowatt_hours(t.heater),
        )
        for t in trials
    ]
    notes = [paragraph(f"{t.id}: {fmt.sentence(t.note)}", width) for t in trials if t.note]
    about = " ".join(text for text in (LOADED, LONGER, too_thick([s for t in trials for s in t.thick])) if text)
    return "\n\n".join([title, table(head, cells, width), *notes, paragraph(about, width), paragraph(DEFERRAL, width)])


def furnaces_json_text(rows: Sequence[FurnaceRow]) -> str:
    """The empty furnaces as JSON; null: never."""
    return json.dumps([
        {
            "furnace": r.id, "volume_L": fmt.scaled(r.volume, 1e3), "power_W": r.power,
            "empty_min": fmt.scaled(r.time, 1.0 / 60.0),
            "heat_kJ": fmt.scaled(r.heat, 1e-3), "holding_W": fmt.scaled(r.holding, 1.0),
        }
        for r in rows
    ], indent=2)  # fmt: skip


def trials_json_text(trials: Sequence[FurnaceTrial]) -> str:
    """The furnaces with the load of a job as JSON; null: never, or not tried."""
    return json.dumps([
        {
            "furnace": t.id, "volume_L": fmt.scaled(t.volume, 1e3), "power_W": t.power,
            "empty_min": fmt.scaled(t.empty, 1.0 / 60.0),
            "loaded_min": fmt.scaled(t.loaded, 1.0 / 60.0), "at_set_point_min": fmt.scaled(t.at_set_point, 1.0 / 60.0),
            "liquidus_min": fmt.scaled(t.liquid, 1.0 / 60.0), "hold_min": fmt.scaled(t.hold, 1.0 / 60.0),
            "heater_kJ": fmt.scaled(t.heater, 1e-3), "note": t.note, "thick_biot": dict(t.thick),
        }
        for t in trials
    ], indent=2)  # fmt: skip
