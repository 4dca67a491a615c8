"""The command line: arguments in, text out, exit codes. Everything else is elsewhere and loaded when needed."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from . import __version__
from .cli_programs import add_commands
from .errors import BrazesoakError, NotConvergedError, ResultFileError

if TYPE_CHECKING:
    from .answer import Plan
    from .bridge.simulate import Progress

COMPILING = "First run of this kind after installation: compiling the solver, 10 to 30 seconds, once ..."
SCHEMAS = {
    "job": "jobfile/job.schema.json",
    "answer": "report/answer.schema.json",
    "choose": "report/choice.schema.json",
    "map": "report/map.schema.json",
}
KINDS = ("metals", "fillers", "fluxes", "furnaces")


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

    plan = commands.add_parser("plan", help="plan the heat that a job file describes")
    plan.add_argument("job", type=Path, help="job file (TOML)")
    plan.add_argument("--json", action="store_true", help="print the answer for machines")
    _add_fidelity(plan)
    plan.add_argument("--compare", action="store_true", help="show every fidelity side by side")
    plan.add_argument("--out", type=Path, help="folder for result, figure and run card (default: <name>_plan here)")
    plan.add_argument("--no-files", action="store_true", help="print only")
    plan.set_defaults(command=_plan)

    chart = commands.add_parser("map", help="set-point against hold, with the limits that each set-point breaks")
    chart.add_argument("job", type=Path, help="job file (TOML)")
    _add_fidelity(chart)
    chart.add_argument("--json", action="store_true", help="print the map for machines")
    chart.add_argument("--out", type=Path, help="folder for the figure (default: <name>_map here)")
    chart.add_argument("--no-files", action="store_true", help="print only")
    chart.set_defaults(command=_map)

    add_commands(commands, _add_fidelity, _progress)

    check = commands.add_parser("check", help="check a job file without computing anything")
    check.add_argument("job", type=Path, help="job file (TOML)")
    check.set_defaults(command=_check)

    choose = commands.add_parser("choose", help="which fillers and fluxes suit the metals of a job, and why")
    choose.add_argument("job", type=Path, help="job file (TOML)")
    choose.add_argument("--allow-cadmium", action="store_true", help="rank fillers with cadmium too")
    choose.add_argument("--wet", action="store_true", help="the parts will stand in water: interface corrosion counts")
    choose.add_argument("--json", action="store_true", help="print the answer for machines")
    choose.set_defaults(command=_choose)

    rules = commands.add_parser("rules", help="rules of thumb beside the computed hold, and why they differ")
    rules.add_argument("job", type=Path, help="job file (TOML)")
    _add_fidelity(rules)
    rules.set_defaults(command=_rules)

    new = commands.add_parser("new", help="write a commented starter job")
    new.add_argument("job", type=Path, nargs="?", default=Path("job.toml"), help="file to write (default: job.toml)")
    new.set_defaults(command=_new)

    data = commands.add_parser("data", help="list the trade data, or show one entry with its sources")
    data.add_argument("name", nargs="?", help=f"{', '.join(KINDS)}, or the name of an entry")
    data.add_argument("--folder", type=Path, action="append", default=[], help="a folder of your own data, too")
    data.set_defaults(command=_data)

    furnaces = commands.add_parser("furnaces", help="how fast each furnace of the library heats, and what it takes")
    furnaces.add_argument("--folder", type=Path, action="append", default=[], help="a folder of your own data, too")
    furnaces.set_defaults(command=_furnaces)

    schema = commands.add_parser("schema", help="print the JSON Schema of the job file, or of what a command prints")
    schema.add_argument("what", nargs="?", choices=tuple(SCHEMAS), default="job")
    schema.set_defaults(command=_schema)
    return parser


def _add_fidelity(command: argparse.ArgumentParser) -> None:
    choices = ("auto", "network", "section", "solid")
    command.add_argument("--fidelity", choices=choices, help="instead of what the job says")


def _plan(options: argparse.Namespace) -> int:
    from .jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with _progress() as progress, _keeping_what_there_is(options):
        from .analysis.plan import make_plan

        plan = make_plan(read, library, fidelity=options.fidelity, compare=options.compare, progress=progress)
    if not options.no_files:
        _write(plan, options, read.text, library.hashes)
    if options.json:
        from .report.as_json import json_text

        print(json_text(plan))
        return 0
    from .report.text import plan_text

    print(plan_text(plan))
    if options.written:
        print("\nWritten: " + ", ".join(str(p) for p in options.written))
    return 0


def _map(options: argparse.Namespace) -> int:
    from .jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with _progress() as progress:
        from .analysis.set_points import map_set_points

        found = map_set_points(read, library, options.fidelity, progress)
    if not options.no_files:
        from .plots.set_points import figure_set_points
        from .plots.style import save_figure

        folder = options.out or _default_folder(options.job, "map")
        _make_folder(folder)
        save_figure(figure_set_points(found, read.job.title), folder / "set_points.png")
        options.written.append(folder / "set_points.png")
    from .report.set_points import set_points_json_text, set_points_text

    print(set_points_json_text(found) if options.json else set_points_text(found))
    if options.written and not options.json:
        print("\nWritten: " + ", ".join(str(p) for p in options.written))
    return 0


@contextmanager
def _keeping_what_there_is(options: argparse.Namespace) -> Iterator[None]:
    """A run that breaks off leaves its temperatures until then in a file, and the message says where."""
    try:
        yield
    except NotConvergedError as error:
        if options.no_files or not error.histories.get("time"):
            raise
        from .results.partial import write_partial

        folder = options.out or _default_folder(options.job)
        _make_folder(folder)
        write_partial(error.histories, folder / "partial.csv")
        options.written.append(folder / "partial.csv")
        raise error.with_note(f"The temperatures until then are in {folder / 'partial.csv'}.") from error


def _write(plan: Plan, options: argparse.Namespace, job_text: str, hashes: dict[str, str]) -> None:
    """Write result file, figures and run card into one folder, and note each in `options.written`."""
    from .plots.histories import figure_histories, save_figure
    from .plots.how_sure import figure_how_sure
    from .plots.sections import figure_section
    from .report.run_card import run_card_html
    from .results.atomic import atomic_write
    from .results.write import write_results

    folder = options.out or _default_folder(options.job)
    _make_folder(folder)
    result, figure, card = folder / "result.h5", folder / "temperatures.png", folder / "run_card.html"
    from .bridge.simulate import COARSER, TOLERANCE

    settings = {"fidelity": plan.fidelity, "tolerance_K": TOLERANCE, "fineness": plan.fineness, "coarser": COARSER}
    write_results(plan, result, job_text=job_text, data_hashes=hashes, settings=settings)
    options.written.append(result)
    save_figure(figure_histories(plan), figure)
    options.written.append(figure)
    atomic_write(card, run_card_html(plan))
    options.written.append(card)
    for drawn, name in ((figure_section(plan), "section.png"), (figure_how_sure(plan), "how_sure.png")):
        if drawn is not None:
            save_figure(drawn, folder / name)
            options.written.append(folder / name)


def _default_folder(job: Path, what: str = "plan") -> Path:
    """A folder here that carries the job's name; a file that is just called job takes the name of its folder."""
    name = job.stem if job.stem != "job" else job.resolve().parent.name or job.stem
    return Path(f"{name}_{what}")


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = error.strerror or "the system refused"
        message = f"{folder}: cannot be made ({what}); expected a place for the result files; name another with --out"
        raise ResultFileError(message, path=folder) from error


