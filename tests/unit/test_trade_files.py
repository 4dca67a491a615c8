"""What a data file may get wrong: one error, every fault named with file, key and what to do."""

from pathlib import Path

import pytest

from brazesoak.analysis.furnaces import compare_furnaces
from brazesoak.errors import DataFileError
from brazesoak.trade.library import DATA, Library


def _copy(tmp_path: Path, kind: str, id_: str, *changes: tuple[str, str]) -> Library:
    """A library whose user folder holds a shipped file with texts replaced."""
    text = (DATA / kind / f"{id_}.toml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    (tmp_path / kind).mkdir(exist_ok=True)
    (tmp_path / kind / f"{id_}.toml").write_text(text)
    return Library([tmp_path])


def _faults(tmp_path: Path, kind: str, id_: str, *changes: tuple[str, str]) -> list[str]:
    library = _copy(tmp_path, kind, id_, *changes)
    with pytest.raises(DataFileError) as caught:
        library.find(id_)
    path = tmp_path / kind / f"{id_}.toml"
    assert caught.value.path == path
    lines = str(caught.value).splitlines()
    assert all(line.startswith(f"{path}: ") for line in lines)
    return [line.removeprefix(f"{path}: ") for line in lines]


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('name = "Austenitic', '# name = "Austenitic', "name"),
        ("value = 7900", 'value = "7900"', "density.value"),
        ("value = 7900", "value = -1", "density.value"),
        ("value = 7900", "value = nan", "density.value"),
        ("value = 7900", "value = true", "density.value"),
        ("value = 7900", "value = 7900\nlow = 8000", "density.low"),
        ('unit = "kg/m3"', 'unit = "g/cm3"', "density.unit"),
        ('confidence = "published"', 'confidence = "sure"', "density.confidence"),
        ("[density]", "[densty]", "density"),
        ("127, 327, 527", "127, 527, 327", "specific_heat.temperature_C"),
        ("[477, ", "[", "specific_heat.value"),
        ("[477, ", "[-477, ", "specific_heat.value"),
        ("[477, ", '["477", ', "specific_heat.value[0]"),
        ("value = 1400", "value = 1500", "solidus"),
        ("value = 1400", "value = -300", "solidus.value"),
        ("use = 0.25", "use = 0.95", "emissivity.bright.use"),
        ("high = 0.35", "high = 1.35", "emissivity.bright.high"),
        ("[emissivity.bright]", "[emissivity.shiny]", "emissivity.bright"),
        ('family = "austenitic stainless"', 'family = "stainless"', "family"),
        ("hardenable = false", "hardenable = 0", "hardenable"),
        ('formula = "EN 1993-1-2:2005 C.3.3"', 'formula = "T + 1"', "thermal_conductivity.formula"),
        (
            'formula = "EN 1993-1-2:2005 C.3.3"',
            'formula = "EN 1993-1-2:2005 3.4.1.3"',
            "thermal_conductivity.value",
        ),
        ('id = "stainless-304"', 'id = "304"', "id"),
        ("cautions = [", "cautions = [ 3,", "cautions"),
    ],
)
def test_a_fault_in_a_metal_file_is_named_by_key(tmp_path: Path, old: str, new: str, key: str) -> None:
    faults = _faults(tmp_path, "metals", "stainless-304", (old, new))
    assert any(fault.startswith(f"{key} ") for fault in faults)


def test_all_faults_of_a_file_come_at_once(tmp_path: Path) -> None:
    faults = _faults(
        tmp_path,
        "fillers",
        "bag-7",
        ("solidus_C = 618", "solidus_C = 700"),
        ("cadmium = false", 'cadmium = "no"'),
        ('confidence = "published"', ""),
        ("braze_low_C", "braze_lo_C"),
    )
    keys = [fault.split(" ")[0] for fault in faults]
    assert {"solidus_C", "cadmium", "confidence", "braze_low_C", "braze_lo_C"} == set(keys)


def test_a_misspelt_key_gets_the_right_one(tmp_path: Path) -> None:
    faults = _faults(tmp_path, "fluxes", "fb3-c", ("residue", "residu"))
    assert faults == ['residu is not known; did you mean "residue"?']


def test_a_range_upside_down_is_told_with_its_numbers(tmp_path: Path) -> None:
    (said,) = _faults(tmp_path, "metals", "stainless-304", ("high = 0.35", "high = 0.15"))
    assert "emissivity.bright.use is 0.25, not between low (" in said
    assert "high (0.15); give low <= use <= high" in said


def test_a_lining_too_thick_for_its_shape_factors_is_refused(tmp_path: Path) -> None:
    """65 mm of brick and 25 mm of blanket about a chamber 40 mm wide."""
    (said,) = _faults(tmp_path, "furnaces", "bench-kiln-10l", ("value = 215.4", "value = 40"))
    assert said.startswith("interior.inside is less than half of the lining's thickness")


def test_a_material_that_is_not_known_is_told_with_the_nearest(tmp_path: Path) -> None:
    change = ('material = "insulating firebrick group 23"', 'material = "insulating firebrick group 24"')
    (said,) = _faults(tmp_path, "furnaces", "kiln-60l", change)
    assert said.startswith(
        'lining[0].material is "insulating firebrick group 24", which is no refractory of the library'
    )
    assert '"insulating-firebrick-group-23"' in said


