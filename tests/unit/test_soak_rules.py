"""Soak rules of the trade against their own words; each check names its source."""

import re
from dataclasses import replace

import pytest

from brazesoak.analysis import soak_rules
from brazesoak.analysis.rules import ALIKE
from brazesoak.answer import Plan
from brazesoak.report.rules_text import rules_text
from brazesoak.rules_of_thumb import RuleOfThumb

from .fake_plan import make_plan
from .jobs import LIBRARY

ROWS = LIBRARY.practice().tables["soak_rule"]
INCH, MINUTE, HOUR = 0.0254, 60.0, 3600.0


def thick(thickness: float, **changes: float) -> Plan:
    """The made-up plan with its first segment this thick [m] and all others thin."""
    plan = make_plan(**changes)
    first, *others = plan.segments
    others = [replace(s, thickest_section=0.001) for s in others]
    return replace(plan, segments=(replace(first, thickest_section=thickness), *others))


def rules(plan: Plan) -> dict[str, RuleOfThumb]:
    return {r.name: r for r in soak_rules.rules_beside(plan, ROWS).rules}


def test_by_the_inch_and_by_the_millimetre() -> None:
    """Common practice, no source: 1 h for 25.4 mm is 2.4 min for each mm."""
    assert soak_rules.hour_per_inch(0.0508) == pytest.approx((2 * HOUR, 2 * HOUR))
    assert soak_rules.hour_per_inch(0.001)[0] / MINUTE == pytest.approx(2.36, abs=0.005)
    assert soak_rules.minutes_per_millimetre(0.030) == pytest.approx((30 * MINUTE, 60 * MINUTE))
    assert soak_rules.hardening(0.040) == pytest.approx((40 * MINUTE, 40 * MINUTE))


@pytest.mark.parametrize(("inches", "low", "high"), [(1.0, 120.0, 120.0), (1.01, 120.6, 180.0), (0.25, 75.0, 120.0)])
def test_a_clause_that_is_read_in_two_ways(inches: float, low: float, high: float) -> None:
    """60 min plus 60 min per inch or part of it: row of the trade data, 60 + 60 ceil(t / 25.4)."""
    assert soak_rules.hour_and_hour_per_inch(inches * INCH) == pytest.approx((low * MINUTE, high * MINUTE))


@pytest.mark.parametrize(("inches", "minutes"), [(0.1, 15.0), (0.5, 30.0), (2.0, 120.0), (3.0, 135.0)])
def test_stress_relief(inches: float, minutes: float) -> None:
    """ASME BPVC VIII-1, Table UCS-56, P-No. 1 (recalled)."""
    assert soak_rules.stress_relief(inches * INCH)[0] == pytest.approx(minutes * MINUTE)


@pytest.mark.parametrize(("inches", "hours"), [(0.5, 1.25), (1.0, 1.25), (1.5, 1.75), (4.0, 3.25), (7.0, 5.0)])
def test_heat_up_and_soak_by_the_table(inches: float, hours: float) -> None:
    """NAVEDTRA 14250, Table 2-2 (recalled)."""
    assert soak_rules.heat_and_soak(inches * INCH) == pytest.approx((hours * HOUR, hours * HOUR))


def test_the_table_is_that_of_the_trade_data() -> None:
    (row,) = (str(r["value"]) for r in ROWS if "NAVEDTRA" in str(r["source"]))
    heat, soak = re.findall(r"[\d.]+(?:/[\d.]+)+", row)[:2]
    assert [float(x) for x in heat.split("/")] == [h for _, h, _ in soak_rules.HEAT_AND_SOAK]
    assert [float(x) for x in soak.split("/")] == [s for _, _, s in soak_rules.HEAT_AND_SOAK]


def test_the_table_says_nothing_beyond_its_end() -> None:
    row = rules(thick(0.21))["hardening table"]
    assert (row.low, row.high, row.verdict) == (None, None, "no answer")
    assert "210 mm" in row.reason


def test_each_is_compared_with_what_it_counts() -> None:
    plan = thick(0.0254)
    found = rules(plan)
    assert found["one hour per inch"].computed == plan.hold_time
    assert found["hardening table"].computed == plan.hold_end
    assert found["post-weld stress relief"].computed == plan.minutes_at_target
    assert found["one hour per kilogram"].low == pytest.approx(HOUR * plan.total_mass)


@pytest.mark.parametrize(
    ("hold", "verdict"),
    [
        (20 * MINUTE, "3.0 times too long"),
        (60 * MINUTE, "about right, by chance"),
        (60 * MINUTE * (1.0 + 0.9 * ALIKE), "about right, by chance"),
        (120 * MINUTE, "too short: 50%"),
        (0.0, "far too long"),
    ],
)
def test_how_a_rule_compares(hold: float, verdict: str) -> None:
    """25.4 mm: one hour."""
    assert rules(thick(INCH, hold_time=hold))["one hour per inch"].verdict == verdict


def test_the_thickest_segment_and_its_biot_number_are_named() -> None:
    plan = thick(0.05)
    reason = rules(plan)["one hour per inch"].reason
    assert f'50 mm of "{plan.segments[0].name}"' in reason
    assert f"Biot number {plan.segments[0].biot:.2f}" in reason


def test_every_rule_has_its_source_in_print_and_the_cautions_follow() -> None:
    beside = soak_rules.rules_beside(thick(0.05), ROWS)
    text = rules_text(beside, 100)
    plain = " ".join(text.split())
    assert all(r.source in plain for r in beside.rules)
    assert text.index("WHY THEY DIFFER") < text.index("CAUTIONS")
    assert text.endswith("Safety data sheets, local codes and licensed practice come before this page.")
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize(
    ("hold", "verdict"),
    [
        (10.0, "2.5 to 5.1 times too long"),
        (2.0, "12.7 times to far too long"),
        (1.0, "far too long"),
        (25.4, "about right to 2.0 times too long"),
        (35.0, "too short, 73%, to 1.5 times too long"),
        (50.0, "too short, 51%, to about right"),
        (80.0, "too short: 32% to 64%"),
    ],
)
def test_both_ends_of_a_range_are_compared(hold: float, verdict: str) -> None:
    """25.4 mm: 25.4 to 50.8 min."""
    assert rules(thick(INCH, hold_time=hold * MINUTE))["minutes per millimetre"].verdict == verdict
