"""What the core raises.

SolverError
├── ProblemError        arrays that do not describe a problem
└── ConvergenceError    a step that could not be completed, however short
"""


class SolverError(Exception):
    """Root of everything the core raises on purpose."""


class ProblemError(SolverError, ValueError):
    """Arrays that do not describe a heat-conduction problem: shapes, signs or indices are wrong."""


class ConvergenceError(SolverError):
    """A step that did not converge, however short.

    Attributes
    ----------
    time : float        start of the step [s]
    step : float        shortest step tried [s]
    cell : int          where the residual is largest
    residual : float    largest residual, as a temperature [K]
    """

    def __init__(self, *, time: float, step: float, cell: int, residual: float) -> None:
        self.time = time
        self.step = step
        self.cell = cell
        self.residual = residual
        super().__init__(
            f"no convergence at t = {time:.6g} s with a step of {step:.3g} s: cell {cell} is still {residual:.3g} K off"
        )
