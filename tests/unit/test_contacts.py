"""Joints that the sizes of the segments do not allow, and others close by that they do. Sizes invented."""

import pytest

from brazesoak.errors import JobFileError

from .jobs import assembly, bar, boss, joint, plate, tube


def fault(*parts: str, **keys: str) -> tuple[str, str]:
    with pytest.raises(JobFileError) as caught:
        assembly(*parts, **keys)
    (one,) = caught.value.faults
    assert one.line is not None
    return one.key, one.message


def plugged(diameter: str, **keys: str) -> tuple[str, ...]:
    return tube(), boss(diameter=diameter), joint("boss", "tube", "seat", fit="plug", depth="20 mm", **keys)


def test_a_plug_much_smaller_than_the_bore_is_refused_with_both_numbers() -> None:
    key, message = fault(*plugged("30 mm"))
    assert key == 'joint "seat"'
    assert "leaves 5 mm all round, and the gap is given as 0.1 mm" in message


@pytest.mark.parametrize(
    ("diameter", "gap"),
    [
        ("38.9 mm", "0.1 mm"),  # 0.55 mm all round: within 0.5 mm
        ("37.1 mm", "0.5 mm"),  # 1.45 mm: within a factor of three
        ("40 mm", "0.1 mm"),
    ],
)
def test_a_plug_about_as_loose_as_its_gap_is_taken(diameter: str, gap: str) -> None:
    assert len(assembly(*plugged(diameter), gap=gap).joints) == 1


@pytest.mark.parametrize(
    ("diameter", "gap"),
    [
        ("38.7 mm", "0.1 mm"),  # 0.65 mm
        ("36.9 mm", "0.5 mm"),  # 1.55 mm
    ],
)
def test_a_plug_looser_than_that_is_not(diameter: str, gap: str) -> None:
    assert "correct the diameter, the bore or the gap" in fault(*plugged(diameter), gap=gap)[1]


def bosses(count: int, diameter: str) -> tuple[str, ...]:
    names = [f"b{n}" for n in range(count)]
    return plate(), *(boss(n, diameter=diameter) for n in names), *(joint(n, "plate", n) for n in names)


def test_three_bosses_do_not_go_on_two_faces_that_hold_one_each() -> None:
    """120 x 90 mm hold one disc of 90 mm each, although both together have the area of 3.4 of them."""
    key, message = fault(*bosses(3, "90 mm"))
    assert key == 'segment "plate"'
    assert "63.6 + 63.6 + 63.6 cm2" in message
    assert "108 cm2" in message


@pytest.mark.parametrize(("count", "diameter"), [(2, "90 mm"), (4, "80 mm"), (16, "41 mm")])
def test_what_fits_on_two_faces_is_taken(count: int, diameter: str) -> None:
    assert len(assembly(*bosses(count, diameter)).joints) == count


def test_a_hole_right_through_takes_its_place_on_both_faces() -> None:
    """A 60 mm plug leaves 79.7 of 108 cm2: two 100 mm discs (cut to 72 and more) fit, with a 30 mm one they do not."""
    plug = boss("plug", diameter="60 mm"), joint("plug", "plate", "p", fit="plug", depth="6 mm")
    two = *bosses(2, "95 mm"), *plug
    assert len(assembly(*two).joints) == 3
    assert "79.7 cm2" in fault(*two, boss("more", diameter="50 mm"), joint("more", "plate", "m"))[1]


def test_segments_with_places_are_judged_by_their_places() -> None:
    """Rails that stand over the edge of a plate touch it with less than their whole faces."""
    at = {"at": ["0 mm", "0 mm", "0 mm"]}
    rails = [boss(f"r{n}", diameter="90 mm", at=["0 mm", f"{45 * n} mm", "6 mm"]) for n in range(3)]
    parts = plate(**at), *rails, *(joint(f"r{n}", "plate", f"j{n}") for n in range(3))
    assert len(assembly(*parts).joints) == 3


def test_a_face_with_a_hole_through_it_says_what_the_hole_takes() -> None:
    """A side of 100 x 30 mm less a hole 25 mm across, 4.91 cm2, has 25.1 cm2; the plate takes 30."""
    bored = bar("block"), boss("pin", diameter="25 mm"), joint("pin", "block", "1", fit="plug", depth="20 mm")
    _, message = fault(*bored, plate(), joint("block", "plate", "2"))
    assert "take 30 cm2, and each of the two such faces has 25.1 cm2, less the 4.91 cm2 of the holes" in message
