"""Three jobs as a maker writes them from the starter and README, none of them an example: a bracket of 300 g, a bearing
block of 2 kg, a machine bed of 12 kg. The printed answer says what to set, how long, why, what to watch and how sure.
Sizes invented."""

import io
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path

import pytest

from brazesoak.cli import main

JOBS = Path(__file__).parent / "maker_jobs"
FIDELITY = {"bracket": "auto", "bearing_block": "network", "machine_bed": "auto"}
"""The bed is computed as a solid; the block as a network, to save time."""
SAID = (
    "Set",
    ": liquidus of BAg-",
    "Hold",
    "counted from when the furnace's own display first shows",
    "enough in 95 of 100 heats like this",
    "Warnings",
    "read them below before the heat: ",
    "Total",
    "from the start to the end of the hold; the clock starts about",
    "Program 1. Ramp to",
    "Thermocouple Tie a thermocouple tightly",
    "Position",
    "Slowest joint",
    "Its slower side is",
    "Watch The flux goes clear and glassy before the filler runs",
    "Open Every joint is solid about",
    "Everything is below 500 °C about",
    "How sure",
    "would be enough with every input at its most likely value",
    "Cooling",
    "Quench to loosen flux: no,",
    "Rule of thumb",
    "One hour per kilogram would be",
    "Do this:",
    "GAPS AND FILLER",
    "Largest difference while it heats:",
    "HOW SURE",
    "What matters most: evenness of the furnace",
    "To be surer:",
    "CAUTIONS",
    "Safety data sheets, local codes and licensed practice come before this page.",
    "DEFAULTS AND ASSUMPTIONS",
    "[program]",
    "[hold]",
    "[furnace]",
)
"""In this order."""


@cache
def _printed(name: str) -> str:
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(["plan", str(JOBS / f"{name}.toml"), "--no-files", "--fidelity", FIDELITY[name]]) == 0
    return " ".join(out.getvalue().split())


@pytest.mark.parametrize("name", sorted(FIDELITY))
def test_the_answer_says_what_a_maker_must_know_the_most_important_first(name: str) -> None:
    text, at = _printed(name), 0
    for part in SAID:
        assert part in text[at:], part
        at = text.index(part, at)


def test_the_bracket_is_told_to_change_its_flux_and_why_it_has_no_position() -> None:
    """BAg-5 melts over 66 K, and FB3-A counts as spent after 30 min: see the data of both."""
    text = _printed("bracket")
    assert "| 304 g in 3 segments" in text
    assert "this breaks a limit, see the warnings" in text
    assert "a flux with a longer life (FB3-C)" in text
    assert "BAg-5 melts over 66 K" in text
    assert 'Position Not computed: the places of the parts are not known (segment "web" is joined on faces' in text


def test_the_bearing_block_is_told_the_hole_to_bore() -> None:
    """Bronze grows more than steel, so the gap of 0.08 mm closes to less than half."""
    text = _printed("bearing_block")
    assert "| 1.89 kg in 3 segments" in text
    assert "a gap of 0.08 mm, 0.0328 mm at 737 °C" in text
    assert "Make the cold gap" in text
    assert '"bush in block" stands 30 mm high, but its gap is too narrow' in text


def test_the_machine_bed_is_computed_as_a_solid_and_lies_flat() -> None:
    """By hand: (2 x 34 x 4 x 2.2 + 2 x 22 x 4 x 2.2 + 26 x 16 x 1) cm3 and the rails of 2 x 26 x 2 x 1.2 cm3, 7.85
    g/cm3 each: 12.0 kg. Four crossings, two joints of the plate and two of the rails."""
    text = _printed("machine_bed")
    assert "| 12 kg in 7 segments" in text
    assert 'Standing with "front bearer" at the bottom: every joint lies flat.' in text
    assert "1. All 8 joints are above 565 °C" in text
    assert "Computed as solid. Chosen: every segment has its place." in text
    assert "From 700 to 500 °C: every segment" in text
