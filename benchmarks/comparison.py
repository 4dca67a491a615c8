"""One case, all codes: converge, fit each code's setting to equal error, time them by turns, compare answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from .cases import Case, seconds_apart
from .contenders import GOAL, OURS, OURS_CONVERGED, PEERS, Contender
from .measure import Timed, alternate, clock
from .melting import Run

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to take: seconds after which a peer is stopped, turns, and seconds of a code after which it rests."""

    cap: float
    rounds: int = 3
    patience: float = 10.0


@dataclass(frozen=True, slots=True)
class Fitted:
    """A code with the setting that it runs at and its error there; nan where it was too slow to tell."""

    code: Contender
    setting: float
    error: float


def taking_part(case: Case) -> list[Contender]:
    """Peers that can do this case, installed or not."""
    return [p for p in PEERS if case.mesh.number.ndim == 3 or not p.solids]


def compare(
    case: Case, effort: Effort, say: Say, known: dict[str, float] | None = None
) -> tuple[list[dict[str, Any]], dict[str, float]]:
    """Records of a case, and the settings at which its codes ran, by name.

    Parameters
    ----------
    known : settings from a coarser grid, used as they are: the error in time hardly depends on the grid
    """
    say(f"{case.name}, {case.n_cell} cells: converging")
    reference = OURS.run(case, OURS_CONVERGED, clock(float("inf")))
    codes = taking_part(case)
    present = [OURS, *(c for c in codes if c.is_installed)]
    own = _own_references(case, present, effort) if known is None else {}
    fitted = [_fit(case, c, own.get(c.letter, reference), effort, say, known) for c in present]
    say(f"{case.name}: timing by turns")
    jobs = [partial(f.code.run, case, f.setting) for f in fitted]
    timed = alternate(jobs, case.end, effort.cap, effort.rounds, effort.patience)
    ours, rest = timed[0], timed[1:]
    records = [
        _record(case, fitted[0], ours, f, t, own.get(f.code.letter, reference if f.code.converged is None else None))
        for f, t in zip(fitted[1:], rest, strict=True)
    ]
    records += [_absent(case, ours, c) for c in codes if not c.is_installed]
    return records, {f.code.name: f.setting for f in fitted}


def _own_references(case: Case, present: Sequence[Contender], effort: Effort) -> dict[str, Run]:
    """Converged runs of the codes that divide space in another way."""
    return {c.letter: c.run(case, c.converged, clock(10.0 * effort.cap)) for c in present if c.converged is not None}


def _fit(
    case: Case, code: Contender, reference: Run, effort: Effort, say: Say, known: dict[str, float] | None
) -> Fitted:
    """The loosest setting of the ladder whose melt times are all within the goal."""
    if known is not None:
        return Fitted(code, known[code.name], float("nan"))
    for setting in code.ladder:
        say(f"{case.name}: {code.name} at {setting:g}")
        run = code.run(case, setting, clock(effort.cap))
        if run.reached < case.end * (1.0 - 1e-9):
            # All melting is over by then or the run is hopeless; either way a slow code is not run again to fit.
            return Fitted(code, setting, seconds_apart(run.melt, reference.melt))
        error = seconds_apart(run.melt, reference.melt)
        if error <= GOAL:
            return Fitted(code, setting, error)
    raise RuntimeError(f"{code.name}: no setting of its ladder comes within {GOAL:.1%} of the converged melt times")


def _record(
    case: Case, us: Fitted, ours: Timed, fitted: Fitted, timed: Timed, reference: Run | None
) -> dict[str, Any]:
    assert ours.run is not None
    assert timed.run is not None
    record: dict[str, Any] = {
        "case": case.name,
        "cells": case.n_cell,
        "ours_s": ours.best,
        "peer": f"({fitted.code.letter}) {fitted.code.name}",
        "peer_s": None if timed.stopped else timed.best,
        "ratio": None if timed.stopped else timed.best / ours.best,
        "max_difference": seconds_apart(timed.run.melt, ours.run.melt),
        "allowed_difference": fitted.code.agree,
        "ours_setting": us.setting,
        "peer_setting": fitted.setting,
        "peer_error": None if reference is None else seconds_apart(timed.run.melt, reference.melt),
        "ours_runs_s": ours.seconds,
        "peer_runs_s": timed.seconds,
        "peer_steps": timed.run.steps,
        "peer_linear": timed.run.linear,
        "ours_steps": ours.run.steps,
        "ours_newton": ours.run.newton,
        "ours_linear": ours.run.linear,
    }
    if timed.stopped:
        record |= {
            "note": f"stopped after {timed.best:.0f} s at t = {timed.run.reached:.0f} s of {case.end:.0f} s",
            "ratio_at_least": timed.best / ours.best,
            "extrapolated_s": timed.best * case.end / max(timed.run.reached, 1e-9),
        }
    return record


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
