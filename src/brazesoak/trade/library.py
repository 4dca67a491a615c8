"""Find metals, fillers, fluxes, furnaces and refractories by name, in the shipped data and in the user's own folders.

A file is opened when it is first needed. A name is an id or any designation of a record, in any case, with or
without spaces and hyphens, and without the system in front where that leaves no doubt ("304" for "AISI 304").
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Generic, Protocol, TypeVar

from brazesoak.errors import DataFileError, UnknownNameError

from . import files, furnace_files, reference
from .fields import Fields
from .furnace_records import Furnace, Refractory
from .records import Caution, Filler, Flux, Metal
from .reference import Practice

DATA = Path(__file__).parent / "data"
"""Folder of the shipped data."""
FOLDERS = ("metals", "fillers", "fluxes", "furnaces", "refractories")
"""Sub-folders of a data folder, one for each kind."""
SYSTEMS = ("AISI", "UNS", "EN", "ASTM")
"""Systems of designation that people leave out."""
_MOST_SUGGESTIONS = 5
_SHORTEST_PART = 3
"""A shorter part of a name suggests too much."""


class _Named(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def designations(self) -> tuple[str, ...]: ...


R = TypeVar("R", bound=_Named)


class _Shelf(Generic[R]):
    """All files of one kind; a later folder's file replaces an earlier one of the same name."""

    def __init__(
        self,
        noun: str,
        folder: str,
        roots: Sequence[Path],
        read: Callable[[Fields, Path], R],
        hashes: dict[str, str],
    ) -> None:
        self.noun = noun
        self._read = read
        self._hashes = hashes
        self._files = {_plain(p.stem): p for root in roots for p in sorted((root / folder).glob("*.toml"))}
        self._loaded: dict[str, tuple[R, str]] = {}

    def get(self, name: str) -> R:
        """The record of that name; its file counts as used."""
        wanted = _plain(name)
        key = wanted if wanted in self._files else self._by_alias(wanted)
        if key is None:
            raise UnknownNameError(self.noun, name, self.suggestions(name))
        record = self._load(key)
        self._hashes[label(self._files[key])] = self._loaded[key][1]
        return record

    def all(self) -> tuple[R, ...]:
        """Every record, by id; numbers in an id count as numbers."""
        return tuple(sorted(map(self._load, self._files), key=lambda r: _natural(r.id)))

    def suggestions(self, name: str) -> list[str]:
        """Ids that `name` may have meant, best first: relatives, parts of names, look-alikes."""
        wanted = _plain(name)
        related: list[str] = []
        contained: list[str] = []
        spellings: dict[str, str] = {}
        for record in self.all():
            known = [_plain(t) for t in (record.id, record.name, *record.designations)]
            spellings.update(dict.fromkeys(known, record.id))
            if any(wanted in (_plain(n), _without_system(n)) for n in getattr(record, "near", ())):
                related.append(record.id)
            if len(wanted) >= _SHORTEST_PART and any(wanted in k for k in known):
                contained.append(record.id)
        alike = difflib.get_close_matches(wanted, spellings, _MOST_SUGGESTIONS)
        return list(dict.fromkeys([*related, *contained, *(spellings[a] for a in alike)]))[:_MOST_SUGGESTIONS]

    def _load(self, key: str) -> R:
        if key not in self._loaded:
            self._loaded[key] = files.read_file(self._files[key], self._read)
        return self._loaded[key][0]

    def _by_alias(self, wanted: str) -> str | None:
        """The last record with this designation or name; failing that, the only one if a system is added."""
        full, short = [], set()
        for key in self._files:  # the user's files come last
            record = self._load(key)
            for text in (record.name, *record.designations):
                if _plain(text) == wanted:
                    full.append(key)
                if _without_system(text) == wanted:
                    short.add(key)
        if full:
            return full[-1]
        return short.pop() if len(short) == 1 else None


