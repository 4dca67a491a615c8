from math import pi, sqrt

import numpy as np
import pytest

from brazesoak.parts.assembly import Assembly
from brazesoak.thermal.model import Inputs, ThermalModel, emissivity_curve, surface_group

from .jobs import LIBRARY, assembly, boss, joint, kelvin, plate, prepared, tube

FILM = 7.0


def thermal(*parts: str, inputs: Inputs | None = None, **keys: str) -> ThermalModel:
    job = prepared(*parts, **keys)
    return job.model(inputs or job.inputs)


def steel_boss(surface: object) -> Assembly:
    return assembly(plate(), boss(surface=surface), joint("boss", "plate"))


def at(curve: tuple[np.ndarray, np.ndarray], celsius: float) -> float:
    return float(np.interp(kelvin(celsius), *curve))


def test_bodies_and_contacts_are_those_of_the_assembly() -> None:
    job = prepared()
    m = job.model(job.inputs)
    assert [(b.name, b.volume, b.exposed_area) for b in m.bodies] == [
        (s.name, s.volume, s.exposed_area) for s in job.assembly.segments
    ]
    (contact,), (wanted,) = m.contacts, job.assembly.joints
    assert (contact.bodies, contact.area) == (wanted.segments, wanted.area)
    assert (contact.solidus, contact.liquidus, contact.target) == pytest.approx([kelvin(t) for t in (618, 652, 682)])


def test_heat_of_steel_through_its_transformation() -> None:
    """EN 1993-1-2:2005, 3.4.1.2: 511 kJ/kg from 20 to 750 degC, whole numbers in the reference."""
    T, capacity = thermal().bodies[0].capacity
    fine = np.linspace(kelvin(20.0), kelvin(750.0), 200_001)
    heat = np.trapezoid(np.interp(fine, T, capacity), fine) / 7850.0
    assert heat == pytest.approx(511e3, abs=0.6e3)


def test_a_group_of_surfaces_is_named_as_within_a_sentence() -> None:
    """A word loses its capital, a symbol keeps it."""
    metals = "UNS C36000", "AISI 4140"
    groups = [surface_group(assembly(plate(), boss(metal=m), joint("boss", "plate")).segments[1]) for m in metals]
    assert groups == ["oxidised free-machining brass", "oxidised Cr-Mo alloy steel"]


def test_an_emissivity_of_one_s_own_is_kept_and_is_not_uncertain() -> None:
    segment = steel_boss(0.4).segments[1]
    for where in (-1.0, 0.0, 1.0):
        assert set(emissivity_curve(segment, where)[1]) == {0.4}
    assert surface_group(segment) == "emissivity 0.4 plain carbon steel"


@pytest.mark.parametrize(("where", "end"), [(-1.0, "low"), (0.0, "use"), (1.0, "high")])
def test_emissivity_between_its_ends(where: float, end: str) -> None:
    spread = LIBRARY.metal("AISI 1018").emissivity["oxidised"]
    curve = emissivity_curve(steel_boss("oxidised").segments[1], where)
    assert at(curve, 700.0) == pytest.approx(getattr(spread, end))


def test_a_bright_steel_darkens_as_it_scales() -> None:
    """From 0.28 below 380 degC to 0.69 above 520 degC: Paloposki and Liedquist, VTT Research Notes 2299
    (recalled)."""
    low, use, high = (emissivity_curve(steel_boss("bright").segments[1], w) for w in (-1.0, 0.0, 1.0))
    assert at(use, 300.0) == pytest.approx(0.28, abs=0.03)
    assert at(use, 600.0) == pytest.approx(0.69, abs=0.03)
    assert (np.diff(use[1]) >= 0.0).all()
    for celsius in (100.0, 450.0, 700.0):
        assert at(low, celsius) < at(use, celsius) < at(high, celsius) <= 1.0


def test_each_uncertain_input_moves_what_it_should() -> None:
    use = thermal()
    heavier = thermal(inputs=Inputs(FILM, capacity_factor=1.05))
    wider = thermal(inputs=Inputs(FILM, gap_factor=2.0))
    hotter = thermal(inputs=Inputs(FILM, offset=10.0))
    better = thermal(inputs=Inputs(FILM, conductivity_factor=1.1))
    darker = thermal(inputs=Inputs(FILM, emissivity=(("oxidised plain carbon steel", 1.0),)))
    assert heavier.bodies[0].capacity[1] == pytest.approx(1.05 * use.bodies[0].capacity[1])
    assert better.bodies[0].conductivity[1] == pytest.approx(1.1 * use.bodies[0].conductivity[1])
    assert better.bodies[0].capacity[1] == pytest.approx(use.bodies[0].capacity[1])
    assert wider.contacts[0].filled[1] == pytest.approx(0.5 * use.contacts[0].filled[1])
    assert hotter.surroundings.offset == 10.0
    assert thermal(inputs=Inputs(12.0)).surroundings.film == 12.0
    assert at(darker.bodies[1].emissivity, 700.0) > at(use.bodies[1].emissivity, 700.0)


def bore_area(length: str, surface: float) -> float:
    """Area that stands for the bore of a tube of 40 mm bore, on a plate of a far smaller disc's width."""
    m = thermal(
        tube(surface=surface, length=length),
        boss(diameter="50 mm"),
        joint("tube", "boss", fit="flat"),
        furnace='name = "ideal"',
    )
    job = assembly(tube(surface=surface, length=length), boss(diameter="50 mm"), joint("tube", "boss"))
    segment = job.segments[0]
    return m.bodies[0].exposed_area - (segment.exposed_area - segment.bore_area)


def test_a_bore_counts_as_the_cavity_it_is() -> None:
    """One end stands on a boss: a black wall takes what passes its open end and does not fall on the closed
    one.

    View factor between coaxial discs, S = 2 + (L/r)^2, F = (S - sqrt(S^2 - 4))/2 (Incropera, table 13.2,
    recalled).
    """
    S = 2.0 + (0.05 / 0.02) ** 2
    opening = pi * 0.02**2 * (1.0 - 0.5 * (S - sqrt(S * S - 4.0)))
    assert bore_area("50 mm", 1.0) == pytest.approx(opening)
    wall = pi * 0.04 * 0.05
    assert bore_area("50 mm", 0.3) == pytest.approx(1.0 / (0.3 / opening + 0.7 / wall))


@pytest.mark.parametrize("emissivity", [0.05, 0.5, 0.95])
@pytest.mark.parametrize("millimetres", [0.5, 5.0, 50.0, 500.0])
def test_a_bore_never_takes_up_more_than_its_wall_could(emissivity: float, millimetres: float) -> None:
    assert 0.0 < bore_area(f"{millimetres} mm", emissivity) <= pi * 0.04 * millimetres * 1e-3
