"""Positions of made-up assemblies, by inspection; heights by hand. Sizes invented."""

import pytest

from brazesoak.analysis.joint_at_heat import joints_at_heat
from brazesoak.analysis.orientation import orientation
from brazesoak.answer import Orientation
from brazesoak.bridge.placement import normal
from brazesoak.report.position import position_json, position_on_card, position_sentence

from .fake_plan import make_plan
from .jobs import LIBRARY, bar, boss, joint, lump, plate, prepared, tube


def at(x: float, y: float, z: float) -> list[str]:
    return [f"{x} mm", f"{y} mm", f"{z} mm"]


def found(*parts: str) -> Orientation:
    job = prepared(*parts)
    told = joints_at_heat(job.assembly, job.settings.targets, job.clearances)
    return orientation(job.assembly, job.placement, told, LIBRARY, 30.0, 28.0)


def said(o: Orientation) -> str:
    return position_sentence(make_plan(orientation=o))


def test_a_pile_stands_and_its_joint_lies_flat() -> None:
    o = found(plate(), boss(), joint("boss", "plate", "seat"))
    (heat,) = o.heats
    assert (heat.axis, heat.flat, heat.climbs) == ("z", ("seat",), ())
    side = o.tried[1]
    assert side.flat == ()
    assert side.climbs == (("seat", pytest.approx(0.04)),)  # the boss's diameter
    assert said(o) == 'Standing with "plate" at the bottom: "seat" lies flat.'


def test_a_plug_never_lies_flat_but_its_filler_climbs() -> None:
    o = found(
        tube("sleeve", outer_diameter="39.8 mm", inner_diameter="30 mm", length="60 mm"),
        tube("ring", outer_diameter="70 mm", inner_diameter="40 mm", length="25 mm"),
        joint("sleeve", "ring", "fit", fit="plug", depth="25 mm"),
    )
    (heat,) = o.heats
    assert heat.flat == ()
    assert heat.climbs == (("fit", pytest.approx(0.025)),)  # standing: its depth, less than its diameter


RIB = {"shape": "plate", "length": "300 mm", "width": "250 mm", "thickness": "10 mm"}


def tall(gap: str, **keys: str) -> tuple[str, ...]:
    """A boss on a base, and a wide rib beside the base: its joint stands where the boss's lies flat."""
    return (
        plate("base", length="300 mm", width="250 mm", thickness="250 mm", at=at(0, 0, 0)),
        boss("boss", at=at(0, 0, 250)),
        plate("rib", **{**RIB, "at": at(150, 0, 125), "axis": "x", "along": "y"}),
        joint("boss", "base", "boss joint"),
        joint("rib", "base", "rib joint", gap=gap, **keys),
    )


def test_the_axis_across_a_joint() -> None:
    assert normal(([0, 0, 0], [4, 4, 1]), ([1, 1, 1], [2, 2, 3])) == 2
    assert normal(([0, 0, 0], [4, 4, 1]), ([4, 0, 0], [5, 4, 1])) == 0


def test_a_narrow_upright_joint_needs_no_second_heat() -> None:
    """0.05 mm: the filler climbs 0.26 m by its low value, and the joint is 250 mm high."""
    (heat,) = found(*tall("0.05 mm")).heats
    assert heat.axis == "z"
    assert heat.flat == ("boss joint",)
    assert heat.climbs == (("rib joint", pytest.approx(0.25)),)


def test_a_wide_one_is_turned_for_a_second_heat_whose_filler_melts_lower() -> None:
    """0.2 mm: 66 mm of climb, by hand 2 x 0.8 x cos 40 / (rho g 0.2 mm). Turned, the rib's joint lies flat and the
    boss's, 40 mm across in 0.1 mm, would climb: one heat. So the boss gets a wide gap as well."""
    (one,) = found(*tall("0.2 mm")).heats
    assert (one.axis, one.flat) == ("x", ("rib joint",))
    wide = tuple(p.replace('name = "boss joint"', 'name = "boss joint"\ngap = "0.4 mm"') for p in tall("0.2 mm"))
    o = found(*wide)
    first, second = o.heats
    assert (first.joints, second.joints) == (("boss joint",), ("rib joint",))
    assert first.axis == "z"
    assert second.axis == "x"
    assert o.remelts
    fillers = {f.name: f for f in LIBRARY.fillers}
    in_job = prepared(*wide).assembly.joints[0].filler
    assert o.lower or o.higher
    assert all(fillers[n].liquidus <= in_job.solidus - o.margin for n in o.lower)
    assert all(fillers[n].solidus >= in_job.liquidus + o.margin for n in o.higher)
    assert not any(fillers[n].cadmium for n in (*o.lower, *o.higher))
    text = said(o)
    assert text.startswith("Two heats")
    assert "see the warnings" in text
    assert [h["upright_axis"] for h in position_json(o)["heats"]] == ["z", "x"]


def test_a_second_filler_that_melts_lower_spares_the_first_joints() -> None:
    """BAg-7 is liquid at 652 degC: 125 K below where BAg-8 begins to melt, and only 25 K below where BAg-5 does."""

    def remelts(first: str) -> bool:
        own = f'name = "boss joint"\ngap = "0.4 mm"\nfiller = "{first}"'
        o = found(*(p.replace('name = "boss joint"', own) for p in tall("0.2 mm", filler="BAg-7")))
        assert [h.joints for h in o.heats] == [("boss joint",), ("rib joint",)]
        return o.remelts

    assert not remelts("BAg-8")
    assert remelts("BAg-5")


def test_joints_at_right_angles_that_no_turn_helps() -> None:
    """Two plugs 40 mm across in gaps of 0.8 mm climb 16 mm whichever way: the plan says so, and turns nothing."""
    o = found(
        tube("sleeve", outer_diameter="39 mm", inner_diameter="30 mm", length="60 mm"),
        tube("ring", outer_diameter="70 mm", inner_diameter="40.6 mm", length="25 mm"),
        joint("sleeve", "ring", "fit", fit="plug", depth="25 mm", gap="0.8 mm"),
    )
    (heat,) = o.heats
    assert heat.too_high == (("fit", pytest.approx(0.025)),)
    assert "narrower gap" in said(o)


def test_a_joint_that_closes_at_heat_is_told_a_wider_gap_and_never_a_narrower_one() -> None:
    """Brass grows more than the steel around it: 0.05 mm all round a pin of 39.9 mm is gone at heat, 20 mm times
    (20.5 - 14)e-6 times 660 K being 0.09 mm."""
    o = found(
        boss("pin", metal="UNS C36000", surface="bright", diameter="39.9 mm", height="60 mm"),
        tube("ring", outer_diameter="70 mm", inner_diameter="40 mm", length="25 mm"),
        joint("pin", "ring", "fit", fit="plug", depth="25 mm", gap="0.05 mm"),
    )
    (heat,) = o.heats
    assert heat.too_high == ()
    assert '"fit" has no gap left at heat, and must have a wider one' in o.reason
    assert "narrower" not in o.reason + said(o)


def test_lumps_have_no_position() -> None:
    o = found(lump("a"), lump("b"), joint("a", "b", area="4 cm2"))
    assert o.heats == ()
    assert "mass and area only" in o.reason
    text = said(o)
    assert text.startswith("Not computed: the places of the parts are not known (a segment is given by its mass")
    assert '"at"' in text
    assert position_on_card(make_plan(orientation=o)).startswith("Lay the joints flat where you can;")


def test_crossed_bars_lie_flat() -> None:
    (heat,) = found(bar("low"), bar("high"), joint("low", "high", "crossing", fit="crossed")).heats
    assert heat.flat == ("crossing",)
