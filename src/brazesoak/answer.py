"""The answer to a job: plain values in SI (kelvin, seconds, metres, kilograms), made by `analysis.plan`.

Everything that shows an answer (`report/`, `plots/`, `results/`) reads these and computes nothing.
Times count from the start of the program. A time of ``None`` means: never within this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Notice:
    """A warning on the plan: a stable code for machines; what, why and what to do for people."""

    code: str
    """Kebab-case, for example ``set-point-high``."""
    message: str
    """What is the matter and why it matters, one or two sentences with the numbers."""
    action: str
    """What to do."""
    source: str
    """Published source, or ``common practice, no source``."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety caution that applies to this job."""

    hazard: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Assumption:
    """A default that was used because the job file is silent, or a simplification of the model."""

    what: str
    value: str
    why: str
    """Reason and source."""


@dataclass(frozen=True, slots=True)
class SegmentAnswer:
    """One segment: what it is and when it was hot enough."""

    name: str
    metal: str
    """Name and designations of the metal."""
    surface: str
    mass: float
    """[kg]"""
    exposed_area: float
    """Surface that sees the furnace [m2]."""
    thickest_section: float
    """[m]"""
    biot: float
    """Biot number at the set-point: film and radiation coefficient times half thickness over conductivity."""
    passes_solidus: float | None
    """Its coldest place passes the solidus of the highest-melting filler joined to it [s]."""
    passes_liquidus: float | None
    peak: float
    """Hottest temperature anywhere in it [K]."""
    solidus_margin: float
    """Solidus of the metal less `peak` [K]."""
    scale: float | None = None
    """At its hottest place at the end of the hold [m]; None: a metal or surface that does not scale as iron does."""
    mass_on_grid: float | None = None
    """What the grid itself has of `mass`, to which it is then scaled [kg]; None: no grid."""
    exposed_area_on_grid: float | None = None
    """What the grid itself has of `exposed_area` [m2]; it is kept where parts shade each other, else scaled."""
    sensitising_time: float | None = None
    """In the range where plain austenitic steel sensitises, cooling included [s]; None: another metal."""


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """One joint: what is in it and when its coldest point passed each temperature."""

    name: str
    segments: tuple[str, str]
    filler: str
    flux: str
    area: float
    """[m2]"""
    gap: float
    """As given, cold [m]."""
    solidus: float
    liquidus: float
    target: float
    """Liquidus plus the wanted superheat, as used [K]."""
    passes_solidus: float | None
    passes_liquidus: float | None
    passes_target: float | None
    time_above_target: float
    """Until the end of the recommended hold [s]."""
    time_between_solidus_and_liquidus: float | None
    flux_time: float
    """From when its hottest point passes the temperature from which the flux is counted to the end of the recommended
    hold [s]."""
    time_error: float
    """Numerical error of `passes_target`: time step and grid [s]."""
    flux_life: float | None = None
    """For how long the flux is trusted [s]; None: nobody gives a figure."""
    area_on_grid: float | None = None
    """What the grid itself has of `area`, to which it is then scaled [m2]; None: no grid."""


@dataclass(frozen=True, slots=True)
class JointAtHeat:
    """One joint at its brazing temperature, all parts alike and free to expand."""

    name: str
    is_plug: bool
    """A plug in a hole; any other joint keeps its gap, since its parts lie on each other."""
    temperature: float
    """The joint's target [K]."""
    gap: float | None
    """[m]; zero or less: closed; None: a plug whose diameter is not known."""
    clearance: tuple[float, float]
    """Least and greatest gap at brazing temperature for the filler [m]."""
    depth: float
    """Of a plug [m], else 0."""
    rise: tuple[float, float, float] | None
    """Height that filler climbs where the joint stands upright, low, use and high [m]; None: no open gap is known."""
    gap_volume: float
    """Of the wider of the cold and the hot gap [m3]."""
    fillet_volume: float
    """Of the fillets along its edges [m3]."""
    filler_volume: float
    """For gap and fillets, with the allowance for loss [m3]."""
    filler_mass: float
    """[kg]"""
    wires: tuple[tuple[float, float], ...]
    """(diameter, length) of wire that holds it [m]."""
    foil: tuple[float, float]
    """Thickness [m] and area [m2] of foil that holds it."""
    cooling_strain: float
    """Shrinkage of the first segment less that of the second, from the filler's solidus to 20 degC."""
    source: str
    """Of the expansion of both metals."""


