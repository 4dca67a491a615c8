"""The command line: arguments in, text out, exit codes. Everything else is elsewhere and loaded when needed."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence

from .. import __version__
from ..errors import BrazesoakError, ResultFileError
from . import heats, plan, tables


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code."""
    options = _parser().parse_args(arguments)
    options.written = []
    command: Callable[[argparse.Namespace], int] = options.command
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")  # a terminal without a degree sign shows a question mark
    try:
        code = command(options)
        sys.stdout.flush()
        return code
    except BrazesoakError as error:
        print(f"brazesoak: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        written = ", ".join(str(p) for p in options.written)
        print(
            f"brazesoak: stopped; {f'written before: {written}' if written else 'nothing was written'}", file=sys.stderr
        )
        return 130
    except BrokenPipeError:  # the reader of our output, such as head, has had enough
        _silence()
        return 0
    except OSError as error:
        _silence()
        what = error.strerror or str(error)
        print(
            f"brazesoak: the output cannot be written ({what}); free some space or send it elsewhere", file=sys.stderr
        )
        return ResultFileError.exit_code


def _silence() -> None:
    """Send what is left of our output nowhere, so that closing it does not fail again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="brazesoak",
        description="Predict the soak of a furnace-brazing heat: what to set, how long to hold, which joint rules.",
    )
    parser.add_argument("--version", action="version", version=f"brazesoak {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for room in (plan, heats, tables):
        room.add_commands(commands)
    return parser
