"""The job file as frozen models: every key, its meaning, its unit and its default.

Values are floats in SI after validation (K, m, m2, kg, s, W). What only the library or the physics can judge
(names of metals, whether shapes fit together) is judged later.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, log2
from typing import Annotated, Literal, Self

from pydantic import ConfigDict, Field, ValidationInfo, field_validator, model_validator
from pydantic.config import JsonDict
from pydantic_core import PydanticCustomError

from brazesoak.jobfile import quantities as q
from brazesoak.jobfile.checks import cross_check
from brazesoak.jobfile.control import ControlInput
from brazesoak.jobfile.places import shown
from brazesoak.jobfile.tables import Table, default, optional

ROOM = "20 degC"
GAP = "Clearance between the two faces, cold; of a plug on one side: half of what its hole is wider, not all of it"
CROSS_CHECK = "cross_check"
"""Type of the one error that stands for all findings between keys."""


Instrument = Literal[
    "K class 1", "K class 2", "N class 1", "N class 2", "S class 1", "S class 2", "R class 1", "R class 2"
]
"""A thermocouple's type and tolerance class, IEC 60584-1."""


class FurnaceChoice(Table):
    """The furnace: one of the library, with figures of your own where you have measured them."""

    name: q.Name = Field(description="Furnace of the library (see `brazesoak data`).", examples=["ideal"])
    film: q.HeatTransferCoefficient | None = optional("Convection film between the gas and the load.", "7 W/(m2 K)")
    wall_emissivity: q.Emissivity | None = optional("Emissivity of the chamber walls, 0.02 to 1.", 0.75)
    power: q.Power | None = optional("Most the heaters can give.", "2.5 kW")
    heat_capacity: q.HeatCapacity | None = optional(
        "Heat capacity of the chamber, which warms with the load; makes the furnace one lump.", "20 kJ/K"
    )
    loss_conductance: q.Conductance | None = optional(
        "Heat lost to the room per kelvin between chamber and room; makes the furnace one lump.", "3 W/K"
    )
    sensor_time_constant: q.Lag | None = optional("Lag of the furnace's own sensor.", "30 s")
    uniformity: q.Uniformity | None = optional(
        "Largest deviation from the set-point inside the working space, or a furnace class of AMS 2750 by its name.",
        "class 5",
    )
    thermocouple: Instrument = Field(
        default="K class 2",
        description="Type of the furnace's own thermocouple and its tolerance class, IEC 60584-1.",
        examples=["K class 1"],
    )
    support: Literal["shelf", "props", "none"] | None = optional(
        "What the load stands on: the shelf itself, props above it, or nothing that shades it; props where the furnace "
        "has a shelf.",
        "props",
    )
    price_per_kwh: q.Price | None = optional("What a kilowatt hour costs, in your own money.", 0.30)
    room: q.Temperature = default(ROOM, "Temperature of the room.")
    control: ControlInput = Field(
        default_factory=lambda: ControlInput(),
        description="How the furnace follows its program.",
        examples=[{"mode": "pid", "holdback": "15 K"}],
    )


class ProgramStepInput(Table):
    """One ramp and one hold before the last ramp to the set-point."""

    to: q.Temperature = Field(description="Temperature at the end of the ramp.", examples=["520 degC"])
    ramp: q.Ramp | None = optional("Ramp to it; the program's ramp if left out.", "8 K/min")
    hold: q.Time = default("0 min", "Time held there; none if left out.")


class Program(Table):
    """What the controller is set to."""

    set_point: q.Temperature | None = optional(
        "Set-point of the hold. If left out: liquidus of the filler plus 75 K, "
        "lowered to 50 K below the lowest solidus of the metals.",
        "730 degC",
    )
    ramp: q.Ramp | None = optional("Ramp of the controller; the furnace's own if left out.", "8 K/min")
    loading: Literal["cold", "hot"] = Field(
        default="cold",
        description="Load put into the cold furnace, or into the furnace already at its set-point.",
        examples=["cold"],
    )
    door_open: q.Time = default("15 s", "How long the door of a hot furnace stands open while the load goes in.")
    cooling: Literal["shut", "ajar", "still air"] = Field(
        default="shut",
        description="After the hold the door stays shut until everything is below open_below; then it stays shut, "
        "stands ajar, or the load is taken out onto the bench.",
        examples=["shut"],
    )
    start: q.Temperature | None = Field(
        default=None,
        description="Temperature of the load at the start; that of the room if left out.",
        examples=[ROOM],
    )
    steps: tuple[ProgramStepInput, ...] = Field(
        default=(),
        description="Ramps and holds before the last ramp to the set-point, in order.",
        examples=[[{"to": "520 degC", "ramp": "8 K/min", "hold": "20 min"}]],
    )


