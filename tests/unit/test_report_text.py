import re
from dataclasses import replace

import pytest

from brazesoak.answer import Assumption, Caution, Cooling, Driver, Energy, Plan
from brazesoak.report.cautions import cautions_block
from brazesoak.report.details import fidelity_table_text
from brazesoak.report.format import typeset
from brazesoak.report.text import plan_text
from brazesoak.report.wording import DEFERRAL

from .fake_plan import make_crowded_plan, make_plan
from .jobs import LIBRARY


def test_begins_with_what_to_set_and_for_how_long() -> None:
    lines = plan_text(make_plan()).splitlines()
    assert lines[3].startswith("Set            730 °C (1346 °F): liquidus of BAg-24 (705 °C) plus 75 K, lowered for")
    assert lines[5].startswith("Hold           37 min, counted from when the furnace's own display first shows 725 °C")


def test_the_most_important_comes_first() -> None:
    text = plan_text(make_plan())
    order = [
        "Set  ",
        "Hold",
        "Warnings",
        "Program",
        "Thermocouple",
        "Position",
        "Slowest joint",
        "Watch",
        "Open",
        "How sure",
        "Rule of thumb",
        "WARNING",
        "JOINTS",
        "GAPS AND FILLER",
        "SEGMENTS",
        "HOW SURE",
        "CAUTIONS",
        "Safety data sheets, local codes and licensed practice come before this page.",
        "DEFAULTS",
    ]
    places = [text.index(part) for part in order]
    assert places == sorted(places)


def test_every_warning_has_what_why_what_to_do_and_source() -> None:
    plan = make_plan()
    text = " ".join(plan_text(plan).split())
    notice = plan.warnings[0]
    for part in (notice.message, notice.action, notice.source, f"[{notice.code}]"):
        assert part in text


def test_warnings_that_ask_for_the_same_are_read_as_one() -> None:
    notice = make_plan().warnings[0]
    second = replace(notice, message="The other joint is as slow.")
    text = " ".join(plan_text(replace(make_plan(), warnings=(notice, second))).split())
    assert text.count(notice.action) == 1
    assert notice.message in text
    assert second.message in text


def test_compares_with_one_hour_per_kilogram() -> None:
    text = " ".join(plan_text(make_plan()).split())
    assert "Rule of thumb 1 h 51 min for 1.85 kg." in text
    assert make_plan().rule_sentence in text


def test_how_sure_names_three_largest_drivers_range_and_numerical_error() -> None:
    plan = make_plan()
    text = said(plan, full=True)
    assert all(typeset(driver.low_input) in text for driver in plan.drivers[:3])
    assert plan.drivers[3].low_input not in text
    assert "29 min would be enough with every input at its most likely value, 29 min in 50 of 100 heats" in text
    assert "34 min in 90, 36 min in 95." in text
    assert "The times are right to 1.3 s; the energy balance closes to 3.2e-9" in text


def test_without_percentiles_the_range_of_the_inputs_is_told() -> None:
    assert "known well enough for 23 to 36 min" in said(make_plan(chances=None))


def test_in_how_many_heats_the_hold_is_enough_stands_beside_it() -> None:
    assert "enough in 95 of 100 heats like this" in said(make_plan())


def test_what_a_hold_supposes_stands_beside_its_chance() -> None:
    doubt = "if every segment were one temperature throughout: these are not"
    text = said(make_plan(hold_doubt=doubt))
    assert f"enough in 95 of 100 heats like this, {doubt}" in text
    assert f"Enough only {doubt}." in text
    assert f"; enough {doubt}" in said(make_plan(hold_doubt=doubt, chances=None))
    assert "one temperature" not in said(make_plan())
    assert "of 100 heats like this Total" not in said(make_plan(chances=None))


def test_a_reason_is_read_once() -> None:
    plan = make_plan()
    first = plan.assumptions[0]
    text = said(replace(plan, assumptions=(first, replace(first, what="flux", value="FB3-C"))), full=True)
    assert text.count("The job names none; liquidus plus 75 K") == 1
    assert "Set-point: 730 °C; flux: FB3-C. The job names none" in text


def test_filler_is_told_as_wire_and_foil_once() -> None:
    text = said(make_plan())
    assert "boss to plate 0.1 mm 0.1 mm 0.05 to 0.13 mm 3.2 g 433 mm 192 mm 34 cm²" in text
    assert "pin to plate 0.08 mm closed" in text
    assert text.count("times 1.3 for loss") == 1


