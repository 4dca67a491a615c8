"""The controller of the furnace in the job file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal

from pydantic import Field

from brazesoak.jobfile import quantities as q
from brazesoak.jobfile.places import Finding
from brazesoak.jobfile.tables import Table, default, optional
from brazesoak.jobfile.units import quoted

FURNACE = "furnace"
"""What `control_on` says where the controller goes by the furnace's own sensor."""


class ControlInput(Table):
    """How the furnace follows its program; what is left out is as the library has it."""

    mode: Literal["proportional", "on-off", "pid"] = Field(
        default="proportional",
        description="proportional: power in proportion to what is missing, and what the furnace needs to hold besides; "
        "on-off: full power or none; pid: with integral and derivative.",
        examples=["pid"],
    )
    band: q.Band | None = optional("Not on-off: full power this far below the program and further.", "40 K")
    integral_time: q.Lag | None = optional("pid only: integral (reset) time.", "8 min")
    derivative_time: q.Time | None = optional("pid only: derivative (rate) time; 0 s for none.", "60 s")
    hysteresis: q.Band | None = optional("on-off only: on this far below the program, off this far above it.", "3 K")
    holdback: q.Band | None = optional(
        "The program waits while the display is further than this below it; it never waits if left out.", "15 K"
    )
    sensor_place: Literal["wall", "load"] | None = optional(
        "Where the furnace's own sensor sits: wall (if left out), or load: beside the load, which it sees half of.",
        "wall",
    )
    sensor_offset: q.Offset = default("0 K", "How much too high the display reads; negative: too low.")
    control_on: q.Name = Field(
        default=FURNACE,
        description='What the controller goes by: "furnace", its own sensor, or the name of a segment with a '
        "thermocouple in it.",
        examples=["boss"],
    )
    clock_band: q.Band | None = optional("The hold is counted once the display is this close to the set-point.", "5 K")


def check_control(data: Mapping[str, Any], segments: list[str]) -> Iterator[Finding]:
    """Keys that say nothing beside others, and a segment that there is not."""
    furnace = data.get("furnace")
    own = furnace.get("control") if isinstance(furnace, dict) else None
    if not isinstance(own, dict):
        return
    mode = own.get("mode", "proportional")
    only = {"band": ("proportional", "pid"), "integral_time": ("pid",), "derivative_time": ("pid",)}
    for key, modes in {**only, "hysteresis": ("on-off",)}.items():
        if key in own and mode in ("proportional", "on-off", "pid") and mode not in modes:
            needed = " or ".join(quoted(m) for m in modes)
            message = f"says nothing with mode = {quoted(mode)}; remove it, or set mode = {needed}"
            yield Finding(("furnace", "control", key), message)
    on = own.get("control_on", FURNACE)
    if not isinstance(on, str) or on.strip() == FURNACE:
        return
    if on.strip() not in segments:
        known = ", ".join(quoted(name) for name in (FURNACE, *segments[:10]))
        message = f"there is no segment named {quoted(on.strip())}; give one of {known}"
        yield Finding(("furnace", "control", "control_on"), message)
    if "sensor_place" in own:
        message = f"says nothing while control_on is {quoted(on.strip())}; remove one of the two"
        yield Finding(("furnace", "control", "sensor_place"), message)
