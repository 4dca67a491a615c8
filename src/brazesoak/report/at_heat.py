"""Every joint at its brazing temperature, as text and for machines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from brazesoak.answer import JointAtHeat, Plan
from brazesoak.report import format as fmt
from brazesoak.report.layout import paragraph, table

HEADING = "GAPS AND FILLER (at heat: all parts alike at the joint's target, free to expand)"
LEAST_STRAIN = 5e-4
"""A smaller difference of shrinkage is not told."""


def at_heat_text(plan: Plan, width: int) -> str:
    """Gaps and filler of every joint, and what they suppose; empty when nothing is told."""
    if not plan.at_heat:
        return ""
    cold = {joint.name: joint.gap for joint in plan.joints}
    rows = [
        (
            j.name,
            fmt.length(cold[j.name]),
            gap_text(j),
            f"{j.clearance[0] * 1e3:g} to {fmt.length(j.clearance[1])}",
            fmt.mass(j.filler_mass),
            *(fmt.length(length) for _, length in j.wires),
            fmt.area(j.foil[1]),
        )
        for j in plan.at_heat
    ]
    first = plan.at_heat[0]
    wires = [f"Wire {fmt.length(diameter)}" for diameter, _ in first.wires]
    head = ("Joint", "Gap cold", "At heat", "Should be", "Filler", *wires, f"Foil {fmt.length(first.foil[0])}")
    return "\n".join([table(head, rows, width), *(paragraph(line, width) for line in _notes(plan))])


def gap_text(joint: JointAtHeat) -> str:
    """Gap at heat, or that it is closed or unknown."""
    if joint.gap is None:
        return "unknown"
    return "closed" if joint.gap <= 0.0 else fmt.length(joint.gap)


def is_tight(joint: JointAtHeat) -> bool:
    """Whether its gap is too narrow at heat for filler to come in."""
    return joint.gap is not None and joint.gap < joint.clearance[0]


def _notes(plan: Plan) -> Iterator[str]:
    each = " of each copy" if plan.copies > 1 else ""
    yield (f"Filler{each}: the gap at its wider and fillets of 1 mm, times 1.3 for loss (common practice, no source).")
    heats = plan.orientation.heats if plan.orientation else ()
    standing = {name for p in heats for name, _ in (*p.climbs, *p.too_high)}
    climbs = [f"{j.name} {_range(j.rise)}" for j in plan.at_heat if j.name in standing and j.rise and not is_tight(j)]
    if climbs:
        yield f"Filler climbs, where a joint stands: {'; '.join(climbs)} (Jurin's law, constants from memory)."
    strains = [f"{j.name} {100.0 * abs(j.cooling_strain):.2g} %" for j in plan.at_heat if _strained(j)]
    if strains:
        yield (
            f"On cooling from the solidus one side shrinks more than the other: {'; '.join(strains)}. Let it cool in "
            "the shut furnace, and look for cracks before use (common practice, no source)."
        )


def _range(rise: tuple[float, float, float]) -> str:
    return f"{rise[0] * 1e3:.0f} to {rise[2] * 1e3:.0f} mm"


def _strained(joint: JointAtHeat) -> bool:
    return abs(joint.cooling_strain) >= LEAST_STRAIN


def at_heat_json(joint: JointAtHeat) -> dict[str, Any]:
    """One joint; keys end in their unit."""
    rise = joint.rise
    return {
        "name": joint.name,
        "is_plug": joint.is_plug,
        "temperature_C": _rounded(fmt.celsius(joint.temperature)),
        "gap_mm": None if joint.gap is None else _rounded(joint.gap * 1e3),
        "clearance_low_mm": _rounded(joint.clearance[0] * 1e3),
        "clearance_high_mm": _rounded(joint.clearance[1] * 1e3),
        "depth_mm": _rounded(joint.depth * 1e3),
        "rise_mm": None
        if rise is None
        else {key: _rounded(value * 1e3) for key, value in zip(("low", "use", "high"), rise, strict=True)},
        "gap_mm3": _rounded(joint.gap_volume * 1e9),
        "fillet_mm3": _rounded(joint.fillet_volume * 1e9),
        "filler_mm3": _rounded(joint.filler_volume * 1e9),
        "filler_g": _rounded(joint.filler_mass * 1e3),
        "wires": [{"diameter_mm": _rounded(d * 1e3), "length_mm": _rounded(n * 1e3)} for d, n in joint.wires],
        "foil": {"thickness_mm": _rounded(joint.foil[0] * 1e3), "area_cm2": _rounded(joint.foil[1] * 1e4)},
        "cooling_strain": _rounded(joint.cooling_strain),
        "source": joint.source,
    }


def _rounded(value: float) -> float:
    return round(float(value), 9) + 0.0  # + 0.0 turns -0.0 into 0.0
