"""Transient heat conduction on a graph of cells.

A graph is cells joined by faces and bounded by surroundings; a lumped network, a section in one or two
dimensions and a block in three are all graphs (`Graph`, `structured`). `steps` marches a problem in time,
conserving energy; a `Watch` records what probes read and when they pass a temperature. Everything is in SI.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .arrays import Signals
    from .equilibrium import steady
    from .errors import ConvergenceError, ProblemError, SolverError
    from .graph import Graph
    from .materials import Material, material
    from .mesh import Mesh, graded_edges, structured
    from .probes import Probe, pack_probes
    from .problem import Problem
    from .step import Options, Step, Switch
    from .stepping import March, steps
    from .watching import Goal, Passing, Watch

_WHERE = {
    "errors": ("ConvergenceError", "ProblemError", "SolverError"),
    "materials": ("Material", "material"),
    "mesh": ("Mesh", "graded_edges", "structured"),
    "probes": ("Probe", "pack_probes"),
    "arrays": ("Signals",),
    "graph": ("Graph",),
    "problem": ("Problem",),
    "equilibrium": ("steady",),
    "step": ("Options", "Step", "Switch"),
    "stepping": ("March", "steps"),
    "watching": ("Goal", "Passing", "Watch"),
}
_MODULE = {name: module for module, names in _WHERE.items() for name in names}

__all__ = [
    "ConvergenceError",
    "Goal",
    "Graph",
    "March",
    "Material",
    "Mesh",
    "Options",
    "Passing",
    "Probe",
    "Problem",
    "ProblemError",
    "Signals",
    "SolverError",
    "Step",
    "Switch",
    "Watch",
    "graded_edges",
    "material",
    "pack_probes",
    "steady",
    "steps",
    "structured",
]


def __getattr__(name: str) -> Any:
    """Import on first use: constants can then be had without loading the compiler."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f".{_MODULE[name]}", __name__), name)
    globals()[name] = value  # a submodule of the same name must not hide it
    return value