class LoadInput(Table):
    """How many of the assembly lie in the furnace together."""

    copies: q.Copies = Field(
        default=1,
        description="Like assemblies in one heat, side by side in columns and rows; all lie the same way.",
        examples=[4],
    )
    spacing: q.Length | None = optional(
        "Clear distance between neighbours; needed where copies is more than 1.", "30 mm"
    )


class HoldRule(Table):
    """When the hold is long enough: the slowest joint at liquidus plus a superheat, for some minutes."""

    superheat: q.TemperatureDifference = default(
        "30 K",
        "Wanted above the liquidus at the coldest point of every joint; a temperature difference "
        "(common practice, no source).",
    )
    time: q.Time = default("5 min", "Time wanted above that temperature (common practice, no source).")
    open_below: q.Temperature | None = optional(
        "Do not open the furnace before all joints are colder than this.", "500 degC"
    )
    thermocouple: Instrument = Field(
        default="K class 2",
        description="Type of your own thermocouple on the load and its tolerance class, IEC 60584-1.",
        examples=["K class 1"],
    )
    thermocouple_lag: q.TipLag = default("10 s", "Lag of your own thermocouple on the load: its time constant.")
    confidence: q.Confidence = Field(
        default=0.95,
        description="Share of heats that the hold is to be enough for, above 0 and below 1.",
        examples=[0.95],
    )
    samples: q.Samples = Field(
        default=64,
        description="Heats tried to find that share: a power of two, 32 to 65536, at least 3 / (1 - confidence).",
        examples=[64],
    )
    sampled: Literal["auto", "network", "coarse", "own"] = Field(
        default="auto",
        description="How these heats are computed. network: one temperature per segment, put right towards the plan's "
        "own fidelity by a few heats of that; coarse: each by the plan's own fidelity, on its coarsest grid; own: on "
        "the grid that the plan begins with, if it has no more than 2500 cells (128 heats of 2000 cells: half a minute "
        "on two cores); auto: coarse where that takes a few seconds, else network.",
        examples=["auto"],
    )

    @field_validator("samples")
    @classmethod
    def _are_enough(cls, samples: int, info: ValidationInfo) -> int:
        confidence = info.data.get("confidence")  # absent where it is itself at fault
        if confidence is not None and samples * (1.0 - confidence) < 3.0 - 1e-9:
            least = 2 ** ceil(log2(3.0 / (1.0 - confidence) - 1e-9))
            way = f"set samples = {least}, or" if least <= 65536 else "set"
            raise q.refused(
                f"{samples} samples are too few for a confidence of {confidence:.10g}: fewer than 3 would lie beyond "
                f"it; {way} a lower confidence"
            )
        return samples


class LimitsInput(Table):
    """What ends a hold at the latest; common practice, no source, where the job does not say."""

    flux: q.Time | None = optional(
        "How long the flux lasts where it is hot, from a trial or its data sheet; if left out, the library's figure.",
        "45 min",
    )
    zinc: q.Time = default("20 min", "Longest that brass may lie under liquid filler.")
    scale: q.ScaleThickness = default("0.1 mm", "Thickest scale allowed on bare steel (chosen here, no source).")
    sensitisation: q.Time | None = optional(
        "Longest that plain austenitic stainless may be between 425 and 815 degC; no limit if left out. Set it where "
        "the part will stand wet.",
        "10 min",
    )
    difference: q.TemperatureDifference | None = optional(
        "Largest temperature difference between any two places of the load while it heats, which distorts it; no limit "
        "if left out.",
        "80 K",
    )


