"""What the commands share: their usual options, the bar, and the folder that takes the files."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import ResultFileError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..bridge.simulate import Progress

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

COMPILING = "First run of this kind after installation: compiling the solver, up to a minute, once ..."


def add_job(command: argparse.ArgumentParser) -> None:
    """The job file that a command reads."""
    command.add_argument("job", type=Path, help="job file (TOML)")


def add_fidelity(command: argparse.ArgumentParser) -> None:
    """A fidelity instead of the job's."""
    choices = ("auto", "network", "section", "solid")
    command.add_argument("--fidelity", choices=choices, help="instead of what the job says")


def add_json(command: argparse.ArgumentParser) -> None:
    """The answer for machines."""
    command.add_argument("--json", action="store_true", help="print the answer for machines")


def add_files(command: argparse.ArgumentParser, what: str, ending: str) -> None:
    """A folder for `what` a command draws and writes."""
    command.add_argument("--out", type=Path, help=f"folder for {what} (default: <name>_{ending} here)")
    command.add_argument("--no-files", action="store_true", help="print only")


@contextmanager
def progress() -> Iterator[Progress]:
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


def folder_for(options: argparse.Namespace, ending: str) -> Path:
    """The folder asked for, made where it is not there yet; without one, `default_folder`.

    Raises
    ------
    ResultFileError     it cannot be made
    """
    folder: Path = options.out or default_folder(options.job, ending)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = error.strerror or "the system refused"
        message = f"{folder}: cannot be made ({what}); expected a place for the result files; name another with --out"
        raise ResultFileError(message, path=folder) from error
    return folder


def default_folder(job: Path, ending: str) -> Path:
    """A folder here that carries the job's name; a file that is just called job takes the name of its folder."""
    name = job.stem if job.stem != "job" else job.resolve().parent.name or job.stem
    return Path(f"{name}_{ending}")


def save(figure: Figure, path: Path, options: argparse.Namespace) -> None:
    """Write a figure and note it in `options.written`."""
    from ..plots.style import save_figure

    save_figure(figure, path)
    options.written.append(path)


def show(text: str, options: argparse.Namespace) -> None:
    """Print the answer for people, and what was written."""
    print(text)
    if options.written:
        folders = {path.parent for path in options.written}
        names = ", ".join(path.name if len(folders) == 1 else str(path) for path in options.written)
        print(f"\nWritten: {names}{f' in {folders.pop()}' if len(folders) == 1 else ''}")