@dataclass(frozen=True, slots=True)
class Posture:
    """The assembly with one axis of the job upright, and how its joints lie then."""

    axis: str
    """``x``, ``y`` or ``z``, upright."""
    words: str
    joints: tuple[str, ...]
    """Joints that can be brazed so: flat, or their filler climbs high enough."""
    flat: tuple[str, ...]
    climbs: tuple[tuple[str, float], ...]
    """Joints that stand, and their height, which the filler climbs by the low value of its rise [m]."""
    too_high: tuple[tuple[str, float], ...]
    """Joints that stand, and their height, which the filler does not surely climb [m]."""


@dataclass(frozen=True, slots=True)
class Orientation:
    """How to stand the assembly in the furnace, and in how many heats."""

    reason: str
    heats: tuple[Posture, ...]
    """In order; each with the joints that are brazed in it. Empty: the places of the parts are not known."""
    tried: tuple[Posture, ...]
    margin: float
    """Wanted from the first solidus down to a second filler's liquidus [K]."""
    lower: tuple[str, ...]
    """Fillers for the second heat that melt low enough, best first; empty: not needed, or none."""
    higher: tuple[str, ...]
    """Fillers for the first heat that melt high enough, best first; empty: not needed, or none."""
    remelts: bool = False
    """Whether the second heat melts the joints of the first, with the fillers of the job."""


@dataclass(frozen=True, slots=True)
class Driver:
    """One uncertain input and the nominal hold at its low and its high value."""

    name: str
    low_input: str
    high_input: str
    hold_at_low: float | None
    """[s]; None: a joint never comes to its target."""
    hold_at_high: float | None
    """[s]; None: a joint never comes to its target."""
    source: str


@dataclass(frozen=True, slots=True)
class Percentile:
    """What is enough in a share of heats like this one. ``None``: no time is enough, a joint never gets there."""

    share: float
    hold: float | None
    """[s]"""
    standard_error: float | None
    """Sampling error of `hold` [s]."""
    hold_of_half: float | None
    """`hold` from the first half of the samples, to see it settle [s]."""
    passes_target: dict[str, float | None]
    """By joint name [s]."""
    settling: tuple[tuple[int, float | None], ...] = ()
    """Number of samples, each twice the one before, and `hold` from the first so many [s]."""


@dataclass(frozen=True, slots=True)
class Chances:
    """The hold with every uncertain input varied at once."""

    confidence: float
    """Share of heats that the recommended hold is to be enough for."""
    percentiles: tuple[Percentile, ...]
    """By rising share."""
    samples: int
    seed: int
    never: float
    """Share of the heats in which a joint never comes to its target, those that the solver could not finish among them.
    """
    model_error: float | None
    """Of the holds near the recommended percentile, for the network or the grid that the heats were computed with [s];
    None: computed better, a joint of one of those heats never gets there."""
    measure: str
    """The one measurement that would narrow the range most, one sentence; empty when nothing is uncertain."""
    margin: float = 0.0
    """Added to the recommended hold for sampling and model error [s]."""
    gave_up: int = 0
    """Heats that the solver could not finish; they count as never, which errs on the long side."""
    sampled_as: str = "network"
    """Fidelity that the heats were computed with."""
    cells: int = 0
    """Of the load in each of them; 0: not told."""
    checked_on: int = 0
    """Cells of the load in the few heats of the plan's fidelity that `model_error` is from; 0: nothing to check."""

    @property
    def recommended(self) -> Percentile:
        """The percentile at `confidence`."""
        return next(p for p in self.percentiles if p.share == self.confidence)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place for a thermocouple and the best reading to count from there."""

    place: str
    """In words."""
    reading: float
    """[K]"""
    low: float
    high: float
    """Needed from the reading in 5 and in 95 of 100 heats [s]; below 0: joints are ready before it."""


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a thermocouple on the load tells most about the slowest joint, and the hold counted from its reading."""

    segment: str
    place: str
    """In words."""
    reading: float
    """To count from [K]."""
    expected: float
    """When it comes with every input at its use value [s]."""
    hold: float
    """From the reading, enough in the share of heats that the plan is for, up to a whole minute [s]."""
    low: float
    high: float
    """Needed from the reading in 5 and in 95 of 100 heats [s]."""
    display_low: float
    display_high: float
    """The same from the furnace's own display [s]."""
    time_constant: float
    """Of the thermocouple [s]."""
    behind: float
    """Its place less what it shows, at the reading [K]."""
    delay: float | None
    """From when it shows the joint's target until the slowest joint is there [s]; below 0: the joint is there first;
    None: it does not show it by the end of the hold."""
    candidates: tuple[Candidate, ...]
    """Every place, the one that tells most first."""
    thermocouple: str = "K class 2"
    """Type and tolerance class; a wrong reading within it is counted in all of these."""


