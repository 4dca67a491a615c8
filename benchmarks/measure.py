"""Timing: ours and the peers by turns, a clock that stops a slow one, and what machine it was."""

from __future__ import annotations

import os
import platform
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from .melting import OutOfTimeError, Run


@dataclass
class Timed:
    """Times of one code and what it found.

    seconds : [float]       of every run; the table shows the shortest, since disturbances only add
    """

    run: Run | None = None
    seconds: list[float] = field(default_factory=list)
    stopped: bool = False

    @property
    def best(self) -> float:
        """Shortest time [s]."""
        return min(self.seconds)


def clock(cap: float) -> Callable[[float], None]:
    """A clock that starts now and raises `OutOfTimeError` after `cap` seconds."""
    start = time.perf_counter()

    def tick(_: float) -> None:
        if time.perf_counter() - start > cap:
            raise OutOfTimeError

    return tick


def once(job: Callable[[Callable[[float], None]], Run], cap: float, end: float) -> tuple[Run, float, bool]:
    """Run a job once: what it found, its time, and whether the clock stopped it before `end`."""
    start = time.perf_counter()
    run = job(clock(cap))
    return run, time.perf_counter() - start, run.reached < end * (1.0 - 1e-9)


def alternate(
    jobs: Sequence[Callable[[Callable[[float], None]], Run]],
    end: float,
    cap: float,
    rounds: int,
    patience: float,
) -> list[Timed]:
    """Run all jobs by turns, up to `rounds` times each; one that has used `patience` seconds rests."""
    found = [Timed() for _ in jobs]
    for _ in range(rounds):
        for job, timed in zip(jobs, found, strict=True):
            if timed.seconds and (timed.stopped or sum(timed.seconds) > patience):
                continue
            timed.run, seconds, timed.stopped = once(job, cap, end)
            timed.seconds.append(seconds)
    return found


def alone(case: str, cells: int, seconds: float, **more: Any) -> dict[str, Any]:
    """A record without a peer."""
    none = dict.fromkeys(("peer", "peer_s", "ratio", "max_difference"))
    return {"case": case, "cells": cells, "ours_s": seconds, **none, **more}


def machine() -> dict[str, Any]:
    """Processor, cores, versions, and how busy the machine is."""
    names = ("numpy", "scipy", "numba", "scikit-fem", "fipy")
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    return {
        "processor": _processor(),
        "cores": os.cpu_count(),
        "system": f"{platform.system()} {platform.machine()}, Python {platform.python_version()}",
        "versions": {name: _version(name) for name in names},
        "load_at_start": round(load, 2),
    }


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text().splitlines()
    except OSError:
        return platform.processor()
    return next(
        (line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")),
        platform.processor(),
    )


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
