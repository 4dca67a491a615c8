"""The calls that most users of the library need."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .answer import Plan
    from .bridge.simulate import Progress


def plan(
    job: str | Path, *, fidelity: str | None = None, compare: bool = False, progress: Progress | None = None
) -> Plan:
    """The plan of the job in the file `job`.

    Parameters
    ----------
    fidelity : ``auto``, ``network``, ``section``, ``solid`` or None     None: as the job says
    compare : bool          also compute every fidelity there is, side by side
    progress                called with what is being done and its share, 0 to 1

    Raises
    ------
    InputError, DataError, SimulationError      see `brazesoak.errors`
    """
    from .analysis.plan import make_plan
    from .jobfile.names import read_with_library

    read, library = read_with_library(Path(job))
    return make_plan(read, library, fidelity=fidelity, compare=compare, progress=progress)
