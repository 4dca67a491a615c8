"""The answer to a job: plain values in SI (kelvin, seconds, metres, kilograms), made by `analysis.plan`.

Everything that shows an answer (`report/`, `plots/`, `results/`) reads these and computes nothing.
Times count from the start of the program. A time of ``None`` means: never within this program.
"""

from .arrays import FloatArray
from .furnaces import CopiesRow, CopiesTried, FurnaceRow, FurnaceTrial
from .heat import Cooling, Energy, FidelityRow, Histories, ProgramStep, Section
from .limits import Ceiling, Window, told_once
from .load import JointAnswer, JointAtHeat, Orientation, Posture, SegmentAnswer
from .notes import Assumption, Caution, Notice
from .plan import OWN_DISPLAY, Plan
from .sure import Candidate, Chances, Driver, Percentile, Placing

__all__ = [
    "OWN_DISPLAY",
    "Assumption",
    "Candidate",
    "Caution",
    "Ceiling",
    "Chances",
    "Cooling",
    "CopiesRow",
    "CopiesTried",
    "Driver",
    "Energy",
    "FidelityRow",
    "FloatArray",
    "FurnaceRow",
    "FurnaceTrial",
    "Histories",
    "JointAnswer",
    "JointAtHeat",
    "Notice",
    "Orientation",
    "Percentile",
    "Placing",
    "Plan",
    "Posture",
    "ProgramStep",
    "Section",
    "SegmentAnswer",
    "Window",
    "told_once",
]
