"""Files that are written whole or not at all: aside first, then renamed over the old one."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import IO

from brazesoak.errors import ResultFileError

Content = bytes | str | Callable[[IO[bytes]], object]
"""Bytes, text (written as UTF-8), or a function that writes into an open binary file."""

_WHAT_TO_DO = {
    errno.ENOSPC: ("the disk is full", "Free some space or name another folder"),
    errno.EDQUOT: ("the disk quota is used up", "Free some space or name another folder"),
    errno.EACCES: ("this user may not write there", "Change the permissions or name another folder"),
    errno.EPERM: ("this user may not write there", "Change the permissions or name another folder"),
    errno.EROFS: ("the disk is read-only", "Name a folder on another disk"),
    errno.ENOENT: ("the folder does not exist", "Make the folder first or name another one"),
    errno.ENOTDIR: ("a part of the path is a file, not a folder", "Name another folder"),
    errno.ENAMETOOLONG: ("the name is too long", "Give it a shorter name"),
}


def atomic_write(path: Path | str, content: Content) -> None:
    """Put `content` at `path` in one stroke.

    A temporary file beside the target is written, flushed to disk and renamed. When anything fails the
    temporary file is removed and an existing file keeps its old content.

    Raises
    ------
    ResultFileError
        The disk is full, the folder is missing or not writable, or `path` is no ordinary file.
    """
    target = Path(path)
    try:
        real = target.resolve()  # so that a link stays a link and its file is replaced
        _refuse_odd_targets(target, real)
        temporary = real.with_name(f".{secrets.token_hex(8)}.part")
        _write_aside(temporary, real, content)
    except OSError as fault:
        raise ResultFileError(_message(target, fault), path=target) from fault


def _refuse_odd_targets(shown: Path, real: Path) -> None:
    """Renaming over a device would destroy it, and over a protected file would ignore the protection."""
    if real.is_dir():
        raise ResultFileError(f"{shown}: is a folder; a file name was expected. Name a file in it.", path=shown)
    if real.exists() and not real.is_file():
        raise ResultFileError(
            f"{shown}: is a device or pipe; an ordinary file was expected. Name an ordinary file.", path=shown
        )
    if real.exists() and not os.access(real, os.W_OK):
        raise ResultFileError(
            f"{shown}: is write-protected; a file that may be replaced was expected. Name another file.",
            path=shown,
        )


def _write_aside(temporary: Path, real: Path, content: Content) -> None:
    try:
        with temporary.open("xb") as file:
            if callable(content):
                content(file)
            else:
                file.write(content.encode("utf-8") if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(real)
    except BaseException:  # also when the user interrupts: leave nothing half-written behind
        temporary.unlink(missing_ok=True)
        raise


def _message(path: Path, fault: OSError) -> str:
    what, action = _WHAT_TO_DO.get(
        fault.errno or 0,
        (fault.strerror or str(fault) or "the system refused", "Name another file or folder"),
    )
    kept = " The file that was there before is unchanged." if _exists(path) else ""
    return f"{path}: could not be written: {what}; a writable folder with room was expected. {action}.{kept}"


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False