def _check(options: argparse.Namespace) -> int:
    from .analysis.prepared import prepare
    from .jobfile.names import read_with_library

    assembly = prepare(*read_with_library(options.job)).assembly
    found = f"{len(assembly.segments)} segments, {assembly.mass:.3g} kg, {len(assembly.joints)} joints"
    print(f"{options.job}: {found}; no fault")
    return 0


def _choose(options: argparse.Namespace) -> int:
    from .analysis.choice import choose
    from .jobfile.names import read_with_library
    from .report.choice_json import choice_json_text
    from .report.choice_text import choice_text

    choices = choose(*read_with_library(options.job), allow_cadmium=options.allow_cadmium, wet=options.wet)
    print(choice_json_text(choices) if options.json else choice_text(choices))
    return 0


def _rules(options: argparse.Namespace) -> int:
    from .jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with _progress() as progress:
        from .analysis.plan import make_plan

        plan = make_plan(read, library, fidelity=options.fidelity, progress=progress)
    from .analysis.soak_rules import rules_beside
    from .report.rules_text import rules_text

    print(rules_text(rules_beside(plan, library.practice().tables["soak_rule"])))
    return 0


def _new(options: argparse.Namespace) -> int:
    from .jobfile.starter import write_starter

    write_starter(options.job)
    print(f"{options.job} written; change it, then: brazesoak plan {options.job}")
    return 0


def _data(options: argparse.Namespace) -> int:
    from .trade.library import Library
    from .trade.show import item_text, list_text

    library = Library(options.folder)
    if options.name is None:
        print("\n\n".join(list_text(library, kind) for kind in KINDS))
    elif options.name in KINDS:
        print(list_text(library, options.name))
    else:
        print(item_text(library, options.name))
    return 0


def _furnaces(options: argparse.Namespace) -> int:
    from .analysis.furnaces import compare_furnaces
    from .report.furnaces_text import furnaces_text
    from .trade.library import Library

    print(furnaces_text(compare_furnaces(Library(options.folder).furnaces)))
    return 0


def _schema(options: argparse.Namespace) -> int:
    print((Path(__file__).parent / SCHEMAS[options.what]).read_text(encoding="utf-8"), end="")
    return 0


@contextmanager
def _progress() -> Iterator[Progress]:
    """A bar on the terminal, and a word about compiling before the first run."""
    from brazesoak_solvers._jit import when_compiling

    when_compiling(lambda: print(COMPILING, file=sys.stderr))
    if not sys.stderr.isatty():
        yield lambda what, share: None
        return
    from rich.console import Console
    from rich.progress import Progress as Bar

    with Bar(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=1.0)
        yield lambda what, share: bar.update(task, description=what, completed=share)
