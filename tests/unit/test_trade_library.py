"""Finding things by name, and the user's own folders."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest

from brazesoak.errors import DataFileError, UnknownNameError
from brazesoak.trade.library import DATA, Library
from brazesoak_solvers.constants import ZERO_CELSIUS


@pytest.fixture
def user_folder(tmp_path: Path) -> Path:
    (tmp_path / "fillers").mkdir()
    return tmp_path


def _user_filler(folder: Path, id_: str, **changes: str) -> Path:
    """A copy of BAg-7 under another id, with texts of the file replaced."""
    text = (DATA / "fillers" / "bag-7.toml").read_text().replace('id = "bag-7"', f'id = "{id_}"')
    for old, new in changes.items():
        text = text.replace(old, new)
    path = folder / "fillers" / f"{id_}.toml"
    path.write_text(text)
    return path


@pytest.mark.parametrize(
    ("name", "id_"),
    [
        ("carbon-steel", "carbon-steel"),
        ("Carbon Steel", "carbon-steel"),
        ("AISI 304", "stainless-304"),
        ("304", "stainless-304"),
        ("1.4301", "stainless-304"),
        ("UNS C36000", "brass-c36000"),
        ("c36000", "brass-c36000"),
        ("Cartridge brass", "brass-c26000"),
        ("S235", "carbon-steel"),
        ("12L14", "free-machining-12l14"),
        ("en-gjl-250", "grey-cast-iron"),
    ],
)
def test_metal_by_any_designation(name: str, id_: str) -> None:
    assert Library().metal(name).id == id_


@pytest.mark.parametrize("name", ["BAg-7", "bag-7", "bag7", "Ag 156", "ag156", "BAG 7"])
def test_filler_by_any_designation(name: str) -> None:
    assert Library().filler(name).id == "bag-7"


def test_filler_without_aws_name_goes_by_iso() -> None:
    filler = Library().filler("Ag 155")
    assert (filler.id, filler.name, filler.aws) == ("ag-155", "Ag 155", "")


@pytest.mark.parametrize("name", ["FB3-C", "fb3c"])
def test_flux_by_class(name: str) -> None:
    assert Library().flux(name).name == "FB3-C"


@pytest.mark.parametrize(
    ("kind", "name", "first"),
    [
        ("metal", "stainles-304", "stainless-304"),
        ("metal", "brass", "brass-c26000"),
        ("metal", "CW614N", "brass-c36000"),
        ("metal", "mild steel", "carbon-steel"),
        ("metal", "304L", "stainless-304"),
        ("filler", "BAg-77", "bag-7"),
        ("flux", "FB3-CC", "fb3-c"),
        ("furnace", "idael", "ideal"),
    ],
)
def test_unknown_name_suggests_the_nearest(kind: str, name: str, first: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        getattr(Library(), kind)(name)
    assert caught.value.suggestions[0] == first
    assert caught.value.name == name
    assert caught.value.kind == kind


def test_a_close_relative_is_never_taken_silently() -> None:
    """CW614N is near C36000 and has a lower solidus: the user must choose."""
    with pytest.raises(UnknownNameError):
        Library().metal("CuZn39Pb3")


@pytest.mark.parametrize("name", ["", "   ", "zzzzzz", "\x00"])
def test_nonsense_has_no_suggestions(name: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        Library().metal(name)
    assert caught.value.suggestions == ()


def test_find_looks_through_all_kinds() -> None:
    library = Library()
    assert [library.find(n).id for n in ("AISI 304", "BAg-7", "FB3-C", "ideal")] == [
        "stainless-304",
        "bag-7",
        "fb3-c",
        "ideal",
    ]
    with pytest.raises(UnknownNameError) as caught:
        library.find("bag-77")
    assert "bag-7" in caught.value.suggestions


def test_lists_are_in_order_of_number() -> None:
    ids = [f.id for f in Library().fillers]
    assert ids.index("bag-2") < ids.index("bag-9") < ids.index("bag-10")


def test_user_folder_adds_and_overrides(user_folder: Path) -> None:
    _user_filler(user_folder, "bag-7", **{"liquidus_C = 652": "liquidus_C = 655"})
    _user_filler(user_folder, "my-wire", **{'aws = "BAg-7"': 'aws = ""', 'iso = "Ag 156"': 'iso = "Ag 999"'})
    library = Library([user_folder])
    assert library.filler("BAg-7").liquidus == pytest.approx(655.0 + ZERO_CELSIUS)
    assert library.filler("ag999").id == "my-wire"
    assert len(library.fillers) == len(Library().fillers) + 1
    assert Library().filler("BAg-7").liquidus == pytest.approx(652.0 + ZERO_CELSIUS)


def test_a_later_folder_wins(user_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    later = tmp_path_factory.mktemp("later")
    (later / "fillers").mkdir()
    _user_filler(user_folder, "bag-7", **{"liquidus_C = 652": "liquidus_C = 655"})
    _user_filler(later, "bag-7", **{"liquidus_C = 652": "liquidus_C = 656"})
    assert Library([user_folder, later]).filler("bag-7").liquidus == pytest.approx(656.0 + ZERO_CELSIUS)


def test_users_designation_wins_over_a_shipped_one(user_folder: Path) -> None:
    _user_filler(user_folder, "my-wire")
    assert Library([user_folder]).filler("Ag 156").id == "my-wire"


def test_hashes_are_of_the_files_used(user_folder: Path) -> None:
    path = _user_filler(user_folder, "my-wire", **{'aws = "BAg-7"': 'aws = "mine"'})
    library = Library([user_folder])
    assert library.hashes == {}
    library.metal("AISI 304")
    library.filler("mine")
    library.cautions()
    shipped = "brazesoak/trade/data/metals/stainless-304.toml"
    assert set(library.hashes) == {shipped, str(path), "brazesoak/trade/data/safety.toml"}
    digest = hashlib.sha256((DATA / "metals" / "stainless-304.toml").read_bytes()).hexdigest()
    assert library.hashes[shipped] == digest


def test_listing_is_not_using() -> None:
    library = Library()
    assert library.metals
    assert library.hashes == {}


@pytest.mark.parametrize("make", [False, True])
def test_a_folder_without_trade_data_is_refused(tmp_path: Path, make: bool) -> None:
    folder = tmp_path / "data"
    if make:
        folder.mkdir()
    with pytest.raises(DataFileError) as caught:
        Library([folder])
    assert caught.value.path == folder


def test_looking_things_up_loads_nothing_heavy() -> None:
    code = (
        "import sys; from brazesoak.trade.library import Library; Library().metal('AISI 304');"
        "import brazesoak.trade.show;"
        "print([m for m in ('numba', 'scipy', 'matplotlib', 'pint', 'pydantic') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"
