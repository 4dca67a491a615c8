import pytest

from brazesoak.analysis.cautions import cautions_for

from .jobs import LIBRARY, assembly, boss, joint, plate

KNOWN = LIBRARY.cautions()


def hazards(metal: str, filler: str) -> list[str]:
    found = cautions_for(assembly(plate(metal=metal), boss(metal=metal), joint("boss", "plate"), filler=filler), KNOWN)
    return [c.hazard for c in found]


SOME = {"cadmium", "zinc fume", "lead", "silver, nickel, manganese fume"}
"""Hazards that not every job has."""


@pytest.mark.parametrize(
    ("metal", "filler", "own"),
    [
        ("AISI 304", "BAg-7", {"zinc fume", "silver, nickel, manganese fume"}),  # BAg-7 holds zinc
        ("AISI 304", "BAg-8", {"silver, nickel, manganese fume"}),  # silver and copper only
        ("UNS C26000", "BAg-8", {"zinc fume", "silver, nickel, manganese fume"}),
        ("UNS C36000", "BAg-8", {"zinc fume", "lead", "silver, nickel, manganese fume"}),
        ("AISI 304", "BAg-1", SOME - {"lead"}),
        ("AISI 1018", "BCu-1", set()),
    ],
)
def test_only_the_hazards_of_the_job(metal: str, filler: str, own: set[str]) -> None:
    assert set(hazards(metal, filler)) & SOME == own


def test_the_general_ones_always_stand_there_in_the_order_of_the_library() -> None:
    found = hazards("AISI 304", "BAg-7")
    assert {"ventilation", "burns and radiant heat", "fluoride flux", "limits of this library"} <= set(found)
    assert found == [c.hazard for c in KNOWN if c.hazard in found]


def test_every_hazard_of_the_library_can_appear() -> None:
    """A caution that no rule knows would be lost without a word."""
    everything = {h for m in ("UNS C36000", "AISI 304") for f in ("BAg-1", "BAg-7") for h in hazards(m, f)}
    assert everything == {c.hazard for c in KNOWN}


def test_text_and_source_are_the_library_s() -> None:
    (lead,) = (
        c
        for c in cautions_for(assembly(plate(metal="UNS C36000"), boss(), joint("boss", "plate")), KNOWN)
        if c.hazard == "lead"
    )
    known = next(c for c in KNOWN if c.hazard == "lead")
    assert (lead.text, lead.source) == (known.text, known.source)
