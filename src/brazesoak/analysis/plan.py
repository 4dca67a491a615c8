"""From a job to its plan: settle what is open, simulate, see how sure, check, advise."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ..answer import Assumption, Plan
from ..bridge.simulate import Finish, Progress
from . import fidelity as fidelities
from .fidelity_choice import check_grid, choose
from .hold import needed_hold, recommended_hold
from .instruments import thermocouple
from .prepared import Prepared, prepare, told_with_its_line
from .sampling import how_sure
from .settings import Settings
from .spread import Uncertain, emissivity_inputs, uncertain_inputs
from .telling import Computed, tell

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library

__all__ = ["Prepared", "make_plan", "prepare"]


def make_plan(
    read: ReadJob,
    library: Library,
    *,
    fidelity: str | None = None,
    compare: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """The plan of a job.

    Parameters
    ----------
    fidelity : ``network``, ``section``, ``solid``, ``auto`` or None   None: as the job says
    compare : bool      also compute every fidelity there is, side by side
    progress            called with what is being done and its share

    Raises
    ------
    InputError, DataError, SimulationError
    """
    report = progress or (lambda what, share: None)
    prepared = prepare(read, library)
    with told_with_its_line(read):
        computed = compute(prepared, fidelity or read.job.fidelity, compare, report)
    is_default = fidelity is None and "fidelity" not in read.job.model_fields_set
    return tell(read, prepared, computed if not is_default else _with_default_fidelity(computed), library)


def compute(prepared: Prepared, wanted: str, compare: bool, report: Progress) -> Computed:
    """Everything that the plan of a job made ready tells."""
    chosen, why = choose(prepared, wanted)
    check_grid(prepared, chosen)
    report("how sure", 0.0)
    spread, sampled, heats = how_sure(prepared, chosen, uncertain(prepared), report)
    finish = _finish(prepared.settings, sampled.recommended(prepared.settings.confidence))
    model = prepared.model(prepared.inputs)
    main = fidelities.main_run(model, chosen, finish, prepared.settings.open_below, report)
    has_bores = any(s.bore_area > 0.0 for s in prepared.assembly.segments)
    rows = fidelities.compare(prepared, finish, report) if compare else ()
    return Computed(
        chosen, why, main, spread, sampled, heats, rows, fidelities.grid_assumption(chosen, main, has_bores)
    )


def _with_default_fidelity(computed: Computed) -> Computed:
    note = Assumption(
        "fidelity",
        "chosen by the tool",
        "the job file does not say; a section or solid where there is one",
        short="fidelity the tool's choice",
    )
    return replace(computed, assumptions=(note, *computed.assumptions))


def _finish(settings: Settings, allowance: float) -> Finish:
    """When the recommended hold ends."""

    def finish(clock_start: float, last_target: float) -> float:
        needed = needed_hold(clock_start, last_target, settings.wanted)
        return clock_start + recommended_hold(needed, allowance)

    return finish


def uncertain(prepared: Prepared) -> list[Uncertain]:
    """Every input that is not known, with its ends."""
    s = prepared.settings
    emissivities = emissivity_inputs(prepared.inputs, prepared.assembly)
    sensor = thermocouple(s.thermocouple, s.set_point)
    return uncertain_inputs(
        prepared.inputs, emissivities, s.film, s.film_source, s.uniformity, s.uniformity_source, *sensor
    )
