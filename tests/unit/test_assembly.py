from math import acos, isclose, pi

import pytest

from brazesoak.errors import Fault, JobFileError
from brazesoak.parts.assembly import Assembly, assemble

from .jobs import LIBRARY, assembly, bar, boss, joint, lump, plate, read, tube

ROUNDING = 1e-9
"""Sizes go through unit conversion; the rest is round-off, relative."""
STEEL, BRASS = 7850.0, 8490.0
"""Densities [kg/m3]: EN 1993-1-2:2005, 3.2.2; UNS C36000."""
DISC = pi * 0.02**2
"""End of the 40 mm boss [m2]."""
BOSS_SIDE = pi * 0.04 * 0.03
PLATE_SURFACE = 2.0 * (0.12 * 0.09 + 0.12 * 0.006 + 0.09 * 0.006)


def close(found: float, wanted: float) -> bool:
    return isclose(found, wanted, rel_tol=ROUNDING)


def faults_of(*parts: str, **keys: str) -> tuple[Fault, ...]:
    with pytest.raises(JobFileError) as caught:
        assembly(*parts, **keys)
    return caught.value.faults


def test_boss_on_plate() -> None:
    a = assembly(plate(), boss(metal="UNS C36000"), joint("boss", "plate"))
    base, top = a.segments
    assert close(base.mass, STEEL * 0.12 * 0.09 * 0.006)
    assert close(top.mass, BRASS * DISC * 0.03)
    assert close(a.mass, base.mass + top.mass)
    assert close(a.joints[0].area, DISC)
    assert close(base.exposed_area, PLATE_SURFACE - DISC)
    assert close(top.exposed_area, DISC + BOSS_SIDE)
    assert (a.joints[0].segments, a.joints[0].faces, a.joints[0].depth) == ((1, 0), ("end", "face"), 0.0)


def test_boss_that_overhangs_its_bar() -> None:
    a = assembly(bar("rail"), boss(), joint("boss", "rail"))
    # A disc of 40 mm on a face 30 mm wide: two segments of a circle hang over.
    half = (0.02**2 - 0.015**2) ** 0.5
    within = 2.0 * (half * 0.015 + 0.02**2 * (0.5 * pi - acos(0.75)))
    assert isclose(a.joints[0].area, within, rel_tol=1e-9)
    assert close(a.segments[1].exposed_area, 2.0 * DISC + BOSS_SIDE - within)


def test_crossed_bars_share_a_rectangle_of_both_widths() -> None:
    a = assembly(bar("low"), bar("high", width="25 mm"), joint("low", "high", fit="crossed"))
    assert close(a.joints[0].area, 0.030 * 0.025)


def test_parallel_bars_share_the_smaller_face() -> None:
    a = assembly(bar("low"), bar("high", width="25 mm"), joint("low", "high"))
    assert close(a.joints[0].area, 0.100 * 0.025)


def test_faces_that_are_named_are_taken() -> None:
    a = assembly(plate(), plate("rib"), joint("rib", "plate", faces=["edge", "face"]))
    assert close(a.joints[0].area, 0.12 * 0.006)


def test_area_of_the_job_stands_over_the_computed_one() -> None:
    a = assembly(plate(), boss(), joint("boss", "plate", area="5 cm2"))
    assert close(a.joints[0].area, 5e-4)
    assert close(a.segments[0].exposed_area, PLATE_SURFACE - 5e-4)


def test_plug_in_a_blind_hole_of_a_plate() -> None:
    """The hole goes through the thickness, so its width is measured across the face, not through the
    plate."""
    a = assembly(plate(thickness="20 mm"), boss(), joint("boss", "plate", fit="plug", depth="15 mm"))
    host, plug = a.segments
    surface = 2.0 * (0.12 * 0.09 + 0.12 * 0.02 + 0.09 * 0.02)
    assert close(a.joints[0].area, pi * 0.04 * 0.015)
    assert close(host.volume, 0.12 * 0.09 * 0.02 - DISC * 0.015)
    assert close(host.exposed_area, surface - DISC)
    assert close(plug.volume, DISC * 0.03)
    assert close(plug.exposed_area, DISC + pi * 0.04 * 0.015)  # its upper end and the half that stands out


def test_plug_right_through() -> None:
    a = assembly(plate(), boss(), joint("boss", "plate", fit="plug", depth="6 mm"))
    host, plug = a.segments
    assert close(host.volume, (0.12 * 0.09 - DISC) * 0.006)
    assert close(host.exposed_area, PLATE_SURFACE - 2.0 * DISC)
    assert close(plug.exposed_area, 2.0 * DISC + pi * 0.04 * 0.024)