def test_a_furnace_of_ones_own_is_written_in_materials_of_the_library(tmp_path: Path) -> None:
    """Brick, then blanket, then board of vermiculite, and a shelf of silicon carbide in place of cordierite."""
    board = '[[lining]]\nmaterial = "vermiculite board"\nthickness = { value = 30, unit = "mm" }\n'
    library = _copy(
        tmp_path, "furnaces", "bench-kiln-10l",
        ("[derivation]", f'{board}source = "measured"\nconfidence = "practice"\n\n[derivation]'),
        ('material = "cordierite shelf"', 'material = "silicon carbide shelf, 90 % SiC"'),
    )  # fmt: skip
    interior = library.furnace("bench-kiln-10l").interior
    assert interior is not None
    assert interior.shelf is not None
    assert [x.name for x in interior.layers] == [
        "insulating firebrick group 26", "ceramic fibre blanket 128 kg/m3", "vermiculite board"
    ]  # fmt: skip
    assert interior.layers[2].density == 400.0
    assert interior.layers[2].conductivity.at(773.15) == 0.16
    # At 600 degC: 17.55 W/(m K), 1058 J/(kg K), VDI Heat Atlas, 2nd ed., as carried by an open property library (read).
    assert (interior.shelf.conductivity, interior.shelf.specific_heat) == pytest.approx((17.55, 1058.0))
    assert "brazesoak/trade/data/refractories/vermiculite-board.toml" in library.hashes
    (shipped,) = compare_furnaces([Library().furnace("bench-kiln-10l")])
    (own,) = compare_furnaces([library.furnace("bench-kiln-10l")])
    assert own.holding < 0.95 * shipped.holding  # a layer more loses less


def test_a_message_says_what_was_expected(tmp_path: Path) -> None:
    (fault,) = _faults(tmp_path, "metals", "stainless-304", ("value = 7900", 'value = "7.9 g/cm3"'))
    assert fault == ("density.value is '7.9 g/cm3'; it must be a number (kg/m3): write for example value = 1.0")


@pytest.mark.parametrize(
    ("kind", "id_", "old", "new", "key"),
    [
        ("fluxes", "fb3-c", "active_low_C = 565", "active_low_C = 965", "active_low_C"),
        ("fluxes", "fb3-c", '"carbon steel",', '"steel",', "suited_families"),
        ("fluxes", "fb3-c", "warn_after_min = 30", "warn_after_min = -1", "clock.warn_after_min"),
        ("furnaces", "kiln-60l", "value = 7000", "value = 0", "chamber.power.value"),
        ("furnaces", "kiln-60l", "[chamber]", "[chambre]", "chamber"),
        ("furnaces", "kiln-60l", "[[lining]]", "[linings]", "linings"),
        ("furnaces", "kiln-60l", "thickness = { value = 115", "thickness = { value = 0", "lining[0].thickness.value"),
        ("furnaces", "kiln-60l", 'material = "insulating', 'material = "insulated', "lining[0].material"),
        ("furnaces", "kiln-60l", 'material = "cordierite', 'material = "cordial', "shelf.material"),
        ("furnaces", "kiln-60l", 'material = "insulating', 'name = "insulating', "lining[0].density"),
        ("refractories", "vermiculite-board", "value = [0.16]", "value = [0.16, 0.2]", "conductivity.value"),
        ("refractories", "vermiculite-board", 'use = "lining"', 'use = "wall"', "use"),
        ("furnaces", "kiln-60l", "[elements]", "[element]", "elements"),
        ("furnaces", "kiln-60l", "[[lining]]", "[[linen]]", "linen"),
        ("furnaces", "kiln-60l", "low = -28", "low = 38", "uniformity.use"),
        ("furnaces", "ideal", 'kind = "ideal"', 'kind = "real"', "kind"),
    ],
)
def test_a_fault_in_other_files_is_named_by_key(
    tmp_path: Path, kind: str, id_: str, old: str, new: str, key: str
) -> None:
    assert any(f.startswith(f"{key} ") for f in _faults(tmp_path, kind, id_, (old, new)))


@pytest.mark.parametrize("content", [b"id = ", b"\xff\xfe", b"", b"a = " + b"[" * 9999, b"x = 1" + b"0" * 400])
def test_what_is_not_a_data_file_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "metals").mkdir()
    path = tmp_path / "metals" / "odd.toml"
    path.write_bytes(content)
    with pytest.raises(DataFileError) as caught:
        Library([tmp_path]).metal("odd")
    assert caught.value.path == path
    assert str(path) in str(caught.value)


def test_a_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "metals" / "odd.toml"
    path.mkdir(parents=True)
    with pytest.raises(DataFileError) as caught:
        Library([tmp_path]).metal("odd")
    assert "cannot be read" in str(caught.value)


def test_default_ramp_may_be_left_out(tmp_path: Path) -> None:
    """A furnace that is run at full power has none."""
    line = 'default_ramp = { value = 8, unit = "K/min" }'
    library = _copy(tmp_path, "furnaces", "kiln-60l", (line, ""))
    assert library.furnace("kiln-60l").default_ramp is None
