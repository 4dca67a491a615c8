"""Fillers and fluxes for metals whose answer a handbook gives; each check names it. "Recalled": from memory."""

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from brazesoak.analysis.choice import choose
from brazesoak.choices import Choice, Choices, FillerChoice
from brazesoak.errors import JobFileError
from brazesoak.report.choice_json import choice_json_text
from brazesoak.report.choice_text import choice_text

from .jobs import LIBRARY, bar, boss, joint, kelvin, plate, read

CADMIUM = {"BAg-1", "BAg-1a", "BAg-2", "BAg-2a", "BAg-3"}
PHOSPHORUS = {"BCuP-2", "BCuP-3", "BCuP-4", "BCuP-5", "BCuP-6", "BCuP-7"}


def answer(one: str, other: str, **options: bool) -> Choices:
    parts = (plate(metal=one), boss(metal=other), joint("boss", "plate"))
    return choose(read(*parts), LIBRARY, **options)


def chosen(one: str, other: str | None = None, **options: bool) -> Choice:
    return answer(one, other or one, **options).together


def names(choice: Choice) -> list[str]:
    return [f.name for f in choice.fillers]


def why_not(choice: Choice, name: str) -> set[str]:
    return {r.code for e in choice.excluded if e.name == name for r in e.reasons}


def filler(choice: Choice, name: str) -> FillerChoice:
    return next(f for f in choice.fillers if f.name == name)


@pytest.mark.parametrize("metal", ["AISI 1018", "AISI 4140", "AISI 304", "AISI 430", "grey-cast-iron", "UNS N02200"])
def test_phosphorus_is_never_for_iron_or_nickel(metal: str) -> None:
    """AWS A5.8, annex on BCuP: not for ferrous or nickel-base alloys (recalled)."""
    for other in (metal, "UNS C11000"):
        found = chosen(metal, other)
        assert PHOSPHORUS & set(names(found)) == set()
        assert all("phosphorus" in why_not(found, name) for name in PHOSPHORUS)


def test_phosphorus_is_for_copper() -> None:
    """AWS A5.8, annex on BCuP: for copper, self-fluxing there (recalled)."""
    found = chosen("UNS C11000")
    assert {"BCuP-2", "BCuP-5"} <= set(names(found))
    assert "self-fluxing" in {r.code for r in filler(found, "BCuP-5").reasons}


def test_dry_stainless_steel_takes_the_narrow_grade() -> None:
    """AWS A5.8, annex: BAg-7 narrow and cadmium-free, BAg-24 for 300-series stainless (recalled)."""
    found = chosen("AISI 304")
    assert names(found)[0] == "BAg-7"
    assert "BAg-24" in names(found)


def test_stainless_steel_in_water_takes_nickel() -> None:
    """AWS A5.8, annex: BAg-21, BAg-22 and BAg-24 hold nickel against interface corrosion (recalled)."""
    found = names(chosen("AISI 304", wet=True))
    assert "BAg-24" in found[:3]
    assert max(found.index(name) for name in ("BAg-21", "BAg-22", "BAg-24")) < found.index("BAg-7")


def test_carbide_takes_nickel_and_manganese() -> None:
    """AWS A5.8, annex: BAg-22 for tungsten carbide, BAg-24 for small carbide inserts (recalled); the phosphorus of
    BCuP embrittles the cobalt: common practice, no source."""
    found = chosen("wc-co", "AISI 1018")
    assert names(found)[0] == "BAg-22"
    assert names(found).index("BAg-24") < names(found).index("BAg-7")
    assert "phosphorus" in why_not(chosen("wc-co"), "BCuP-5")


def test_cadmium_only_when_allowed_and_never_first() -> None:
    """29 CFR 1910.1027 (recalled). Allowed: BAg-1 melts lowest and narrowest, and is still not the first."""
    assert CADMIUM & set(names(chosen("AISI 1018"))) == set()
    assert all("cadmium" in why_not(chosen("AISI 1018"), name) for name in CADMIUM)
    allowed = names(chosen("AISI 1018", allow_cadmium=True))
    assert set(allowed) >= CADMIUM
    assert min(map(allowed.index, CADMIUM)) > allowed.index("BAg-7")


def test_the_caution_on_cadmium_comes_with_the_permission() -> None:
    assert "cadmium" not in {c.hazard for c in answer("AISI 1018", "AISI 1018").cautions}
    allowed = answer("AISI 1018", "AISI 1018", allow_cadmium=True)
    assert {"cadmium", "zinc fume", "fluoride flux"} <= {c.hazard for c in allowed.cautions}


def test_a_set_point_stays_below_the_solidus_of_brass() -> None:
    """C36000: solidus 888 degC (Copper Development Association); less 50 K and 75 K, liquidus up to 763 degC.
    Machinery's Handbook, Table 1a: liquidus of BAg-5 743 degC, of BAg-20 766 degC."""
    found = chosen("UNS C36000")
    assert "BAg-5" in names(found)
    assert why_not(found, "BAg-20") == {"too-hot"}
    assert {"brass-on-brass", "too-hot"} <= why_not(found, "RBCuZn-C")
    assert all(f.set_point <= kelvin(888.0 - 50.0) + 1e-6 for f in found.fillers)


def test_the_brass_of_another_joint_counts_too() -> None:
    """All parts go into one furnace: BAg-20 suits steel on steel, but not with a brass part in the load."""
    steel = (plate(), boss(), joint("boss", "plate"))
    assert "BAg-20" in names(choose(read(*steel), LIBRARY).together)
    brass = (bar("strip", metal="UNS C36000"), joint("strip", "plate", name="strip on plate"))
    found = choose(read(*steel, *brass), LIBRARY)
    assert [c.joints for c in found.apart] == [("joint",), ("strip on plate",)]
    assert why_not(found.apart[0], "BAg-20") == {"too-hot"}


