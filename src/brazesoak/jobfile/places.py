"""Where a value stands in a job file: its line, and its path of keys as the user would say it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from brazesoak.errors import Fault
from brazesoak.jobfile.lines import Location, line_numbers
from brazesoak.jobfile.units import quoted

KeyPath = str | Sequence[str | int]
"""``'segment "boss".metal'``, ``"segment[2].metal"`` (counted from 1), ``("segment", "boss", "metal")`` or
``("segment", 1, "metal")`` (counted from 0)."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")
_STEP = re.compile(r'\s*\.?(?:(?P<key>[A-Za-z0-9_-]+)|\[(?P<place>[0-9]{1,9})\]|\s*"(?P<name>[^"]*)")')


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault before its line is known."""

    location: Location
    message: str


def shown(location: Location, data: object = None) -> str:
    """A location as a user would say it.

    Entries of a list are counted from 1, ``segment[2].thickness``; those of `data` that have a name of their
    own are called by it, ``segment "boss".thickness``.
    """
    text, value = "", data
    for step in location:
        if isinstance(step, str):
            key = step if _BARE_KEY.fullmatch(step) else quoted(step)
            text += f".{key}" if text else key
        else:
            name = _own_name(value, step)
            text += f"[{step + 1}]" if name is None else f' "{name}"'
        value = _inside(value, step)
    return text


@dataclass(frozen=True, slots=True)
class Places:
    """The tables of a job file and the line of each of their keys."""

    data: Mapping[str, Any]
    lines: Mapping[Location, int]

    @classmethod
    def of(cls, data: Mapping[str, Any], text: str) -> Places:
        """The places of `text`, which tomllib reads as `data`."""
        return cls(data, line_numbers(text))

    def locate(self, key_path: KeyPath) -> Location:
        """Keys and places from 0; an entry of a list that is called by its name is looked up."""
        location: Location = ()
        value: object = self.data
        for step in _steps(key_path) if isinstance(key_path, str) else key_path:
            entry = _place_of_name(value, step) if isinstance(step, str) else step
            location = (*location, entry)
            value = _inside(value, entry)
        return location

    def line(self, location: Location) -> int | None:
        """Line of the value, or of the nearest table around it where it is missing."""
        while location:
            if location in self.lines:
                return self.lines[location]
            location = location[:-1]
        return None

    def fault(self, location: Location, message: str) -> Fault:
        """The fault with its line and key path."""
        return Fault(self.line(location), shown(location, self.data), message)


def _steps(key_path: str) -> list[str | int]:
    found = _STEP.finditer(key_path)
    return [int(m["place"]) - 1 if m["place"] else m["key"] or m["name"] or "" for m in found]


def _inside(value: object, step: str | int) -> object:
    if isinstance(value, dict):
        return value.get(step)
    if isinstance(value, list | tuple) and isinstance(step, int) and 0 <= step < len(value):
        return value[step]
    return None


def _names(value: object) -> list[object]:
    entries = value if isinstance(value, list | tuple) else ()
    return [entry.get("name") if isinstance(entry, dict) else None for entry in entries]


def _own_name(value: object, place: int) -> str | None:
    names = _names(value)
    name = names[place] if 0 <= place < len(names) else None
    is_clear = isinstance(name, str) and name.strip() and name.isprintable() and names.count(name) == 1
    return str(name) if is_clear else None


def _place_of_name(value: object, step: str) -> str | int:
    names = _names(value)
    return names.index(step) if step in names else step
