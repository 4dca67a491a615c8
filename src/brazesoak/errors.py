"""Everything that can go wrong and that a user can act on.

    BrazesoakError                      the command line catches this and nothing else
    ├── InputError          exit 2      what the user wrote
    │   ├── JobFileError                .path, .faults: all faults of the file at once
    │   ├── UnitError                   .text, .expected
    │   └── GeometryError               .part
    ├── DataError           exit 3      what the library does not know
    │   ├── UnknownNameError            .kind, .name, .suggestions
    │   ├── DataFileError               .path
    │   └── OutOfRangeError             .quantity, .value, .valid_range, .source
    ├── SimulationError     exit 4      the run could not finish
    │   ├── NotConvergedError           .time, .place, .residual, .histories: what was computed until then
    │   └── TargetNotReachedError       .part, .reached, .target
    └── ResultFileError     exit 5      .path

A message has four parts: where, what, what was expected, what to do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


class BrazesoakError(Exception):
    """Root of every error that a user can cause or act on."""

    exit_code = 1


class InputError(BrazesoakError):
    """Something the user wrote."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a job file: where it is, what is wrong, what was expected and what to do."""

    line: int | None
    key: str
    message: str


class JobFileError(InputError):
    """A job file with one or more faults; all of them are in `faults` and in the message."""

    def __init__(self, path: Path | str, faults: Sequence[Fault]) -> None:
        self.path = path
        self.faults = tuple(faults)
        super().__init__("\n".join(_place(path, fault) + fault.message for fault in self.faults))


def _place(path: Path | str, fault: Fault) -> str:
    line = "" if fault.line is None else f":{fault.line}"
    named = fault.key and not fault.message.startswith(f"{fault.key}: ")  # some messages say themselves whose they are
    key = f" {fault.key}:" if named else ""
    return f"{path}{line}:{key} "


class UnitError(InputError):
    """A value whose unit is missing, unknown or of the wrong kind."""

    def __init__(self, message: str, *, text: object, expected: str) -> None:
        self.text = text
        self.expected = expected
        super().__init__(message)


class GeometryError(InputError):
    """Shapes that do not fit together."""

    def __init__(self, message: str, *, part: str) -> None:
        self.part = part
        super().__init__(message)


class DataError(BrazesoakError):
    """Something the trade data library does not know."""

    exit_code = 3


class UnknownNameError(DataError):
    """A metal, filler, flux or furnace that no data file describes."""

    def __init__(self, kind: str, name: str, suggestions: Sequence[str]) -> None:
        self.kind = kind
        self.name = name
        self.suggestions = tuple(suggestions)
        hint = f"nearest names: {', '.join(suggestions)}" if suggestions else "nothing similar is known"
        super().__init__(f'unknown {kind} "{name}"; {hint}. "brazesoak data" lists all.')


class DataFileError(DataError):
    """A data file that cannot be read or does not keep the format."""

    def __init__(self, message: str, *, path: Path | str) -> None:
        self.path = path
        super().__init__(message)


class OutOfRangeError(DataError):
    """A property asked for outside the range its source covers."""

    def __init__(
        self, message: str, *, quantity: str, value: float, valid_range: tuple[float, float], source: str
    ) -> None:
        self.quantity = quantity
        self.value = value
        self.valid_range = valid_range
        self.source = source
        super().__init__(message)


class SimulationError(BrazesoakError):
    """A run that could not finish."""

    exit_code = 4


class NotConvergedError(SimulationError):
    """The solver could not complete a step, even a small one.

    histories : {str: (float, ...)}     what was computed until then: ``time`` [s] and temperatures by name [K]
    """

    def __init__(
        self, message: str, *, time: float, place: str, residual: float, histories: Mapping[str, Sequence[float]]
    ) -> None:
        self.time = time
        self.place = place
        self.residual = residual
        self.histories = histories
        super().__init__(message)

    def with_note(self, note: str) -> NotConvergedError:
        """The same error with one more sentence."""
        return NotConvergedError(
            f"{self} {note}", time=self.time, place=self.place, residual=self.residual, histories=self.histories
        )


class TargetNotReachedError(SimulationError):
    """A joint that this program never brings to its target temperature."""

    def __init__(self, message: str, *, part: str, reached: float, target: float) -> None:
        self.part = part
        self.reached = reached
        self.target = target
        super().__init__(message)


class ResultFileError(BrazesoakError):
    """A result file that cannot be written or read."""

    exit_code = 5

    def __init__(self, message: str, *, path: Path | str) -> None:
        self.path = path
        super().__init__(message)
