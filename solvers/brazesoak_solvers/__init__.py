"""Transient heat conduction on a graph of cells.

A graph is cells joined by faces and bounded by surroundings; a lumped network, a section in one or two
dimensions and a block in three are all graphs (`Graph`, `structured`). `steps` marches a problem in time,
conserving energy; a `Watch` records what probes read and when they pass a temperature. Everything is in SI.
"""

from .errors import ConvergenceError, ProblemError, SolverError
from .materials import Material, material
from .mesh import Mesh, graded_edges, structured
from .probes import Probe
from .problem import Graph, Problem, Signals
from .steady import steady
from .stepping import Options, Step, Switch, steps
from .watching import Passing, Watch

__all__ = [
    "ConvergenceError",
    "Graph",
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
    "steady",
    "steps",
    "structured",
]
