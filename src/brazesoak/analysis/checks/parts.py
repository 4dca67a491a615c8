"""What the shapes of the segments bring: closed bores, slow cores and far ends, faces that touch undeclared."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from ...answer import Notice
from ...parts.contacts import CLOSE, through
from ...thermal.model import Body, ThermalModel
from ..assumptions import PRACTICE
from ..fidelity_choice import finer
from ..settings import Settings
from .case import Case, is_one, quoted, span

FAR = 1.0
"""Fin parameter above which a thin part is not even along its length. Incropera and DeWitt, section 3.6 (recalled)."""
THIN = 0.1
"""Biot number above which one temperature for a segment is not enough. Incropera and DeWitt, section 5.1 (recalled)."""


def doubt(case: Case) -> str:
    """Why the hold of a network must not be taken at its word, to stand beside it; empty where it may."""
    if not any((*inner_gradients(case), *far_ends(case))):
        return ""
    return (
        "if every segment were one temperature throughout: these are not, and the hold may be much too short (see the "
        f"warnings); {finer(case.model)}"
    )


def _finer(case: Case) -> str:
    what = finer(case.model)
    return (
        f"{what[0].upper()}{what[1:]}, so that temperatures inside them can be computed; until then the hold is a "
        "least value: go by a thermocouple at the slowest joint."
    )


def uneven_inside(model: ThermalModel, settings: Settings) -> tuple[tuple[str, float], ...]:
    """Segments too thick for one temperature, each with its Biot number at the set-point."""
    found = ((b.name, biot(b, settings)) for b in model.bodies)
    return tuple((name, value) for name, value in found if value > THIN)


def biot(body: Body, settings: Settings) -> float:
    """Biot number at the set-point: film and radiation, half the thickest section, conductivity."""
    k = float(np.interp(settings.set_point, *body.conductivity))
    return _film_and_radiation(body, settings) * 0.5 * body.thickest_section / k


def _film_and_radiation(body: Body, settings: Settings) -> float:
    """Heat transfer coefficient near the set-point [W/(m2 K)]."""
    T = settings.set_point
    return settings.surroundings.film + 4.0 * float(np.interp(T, *body.emissivity)) * STEFAN_BOLTZMANN * T**3


def sealed(case: Case) -> Iterator[Notice]:
    """A bore without a way out."""
    names = [s.name for s in case.assembly.segments if s.bore_area > 0.0 and s.bore_opening <= 0.0]
    if names:
        bore = "the bore of {} is" if is_one(names) else "the bores of {} are"
        yield Notice(
            "sealed-cavity",
            f"{bore.format(quoted(names))} closed at both ends: trapped air trebles its pressure by 730 degC, and "
            "trapped water or flux bursts the part.",
            "Drill a vent before brazing, and dry the flux at 100 to 150 degC.",
            "ideal gas, computed; AWS and NFPA texts warn of it (recalled)",
        )


def blind_holes(case: Case) -> Iterator[Notice]:
    """A plug that stops short of the other side of a part without a bore: the job cannot say that the hole goes on.
    A plug with a bore of its own lets the air out by that."""
    parts, names = case.assembly.segments, []
    for j in case.assembly.joints:
        if j.fit != "plug" or "lump" in (parts[i].shape.kind for i in j.segments):
            continue
        plug, host = (parts[i].shape for i in j.segments)
        if plug.bore == host.bore == 0.0 and j.depth < through(host, j) - CLOSE:
            names.append(j.name)
    if names:
        hole, it = ("hole ends", "it goes") if is_one(names) else ("holes end", "one goes")
        yield Notice(
            "blind-hole",
            f"{case.joints_named(names)}: the {hole} where the plug does, as the depth says, and air has no way out.",
            "Leave the air a way out (a flat along the plug, or a vent), and fill no hole with flux: what is trapped "
            f"pushes the plug out. If {it} right through, the metal beyond the plug is counted and is not there; a "
            "round part can be written as a tube or ring.",
            PRACTICE,
        )


def inner_gradients(case: Case) -> Iterator[Notice]:
    """A segment whose core lags behind its one temperature."""
    thick = [s for s in case.segments if s.biot > THIN]
    if case.fidelity != "network" or not thick:
        return
    names = [s.name for s in thick]
    are, core = ("is", "its core lags") if is_one(names) else ("are", "their cores lag")
    yield Notice(
        "inner-gradients",
        f"{quoted(names)} {are} thick for the conductivity (Biot number {span((s.biot for s in thick), '.2f')}); "
        f"{core} behind the one temperature that this plan gives.",
        _finer(case),
        "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, section 5.1 (recalled)",
    )


def far_ends(case: Case) -> Iterator[Notice]:
    """A thin part is even through its thickness, but heat from its far ends reaches the joint late."""
    parameters = {s.name: _fin_parameter(case, n) for n, s in enumerate(case.assembly.segments)}
    names = [name for name, parameter in parameters.items() if parameter > FAR]
    if case.fidelity != "network" or not names:
        return
    are, thickness = ("is", "its thickness") if is_one(names) else ("are", "their thickness")
    yield Notice(
        "far-ends",
        f"{quoted(names)} {are} long for {thickness} (fin parameter {span((parameters[n] for n in names), '.1f')}): "
        "heat that the far ends take up reaches the joint late, and one temperature for the whole makes the joint too "
        "quick.",
        _finer(case),
        "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, section 3.6 (recalled)",
    )


def _fin_parameter(case: Case, n: int) -> float:
    """Half the length of a segment beside the length over which a fin of its thickness carries heat."""
    shape, body = case.assembly.segments[n].shape, case.model.bodies[n]
    reach = 0.5 * max(shape.heights.values(), default=0.0)
    k = float(np.interp(case.settings.set_point, *body.conductivity))
    return reach * float(np.sqrt(2.0 * _film_and_radiation(body, case.settings) / (k * body.thickest_section)))


def undeclared(case: Case) -> Iterator[Notice]:
    """Faces that touch without a joint."""
    names = [s.name for s in case.assembly.segments]
    pairs = [f'"{names[i]}" and "{names[j]}" touch over {area * 1e4:.2g} cm2' for i, j, area in case.undeclared]
    if pairs:
        yield Notice(
            "undeclared-touching",
            f"{', '.join(pairs)} as placed, and no joint says so: this plan lets no heat through there, and the "
            "furnace does not see the faces; flux or filler may bridge them all the same.",
            'Add a [[joint]] between them, or move them apart with "at" of one of them.',
            "the places of the segments, computed",
        )
