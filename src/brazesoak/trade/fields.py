"""Checked access to the entries of a data file: collects every fault instead of stopping at the first.

A getter that finds a fault notes it and returns a stand-in, so that reading can go on; nobody sees a record
made of stand-ins, because `raise_faults` comes before the record is handed out.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from brazesoak.errors import DataFileError

T = TypeVar("T")
_LARGEST = 1e30
"""No quantity of the trade comes near; larger numbers overflow further on."""


class Fields:
    """One table of a data file, with the faults of the whole file.

    Parameters
    ----------
    table : dict        as TOML gives it
    where : str         key path of the table, empty for the file itself
    faults : list       shared by all tables of the file
    """

    def __init__(self, table: Mapping[str, Any], where: str = "", faults: list[str] | None = None) -> None:
        self.faults: list[str] = [] if faults is None else faults
        self._table = table
        self._where = where
        self._known: set[str] = set()

    def place(self, key: str) -> str:
        """Key path of an entry."""
        return f"{self._where}.{key}" if self._where else key

    def fault(self, key: str, problem: str, expected: str) -> None:
        """Note that the entry `key` has a problem; `expected` says what it should be or what to do."""
        self.faults.append(f"{self.place(key)} {problem}; {expected}")

    def has(self, key: str) -> bool:
        """Whether the entry is there."""
        return key in self._table

    def names(self) -> tuple[str, ...]:
        """Names of the entries."""
        return tuple(self._table)

    def raw(self, key: str) -> Any:
        """The entry as it is, None where it is missing; for free-form tables."""
        self._known.add(key)
        return self._table.get(key)

    def text(self, key: str, default: str | None = None, choices: Sequence[str] = ()) -> str:
        """A text, one of `choices` if there are any; without `default` it must be there and not be empty."""
        expected = f"write one of {_listed(choices)}" if choices else f'write for example {key} = "..."'
        value = self._get(key, (str,), "a text", default, expected)
        if value is None:
            return ""
        if not value.strip() and default is None:
            self.fault(key, "is empty", expected)
        elif choices and value not in choices:
            self.fault(key, f'is "{value}"', expected)
        return str(value)

    def texts(self, key: str, default: Sequence[str] | None = None, choices: Sequence[str] = ()) -> tuple[str, ...]:
        """A list of texts."""
        expected = f'write for example {key} = ["..."]'
        value = self._get(key, (list,), "a list of texts", default, expected)
        if value is None:
            return ()
        for item in value:
            if not isinstance(item, str) or (choices and item not in choices):
                self.fault(key, f"holds {item!r}", f"each must be {_listed(choices) if choices else 'a text'}")
        return tuple(str(v) for v in value)

    def boolean(self, key: str) -> bool:
        """True or false."""
        return bool(self._get(key, (bool,), "true or false", None, f"write {key} = true or {key} = false"))

    def number(self, key: str, unit: str, least: float = -math.inf, default: float | None = None) -> float:
        """A finite number, at least `least`; `unit` is only for the message."""
        value = self._get(key, (int, float), f"a number ({unit})", default, f"write for example {key} = 1.0")
        return self._checked(key, value, unit, least)

    def optional_number(self, key: str, unit: str, least: float = -math.inf) -> float | None:
        """A finite number, or None where it is missing."""
        return self.number(key, unit, least) if self.has(key) else None

    def numbers(self, key: str, unit: str) -> list[float]:
        """A list of finite numbers, not empty."""
        expected = f"write for example {key} = [20, 400, 800]"
        value = self._get(key, (list,), f"a list of numbers ({unit})", None, expected)
        if value is not None and not value:
            self.fault(key, "is empty", expected)
        return [self._checked(f"{key}[{i}]", v, unit, -math.inf) for i, v in enumerate(value or [])]

    def section(self, key: str) -> Fields:
        """A table inside this one."""
        value = self._get(key, (dict,), "a table", None, f"begin it with [{self.place(key)}]")
        return Fields(value or {}, self.place(key), self.faults if value is not None else [])

    def sections(self, key: str) -> list[Fields]:
        """Tables of the same name, in order."""
        value = self._get(key, (list,), "a list of tables", [], f"begin each with [[{self.place(key)}]]")
        found = []
        for i, table in enumerate(value or []):
            if isinstance(table, dict):
                found.append(Fields(table, f"{self.place(key)}[{i}]", self.faults))
            else:
                self.fault(f"{key}[{i}]", f"is {table!r}", f"begin each table with [[{self.place(key)}]]")
        return found

    def close(self) -> None:
        """Note every entry nobody asked for: it is misspelt or does not belong here."""
        for key in self._table:
            if key not in self._known:
                near = difflib.get_close_matches(key, self._known, 1)
                hint = f'did you mean "{near[0]}"?' if near else f"known here: {', '.join(sorted(self._known))}"
                self.fault(key, "is not known", hint)

    def raise_faults(self, path: Path) -> None:
        """Raise DataFileError with all faults of the file, if there are any."""
        if self.faults:
            raise DataFileError("\n".join(f"{path}: {fault}" for fault in self.faults), path=path)

    def _get(self, key: str, kinds: tuple[type, ...], noun: str, default: T | None, expected: str) -> Any:
        self._known.add(key)
        if key not in self._table:
            if default is None:
                self.fault(key, "is missing", f"it must be {noun}: {expected}")
            return default
        value = self._table[key]
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            self.fault(key, f"is {value!r}", f"it must be {noun}: {expected}")
            return default
        return value

    def _checked(self, key: str, value: Any, unit: str, least: float) -> float:
        if value is None:
            return 1.0
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or not -_LARGEST < value < _LARGEST:
            self.fault(key, f"is {value!r:.40}", f"it must be a finite number ({unit})")
            return 1.0
        if value < least:
            self.fault(key, f"is {value:g}", f"it must be at least {least:g} ({unit})")
        return float(value)


def _listed(choices: Sequence[str]) -> str:
    return ", ".join(f'"{c}"' for c in choices)
