from dataclasses import replace

import pytest

from brazesoak.answer import Cooling, Driver, Energy, Plan
from brazesoak.report.format import typeset
from brazesoak.report.text import fidelity_table_text, plan_text

from .fake_plan import make_crowded_plan, make_plan


def test_begins_with_what_to_set_and_for_how_long() -> None:
    lines = plan_text(make_plan()).splitlines()
    assert lines[3].startswith("Set            730 °C (1346 °F): liquidus of BAg-24 (705 °C) plus 75 K, lowered for")
    assert lines[5].startswith("Hold           37 min, counted from when the furnace's own display first shows 725 °C")


def test_the_most_important_comes_first() -> None:
    text = plan_text(make_plan())
    order = [
        "Set  ",
        "Hold",
        "Program",
        "Thermocouple",
        "Position",
        "Slowest joint",
        "Rule of thumb",
        "WARNING",
        "WHAT TO WATCH, AND WHEN TO OPEN",
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
    text = " ".join(plan_text(plan).split())
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
    text = said(replace(plan, assumptions=(first, replace(first, what="flux", value="FB3-C"))))
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
    assert own in said(plan)
    assert "error of that grid 12 s (heats near the recommendation computed on 556 cells). For both errors" in said(
        plan
    )
    network = replace(plan.chances, sampled_as="network", cells=2)
    text = said(replace(plan, chances=network))
    assert "each computed as network and put right towards the section axisymmetric: " in text
    assert "error of the network 12 s (heats near the recommendation computed as section axisymmetric on 556" in text
    assert "a heat near the recommendation never gets there" in said(
        replace(plan, chances=replace(network, model_error=None))
    )
    alone = said(replace(plan, fidelity="network", chances=replace(network, checked_on=0)))
    assert "each computed as network: the first 16 give" in alone
    assert "For that error the hold adds 47 s" in alone


def test_each_joints_passing_time_is_told_in_50_90_and_95_of_100_heats() -> None:
    text = said(make_plan())
    assert "Joint at its target after Most likely In 50 of 100 In 90 of 100 In 95 of 100" in text
    assert "boss to plate 1 h 33 min 1 h 42 min 1 h 47 min 1 h 49 min" in text
    assert "pin to plate" in text
    assert "Joint at its target after" not in said(make_plan(chances=None))


def test_heats_that_the_solver_could_not_finish_are_told() -> None:
    plan = make_plan()
    assert plan.chances is not None
    assert "could not finish" not in plan_text(plan)
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
    body = plan_text(make_crowded_plan(), width).splitlines()[2:]
    prose = [line for line in body if not line.isupper() and "(coldest" not in line]
    assert max(map(len, prose)) <= width


def test_without_warnings_drivers_and_assumptions_no_empty_headings() -> None:
    text = plan_text(replace(make_plan(), warnings=(), drivers=(), fidelities=(), watch=()))
    assert "WARNING" not in text
    assert "SIDE BY SIDE" not in text
    assert "\n\n\n" not in text


def test_a_driver_is_read_with_its_source() -> None:
    driver = Driver("door leak", "0", "1 %", 60.0, 120.0, "common practice, no source")
    text = " ".join(plan_text(replace(make_plan(), drivers=(driver,))).split())
    assert "What matters most: door leak, 0 gives 1 min, 1 % gives 2 min." in text
    assert "Range of door leak. Common practice, no source." in text


def test_fidelities_stand_side_by_side() -> None:
    text = fidelity_table_text(make_crowded_plan())
    rows = [line for line in text.splitlines() if line.startswith(("network", "section"))]
    assert len(rows) == 2
    assert "28 min" in rows[0]
    assert "29 min" in rows[1]
    assert fidelity_table_text(make_plan()) == ""


def said(plan: Plan) -> str:
    return " ".join(plan_text(plan).split())


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
    text = said(replace(make_plan(), energy=Energy(1e6, 4e5, 2e6, 2e5, 3.6e6, 0.3)))
    assert "The heater gives 1 kWh, which cost 0.30 at the price in the job." in text
    assert "the lining 0.556 kWh" in text


def test_heat_that_comes_back_is_said_to() -> None:
    plan = make_plan()
    back = said(replace(plan, energy=Energy(1e6, -5e5, 0.0, 2e6, 3e6)))
    assert "the furnace itself gives back 0.139 kWh" in back
    assert "-0.139" not in back
    assert "the furnace itself 0.139 kWh" in said(replace(plan, energy=Energy(1e6, 5e5, 0.0, 2e6, 3e6)))


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