class Brazing(Table):
    """Filler, flux and gap of every joint that does not say otherwise."""

    filler: q.Name | None = optional("Filler metal of the library.", "BAg-7")
    flux: q.Name | None = optional("Flux of the library.", "FB3-C")
    gap: q.Gap | None = optional(f"{GAP}.", "0.1 mm")


class AnySegment(Table):
    """What every segment has, whatever its shape."""

    name: q.Name = Field(description="Your name for the segment; joints refer to it.", examples=["boss"])
    metal: q.Name = Field(
        description="Metal of the library, by name or designation (see `brazesoak data`).",
        examples=["brass-c36000"],
    )
    surface: q.Surface = Field(
        description='Surface in the furnace: "bright", "oxidised", "fluxed" or an emissivity, 0.02 to 1.',
        examples=["oxidised", 0.4],
    )


class _ShapedSegment(AnySegment):
    at: tuple[q.Coordinate, q.Coordinate, q.Coordinate] | None = Field(
        None,
        description="Where it lies, x, y and z: the middle of its low face along its axis. Give it for every segment "
        "or for none; without it a single pile is built up, centre on centre.",
        examples=[["0 mm", "0 mm", "8 mm"]],
    )
    axis: Literal["x", "y", "z"] = Field(
        "z", description="Direction of its thickness or height, or of its axis if round.", examples=["z"]
    )


class _LongSegment(_ShapedSegment):
    along: Literal["x", "y", "z"] | None = Field(
        None,
        description="Direction of its length, at right angles to axis; x if left out, or y where axis is x.",
        examples=["x"],
    )

    @field_validator("along")
    @classmethod
    def _is_across(cls, along: str | None, info: ValidationInfo) -> str | None:
        if along is not None and along == info.data.get("axis"):
            raise q.refused("must be at right angles to axis; name another direction")
        return along


class PlateSegment(_LongSegment):
    """A flat plate; its large face is length by width."""

    shape: Literal["plate"] = Field(description="A flat plate.", examples=["plate"])
    length: q.Length = Field(description="Length of the plate.", examples=["120 mm"])
    width: q.Length = Field(description="Width of the plate.", examples=["90 mm"])
    thickness: q.Length = Field(description="Thickness of the plate.", examples=["6 mm"])


class BarSegment(_LongSegment):
    """A straight bar of rectangular section, width by height."""

    shape: Literal["bar"] = Field(description="A bar of rectangular section.", examples=["bar"])
    length: q.Length = Field(description="Length of the bar.", examples=["150 mm"])
    width: q.Length = Field(description="Width of the section.", examples=["40 mm"])
    height: q.Length = Field(description="Height of the section.", examples=["40 mm"])


class BossSegment(_ShapedSegment):
    """A solid round boss or cylinder."""

    shape: Literal["boss"] = Field(description="A solid cylinder.", examples=["boss"])
    diameter: q.Length = Field(description="Diameter of the boss.", examples=["60 mm"])
    height: q.Length = Field(description="Height of the boss.", examples=["55 mm"])


class _HollowSegment(_ShapedSegment):
    outer_diameter: q.Length = Field(description="Outer diameter.", examples=["60 mm"])
    inner_diameter: q.Length = Field(description="Inner diameter.", examples=["40 mm"])

    @field_validator("inner_diameter")
    @classmethod
    def _has_a_wall(cls, inner: float, info: ValidationInfo) -> float:
        outer = info.data.get("outer_diameter")  # absent where it is itself at fault
        if outer is not None and inner >= outer:
            raise q.refused("must be smaller than outer_diameter; correct one of the two")
        return inner


class TubeSegment(_HollowSegment):
    """A round tube."""

    shape: Literal["tube"] = Field(description="A round tube.", examples=["tube"])
    length: q.Length = Field(description="Length of the tube.", examples=["80 mm"])


class RingSegment(_HollowSegment):
    """A flat round ring."""

    shape: Literal["ring"] = Field(description="A flat round ring.", examples=["ring"])
    height: q.Length = Field(description="Height of the ring.", examples=["12 mm"])


class LumpSegment(AnySegment):
    """A part of any form, known only by its mass, its surface and its thickest section."""

    shape: Literal["lump"] = Field(description="A part of any form.", examples=["lump"])
    mass: q.Mass = Field(description="Mass of the part.", examples=["1.2 kg"])
    exposed_area: q.Area = Field(description="Surface of the part that sees the furnace.", examples=["250 cm2"])
    thickest_section: q.Length = Field(description="Thickness where it is thickest.", examples=["30 mm"])


