"""How many copies of a load fit, and what their heats are like, for people and for machines."""

from __future__ import annotations

import json

from brazesoak.answer import CopiesTried
from brazesoak.report import format as fmt
from brazesoak.report.layout import paragraph, table
from brazesoak.report.wording import DEFERRAL, LONGER, too_thick

ABOUT = (
    "Every input at its most likely value, and all copies taken as the one with the most neighbours: for a choice of "
    "how many. Write copies in [load] and plan the job for the hold to be set. Times from the start; energy to the "
    "end of the hold."
)


def copies_text(found: CopiesTried, title: str, width: int = 100) -> str:
    """A table of heats with more and more copies."""
    x, y, z = (1e3 * e for e in found.box)
    room = (
        f"Room for {found.room_for} at {found.spacing * 1e3:.0f} mm between them: one is {x:.0f} by {y:.0f} mm and "
        f"{z:.0f} mm high, and the chamber has {found.side * 1e3:.0f} mm each way within its clearance from the walls."
    )
    if not found.rows:
        return "\n\n".join([title, paragraph(f"{room} Take a larger furnace.", width), paragraph(DEFERRAL, width)])
    head = ("Copies", "Columns by rows", "Display at set-point", "Hold", "Total", "Energy", "Each")
    cells = [
        (
            str(r.copies),
            f"{r.columns} by {r.rows}",
            *("-" if t is None else fmt.minutes(t) for t in (r.at_set_point, r.hold, r.total)),
            "-" if r.heater is None else fmt.kilowatt_hours(r.heater),
            "-" if r.heater is None else fmt.kilowatt_hours(r.heater / r.copies),
        )
        for r in found.rows
    ]
    notes = [paragraph(f"{r.copies} copies: {fmt.sentence(r.note)}", width) for r in found.rows if r.note]
    inside = [LONGER, too_thick(found.thick)] if found.fidelity == "network" else []
    about = " ".join(text for text in (f"Computed by {found.fidelity}. {ABOUT}", *inside) if text)
    end = [paragraph(about, width), paragraph(DEFERRAL, width)]
    return "\n\n".join([title, paragraph(room, width), table(head, cells, width), *notes, *end])


def copies_json_text(found: CopiesTried) -> str:
    """The same as JSON; times in minutes, energies in kilojoules, lengths in millimetres."""

    rows = [
        {
            "copies": r.copies,
            "columns": r.columns,
            "rows": r.rows,
            "at_set_point_min": fmt.scaled(r.at_set_point, 1.0 / 60.0),
            "hold_min": fmt.scaled(r.hold, 1.0 / 60.0),
            "total_min": fmt.scaled(r.total, 1.0 / 60.0),
            "heater_kJ": fmt.scaled(r.heater, 1e-3),
            "note": r.note,
        }
        for r in found.rows
    ]
    whole = {
        "room_for": found.room_for,
        "spacing_mm": fmt.scaled(found.spacing, 1e3),
        "box_mm": [fmt.scaled(e, 1e3) for e in found.box],
        "side_mm": fmt.scaled(found.side, 1e3),
        "fidelity": found.fidelity,
        "thick_biot": dict(found.thick),
        "rows": rows,
    }
    return json.dumps(whole, indent=2)