def test_a_thermocouple_that_gains_nothing_says_so() -> None:
    placing = make_plan().placing
    assert placing is not None
    assert "hold 7 min from when it shows 675 °C" in said(make_plan())
    assert "the tolerance of type K class 2 and the errors of the computation are in the hold." in said(make_plan())
    lag = "Its tip is 1.4 K behind the metal, and shows the target of boss to plate 1.6 min before the joint has it."
    assert lag in said(make_plan())
    assert "1.6 min after the joint has it." in said(make_plan(placing=replace(placing, delay=-95.0)))
    assert said(make_plan(placing=replace(placing, delay=None))).count("behind the metal.") == 1
    alike = replace(placing, display_low=310.0, display_high=400.0)
    assert "no surer here than to count from the display" in said(make_plan(placing=alike))
    assert "675 °C" not in said(make_plan(placing=None))


def test_two_heats_and_what_they_ask_for() -> None:
    text = said(make_plan())
    assert '"pin to plate" stands 8 mm high, but its gap is too narrow' in text
    assert "Position Two heats, as no one position does for all joints; see the warnings. First standing with" in text


def test_how_the_heats_were_computed_and_how_wrong_that_may_be_is_told() -> None:
    plan = make_plan()
    assert plan.chances is not None
    own = "each computed as section axisymmetric on a grid of 139 cells: the first 16 give"
    assert own in said(plan, full=True)
    checked = "error of that grid 12 s (heats near the recommendation computed on 556 cells). For both errors"
    assert checked in said(plan, full=True)
    assert "From 64 heats with every input varied at once, sampling and model error of 47 s in the hold." in said(plan)
    network = replace(plan.chances, sampled_as="network", cells=2)
    text = said(replace(plan, chances=network), full=True)
    assert "each computed as network and put right towards the section axisymmetric: " in text
    assert "error of the network 12 s (heats near the recommendation computed as section axisymmetric on 556" in text
    assert "a heat near the recommendation never gets there" in said(
        replace(plan, chances=replace(network, model_error=None)), full=True
    )
    alone = said(replace(plan, fidelity="network", chances=replace(network, checked_on=0)), full=True)
    assert "each computed as network: the first 16 give" in alone
    assert "For that error the hold adds 47 s" in alone


def test_each_joints_passing_time_is_told_in_50_90_and_95_of_100_heats() -> None:
    text = said(make_plan(), full=True)
    assert "Joint at its target after Most likely In 50 of 100 In 90 of 100 In 95 of 100" in text
    assert "boss to plate 1 h 33 min 1 h 42 min 1 h 47 min 1 h 49 min" in text
    assert "pin to plate" in text
    assert "Joint at its target after" not in said(make_plan(chances=None), full=True)
    assert re.search(r"boss to plate .* 1:33 +1:49 +", plan_text(make_plan()))
    assert "95 of 100" not in said(make_plan(chances=None))


def test_heats_that_the_solver_could_not_finish_are_told() -> None:
    plan = make_plan()
    assert plan.chances is not None
    assert "could not finish" not in plan_text(plan, full=True)
    broke = replace(plan, chances=replace(plan.chances, never=2 / 64, gave_up=2))
    text = " ".join(plan_text(broke).split())
    assert "In 3 of 100 a joint never comes to its target. The solver could not finish 2 of the 64 heats" in text


def test_never_is_said_in_words() -> None:
    assert "never" in plan_text(make_crowded_plan())


def test_cooling_not_computed_is_said() -> None:
    assert "The cooling was not computed" in plan_text(make_crowded_plan())
    assert "The cooling was not computed" not in plan_text(make_plan())


@pytest.mark.parametrize("width", [80, 100, 120])
def test_keeps_within_the_width(width: int) -> None:
    body = [
        line for full in (False, True) for line in plan_text(make_crowded_plan(), width, full=full).splitlines()[2:]
    ]
    prose = [line for line in body if not line.isupper() and "(coldest" not in line]
    assert max(map(len, prose)) <= width