@dataclass(frozen=True, slots=True)
class FidelityRow:
    """One fidelity of the same job, for the table side by side."""

    fidelity: str
    cells: int
    hold_time_nominal: float
    ruling_joint: str
    passes_target: dict[str, float | None]
    """By joint name [s]."""
    energy_balance_error: float
    time_error: float
    """[s]"""
    wall_time: float
    """Spent computing [s]."""


@dataclass(frozen=True, slots=True)
class ProgramStep:
    """One line of the furnace program to be set, in order."""

    action: str
    """``ramp``, ``hold`` or ``off``."""
    temperature: float | None
    """[K]"""
    rate: float | None
    """[K/s]; None: as fast as the furnace can."""
    duration: float | None
    """[s]"""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Histories:
    """Temperatures against time, for figures and files. All temperatures in kelvin."""

    time: FloatArray
    """float64[n_time] [s]"""
    program: FloatArray
    """float64[n_time]: what the program asks for (the set-point during the hold)."""
    sensor: FloatArray
    """float64[n_time]: what the furnace's own sensor shows."""
    segment_coldest: FloatArray
    """float64[n_segment, n_time]"""
    segment_hottest: FloatArray
    """float64[n_segment, n_time]"""
    joint_coldest: FloatArray
    """float64[n_joint, n_time]"""


@dataclass(frozen=True, slots=True)
class Section:
    """A temperature field of a 2-D section at one time, for a picture. None for a network."""

    kind: str
    """``axisymmetric`` (x is the radius, y the axis) or ``plane`` or ``stack`` (one cell wide)."""
    x_edges: FloatArray
    """float64[nx + 1] [m]"""
    y_edges: FloatArray
    """float64[ny + 1] [m]"""
    segment: NDArray[np.int64]
    """int64[nx, ny]: index of the segment, -1 where there is none."""
    temperature: FloatArray
    """float64[nx, ny] [K], NaN where there is no segment."""
    time: float
    """[s]"""


@dataclass(frozen=True, slots=True)
class CopiesRow:
    """So many copies of the load in one heat, every input at its most likely value; times [s], None: never."""

    copies: int
    columns: int
    rows: int
    at_set_point: float | None
    """The display reads the set-point, within the clock's band."""
    hold: float | None
    """Needed, nominal."""
    total: float | None
    """From the start to the end of that hold."""
    heater: float | None
    """Given until then, for all copies [J]."""
    note: str
    """Why they do not get there; empty where all is well."""


@dataclass(frozen=True, slots=True)
class CopiesTried:
    """How many copies of a load stand in its furnace, and what a heat of fewer and of all of them is like."""

    room_for: int
    spacing: float
    """[m]"""
    box: tuple[float, float, float]
    """Around one load, along x, y and z [m]."""
    side: float
    """Of the space in the chamber that may be filled [m]."""
    fidelity: str
    rows: tuple[CopiesRow, ...]


@dataclass(frozen=True, slots=True)
class FurnaceTrial:
    """A furnace of the library with the load of a job, its own program, nominal inputs, as a network.

    Times from the start [s]; None where the load does not come to its target, or does not fit, see `note`.
    """

    id: str
    volume: float
    """[m3]"""
    power: float
    """[W]"""
    empty: float | None
    """Empty at full power from 20 to 750 degC on the display; None if it never comes to it."""
    loaded: float | None
    """The same with the load; None if it never comes to it or does not fit."""
    at_set_point: float | None
    """The display reads the set-point, within the clock's band."""
    liquid: float | None
    """The slowest joint passes its liquidus."""
    hold: float | None
    """Needed, nominal [s]."""
    heater: float | None
    """Given to the end of the hold [J]."""
    note: str
    """Why the load does not fit, or does not get there; empty where all is well."""
    time: FloatArray
    """float64[n] of the loaded heat [s], empty where there is none."""
    display: FloatArray
    """float64[n] [K]"""
    coldest: FloatArray
    """float64[n], of all joints [K]"""
    empty_time: FloatArray
    """float64[m] of the empty heat [s]"""
    empty_display: FloatArray
    """float64[m] [K]"""
    full_time: FloatArray
    """float64[k] of the load at full power [s], empty where it does not fit"""
    full_display: FloatArray
    """float64[k] [K]"""


