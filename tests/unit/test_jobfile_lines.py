"""Key path to line, on everything TOML allows in a job file and some that it only allows elsewhere."""

import tomllib

import pytest

from brazesoak.jobfile.lines import Location, line_numbers
from brazesoak.jobfile.places import Places, shown

TEXT = '''# a comment with [brackets] and key = "value"
title = "a # in a text"   # [not.a.table]
"quoted key" = 1
'literal' = 2
dotted.one = 3
dotted."t w o" = 4

[furnace] # comment
name = """
three
lines = "3""""
film = \'\'\'x
[y]\'\'\'

[program]
steps = [ # a comment ] in a list
    { to = "520 degC", hold = "1 min" }, # }
    # nothing here

    { to = "600 degC", "ho\\u006cd" = [ "2 min",
      "3 min" ] },
    [ "nested", [ 1, 2 ] ],
]
when = 2026-11-25 10:00:00Z

[[segment]]
name = "a"
[segment.inner]
deep = 1
[[segment.list]]
x = 1
[[segment.list]]
x = 2

[[segment]]
name = "b"
  [segment.inner]
  deep = { er = { est = [1,
    2] } }
[a.b.c]
d = "\\"]"
'''

EXPECTED: list[tuple[Location, int]] = [
    (("title",), 2),
    (("quoted key",), 3),
    (("literal",), 4),
    (("dotted",), 5),
    (("dotted", "one"), 5),
    (("dotted", "t w o"), 6),
    (("furnace",), 8),
    (("furnace", "name"), 9),
    (("furnace", "film"), 12),
    (("program",), 15),
    (("program", "steps"), 16),
    (("program", "steps", 0), 17),
    (("program", "steps", 0, "hold"), 17),
    (("program", "steps", 1), 20),
    (("program", "steps", 1, "to"), 20),
    (("program", "steps", 1, "hold"), 20),
    (("program", "steps", 1, "hold", 1), 21),
    (("program", "steps", 2), 22),
    (("program", "steps", 2, 1, 1), 22),
    (("program", "when"), 24),
    (("segment",), 26),
    (("segment", 0), 26),
    (("segment", 0, "name"), 27),
    (("segment", 0, "inner"), 28),
    (("segment", 0, "inner", "deep"), 29),
    (("segment", 0, "list", 0, "x"), 31),
    (("segment", 0, "list", 1), 32),
    (("segment", 0, "list", 1, "x"), 33),
    (("segment", 1), 35),
    (("segment", 1, "name"), 36),
    (("segment", 1, "inner", "deep", "er", "est", 1), 39),
    (("a", "b", "c", "d"), 41),
]


@pytest.mark.parametrize(("location", "line"), EXPECTED)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_line_of_every_kind_of_key(location: Location, line: int, newline: str) -> None:
    text = TEXT.replace("\n", newline)
    assert tomllib.loads(text)
    assert line_numbers(text)[location] == line


@pytest.fixture
def places() -> Places:
    return Places.of(tomllib.loads(TEXT), TEXT)


@pytest.mark.parametrize(
    ("key_path", "line"),
    [
        ("segment[2].name", 36),
        ('segment "b".name', 36),
        ("segment.b.name", 36),
        (("segment", "b", "name"), 36),
        (("segment", 1, "name"), 36),
        ("program.steps[2].to", 20),
        ("title", 2),
        # not written: the table around it
        ("segment[2].metal", 35),
        ('segment "a".metal', 26),
        ("furnace.power", 8),
        # no such table, no such place
        ("brazing.filler", None),
        ("segment[9].name", 26),
        ("", None),
        ("]][[", None),
    ],
)
def test_key_paths_as_users_and_later_stages_write_them(
    places: Places, key_path: str | tuple[str | int, ...], line: int | None
) -> None:
    assert places.line(places.locate(key_path)) == line


def test_entries_are_shown_by_name_only_where_the_name_is_clear() -> None:
    data = {"segment": [{"name": "boss"}, {"name": "twin"}, {"name": "twin"}, {}, 3, {"name": "a\nb"}]}
    named = [shown(("segment", n, "metal"), data) for n in range(7)]
    assert named[0] == 'segment "boss".metal'
    assert named[1:] == [f"segment[{n}].metal" for n in range(2, 8)]
    assert shown(("program", "steps", 0)) == "program.steps[1]"


@pytest.mark.parametrize("text", ["= 1", "[", "a", "a = ", "a = [1", "a = {b = 1", "[a", '"a', "a = '"])
def test_broken_text_ends_the_scan_and_keeps_what_was_found(text: str) -> None:
    assert line_numbers(f"first = 1\n{text}")[("first",)] == 1
    assert Places.of({}, text).line(("first",)) is None