def test_without_warnings_drivers_and_assumptions_no_empty_headings() -> None:
    text = plan_text(replace(make_plan(), warnings=(), drivers=(), fidelities=(), watch=()))
    assert "WARNING" not in text
    assert "SIDE BY SIDE" not in text
    assert "\n\n\n" not in text


def test_a_driver_is_read_with_its_source() -> None:
    driver = Driver("door leak", "0", "1 %", 60.0, 120.0, "common practice, no source")
    text = said(replace(make_plan(), drivers=(driver,)), full=True)
    assert "What matters most: door leak, 0 gives 1 min, 1 % gives 2 min." in text
    assert "Range of door leak. Common practice, no source." in text


def test_fidelities_stand_side_by_side() -> None:
    text = fidelity_table_text(make_crowded_plan())
    rows = [line for line in text.splitlines() if line.startswith(("network", "section"))]
    assert len(rows) == 2
    assert "28 min" in rows[0]
    assert "29 min" in rows[1]
    assert fidelity_table_text(make_plan()) == ""


def said(plan: Plan, *, full: bool = False) -> str:
    return " ".join(plan_text(plan, full=full).split())


def test_a_furnace_loaded_hot_starts_the_clock_with_the_door() -> None:
    by_door = said(make_plan(clock_start=4.0, loaded_hot=True))
    assert "37 min, counted from when the door closes" in by_door
    assert "the clock starts as the door closes" in by_door
    back = said(make_plan(loaded_hot=True))
    assert "when the display, which falls as the load goes in, comes back to 725 °C" in back
    assert "the clock starts about 1 h 29 min after the door closes" in back
    assert "the clock starts at the start" in " ".join(plan_text(make_plan(clock_start=4.0)).split())
    assert "the clock starts about 1 h 29 min after the start" in " ".join(plan_text(make_plan()).split())


def test_a_driver_that_keeps_a_joint_from_its_target_says_so() -> None:
    driver = replace(make_plan().drivers[0], hold_at_low=None)
    text = " ".join(plan_text(replace(make_plan(), drivers=(driver,))).split())
    assert "emissivity of bright brass, 0.05 leaves a joint short of its target, 0.20 gives 24 min." in text


def test_no_hold_is_said_in_words() -> None:
    text = said(make_plan(hold_time=0.0))
    assert "Hold none: every joint has had its time when the furnace's own display first shows 725 °C" in text
    assert "from the start until the furnace is switched off" in text


def test_lining_and_cost_are_said() -> None:
    plan = replace(make_plan(), energy=Energy(1e6, 4e5, 2e6, 2e5, 3.6e6, 0.3))
    text = said(plan, full=True)
    assert "The heater gives 1 kWh, which cost 0.30 at the price in the job." in text
    assert "gives 1 kWh, which cost 0.30 at the price in the job; the load takes 0.278 kWh of it." in said(plan)
    assert "the lining 0.556 kWh" in text


def test_heat_that_comes_back_is_said_to() -> None:
    plan = make_plan()
    back = said(replace(plan, energy=Energy(1e6, -5e5, 0.0, 2e6, 3e6)), full=True)
    assert "the furnace itself gives back 0.139 kWh" in back
    assert "-0.139" not in back
    assert "the furnace itself 0.139 kWh" in said(replace(plan, energy=Energy(1e6, 5e5, 0.0, 2e6, 3e6)), full=True)


def test_where_the_flux_is_counted_is_said() -> None:
    assert "counted at the hottest point of the joint" in said(make_plan())


def test_segments_that_cool_alike_are_told_together() -> None:
    plan = make_plan()
    names = [segment.name for segment in plan.segments]

    def text(*rates: float | None) -> str:
        return said(replace(plan, cooling=Cooling("shut", None, tuple(zip(names, rates, strict=True)), False, "no")))

    assert len(names) == 3
    assert "500 °C: every segment 6 K/min." in text(0.1, 0.1, 0.1)
    assert f"500 °C: {names[0]}, {names[2]} 6 K/min, {names[1]} 12 K/min." in text(0.1, 0.2, 0.1)
    assert f"500 °C: {names[1]} 12 K/min." in text(None, 0.2, None)


