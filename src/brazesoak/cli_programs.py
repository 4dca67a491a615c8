"""The commands that try furnace programs on a job."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from .errors import SimulationError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

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
    best = commands.add_parser("best", help="the shortest program within all limits, and what being gentler costs")
    _add_common(best, add_fidelity)
    best.set_defaults(command=lambda options: _best(options, progress))


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

        _save(figure_programs(found), options)
    if options.json:
        from .report.programs_json import compared_json_text

        print(compared_json_text(found))
        return 0
    from .report.programs_text import compared_text

    _print(compared_text(found), options)
    return 0


def _best(options: argparse.Namespace, progress: Bar) -> int:
    from .jobfile.names import read_with_library

    _check_figure(options.out)
    read, library = read_with_library(options.job)
    with progress() as report:
        from .analysis.best_program import best_program

        found = best_program(read, library, options.fidelity, report)
    if options.out is not None:
        from .plots.best import figure_best

        _save(figure_best(found), options)
    if options.json:
        from .report.best_json import best_json_text

        print(best_json_text(found))
    else:
        from .report.best_text import best_text

        _print(best_text(found), options)
    return 0 if found.best is not None else SimulationError.exit_code


def _save(figure: Figure, options: argparse.Namespace) -> None:
    from .plots.style import save_figure

    save_figure(figure, options.out)
    options.written.append(options.out)


def _print(text: str, options: argparse.Namespace) -> None:
    print(text)
    if options.written:
        print("\nWritten: " + ", ".join(str(p) for p in options.written))