class Library:
    """The trade data: what is shipped, then the user's folders; a later file replaces one of the same name.

    Parameters
    ----------
    folders : (path, ...)       each with one or more of `FOLDERS` in it

    Raises
    ------
    DataFileError       a folder that is not there or holds none of them; later, a file that is not right

    Attributes
    ----------
    hashes : {file: SHA-256}    of the files used so far
    """

    def __init__(self, folders: Sequence[Path | str] = ()) -> None:
        roots = [DATA, *(_checked_folder(Path(f)) for f in folders)]
        self.hashes: dict[str, str] = {}
        self._metals = _Shelf("metal", "metals", roots, files.metal, self.hashes)
        self._fillers = _Shelf("filler", "fillers", roots, files.filler, self.hashes)
        self._fluxes = _Shelf("flux", "fluxes", roots, files.flux, self.hashes)
        self._refractories = _Shelf("refractory", "refractories", roots, furnace_files.refractory, self.hashes)
        self._furnaces = _Shelf("furnace", "furnaces", roots, self._read_furnace, self.hashes)

    def metal(self, name: str) -> Metal:
        """Metal by id or designation; UnknownNameError with the nearest names."""
        return self._metals.get(name)

    def filler(self, name: str) -> Filler:
        """Filler by id or designation; UnknownNameError with the nearest names."""
        return self._fillers.get(name)

    def flux(self, name: str) -> Flux:
        """Flux by id or class; UnknownNameError with the nearest names."""
        return self._fluxes.get(name)

    def furnace(self, name: str) -> Furnace:
        """Furnace by id or name; UnknownNameError with the nearest names."""
        return self._furnaces.get(name)

    def refractory(self, name: str) -> Refractory:
        """What linings and shelves are made of, by id or name; UnknownNameError with the nearest names."""
        return self._refractories.get(name)

    def _read_furnace(self, f: Fields, path: Path) -> Furnace:
        return furnace_files.furnace(f, path, self.refractory)

    def find(self, name: str) -> Metal | Filler | Flux | Furnace | Refractory:
        """Whatever has that name; UnknownNameError with the nearest names of all kinds."""
        suggestions: list[str] = []
        for get in (self.metal, self.filler, self.flux, self.furnace, self.refractory):
            try:
                return get(name)
            except UnknownNameError as error:
                suggestions += error.suggestions
        raise UnknownNameError("metal, filler, flux, furnace or refractory", name, suggestions[: 2 * _MOST_SUGGESTIONS])

    @property
    def metals(self) -> tuple[Metal, ...]:
        """All, by id."""
        return self._metals.all()

    @property
    def fillers(self) -> tuple[Filler, ...]:
        """All, by id."""
        return self._fillers.all()

    @property
    def fluxes(self) -> tuple[Flux, ...]:
        """All, by id."""
        return self._fluxes.all()

    @property
    def furnaces(self) -> tuple[Furnace, ...]:
        """All, by id."""
        return self._furnaces.all()

    @property
    def refractories(self) -> tuple[Refractory, ...]:
        """All, by id."""
        return self._refractories.all()

    def cautions(self) -> tuple[Caution, ...]:
        """Safety cautions; their file counts as used."""
        self.hashes.update({label(p): digest for p, digest in reference.digests("safety").items()})
        return reference.cautions()

    def practice(self) -> Practice:
        """Clearances, air and tables of common practice; their files count as used."""
        self.hashes.update({label(p): digest for p, digest in reference.digests("practice").items()})
        return reference.practice()


def label(path: Path) -> str:
    """Name of a data file that does not depend on where the application is installed."""
    if path.is_relative_to(DATA):
        return "brazesoak/trade/data/" + path.relative_to(DATA).as_posix()
    return str(path)


def _plain(name: str) -> str:
    """Letters and digits only, lower case."""
    return "".join(c for c in name.casefold() if c.isalnum())


def _without_system(designation: str) -> str | None:
    """A designation plain and without its system; None where it begins with none."""
    system, _, rest = designation.partition(" ")
    return _plain(rest) if system in SYSTEMS else None


def _natural(name: str) -> list[tuple[int, str]]:
    """Sort key in which bag-7 comes before bag-10."""
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", name)]


def _checked_folder(folder: Path) -> Path:
    if not folder.is_dir():
        message = f"{folder}: there is no such folder of trade data; check the path"
        raise DataFileError(message, path=folder)
    if not any((folder / name).is_dir() for name in FOLDERS):
        message = f"{folder}: holds no trade data; put .toml files into folders {', '.join(FOLDERS)} there"
        raise DataFileError(message, path=folder)
    return folder
