"""From the text of a TOML file to the line of every key in it; tomllib tells lines only of broken syntax.

The scanner walks text that tomllib has already accepted, so it need not judge it: it only has to find where
keys and values begin.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from contextlib import suppress

Location = tuple[str | int, ...]
"""Keys and places in lists, counted from 0, from the top of the file to a value."""

_DEEPEST_KEY = 100
"""Parts of a dotted key; the locations of a longer one would fill the memory, and no job has such keys."""
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY_PART = re.compile(r"""[ \t]*(?P<part>"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}\n#]*")


def line_numbers(text: str) -> Mapping[Location, int]:
    """Line, counted from 1, at which each table, key and list entry of TOML `text` begins.

    Of text that it cannot follow (not TOML after all, or nested too deeply) it gives the lines up to there:
    not finding a line must not hide the fault whose place it would have told.
    """
    scanner = _Scanner(text)
    with suppress(ValueError, RecursionError):
        scanner.document()
    return scanner.lines


class _Scanner:
    """A place in the text, the table it belongs to, and what was found so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Location, int] = {}
        self._tables: dict[Location, int] = {}
        self._counted = (0, 1)

    def document(self) -> None:
        table: Location = ()
        self._blank()
        while self.at < len(self.text):
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)
            self._blank()

    def _header(self) -> Location:
        """``[a.b]`` or ``[[a.b]]``: the location of the table that begins here."""
        line = self._line()
        is_entry = self.text.startswith("[[", self.at)
        self.at += 2 if is_entry else 1
        *parents, last = self._key()
        self._skip("]]" if is_entry else "]")
        table: Location = ()
        for part in parents:
            table = self._newest((*table, part))
        table = (*table, last)
        if is_entry:
            self.lines.setdefault(table, line)
            self._tables[table] = self._tables.get(table, 0) + 1
            table = self._newest(table)
        self.lines[table] = line
        return table

    def _newest(self, table: Location) -> Location:
        """The entry that a header means by the name of a list of tables: the last one so far."""
        count = self._tables.get(table)
        return table if count is None else (*table, count - 1)

    def _pair(self, table: Location) -> None:
        line = self._line()
        location = table
        for part in self._key():
            location = (*location, part)
            self.lines.setdefault(location, line)
        self._skip("=")
        self._value(location)

    def _key(self) -> list[str]:
        parts = []
        while True:
            match = _KEY_PART.match(self.text, self.at)
            if match is None:
                raise ValueError("no key here")
            self.at = match.end()
            part = match["part"]
            parts.append(tomllib.loads(f"k = {part}")["k"] if part[0] in "\"'" else part)
            if not self.text.startswith(".", self.at):
                return parts
            if len(parts) == _DEEPEST_KEY:
                raise ValueError("the key here has too many parts")
            self.at += 1

    def _value(self, location: Location) -> None:
        self._blank()
        self.lines.setdefault(location, self._line())
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self._list(location)
        elif opening == "{":
            self._inline_table(location)
        else:
            scalar = (_STRING if opening in "\"'" else _SCALAR).match(self.text, self.at)
            if scalar is None or not opening:
                raise ValueError("no value here")
            self.at = scalar.end()

    def _list(self, location: Location) -> None:
        self.at += 1
        index = 0
        self._blank()
        while not self.text.startswith("]", self.at):
            self._value((*location, index))
            index += 1
            self._separator("]")
        self.at += 1

    def _inline_table(self, location: Location) -> None:
        self.at += 1
        self._blank()
        while not self.text.startswith("}", self.at):
            self._pair(location)
            self._separator("}")
        self.at += 1

    def _separator(self, end: str) -> None:
        self._blank()
        if self.text.startswith(",", self.at):
            self.at += 1
            self._blank()
        elif not self.text.startswith(end, self.at):
            raise ValueError(f'no "{end}" here')

    def _blank(self) -> None:
        match = _BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _skip(self, mark: str) -> None:
        if not self.text.startswith(mark, self.at):
            raise ValueError(f'no "{mark}" here')
        self.at += len(mark)

    def _line(self) -> int:
        # Counting on from the last place asked for keeps the whole scan linear.
        at, line = self._counted
        line += self.text.count("\n", at, self.at)
        self._counted = (self.at, line)
        return line
