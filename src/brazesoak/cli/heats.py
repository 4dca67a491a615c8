"""The commands that set heats side by side: set-points, programs, rules of thumb, furnaces."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import SimulationError
from .common import add_fidelity, add_files, add_job, add_json, folder_for, progress, save, show

if TYPE_CHECKING:
    from .common import Commands


def add_commands(commands: Commands) -> None:
    """Add them to the parser."""
    chart = commands.add_parser("map", help="set-point against hold, with the limits that each set-point breaks")
    programs = commands.add_parser("programs", help="the job under five furnace programs, side by side")
    best = commands.add_parser("best", help="the shortest program within all limits, and what being gentler costs")
    for command, ending, run in ((chart, "map", _map), (programs, "programs", _programs), (best, "best", _best)):
        add_job(command)
        add_fidelity(command)
        add_json(command)
        add_files(command, "the figure", ending)
        command.set_defaults(command=run)

    rules = commands.add_parser("rules", help="rules of thumb beside the computed hold, and why they differ")
    add_job(rules)
    add_fidelity(rules)
    rules.set_defaults(command=_rules)

    copies = commands.add_parser("copies", help="how many of the load fit in one heat, and what each number costs")
    add_job(copies)
    add_fidelity(copies)
    add_json(copies)
    copies.set_defaults(command=_copies)

    furnaces = commands.add_parser("furnaces", help="each furnace of the library, empty or with the load of a job")
    furnaces.add_argument("job", type=Path, nargs="?", help="job file (TOML) whose load is tried in each")
    add_json(furnaces)
    add_files(furnaces, "the figure of the heats", "furnaces")
    furnaces.add_argument("--folder", type=Path, action="append", default=[], help="a folder of your own data, too")
    furnaces.set_defaults(command=_furnaces)


def _map(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report:
        from ..analysis.set_points import map_set_points

        found = map_set_points(read, library, options.fidelity, report)
    if not options.no_files:
        from ..plots.set_points import figure_set_points

        save(figure_set_points(found, read.job.title), folder_for(options, "map") / "set_points.png", options)
    from ..report.set_points import set_points_json_text, set_points_text

    if options.json:
        print(set_points_json_text(found))
    else:
        show(set_points_text(found), options)
    return 0


def _programs(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report:
        from ..analysis.strategies import compare_programs

        found = compare_programs(read, library, options.fidelity, report)
    if not options.no_files:
        from ..plots.programs import figure_programs

        save(figure_programs(found), folder_for(options, "programs") / "programs.png", options)
    if options.json:
        from ..report.programs_json import compared_json_text

        print(compared_json_text(found))
    else:
        from ..report.programs_text import compared_text

        show(compared_text(found), options)
    return 0


def _best(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report:
        from ..analysis.best_program import best_program

        found = best_program(read, library, options.fidelity, report)
    if not options.no_files:
        from ..plots.best import figure_best

        save(figure_best(found), folder_for(options, "best") / "best.png", options)
    if options.json:
        from ..report.best_json import best_json_text

        print(best_json_text(found))
    else:
        from ..report.best_text import best_text

        show(best_text(found), options)
    return 0 if found.answer is not None else SimulationError.exit_code


def _rules(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report:
        from ..analysis.plan import make_plan

        plan = make_plan(read, library, fidelity=options.fidelity, progress=report)
    from ..analysis.soak_rules import rules_beside
    from ..report.rules_text import rules_text

    print(rules_text(rules_beside(plan, library.practice().tables["soak_rule"])))
    return 0


def _copies(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report:
        from ..analysis.copies import try_copies

        found = try_copies(read, library, options.fidelity, report)
    from ..report.copies_text import copies_json_text, copies_text

    print(copies_json_text(found) if options.json else copies_text(found, read.job.title))
    return 0 if found.rows else SimulationError.exit_code


def _furnaces(options: argparse.Namespace) -> int:
    if options.job is not None:
        return _try_furnaces(options)
    from ..analysis.furnaces import compare_furnaces
    from ..report.furnaces_text import furnaces_json_text, furnaces_text
    from ..trade.library import Library

    rows = compare_furnaces(Library(options.folder).furnaces)
    if not options.no_files:
        from ..plots.furnaces import figure_empty

        options.out = options.out or Path("furnaces")
        save(figure_empty(rows), folder_for(options, "furnaces") / "furnaces.png", options)
    if options.json:
        print(furnaces_json_text(rows))
    else:
        show(furnaces_text(rows), options)
    return 0


def _try_furnaces(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress():
        from ..analysis.furnaces import try_furnaces

        trials = try_furnaces(read, library)
    if not options.no_files:
        from ..plots.furnaces import figure_furnaces

        save(figure_furnaces(trials), folder_for(options, "furnaces") / "furnaces.png", options)
    from ..report.furnaces_text import trials_json_text, trials_text

    if options.json:
        print(trials_json_text(trials))
    else:
        show(trials_text(trials, read.job.title), options)
    return 0
