"""What a furnace without its lining costs the hold, as the notice ``lining-not-given`` tells it."""

import pytest

from brazesoak.bridge.simulate import simulate

from .jobs import LIBRARY, boss, joint, plate, prepared

FURNACES = "bench-kiln-3l", "bench-kiln-10l", "kiln-60l"
LOADS = {
    "2 kg": (plate(), boss(metal="UNS C36000", surface="bright"), joint("boss", "plate")),
    "5 kg": (
        boss("flange", diameter="160 mm", height="20 mm"),
        boss("hub", metal="AISI 4140", surface="bright", diameter="60 mm", height="82 mm"),
        joint("hub", "flange", faces=["end", "end"]),
    ),
}


def needed(load: str, furnace: str, program: str) -> float:
    """From the clock's start to the last joint at its target [min]."""
    job = prepared(*LOADS[load], furnace=furnace, program=program)
    run = simulate(job.model(job.inputs), "network", lambda clock, last: last)
    return (run.last_target - run.clock_start) / 60.0


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("name", FURNACES)
def test_a_lump_is_as_far_off_as_is_told(name: str, load: str) -> None:
    """Up to 6 min either way, loaded cold or hot."""
    f = LIBRARY.furnace(name)
    layers = f'name = "{name}"'
    lump = f'{layers}\nheat_capacity = "{f.chamber_heat_capacity} J/K"\nloss_conductance = "{f.loss_conductance} W/K"'
    cold, hot = (
        needed(load, lump, program) - needed(load, layers, program)
        for program in ('set_point = "730 degC"\nramp = "10 K/min"', 'set_point = "730 degC"\nloading = "hot"')
    )
    assert -6.0 < cold < 6.0
    assert -6.0 < hot < 6.0
