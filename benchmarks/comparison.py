"""One case, all codes: converge, fit each code to equal error, time them by turns, compare answers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from .cases import Case, seconds_apart
from .contenders import GOAL, OURS, OURS_CONVERGED, PEERS, Contender
from .measure import Timed, alternate, clock, once
from .melting import Run

Say = Callable[[str], None]
NEAR_GOAL = 0.8
"""An error of this share of the goal is near enough to stop the search."""
MOST_TRIES = 6


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to take: a peer is stopped after `cap` seconds; `rounds` turns; a code rests after `patience`.

    own : bool      converge the peers that divide space in another way, too; without, they keep the settings that they
                    had on the coarser grid, and their errors are not told
    """

    cap: float
    rounds: int = 3
    patience: float = 10.0
    own: bool = True


@dataclass(frozen=True, slots=True)
class Fitted:
    """A code with the setting that it runs at and its error there; nan where it was too slow to tell.

    stopped : Timed or None     its only run, where the clock stopped it: it is not run again
    """

    code: Contender
    setting: float
    error: float
    stopped: Timed | None = None


def taking_part(case: Case) -> list[Contender]:
    """Peers that can do this case, installed or not."""
    return [p for p in PEERS if case.mesh.number.ndim == 3 or not p.solids]


def compare(
    case: Case, effort: Effort, say: Say, known: dict[str, float] | None = None
) -> tuple[list[dict[str, Any]], dict[str, float]]:
    """Records of a case, and the settings at which its codes ran, by name.

    Parameters
    ----------
    known : settings from a coarser grid to begin the search with: the error hardly depends on the grid
    """
    say(f"{case.name}, {case.n_cell} cells: converging")
    reference = OURS.run(case, OURS_CONVERGED, clock(float("inf")))
    codes = taking_part(case)
    present = [OURS, *(c for c in codes if c.is_installed)]
    own = _own_references(case, present, effort) if effort.own else {}
    unsure = set() if effort.own else {c.letter for c in present if c.converged is not None}
    fitted: list[Fitted] = []
    for code in present:
        if code.follows:
            setting = next(f.setting for f in fitted if f.code.name == code.follows)
            fitted.append(Fitted(code, setting, float("nan")))
        elif code.letter in unsure:
            fitted.append(Fitted(code, (known or {}).get(code.name, code.start), float("nan")))
        else:
            begin = (known or {}).get(code.name, code.start)
            fitted.append(_fit(case, code, begin, own.get(code.letter, reference), effort, say))
    say(f"{case.name}: timing by turns")
    jobs = [partial(f.code.run, case, f.setting) for f in fitted if f.stopped is None]
    measured = iter(alternate(jobs, case.end, effort.cap, effort.rounds, effort.patience))
    timed = [f.stopped or next(measured) for f in fitted]
    ours, rest = timed[0], timed[1:]
    about_us = _about_us(fitted[0], ours, reference)
    records = []
    for f, t in zip(fitted[1:], rest, strict=True):
        pair = _record(case, ours, f, t, own.get(f.code.letter, reference))
        if f.code.letter in unsure:
            pair["peer_error"] = None
        records.append({"case": case.name, "cells": case.n_cell, **pair, **about_us})
    records += [_absent(case, ours, c) for c in codes if not c.is_installed]
    return records, {f.code.name: f.setting for f in fitted}


def _own_references(case: Case, present: Sequence[Contender], effort: Effort) -> dict[str, Run]:
    """Converged runs of the codes that divide space in another way."""
    return {c.letter: c.run(case, c.converged, clock(10.0 * effort.cap)) for c in present if c.converged is not None}


def _fit(case: Case, code: Contender, setting: float, reference: Run, effort: Effort, say: Say) -> Fitted:
    """The loosest setting that we find, beginning with `setting`, whose melt times are all within the goal."""
    tried: dict[float, float] = {}
    for _ in range(MOST_TRIES):
        say(f"{case.name}: {code.name} at {setting:.3g}")
        run, seconds, stopped = once(partial(code.run, case, setting), effort.cap, case.end)
        if stopped:
            # Too slow to be run again and again: it keeps the setting, with the error of what it found.
            error = seconds_apart(run.melt, reference.melt, found_by_both=True)
            return Fitted(code, setting, error, Timed(run, [seconds], stopped=True))
        tried[setting] = seconds_apart(run.melt, reference.melt)
        if NEAR_GOAL * GOAL <= tried[setting] <= GOAL:
            return Fitted(code, setting, tried[setting])
        setting = _next(tried, code.power)
    good = [s for s, error in tried.items() if error <= GOAL]
    if not good:
        raise RuntimeError(
            f"{code.name}: no setting tried comes within {GOAL:.1%} of the converged melt times: {tried}"
        )
    return Fitted(code, max(good), tried[max(good)])


def _next(tried: dict[float, float], power: float) -> float:
    """Where the error should be just below the goal: by the power, or between a good and a bad setting."""
    good = max((s for s, e in tried.items() if e <= GOAL), default=None)
    bad = min((s for s, e in tried.items() if e > GOAL and (good is None or s > good)), default=None)
    if good is not None and bad is not None:
        return math.sqrt(good * bad)
    setting = bad if good is None else good
    assert setting is not None
    factor = (0.93 * GOAL / max(tried[setting], 1e-3 * GOAL)) ** (1.0 / power)
    return setting * min(max(factor, 0.1), 5.0)


def _record(case: Case, ours: Timed, fitted: Fitted, timed: Timed, reference: Run) -> dict[str, Any]:
    assert ours.run is not None
    assert timed.run is not None
    melt, stopped = timed.run.melt, timed.stopped
    record: dict[str, Any] = {
        "ours_s": ours.best,
        "peer": f"({fitted.code.letter}) {fitted.code.name}",
        "peer_s": None if stopped else timed.best,
        "ratio": None if stopped else timed.best / ours.best,
        "max_difference": seconds_apart(melt, ours.run.melt, found_by_both=stopped),
        "allowed_difference": fitted.code.agree,
        "peer_setting": fitted.setting,
        "peer_error": seconds_apart(melt, reference.melt, found_by_both=stopped),
        "peer_runs_s": timed.seconds,
        "peer_steps": timed.run.steps,
        "peer_linear": timed.run.linear,
    }
    if stopped:
        record |= {
            "note": f"stopped after {timed.best:.0f} s at t = {timed.run.reached:.0f} s of {case.end:.0f} s",
            "ratio_at_least": timed.best / ours.best,
            "extrapolated_s": timed.best * case.end / max(timed.run.reached, 1e-9),
        }
    return record


def _about_us(us: Fitted, ours: Timed, reference: Run) -> dict[str, Any]:
    assert ours.run is not None
    return {
        "ours_setting": us.setting,
        "ours_error": seconds_apart(ours.run.melt, reference.melt),
        "ours_runs_s": ours.seconds,
        "ours_steps": ours.run.steps,
        "ours_newton": ours.run.newton,
        "ours_linear": ours.run.linear,
    }


def _absent(case: Case, ours: Timed, code: Contender) -> dict[str, Any]:
    return {
        "case": case.name,
        "cells": case.n_cell,
        "ours_s": ours.best,
        "peer": f"({code.letter}) {code.name}",
        "peer_s": None,
        "ratio": None,
        "max_difference": None,
        "note": f"not installed: {code.library}",
    }
