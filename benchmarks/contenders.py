"""Who takes part: each code with its settings, and how we came by them.

"Equal error" means: the loosest setting with which every melt time is within `GOAL` of the converged one on
the same grid; `comparison` searches for it from `start`. Everything else about a peer (tolerances of Newton's
method and of the linear solver, growth of the step) was chosen for the shortest time at that error:

- one linearised step is enough for backward Euler, whose own error rules; a second one costs 90 % more time
  for no visible gain. The second-order formula needs its Newton step repeated until it moves less than 1 K.
- linear residual 1e-2 for short steps: 1e-4 costs 40 % more iterations and changes no melt time by 0.01 %.
- steps that adapt beat equal steps four times, because the last half hour is dull.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from . import ours
from .cases import Case
from .melting import Run

GOAL = 0.005
"""Largest error of any melt time, relative, against a converged run on the same grid."""
OURS_CONVERGED = 0.03
"""Tolerance of the engine's converged run [K]; see the cross-check for how far its melt times are right."""

Clock = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Contender:
    """One code in one way of use.

    letter : str                    of the peer, as the benchmark names it
    library : str                   to be installed, or empty
    start : float                   step [s] or tolerance [K] that the search begins with
    power : float                   the error goes about with this power of the setting
    follows : str                   name of a code that marches alike: its setting is taken, because one's own
                                    search would take too long
    converged : float or None       setting of its own converged run, where its space discretisation differs
    agree : float                   allowed difference of melt times from ours, both at their settings
    solids : bool                   takes 3-D cases only
    """

    letter: str
    name: str
    library: str
    start: float
    power: float
    run: Callable[[Case, float, Clock], Run]
    follows: str = ""
    converged: float | None = None
    agree: float = 2.02 * GOAL  # both may err by the goal, to opposite sides
    solids: bool = False

    @property
    def is_installed(self) -> bool:
        """Whether its library can be had."""
        return not self.library or importlib.util.find_spec(self.library) is not None


def run_ours(case: Case, setting: float, clock: Clock) -> Run:
    """The engine's core; it needs no clock."""
    return ours.run(case, setting)


def _peer(
    module: str, order: int, equal: bool, options: dict[str, Any], case: Case, setting: float, clock: Clock
) -> Run:
    """Import a peer only when it runs, so that one that is not installed hurts nobody."""
    from .peers.implicit import March

    peer = importlib.import_module(f".peers.{module}", __package__)
    how = March(1, linear=1e-2, most=1) if order == 1 else March(2, newton=1.0, linear=1e-2, growth=2.0)
    wanted = {"step": setting} if equal else {"tolerance": setting}
    return peer.run(case, how, clock, **wanted, **options)  # type: ignore[no-any-return]


def _bdf(case: Case, setting: float, clock: Clock) -> Run:
    from .peers import bdf

    return bdf.run(case, setting, clock)


def _way(
    letter: str, library: str, module: str, order: int, equal: bool, name: str, start: float, **more: Any
) -> Contender:
    power = 1.0 if equal else order / (order + 1)
    run = partial(_peer, module, order, equal, more.pop("options", {}))
    return Contender(letter, name, library, start, power, run, **more)


_FEM: dict[str, Any] = {"agree": 0.015, "solids": True}
"""Trilinear elements differ from finite volumes by 0.3 % at 4 mm and by a quarter of that at 2 mm."""
_EQUAL = "numpy + scipy, backward Euler, equal steps"

OURS = Contender("", "brazesoak_solvers", "", 150.0, 0.4, run_ours)
PEERS = (
    _way("a", "", "hand", 1, True, _EQUAL, 2.5),
    _way("a", "", "hand", 1, False, "numpy + scipy, backward Euler, adaptive", 0.035),
    _way("a", "", "hand", 2, False, "numpy + scipy, second order, adaptive", 12.0),
    _way("b", "skfem", "fem", 1, True, "scikit-fem, assembled each step, backward Euler, equal steps", 2.5,
         follows=_EQUAL, options={"kept": False}, **_FEM),
    _way("b", "skfem", "fem", 1, False, "scikit-fem, element matrices kept, backward Euler, adaptive", 0.035,
         **_FEM),
    _way("b", "skfem", "fem", 2, False, "scikit-fem, element matrices kept, second order, adaptive", 12.0,
         converged=0.2, **_FEM),
    _way("c", "fipy", "fipy_", 1, False, "FiPy, backward Euler, adaptive", 0.035, solids=True),
    _way("c", "fipy", "fipy_", 2, False, "FiPy, second order by way of its source term, adaptive", 12.0,
         solids=True),
    Contender("d", "scipy solve_ivp BDF, sparse Jacobian", "", 3.0, 0.5, _bdf),
)  # fmt: skip
