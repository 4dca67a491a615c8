"""How kernels are compiled and where their machine code is kept.

Plain ``numba.njit(cache=True)`` keys its cache on the one file that holds the kernel; a change in a helper
or a constant of another file leaves old machine code in use. Here the folder of the cache is named by a
digest of every source file of this package, so that any change starts afresh. The folder is private to the
user, because cache files are pickles: loading one runs code. When no such folder can be had, kernels still
work and are compiled in every process.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, overload

import numba
from numba.core import event
from numba.core.registry import CPUDispatcher

_PACKAGE = Path(__file__).resolve().parent
_KEEP_SECONDS = 30 * 86400.0


def source_digest(package: Path = _PACKAGE) -> str:
    """Digest of every source of the package, of the numba version and of the Python version."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version_info[:2]}".encode())
    for path in sorted(package.rglob("*.py")):
        digest.update(path.relative_to(package).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _is_private(folder: Path) -> bool:
    if not hasattr(os, "getuid"):
        return True
    status = folder.stat()
    return status.st_uid == os.getuid() and not status.st_mode & 0o022


def _user_cache() -> Path:
    if root := os.environ.get("NUMBA_CACHE_DIR") or os.environ.get("XDG_CACHE_HOME"):
        return Path(root)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home()))
    return Path.home() / ".cache"


def _roots() -> list[Path]:
    user = str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")
    roots = [Path(tempfile.gettempdir()) / f"{_PACKAGE.name}-{user}"]
    with contextlib.suppress(RuntimeError):  # no home directory is known
        roots.insert(0, _user_cache() / _PACKAGE.name)
    return roots


def cache_folder() -> Path | None:
    """The first folder for this digest that can be written and that is private, or None."""
    digest = source_digest()
    for root in _roots():
        folder = root / digest
        try:
            root.mkdir(parents=True, exist_ok=True, mode=0o700)
            folder.mkdir(exist_ok=True, mode=0o700)
            if _is_private(root) and _is_private(folder) and os.access(folder, os.W_OK):
                _prune(root, keep=folder)
                return folder
        except OSError:
            continue
    return None


def _prune(root: Path, keep: Path) -> None:
    """Remove folders of older versions that nothing has used for a month; a live one may still be loading."""
    os.utime(keep)
    for folder in root.iterdir():
        if folder == keep or not folder.is_dir() or time.time() - folder.stat().st_mtime < _KEEP_SECONDS:
            continue
        for path in sorted(folder.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        folder.rmdir()


_FOLDER = cache_folder()


class _Once(event.Listener):
    """Calls a function when the first kernel is compiled, not when one is loaded from the cache."""

    def __init__(self, tell: Callable[[], None]) -> None:
        self._tell: Callable[[], None] | None = tell

    def on_start(self, _: Any) -> None:
        """A kernel begins to be compiled."""
        if self._tell is not None:
            tell, self._tell = self._tell, None
            tell()

    def on_end(self, _: Any) -> None:
        """Nothing is said when it is done."""


def when_compiling(tell: Callable[[], None]) -> None:
    """Call `tell` once, when the first kernel of this process has to be compiled."""
    event.register("numba:compile", _Once(tell))  # type: ignore[no-untyped-call]


@overload
def kernel(function: Callable[..., Any]) -> Callable[..., Any]: ...
@overload
def kernel(**options: Any) -> Callable[[Callable[..., Any]], Callable[..., Any]]: ...
def kernel(function: Callable[..., Any] | None = None, **options: Any) -> Callable[..., Any]:
    """Compile `function` on first call in nopython mode, cached in this package's own folder."""
    if function is None:
        return lambda f: kernel(f, **options)
    # A division by zero gives infinity, as in numpy; the step that made it is then refused and retried shorter.
    options.setdefault("error_model", "numpy")
    options.setdefault("_nrt", True)  # otherwise whether it may make arrays would depend on who calls it first
    if _FOLDER is None:
        return numba.njit(**options)(function)  # type: ignore[no-any-return]
    config: Any = numba.config
    saved = config.CACHE_DIR
    config.CACHE_DIR = str(_FOLDER)
    try:
        # Numba fixes the folder at decoration; restoring it at once leaves other libraries' caches alone.
        return numba.njit(cache=True, **options)(function)  # type: ignore[no-any-return]
    finally:
        config.CACHE_DIR = saved


class _Part(CPUDispatcher):
    """A kernel without an entry from Python: a call from there would run into nothing."""

    def __call__(self, *_: Any) -> Any:
        raise TypeError(f"{self.py_func.__name__} is for kernels only; give it `lean` to call it from Python")


@overload
def part(function: Callable[..., Any]) -> Callable[..., Any]: ...
@overload
def part(**options: Any) -> Callable[[Callable[..., Any]], Callable[..., Any]]: ...
def part(function: Callable[..., Any] | None = None, **options: Any) -> Callable[..., Any]:
    """Compile a `lean` kernel that only kernels call; its entry from Python would be a quarter of all compiling."""
    if function is None:
        return lambda f: part(f, **options)
    made: Any = kernel(_nrt=False, no_cpython_wrapper=True, no_cfunc_wrapper=True, **options)(function)
    if isinstance(made, CPUDispatcher):  # not where compiling is switched off
        made.__class__ = _Part
    return made  # type: ignore[no-any-return]


def lean(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a kernel that makes no arrays, without counting references to those that it is handed.

    Otherwise every mention of an array in a tuple is counted up and down, atomically: some 10 ns each, which for a
    network of a few cells is most of the work. Whoever calls the kernel holds the arrays meanwhile. Called from
    Python, it lets other threads go on.
    """
    return kernel(_nrt=False, nogil=True)(function)
