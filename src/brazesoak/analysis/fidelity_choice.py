"""Which fidelities a job allows, which to choose, and whether its grid can be held. Loads no compiler."""

from __future__ import annotations

from ..bridge.cells import FINENESS
from ..bridge.placement import Placement
from ..bridge.solid_grid import grid_edges
from ..thermal.layout import Layout, NoLayout
from ..thermal.model import ThermalModel
from .prepared import Prepared


def available(prepared: Prepared) -> dict[str, str]:
    """Fidelities that this job allows and the reason of each, the one to choose first."""
    layout, placement = prepared.layout, prepared.placement
    found: dict[str, str] = {}
    if isinstance(layout, Layout) and layout.is_exact:
        found["section"] = layout.reason
    if isinstance(placement, Placement):
        found["solid"] = placement.reason
    if isinstance(layout, Layout):
        found.setdefault("section", layout.reason)
    reason = layout.reason if isinstance(layout, NoLayout) else ""
    found["network"] = f"one temperature for each segment, because {reason}"
    return found


def choose(prepared: Prepared, wanted: str) -> tuple[str, str]:
    """Fidelity and the reason for it."""
    found = available(prepared)
    if wanted == "network":
        return "network", "as asked for: one temperature for each segment"
    if wanted in found:
        return wanted, f"as asked for: {found[wanted]}"
    name, reason = next(iter(found.items()))
    if wanted != "auto":
        return name, f"a {wanted} was asked for, but there is none; {reason}"
    return name, reason if name == "network" else f"chosen: {reason}"


def finer(model: ThermalModel) -> str:
    """What to do for more than one temperature a segment: to give places, or no word against it where a section or a
    solid can be made."""
    if model.layout is None and model.placement is None:
        return 'give every segment its size and its place ("at")'
    return 'leave out fidelity = "network"'


def not_placed(prepared: Prepared) -> str:
    """What a user is told whose parts allow no more than one temperature each; empty where they do."""
    if isinstance(prepared.layout, Layout) or isinstance(prepared.placement, Placement):
        return ""
    return (
        f". The parts are not placed ({prepared.placement.reason}): plan takes each as one temperature throughout, and "
        f"of large or thick parts its hold can be much too short; {finer(prepared.model(prepared.inputs))}"
    )


def check_grid(prepared: Prepared, fidelity: str) -> None:
    """Refuse what the plan's own grid could not hold, before the heats on coarser grids take their time.

    Raises
    ------
    GeometryError   the grid would not fit in memory
    """
    if fidelity == "solid" and isinstance(prepared.placement, Placement):
        grid_edges(prepared.placement, FINENESS)