def test_plug_in_a_tube_takes_no_metal() -> None:
    a = assembly(tube(), boss(diameter="39.8 mm"), joint("boss", "tube", fit="plug", depth="20 mm"))
    host, plug = a.segments
    ring = pi * (0.03**2 - 0.02**2)
    assert close(host.volume, ring * 0.05)
    assert close(host.exposed_area, 2.0 * ring + pi * (0.06 + 0.04) * 0.05 - pi * 0.04 * 0.02)
    assert close(plug.exposed_area, 2.0 * pi * 0.0199**2 + pi * 0.0398 * 0.03 - pi * 0.0398 * 0.02)


def test_lumps_keep_mass_and_area_as_given() -> None:
    a = assembly(lump("hub"), lump("fork", mass="2 lb"), joint("hub", "fork", area="9 cm2"))
    assert close(a.segments[0].mass, 0.5)
    assert close(a.segments[1].mass, 2 * 0.45359237)
    assert [close(s.exposed_area, 0.015) for s in a.segments] == [True, True]
    assert close(a.joints[0].area, 9e-4)


@pytest.mark.parametrize("pair", [("boss", "hub"), ("hub", "boss")])
def test_a_plug_and_a_lump_need_only_their_area(pair: tuple[str, str]) -> None:
    a = assembly(boss(), lump("hub"), joint(*pair, fit="plug", depth="10 mm", area="12 cm2"))
    assert close(a.segments[1].exposed_area, 0.015)
    assert close(a.segments[0].exposed_area, 2.0 * DISC + BOSS_SIDE - 12e-4)


def test_every_unknown_name_is_reported_at_once_and_once() -> None:
    parts = (plate(metal="unobtainium"), boss(), boss("second"), joint("boss", "plate", name="one"))
    faults = faults_of(
        *parts,
        joint("second", "plate", name="two", flux="FB9-Z"),
        furnace='name = "idael"',
        filler="BAg-77",
    )
    # The filler of [brazing] serves two joints and is one fault.
    assert [f.key for f in faults] == [
        "furnace.name",
        "brazing.filler",
        'segment "plate".metal',
        'joint "two".flux',
    ]
    assert [f.line for f in faults] == sorted(f.line or 0 for f in faults)
    assert all(f.line for f in faults)
    assert "ideal" in faults[0].message


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        (
            (bar("a"), plate(), joint("a", "plate", fit="plug", depth="5 mm")),
            'a plug must be round, and "a" is a bar; write a round part first',
        ),
        (
            (plate(width="30 mm"), boss(), joint("boss", "plate", fit="plug", depth="5 mm")),
            '"boss", 40 mm across, does not go into "plate", 30 mm across; correct',
        ),
        (
            (tube(), boss(diameter="45 mm"), joint("boss", "tube", fit="plug", depth="5 mm")),
            "is larger than the bore",
        ),
        (
            (plate(), boss(), joint("boss", "plate", fit="plug", depth="7 mm")),
            "more than plug and host allow, 6 mm; correct it",
        ),
        ((plate(), boss(), joint("boss", "plate", area="13 cm2")), "more than the smaller of the two faces"),
        (
            (tube(outer_diameter="220 mm", inner_diameter="200 mm"), plate(), joint("tube", "plate")),
            "do not meet",
        ),
        (
            (tube(outer_diameter="220 mm", inner_diameter="200 mm"), boss(), joint("tube", "boss")),
            "do not meet",
        ),
        (
            (
                plate(thickness="20 mm"),
                boss(),
                joint("boss", "plate", fit="plug", depth="15 mm", area="100 cm2"),
            ),
            'the joints of "boss" take more than all of its surface',
        ),
    ],
)
def test_shapes_that_do_not_fit(parts: tuple[str, ...], message: str) -> None:
    (fault,) = faults_of(*parts)
    assert message in fault.message
    assert fault.line is not None


def test_faults_of_shapes_and_names_come_together() -> None:
    faults = faults_of(plate(), boss(), joint("boss", "plate", fit="plug", depth="7 mm", filler="BAg-77"))
    assert {f.key for f in faults} == {'joint "joint".filler', 'joint "joint"'}


def test_names_are_looked_up_by_any_designation() -> None:
    a = assemble(read(plate(metal="1.4301"), boss(metal="brass-c36000"), joint("boss", "plate")), LIBRARY)
    assert isinstance(a, Assembly)
    assert [s.metal.id for s in a.segments] == ["stainless-304", "brass-c36000"]


def test_a_fault_of_a_joint_names_it_once() -> None:
    """The place in the file says which joint it is; the message does not begin with it again."""
    with pytest.raises(JobFileError) as caught:
        assembly(plate(), boss(), joint("boss", "plate", fit="plug", depth="7 mm"))
    assert str(caught.value).count('joint "joint"') == 1
