"""A data file may hold anything: reading it gives a record or a DataFileError, nothing else."""

import tomllib
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brazesoak.errors import DataFileError
from brazesoak.trade import files, furnace_files
from brazesoak.trade.fields import Fields
from brazesoak.trade.library import DATA, Library

READERS = {
    "metals": files.metal,
    "fillers": files.filler,
    "fluxes": files.flux,
    "furnaces": partial(furnace_files.furnace, find=Library().refractory),
    "refractories": furnace_files.refractory,
}
SHIPPED = [
    ("metals", "carbon-steel"),
    ("fillers", "bag-7"),
    ("fluxes", "fb3-c"),
    ("furnaces", "kiln-60l"),
    ("refractories", "vermiculite-board"),
]
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=4,
)


def _places(table: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    for key, value in table.items():
        yield table, key
        if isinstance(value, dict):
            yield from _places(value)


@given(content=st.binary(max_size=200))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_bytes(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    with pytest.raises(DataFileError) as caught:
        files.read_file(path, files.metal)
    assert str(path) in str(caught.value)


@given(which=st.sampled_from(SHIPPED), data=st.data())
@settings(max_examples=200, deadline=None)
def test_a_shipped_file_with_one_entry_replaced(which: tuple[str, str], data: st.DataObject) -> None:
    kind, id_ = which
    path = DATA / kind / f"{id_}.toml"
    table = tomllib.loads(path.read_text())
    places = list(_places(table))
    parent, key = places[data.draw(st.integers(0, len(places) - 1))]
    parent[key] = data.draw(ANYTHING)
    fields = Fields(table)
    record = READERS[kind](fields, path)
    fields.close()
    try:
        fields.raise_faults(path)
    except DataFileError as error:
        assert str(error).startswith(f"{path}: ")  # noqa: PT017 either outcome is right
    else:
        assert record.id == id_
