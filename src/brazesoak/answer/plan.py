"""What to set, how long to hold, which joint rules, what to watch, how sure."""

from __future__ import annotations

from dataclasses import dataclass

from .heat import Cooling, Energy, FidelityRow, Histories, ProgramStep, Section
from .limits import Window
from .load import JointAnswer, JointAtHeat, Orientation, SegmentAnswer
from .notes import Assumption, Caution, Notice
from .sure import Chances, Driver, Placing

OWN_DISPLAY = "the furnace's own display"
"""What the hold is counted by, unless the controller goes by a thermocouple in the load."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to set, how long to hold, which joint rules, what to watch, how sure."""

    title: str
    job_path: str
    furnace: str
    furnace_is_ideal: bool
    set_point: float
    """[K]"""
    set_point_reason: str
    hold_time: float
    """Recommended hold [s], from `clock_start`: enough at `chances.confidence`, up to a whole minute."""
    hold_time_nominal: float
    """[s] with every input at its use value."""
    hold_time_low: float
    hold_time_high: float
    """Root-sum-square range of the nominal hold [s]."""
    clock_start: float
    """When the furnace's own sensor first comes within `clock_band` of the set-point [s]."""
    clock_band: float
    """[K]"""
    hold_end: float
    """`clock_start` plus `hold_time` [s]."""
    superheat: float
    """Wanted above the liquidus [K]."""
    minutes_at_target: float
    """Wanted above the target [s]."""
    ruling_joint: str
    ruling_reason: str
    """One sentence."""
    rule_of_thumb: float
    """One hour per kilogram [s]."""
    rule_sentence: str
    """Why the hold and the rule differ, one sentence."""
    fidelity: str
    """``network``, ``section axisymmetric``, ``section plane`` or ``section stack``."""
    fidelity_reason: str
    energy_balance_error: float
    """Relative to the heat taken up."""
    total_mass: float
    """Of all copies [kg]."""
    segments: tuple[SegmentAnswer, ...]
    joints: tuple[JointAnswer, ...]
    program: tuple[ProgramStep, ...]
    drivers: tuple[Driver, ...]
    """Largest first."""
    warnings: tuple[Notice, ...]
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]
    watch: tuple[str, ...]
    """What to watch during the heat, one sentence each."""
    thermocouple: str
    """Where to put the thermocouple and what it should read when the hold may end, one or two sentences."""
    filler_amounts: tuple[tuple[str, float], ...]
    """(joint name, filler volume with allowance [m3])."""
    joints_solid: float | None
    """Every joint below its solidus on cooling [s]; None when the cooling was not computed."""
    safe_to_open: float | None
    """Everything below the opening temperature [s]; None when the cooling was not computed."""
    opening_temperature: float
    """[K]"""
    energy: Energy
    histories: Histories
    section: Section | None
    fidelities: tuple[FidelityRow, ...] = ()
    """Side by side, when asked for."""
    loaded_hot: bool = False
    """Whether the furnace is at its set-point when the load goes in."""
    cells: int = 0
    """Of the computation that is told."""
    fineness: int = 0
    """Of its grid; 0: not told."""
    chances: Chances | None = None
    """In how many heats a hold is enough; None: not told."""
    at_heat: tuple[JointAtHeat, ...] = ()
    """By joint; empty: not told."""
    window: Window | None = None
    """The recommended hold between floor and ceilings; None: not told."""
    orientation: Orientation | None = None
    """None: not told."""
    display: str = OWN_DISPLAY
    """What the hold is counted by."""
    overshoot: float = 0.0
    """How far that goes past the highest temperature of the program [K]."""
    placing: Placing | None = None
    """None: no place is read in every heat."""
    cooling: Cooling | None = None
    """None where the cooling was not computed."""
    copies: int = 1
    """Of the assembly in the heat; energies are those of all, areas and fillers those of one."""
    largest_within: float | None = None
    """Largest difference inside one segment up to the end of the hold [K]; None: each has one temperature."""
    largest_across: float | None = None
    """The same between places of two segments [K]; None: not told."""
    empty_time: float | None = None
    """Of a furnace loaded hot: at full power, empty, from the room's temperature to the set-point [s]; None: loaded
    cold, ideal, or never."""
    empty_heat: float | None = None
    """Given meanwhile by the heater [J]."""
    hold_doubt: str = ""
    """What the holds suppose that these parts do not fulfil, and what to do: "if ..."; empty: nothing."""
