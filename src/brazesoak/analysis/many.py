"""Many heats, each computed once, and on every core.

Workers are forks where a process may divide itself: they begin within milliseconds, with everything loaded; a fresh one
would load the compiled kernels for longer than a hundred networks take. Elsewhere they are threads: kernels let each
other go on, and only what a heat does in Python waits. Answers come in the order in which heats were asked for.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from ..errors import SimulationError, TargetNotReachedError
from ..thermal.model import Inputs

T = TypeVar("T")
X = TypeVar("X")
WORTH = 4
"""Heats for which it is worth to start workers: four networks take as long as that."""
TOGETHER = 8
"""Heats that a worker takes at a time, at most; few are dealt out one by one."""
TELL_EVERY = 0.2
"""How often progress is told while others work [s]."""
TURN = 2e-4
"""How long a thread waits for another's Python before it asks for its turn [s]: heats come back from kernels ten times,
and with the usual 5 ms two of them took a quarter longer (measured)."""


@dataclass(frozen=True, slots=True)
class _Broke:
    """A heat that came to no end, as it crosses from a worker."""

    message: str
    never: tuple[str, float, float] | None

    def error(self) -> SimulationError:
        """What was raised, without its histories."""
        if self.never is None:
            return SimulationError(self.message)
        part, reached, target = self.never
        return TargetNotReachedError(self.message, part=part, reached=reached, target=target)


class Kept(Generic[T]):
    """A heat as a function of its inputs, computed once for each; so is one that comes to no end.

    tell : () -> None       called after each heat that was computed
    """

    def __init__(self, heat: Callable[[Inputs], T], tell: Callable[[], None]) -> None:
        self._heat, self._tell = heat, tell
        self._known: dict[Inputs, T | SimulationError] = {}

    def __call__(self, x: Inputs) -> T:
        """The heat.

        Raises
        ------
        SimulationError     it comes to no end; again whenever it is asked for
        """
        if x not in self._known:
            try:
                self._known[x] = self._heat(x)
            except SimulationError as error:
                self._known[x] = error
            self._tell()
        known = self._known[x]
        if isinstance(known, SimulationError):
            raise known
        return known

    def ahead(self, many: Sequence[Inputs]) -> None:
        """Compute these, on every core."""
        new = [x for x in dict.fromkeys(many) if x not in self._known]
        for x, found in zip(new, _each(self._heat, new), strict=True):
            self._known[x] = found.error() if isinstance(found, _Broke) else found
            self._tell()


def cores() -> int:
    """Workers that may run at once: one in a worker."""
    if multiprocessing.current_process().daemon or _heat is not None:
        return 1
    return len(os.sched_getaffinity(0)) if forks() else os.cpu_count() or 1


def forks() -> bool:
    """Whether a process may divide itself; on other systems libraries do not survive it."""
    return sys.platform.startswith("linux")


def divided(task: Callable[[X], T], many: Sequence[X]) -> Iterator[T]:
    """A task done for each, in their order, on every core.

    Raises
    ------
    SimulationError     one comes to no end
    """
    for found in _each(task, many):
        if isinstance(found, _Broke):
            raise found.error()
        yield found


def side_by_side(tasks: Sequence[Callable[[], None]], tell: Callable[[], None], stop: Callable[[], None]) -> None:
    """Tasks that share nothing, done at the same time by threads of this process.

    Parameters
    ----------
    tell : () -> None       called now and then meanwhile, by whoever waits here
    stop : () -> None       called when the wait is interrupted; the tasks are to end soon then
    """
    with _short_turns():
        pool = ThreadPoolExecutor(max(1, min(cores(), len(tasks))))
        futures = [pool.submit(task) for task in tasks]
        try:
            while wait(futures, TELL_EVERY).not_done:
                tell()
        except BaseException:
            stop()
            raise
        finally:
            pool.shutdown(cancel_futures=True)
    for future in futures:
        future.result()


@contextmanager
def _short_turns() -> Iterator[None]:
    """Threads of this process ask for their turns sooner."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(min(usual, TURN))
    try:
        yield
    finally:
        sys.setswitchinterval(usual)


def _tried(heat: Callable[[X], T], x: X) -> T | _Broke:
    try:
        return heat(x)
    except TargetNotReachedError as error:
        return _Broke(str(error), (error.part, error.reached, error.target))
    except SimulationError as error:
        return _Broke(str(error), None)


def _each(heat: Callable[[X], T], many: Sequence[X]) -> Iterator[T | _Broke]:
    """The heats in their order."""
    done = 0
    if len(many) >= WORTH and cores() > 1:
        for found in _divided(heat, many):
            yield found
            done += 1
    for x in many[done:]:
        yield _tried(heat, x)


_heat: Callable[[Any], object] | None = None
"""What the workers compute: they inherit it."""


def _divided(heat: Callable[[X], T], many: Sequence[X]) -> Iterator[T | _Broke]:
    """As many of the heats as the workers live to compute."""
    global _heat
    workers = cores()
    _heat = heat
    pool: Executor = (
        ProcessPoolExecutor(workers, multiprocessing.get_context("fork"), _quietly)
        if forks()
        else ThreadPoolExecutor(workers)
    )
    together = max(1, min(TOGETHER, len(many) // (4 * workers)))
    try:
        with nullcontext() if forks() else _short_turns():
            yield from pool.map(_in_worker, many, chunksize=together)  # type: ignore[misc]
    except BrokenProcessPool:  # a worker was killed: what is left is computed here
        pass
    finally:
        _heat = None
        pool.shutdown(cancel_futures=True)


def _quietly() -> None:
    """In a worker: an interruption is the parent's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _in_worker(x: object) -> object:
    assert _heat is not None
    return _tried(_heat, x)
