"""The commands that compute no heat: whether a job is sound, what suits it, what data there are."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from .common import add_job, add_json

if TYPE_CHECKING:
    from .common import Commands

KINDS = ("metals", "fillers", "fluxes", "furnaces", "refractories")
SCHEMAS = {
    "job": "jobfile/job.schema.json",
    "answer": "report/answer.schema.json",
    "choose": "report/choice.schema.json",
    "map": "report/map.schema.json",
}


def add_commands(commands: Commands) -> None:
    """Add them to the parser."""
    check = commands.add_parser("check", help="check a job file without computing anything")
    add_job(check)
    check.set_defaults(command=_check)

    choose = commands.add_parser("choose", help="which fillers and fluxes suit the metals of a job, and why")
    add_job(choose)
    choose.add_argument("--allow-cadmium", action="store_true", help="rank fillers with cadmium too")
    choose.add_argument("--wet", action="store_true", help="the parts will stand in water: interface corrosion counts")
    add_json(choose)
    choose.set_defaults(command=_choose)

    new = commands.add_parser("new", help="write a commented starter job")
    new.add_argument("job", type=Path, nargs="?", default=Path("job.toml"), help="file to write (default: job.toml)")
    new.set_defaults(command=_new)

    data = commands.add_parser("data", help="list the trade data, or show one entry with its sources")
    data.add_argument("name", nargs="?", help=f"{', '.join(KINDS)}, or the name of an entry")
    data.add_argument("--folder", type=Path, action="append", default=[], help="a folder of your own data, too")
    data.set_defaults(command=_data)

    schema = commands.add_parser("schema", help="print the JSON Schema of the job file, or of what a command prints")
    schema.add_argument("what", nargs="?", choices=tuple(SCHEMAS), default="job")
    schema.set_defaults(command=_schema)


def _check(options: argparse.Namespace) -> int:
    from ..analysis.fidelity_choice import check_grid, choose, not_placed
    from ..analysis.prepared import prepare, told_with_its_line
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    prepared = prepare(read, library)
    with told_with_its_line(read):
        check_grid(prepared, choose(prepared, read.job.fidelity)[0])
    assembly = prepared.assembly
    segments, joints = (
        f"{n} {word}{'' if n == 1 else 's'}"
        for n, word in ((len(assembly.segments), "segment"), (len(assembly.joints), "joint"))
    )
    print(
        f"{options.job}: {segments}, {assembly.mass:.3g} kg, {joints}; no fault{not_placed(prepared)}. Whether metals, "
        "filler, flux, gaps and furnace suit each other: brazesoak plan"
    )
    return 0


def _choose(options: argparse.Namespace) -> int:
    from ..analysis.choice import choose
    from ..jobfile.names import read_with_library
    from ..report.choice_json import choice_json_text
    from ..report.choice_text import choice_text

    choices = choose(*read_with_library(options.job), allow_cadmium=options.allow_cadmium, wet=options.wet)
    print(choice_json_text(choices) if options.json else choice_text(choices))
    return 0


def _new(options: argparse.Namespace) -> int:
    from ..jobfile.starter import write_starter

    write_starter(options.job)
    print(f"{options.job} written; change it, then: brazesoak plan {options.job}")
    return 0


def _data(options: argparse.Namespace) -> int:
    from ..trade.library import Library
    from ..trade.show import item_text, list_text

    library = Library(options.folder)
    if options.name is None:
        print("\n\n".join(list_text(library, kind) for kind in KINDS))
    elif options.name in KINDS:
        print(list_text(library, options.name))
    else:
        print(item_text(library, options.name))
    return 0


def _schema(options: argparse.Namespace) -> int:
    print((Path(__file__).parents[1] / SCHEMAS[options.what]).read_text(encoding="utf-8"), end="")
    return 0
