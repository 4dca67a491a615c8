"""The printed trade data: complete, aligned, narrow."""

import pytest

from brazesoak.errors import UnknownNameError
from brazesoak.trade.library import Library
from brazesoak.trade.lines import WIDTH
from brazesoak.trade.show import KINDS, item_text, list_text

LIBRARY = Library()
NAMES = [item.id for kind in KINDS for item in getattr(LIBRARY, kind)]


@pytest.mark.parametrize("kind", KINDS)
def test_a_list_has_every_item_and_fits(kind: str) -> None:
    text = list_text(LIBRARY, kind)
    starts = [line.split("  ")[0] for line in text.splitlines()]
    for item in getattr(LIBRARY, kind):
        assert item.id in starts or item.name in starts
    assert max(map(len, text.splitlines())) <= WIDTH


def test_columns_of_a_list_line_up() -> None:
    lines = list_text(LIBRARY, "fillers").splitlines()
    column = lines[0].index("liquidus")
    assert all(line[column - 1] == " " and line[column] != " " for line in lines)


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(UnknownNameError) as caught:
        list_text(LIBRARY, "metal")
    assert caught.value.suggestions == KINDS


@pytest.mark.parametrize("name", NAMES)
def test_an_item_fits_and_tells_its_source(name: str) -> None:
    text = item_text(LIBRARY, name)
    lines = text.splitlines()
    # A path has no place to break, whatever its length.
    assert max(len(line) for line in lines if "/" not in line) <= WIDTH
    assert any(word in text for word in ("published", "memory", "practice", "derived"))
    assert lines[0].endswith(f"[{LIBRARY.find(name).id}]")


def test_a_metal_shows_properties_against_temperature() -> None:
    lines = item_text(LIBRARY, "UNS C36000").splitlines()
    row = next(line.split() for line in lines if line.startswith("    700 "))
    assert row == ["700", "455", "145.0", "22.0"]
    # The table of expansion begins at 300 degC: nothing is shown outside.
    row = next(line.split() for line in lines if line.startswith("    100 "))
    assert row[-1] == "-"


def test_carbon_steel_shows_its_peak_and_brass_has_none() -> None:
    assert any(line.split()[:2] == ["735", "5000"] for line in item_text(LIBRARY, "carbon-steel").splitlines())
    assert not any(line.startswith("    735 ") for line in item_text(LIBRARY, "brass-c36000").splitlines())


def test_a_cadmium_filler_cries_out() -> None:
    assert "CADMIUM" in item_text(LIBRARY, "BAg-1")
    assert "CADMIUM" not in item_text(LIBRARY, "BAg-7")


def test_an_unknown_item_suggests_of_every_kind() -> None:
    with pytest.raises(UnknownNameError) as caught:
        item_text(LIBRARY, "bag-77")
    assert "bag-7" in caught.value.suggestions
