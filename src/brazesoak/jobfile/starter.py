"""The commented job file that `brazesoak new` writes."""

from __future__ import annotations

import os
import tempfile
from importlib.resources import files
from pathlib import Path

from brazesoak.errors import InputError


def starter_text() -> str:
    """The starter job: a bearing pedestal with every key explained."""
    return files("brazesoak.jobfile").joinpath("starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path | str) -> Path:
    """Write the starter job to a new file and return its path.

    The file appears complete or not at all, and an existing file is never touched.

    Raises
    ------
    InputError                 something of that name exists, or the place cannot be written to
    """
    target = Path(path)
    try:
        if os.path.lexists(target):
            raise FileExistsError
        _write_new(target, starter_text())
    except FileExistsError:
        raise InputError(f"{target}: exists already and is left as it is; give another name") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(f"{target}: cannot be written ({reason}); choose another place or name") from None
    return target


def _write_new(target: Path, text: str) -> None:
    """Write aside, then give the finished file its name."""
    handle, aside = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        _name(aside, target)
    finally:
        Path(aside).unlink(missing_ok=True)


def _name(aside: str, target: Path) -> None:
    # mkstemp makes files that only their owner can read; a job file is an ordinary file.
    umask = os.umask(0)
    os.umask(umask)
    Path(aside).chmod(0o666 & ~umask)
    try:
        os.link(aside, target)  # unlike a rename, fails if the name was taken meanwhile
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        Path(aside).rename(target)
