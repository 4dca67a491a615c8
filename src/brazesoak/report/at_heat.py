"""Every joint at its brazing temperature, as text and for machines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from brazesoak.answer import JointAtHeat, Plan
from brazesoak.report import format as fmt
from brazesoak.report.layout import paragraph, table

HEADING = "JOINTS AT HEAT (all parts alike at the joint's target, free to expand)"


def at_heat_text(plan: Plan, width: int) -> str:
    """Two tables, gaps and filler, and what they suppose; empty when nothing is told."""
    if not plan.at_heat:
        return ""
    cold = {joint.name: joint.gap for joint in plan.joints}
    gaps = [
        (
            j.name,
            fmt.length(cold[j.name]),
            gap_text(j),
            f"{fmt.length(j.clearance[0])} to {fmt.length(j.clearance[1])}",
            "-" if j.rise is None else f"{fmt.length(j.rise[0])} to {fmt.length(j.rise[2])}",
            f"{100.0 * abs(j.cooling_strain):.2g} %",
        )
        for j in plan.at_heat
    ]
    filler = [
        (
            j.name,
            fmt.volume(j.gap_volume),
            fmt.volume(j.fillet_volume),
            fmt.volume(j.filler_volume),
            fmt.mass(j.filler_mass),
            *(fmt.length(length) for _, length in j.wires),
            fmt.area(j.foil[1]),
        )
        for j in plan.at_heat
    ]
    first = plan.at_heat[0]
    wires = [f"Wire {fmt.length(diameter)}" for diameter, _ in first.wires]
    gap_head = ("Joint", "Gap cold", "At heat", "Range at heat", "Climbs if upright", "Strain on cooling")
    filler_head = ("Joint", "In gap", "In fillets", "To place", "Mass", *wires, f"Foil {fmt.length(first.foil[0])}")
    notes = [paragraph(line, width) for line in _notes(plan)]
    return "\n".join([table(gap_head, gaps, width), "", table(filler_head, filler, width), "", *notes])


def gap_text(joint: JointAtHeat) -> str:
    """Gap at heat, or that it is closed or unknown."""
    if joint.gap is None:
        return "unknown"
    return "closed" if joint.gap <= 0.0 else fmt.length(joint.gap)


def _notes(plan: Plan) -> Iterator[str]:
    yield (
        "A plug's gap changes by the expansion of plug and host; joints that lie face on face keep theirs. Climb: "
        "Jurin's law with surface tension and contact angle from memory, its range theirs; it counts only where a "
        "joint stands upright and is wetted. Strain: difference of mean expansion times the fall from solidus to "
        "20 °C. Filler: the wider of cold and hot gap and hollow fillets of 1 mm along its edges, times 1.3 for loss "
        "(common practice, no source)."
    )
    for source in dict.fromkeys(j.source for j in plan.at_heat):
        yield f"Expansion: {fmt.sentence(source)}"


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
