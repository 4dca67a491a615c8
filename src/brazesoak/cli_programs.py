"""The commands that try furnace programs on a job."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .bridge.simulate import Progress

Bar = Callable[[], AbstractContextManager["Progress"]]


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    add_fidelity: Callable[[argparse.ArgumentParser], None],
    progress: Bar,
) -> None:
    """Add them to the parser."""
    programs = commands.add_parser("programs", help="the job under five furnace programs, side by side")
    _add_common(programs, add_fidelity)
    programs.set_defaults(command=lambda options: _programs(options, progress))


def _add_common(command: argparse.ArgumentParser, add_fidelity: Callable[[argparse.ArgumentParser], None]) -> None:
    command.add_argument("job", type=Path, help="job file (TOML)")
    add_fidelity(command)
    command.add_argument("--json", action="store_true", help="print the answer for machines")
    command.add_argument("--out", type=Path, help="write the figure to this file (svg, png or pdf)")


def _check_figure(path: Path | None) -> None:
    """A figure that cannot be written is refused before anything is computed."""
    if path is not None:
        from .plots.style import figure_format

        figure_format(path)


def _programs(options: argparse.Namespace, progress: Bar) -> int:
    from .jobfile.names import read_with_library

    _check_figure(options.out)
    read, library = read_with_library(options.job)
    with progress() as report:
        from .analysis.strategies import compare_programs

        found = compare_programs(read, library, options.fidelity, report)
    if options.out is not None:
        from .plots.programs import figure_programs
        from .plots.style import save_figure

        save_figure(figure_programs(found), options.out)
        options.written.append(options.out)
    if options.json:
        from .report.programs_json import compared_json_text

        print(compared_json_text(found))
        return 0
    from .report.programs_text import compared_text

    print(compared_text(found))
    if options.written:
        print("\nWritten: " + ", ".join(str(p) for p in options.written))
    return 0