@dataclass(frozen=True, slots=True)
class FurnaceRow:
    """A furnace of the library, empty and at full power from 20 to 750 degC."""

    id: str
    power: float
    """[W]"""
    volume: float
    """[m3]"""
    time: float | None
    """Until the chamber is there [s]; None if it never comes to it."""
    heat: float
    """Given by the heater until then [J]."""
    holding: float
    """Power that holds it there once the lining is warm through [W]."""


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A limit on the end of the hold."""

    name: str
    """``flux``, ``solidus``, ``zinc``, ``scale`` or ``sensitisation``."""
    latest: float
    """Latest end of the hold, from the start of the program [s]."""
    reason: str
    remedy: str
    """What would lift it."""
    source: str


@dataclass(frozen=True, slots=True)
class Window:
    """When the hold may end: not before `earliest`, not after any ceiling."""

    earliest: float | None
    """Long enough whatever the inputs, as sure as was asked for [s] from the start; None: a joint never gets there."""
    nominal: float | None
    """Long enough with every input at its use value [s] from the start."""
    ceilings: tuple[Ceiling, ...]
    """Lowest first."""

    @property
    def violated(self) -> tuple[Ceiling, ...]:
        """The ceilings that lie below the floor; all of them when there is no floor."""
        return tuple(c for c in self.ceilings if self.earliest is None or c.latest < self.earliest)

    @property
    def works(self) -> bool:
        """Whether some hold is long enough and short enough."""
        return self.earliest is not None and not self.violated

    @property
    def message(self) -> str:
        """What is the matter, a sentence; empty where a hold works."""
        if self.works:
            return ""
        if self.earliest is None:
            return "No hold works at this set-point: a joint never comes to its target."
        reasons = "; ".join(told_once(c.reason for c in self.violated))
        if self.nominal is not None and self.nominal <= min(c.latest for c in self.violated):
            head = "No hold at this set-point is both short enough and sure to be long enough"
        else:
            head = "No hold works at this set-point"
        return f"{head}: before all joints are done, {reasons}."

    @property
    def remedy(self) -> str:
        """What would work, a sentence; empty where a hold works."""
        if self.works:
            return ""
        if self.earliest is None:
            return "What would: a hotter set-point or a lower-melting filler."
        return f"What would: {'; or '.join(dict.fromkeys(c.remedy for c in self.violated))}."


def told_once(reasons: Iterable[str]) -> list[str]:
    """Reasons, those that differ only in the one name in quotes as one: the flux of "a", "b" and "c" is spent ..."""
    groups: dict[tuple[str, str], list[str]] = {}
    for reason in dict.fromkeys(reasons):
        before, _, rest = reason.partition('"')
        name, _, after = rest.partition('"')
        groups.setdefault((before, after), []).append(f'"{name}"' if rest else "")
    return [f"{before}{_listed(names)}{after}" for (before, after), names in groups.items()]


def _listed(names: Sequence[str]) -> str:
    """One, two or three names, or two and how many more."""
    if len(names) > 3:
        return f"{names[0]}, {names[1]} and {len(names) - 2} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


@dataclass(frozen=True, slots=True)
class Cooling:
    """The way down after the hold."""

    how: str
    """Once everything is below the opening temperature: door ``shut``, ``ajar``, or load in ``still air``."""
    safe_to_handle: float | None
    """Everything below 60 degC, with gloves [s]; None: not within four days."""
    rates: tuple[tuple[str, float | None], ...]
    """By segment, from 700 degC (or where it began) to 500 degC [K/s]; None: it was below."""
    may_quench: bool
    quench: str
    """Why, or why not, one sentence."""


@dataclass(frozen=True, slots=True)
class Energy:
    """Where the heat went, from the start to the end of the recommended hold [J]."""

    load: float
    """Taken up by the segments."""
    chamber: float
    """Taken up by the furnace's own mass inside its lining, or in all where it is one lump; 0 for an ideal furnace."""
    lining: float
    """Taken up by the lining in layers; 0 for an ideal furnace and for one that is one lump."""
    losses: float
    """Lost to the room; 0 for an ideal furnace."""
    heater: float | None
    """Given by the heater; None for an ideal furnace, whose surroundings are prescribed."""
    cost: float | None = None
    """Of what the heater gives, in the money of the job; None without a price or a heater."""
    shelf: float = 0.0
    """Taken up by the shelf below the load; 0 where there is none."""
    door: float = 0.0
    """Of the losses, while the door of a hot furnace stood open."""


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
    hold_doubt: str = ""
    """What the holds suppose that these parts do not fulfil, and what to do: "if ..."; empty: nothing."""