def test_cautions_are_one_line_each_and_whole_in_full() -> None:
    caution = Caution("fire", "Non-combustible floor and clearances, extinguisher, fire watch.", "s", "extinguisher")
    plan = make_plan(cautions=(caution, make_plan().cautions[0]))
    assert "- Fire: extinguisher.\n- Zinc fume: Brass overheated" in plan_text(plan)
    assert "in full: brazesoak plan JOB --full" in said(plan)
    assert "- Fire: Non-combustible floor and clearances, extinguisher, fire watch." in said(plan, full=True)
    for full in (False, True):
        assert DEFERRAL in said(plan, full=full)


def test_every_caution_of_the_library_takes_one_line() -> None:
    known = [Caution(c.hazard, c.text, c.source, c.short) for c in LIBRARY.cautions()]
    lines = cautions_block(known, 100).splitlines()
    assert len(lines) == len(known) + 2
    assert max(map(len, lines)) <= 100


def test_defaults_are_told_by_the_table_that_changes_them_and_with_their_reasons_in_full() -> None:
    notes = (
        Assumption("time above that", "5 min", "practice", "hold", "time 5 min"),
        Assumption("shade", "none", "not computed"),
        Assumption("superheat", "30 K", "practice", "hold", "superheat 30 K"),
        Assumption("ramp", "8 K/min", "practice", "program", "ramp 8 K/min"),
    )
    text = plan_text(make_plan(assumptions=notes))
    assert "\n[program] ramp 8 K/min\n[hold] time 5 min; superheat 30 K\nModel: shade: none" in text
    assert "plan --full" in text
    assert "not computed" not in text
    whole = said(make_plan(assumptions=notes), full=True)
    assert "Time above that: 5 min; superheat: 30 K; ramp: 8 K/min. Practice." in whole
    assert "Shade: none. Not computed." in whole


def test_where_the_load_is_uneven_is_told_with_a_remedy() -> None:
    text = said(make_plan(largest_within=77.2, largest_across=108.0))
    assert "Largest difference while it heats: 77 K inside a segment, 108 K between two, which may warp" in text
    assert "heats: 108 K between" in said(make_plan(largest_across=108.0))
    assert "Largest difference" not in said(make_plan())


def test_shrinking_apart_is_told_with_what_to_do() -> None:
    text = said(make_plan())
    assert "boss to plate 0.44 %; pin to plate 0.1 %. Let it cool in the shut furnace, and look for cracks" in text


def test_a_ramp_that_the_furnace_does_not_keep_is_told_with_its_own_time() -> None:
    plan = make_plan()
    kept, slow = (replace(plan.program[0], takes=t) for t in (1.2 * 3750.0, 2.0 * 3750.0))
    assert "1. Ramp to 520 °C at 8 °C/min, 1 h 3 min" in said(replace(plan, program=(kept,)))
    told = said(replace(plan, program=(slow,)))
    assert "1. Ramp to 520 °C as fast as the furnace can, about 2 h 5 min (key in 8 °C/min)" in told
    full = replace(slow, rate=None, duration=None)
    told = said(replace(plan, program=(full,)))
    assert "1. Ramp to 520 °C as fast as the furnace can, about 2 h 5 min (key in full power)" in told


def test_from_when_the_hold_is_counted_is_read_once() -> None:
    note = "counted from when the display shows 725 °C"
    own = "a controller that counts from the end of its ramp needs 50 min instead"
    hold = replace(make_plan().program[3], note=f"{note}; {own}")
    assert f"1. Hold at 730 °C for 37 min ({own})" in said(make_plan(program=(hold,)))
    assert "1. Hold at 730 °C for 37 min Thermo" in said(make_plan(program=(replace(hold, note=note),)))


def test_loaded_hot_the_heat_of_the_empty_furnace_is_told() -> None:
    plan = make_plan(loaded_hot=True, empty_time=1800.0, empty_heat=3.6e6, hold_end=3600.0)
    before = (
        "before that the empty furnace needs about 30 min and 1 kWh at full power to 730 °C, and an hour there until "
        "its lining is hot through: about 2 h 30 min from"
    )
    assert "1 h from when the door closes to the end of the hold; the clock starts about" in said(plan)
    assert before in said(plan)
    assert "empty furnace" not in said(make_plan())


def test_a_life_of_seconds_is_told_in_seconds() -> None:
    plan = make_plan()
    spent = replace(plan.joints[0], flux_life=10.0)
    assert "after 10 s it counts as spent" in said(replace(plan, joints=(spent, *plan.joints[1:])))
