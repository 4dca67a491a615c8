"""The command that plans a heat, and its files."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from ..errors import NotConvergedError
from .common import add_fidelity, add_files, add_job, add_json, folder_for, progress, save, show

if TYPE_CHECKING:
    from ..answer import Plan
    from .common import Commands


def add_commands(commands: Commands) -> None:
    """Add it to the parser."""
    plan = commands.add_parser("plan", help="plan the heat that a job file describes")
    add_job(plan)
    add_json(plan)
    add_fidelity(plan)
    plan.add_argument("--full", action="store_true", help="print every reason, source and caution whole, too")
    plan.add_argument("--compare", action="store_true", help="show every fidelity side by side")
    add_files(plan, "result, figures and run card", "plan")
    plan.set_defaults(command=_plan)


def _plan(options: argparse.Namespace) -> int:
    from ..jobfile.names import read_with_library

    read, library = read_with_library(options.job)
    with progress() as report, _keeping_what_there_is(options):
        from ..analysis.plan import make_plan

        plan = make_plan(read, library, fidelity=options.fidelity, compare=options.compare, progress=report)
    if not options.no_files:
        _write(plan, options, read.text, library.hashes)
    if options.json:
        from ..report.as_json import json_text

        print(json_text(plan))
        return 0
    from ..report.text import plan_text

    show(plan_text(plan, full=options.full), options)
    return 0


@contextmanager
def _keeping_what_there_is(options: argparse.Namespace) -> Iterator[None]:
    """A run that breaks off leaves its temperatures until then in a file, and the message says where."""
    try:
        yield
    except NotConvergedError as error:
        if options.no_files or not error.histories.get("time"):
            raise
        from ..results.partial import write_partial

        kept = folder_for(options, "plan") / "partial.csv"
        write_partial(error.histories, kept)
        options.written.append(kept)
        raise error.with_note(f"The temperatures until then are in {kept}.") from error


def _write(plan: Plan, options: argparse.Namespace, job_text: str, hashes: dict[str, str]) -> None:
    """Write result file, figures and run card into one folder, and note each in `options.written`."""
    from ..bridge.simulate import COARSER, TOLERANCE
    from ..plots.histories import figure_histories
    from ..plots.how_sure import figure_how_sure
    from ..plots.sections import figure_section
    from ..report.run_card import run_card_html
    from ..results.atomic import atomic_write
    from ..results.write import write_results

    folder = folder_for(options, "plan")
    settings = {"fidelity": plan.fidelity, "tolerance_K": TOLERANCE, "fineness": plan.fineness, "coarser": COARSER}
    write_results(plan, folder / "result.h5", job_text=job_text, data_hashes=hashes, settings=settings)
    options.written.append(folder / "result.h5")
    save(figure_histories(plan), folder / "temperatures.png", options)
    atomic_write(folder / "run_card.html", run_card_html(plan))
    options.written.append(folder / "run_card.html")
    for drawn, name in ((figure_section(plan), "section.png"), (figure_how_sure(plan), "how_sure.png")):
        if drawn is not None:
            save(drawn, folder / name, options)