Segment = Annotated[
    PlateSegment | BarSegment | BossSegment | TubeSegment | RingSegment | LumpSegment,
    Field(discriminator="shape"),
]
SHAPES: Mapping[str, type[AnySegment]] = {
    "plate": PlateSegment,
    "bar": BarSegment,
    "boss": BossSegment,
    "tube": TubeSegment,
    "ring": RingSegment,
    "lump": LumpSegment,
}


_PLUG_NEEDS_DEPTH: JsonDict = {
    "if": {"properties": {"fit": {"const": "plug"}}, "required": ["fit"]},
    "then": {"required": ["depth"]},
}


class Joint(Table):
    """One brazed joint between two segments."""

    model_config = ConfigDict(json_schema_extra=_PLUG_NEEDS_DEPTH)

    name: q.Name = Field(description="Your name for the joint.", examples=["boss to plate"])
    between: tuple[q.Name, q.Name] = Field(
        description="Names of the two segments it joins.", examples=[["boss", "plate"]]
    )
    fit: Literal["flat", "crossed", "plug"] = Field(
        default="flat",
        description="flat: face on face; crossed: two bars across each other; "
        "plug: the first sits in a hole of the second.",
        examples=["flat"],
    )
    faces: tuple[q.Name, q.Name] | None = optional(
        "Flat joints only, one face of each segment: plate face, edge or end; "
        "bar side, top or end; boss, tube and ring end.",
        ["end", "face"],
    )
    depth: q.Length | None = optional(
        "Plugs only, needed there: how deep the first sits in the second. Its hole ends there, too, unless that is "
        "right through the second or the second is a tube or ring.",
        "20 mm",
    )
    area: q.Area | None = optional(
        "Contact area. Computed from the shapes if left out; needed where a lump is joined.", "12 cm2"
    )
    gap: q.Gap | None = optional(f"{GAP}; that of [brazing] if left out.", "0.1 mm")
    filler: q.Name | None = optional("Filler metal; that of [brazing] if left out.", "BAg-7")
    flux: q.Name | None = optional("Flux; that of [brazing] if left out.", "FB3-C")


class Job(Table):
    """A job: an assembly of segments and joints, a furnace, and how it is to be heated."""

    title: q.Name = Field(description="What is brazed; printed on the run card.", examples=["Bearing pedestal"])
    fidelity: Literal["auto", "network", "section", "solid"] = Field(
        default="auto",
        description="network: one temperature per segment; section: temperatures inside the parts in one or two "
        "dimensions; solid: in three; "
        "auto: section where the shapes allow one.",
        examples=["auto"],
    )
    data: tuple[q.Folder, ...] = Field(
        default=(),
        description="Folders with your own metals, fillers, fluxes, furnaces, refractories, relative to the job file.",
        examples=[["my_data"]],
    )
    furnace: FurnaceChoice = Field(description="The furnace.", examples=[{"name": "ideal"}])
    program: Program = Field(default_factory=Program, description="Set-point, ramp and steps.")
    load: LoadInput = Field(
        default_factory=LoadInput,
        description="How many of the assembly lie in the furnace.",
        examples=[{"copies": 4, "spacing": "30 mm"}],
    )
    hold: HoldRule = Field(default_factory=HoldRule, description="When the hold is long enough.")
    limits: LimitsInput = Field(default_factory=LimitsInput, description="What ends a hold at the latest.")
    brazing: Brazing = Field(default_factory=Brazing, description="Filler, flux and gap for all joints.")
    segments: tuple[Segment, ...] = Field(
        alias="segment", min_length=2, description="The segments, each in its own [[segment]] table."
    )
    joints: tuple[Joint, ...] = Field(
        alias="joint", min_length=1, description="The joints, each in its own [[joint]] table."
    )

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        findings = cross_check(self.model_dump(by_alias=True, exclude_none=True))
        if findings:
            message = "; ".join(f"{shown(finding.location)}: {finding.message}" for finding in findings)
            raise PydanticCustomError(CROSS_CHECK, "{message}", {"message": message})
        return self