def test_only_fluxes_with_boron_for_stainless_steel() -> None:
    """AWS A5.31, Table 1: FB3-A 565 to 870 degC, FB3-C 565 to 925 degC, the latter with boron for stainless; EN 1045:
    FH12 (all recalled)."""
    best = chosen("AISI 304").fillers[0]
    assert {f.name for f in best.fluxes} == {"FB3-C", "FB3-H", "FH12"}
    (fb3_c,) = (f for f in best.fluxes if f.name == "FB3-C")
    assert (fb3_c.active_low, fb3_c.active_high) == pytest.approx((kelvin(565.0), kelvin(925.0)))
    assert {r.code for e in best.excluded_fluxes if e.name == "FB3-A" for r in e.reasons} == {"needs-boron"}


def test_long_life_comes_first_on_plain_steel_and_the_short_one_suits_as_well() -> None:
    """ "Heavy sections, long heats": FB3-C. AWS A5.31, Table 1 (recalled)."""
    fluxes = [f.name for f in chosen("AISI 1018").fillers[0].fluxes]
    assert fluxes[0] == "FB3-C"
    assert "FB3-A" in fluxes[1:]


def test_a_flux_spans_solidus_to_set_point() -> None:
    """FB3-D works from 760 degC, FB3-A up to 870 degC (AWS A5.31, Table 1, recalled). BAg-7 melts from 618 degC;
    RBCuZn-A is liquid at 899 degC (Machinery's Handbook, Table 1a)."""
    found = chosen("AISI 1018")
    assert "too-late" in {r.code for e in found.fillers[0].excluded_fluxes if e.name == "FB3-D" for r in e.reasons}
    hot = filler(found, "RBCuZn-A")
    assert "FB3-D" in {f.name for f in hot.fluxes}
    assert {r.code for e in hot.excluded_fluxes if e.name == "FB3-A" for r in e.reasons} == {"spent"}
    for f in found.fillers:
        assert all(x.active_low < f.solidus and x.active_high >= f.set_point for x in f.fluxes)


def test_aluminium_bronze_takes_its_own_flux_on_steel_too() -> None:
    """AWS A5.31, Table 1: FB4-A for aluminium bronze (recalled); on the steel of the joint: common practice."""
    assert {f.name for f in filler(chosen("UNS C95400", "AISI 1018"), "BAg-24").fluxes} == {"FB4-A", "FH11"}


def test_a_wide_melting_range_ranks_below_its_like() -> None:
    """BAg-18 melts from 602 to 718 degC: liquation in slow heats. Its set-point is lower than that of BAg-5's 743."""
    found = chosen("AISI 1018")
    codes = {r.code: r.points for r in filler(found, "BAg-18").reasons}
    assert codes["liquation"] < 0.0
    assert names(found).index("BAg-7") < names(found).index("BAg-18")


def test_titanium_gets_one_clear_message() -> None:
    with pytest.raises(JobFileError, match=r"titanium.* must not be brazed in air .* vacuum or argon") as error:
        answer("titanium", "AISI 1018")
    assert len(error.value.faults) == 1


def test_metals_without_a_common_flux_get_one_clear_message() -> None:
    """Aluminium bronze wants FB4-A, stainless steel wants boron: no flux of the library does both."""
    with pytest.raises(JobFileError, match=r"no filler of the library suits .*no flux of the library") as error:
        answer("UNS C95400", "AISI 304")
    assert len(error.value.faults) == 1
    assert error.value.faults[0].line is not None


def test_each_joint_has_its_own_answer_where_none_suits_all() -> None:
    parts = (
        plate(), boss(metal="AISI 304"), bar("strip", metal="UNS C95400"),
        joint("boss", "plate"), joint("strip", "plate", name="strip on plate"),
    )  # fmt: skip
    found = choose(read(*parts), LIBRARY)
    assert found.together.fillers == ()
    assert all(c.fillers for c in found.apart)
    assert "No one filler suits all joints" in choice_text(found)


def test_what_the_data_say_of_each_metal_is_told_once() -> None:
    found = answer("AISI 304", "AISI 304")
    metal = LIBRARY.metal("AISI 304")
    assert found.metal_notes == ((metal.name, metal.cautions),)
    assert "OF THE METALS" in choice_text(found)


def test_every_reason_has_a_source() -> None:
    found = chosen("AISI 304", "UNS C36000")
    reasons = [r for f in found.fillers for r in f.reasons] + [r for e in found.excluded for r in e.reasons]
    reasons += [r for f in found.fillers for x in f.fluxes for r in x.reasons]
    assert len(reasons) > 100
    assert all(r.source.strip() and r.text.strip() for r in reasons)


def test_the_text_says_all_and_keeps_within_its_width() -> None:
    text = choice_text(answer("AISI 304", "UNS C36000"), 100)
    for told in ("ALL JOINTS", "Fillers excluded", "Fluxes for BAg-7", "SOURCES", "CAUTIONS", "BAg-7 ranks 1"):
        assert told in text
    assert "degC" not in text
    assert max(map(len, text.splitlines())) <= 100


def test_machines_get_the_same_in_celsius() -> None:
    found = answer("AISI 304", "UNS C36000")
    read_back: dict[str, Any] = json.loads(choice_json_text(found))
    schema = json.loads(files("brazesoak.report").joinpath("choice.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(read_back, schema)
    first = read_back["together"]["fillers"][0]
    assert (first["name"], first["liquidus_C"], first["set_point_C"]) == ("BAg-7", 652.0, 727.0)
    assert read_back["ceiling_C"] == 838.0
    assert first["points"] == pytest.approx(sum(r["points"] for r in first["reasons"]))
