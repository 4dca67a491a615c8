import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import jsonschema
import pytest

from brazesoak.answer import Plan
from brazesoak.errors import SimulationError
from brazesoak.report.as_json import answer_schema, json_text, plan_json

from .fake_plan import make_crowded_plan, make_plan

AGREED = {
    "set_point_C",
    "hold_time_min",
    "hold_time_nominal_min",
    "rule_of_thumb_min",
    "ruling_joint",
    "fidelity",
    "energy_balance_error",
    "segments",
    "joints",
    "warnings",
    "assumptions",
}


def never_reached() -> Plan:
    plan = make_plan()
    return replace(plan, drivers=(replace(plan.drivers[0], hold_at_low=None),))


@pytest.mark.parametrize("plan", [make_plan(), make_crowded_plan(), never_reached()], ids=["plain", "crowded", "never"])
def test_keeps_its_own_schema(plan: Plan) -> None:
    schema = answer_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    faults = [fault.message for fault in jsonschema.Draft202012Validator(schema).iter_errors(plan_json(plan))]
    assert faults == []


def test_the_schema_refuses_an_unknown_and_a_missing_key() -> None:
    validator = jsonschema.Draft202012Validator(answer_schema())
    answer = plan_json(make_plan())
    assert not validator.is_valid({**answer, "hold_time_s": 1.0})
    del answer["hold_time_min"]
    assert not validator.is_valid(answer)


def test_the_agreed_keys_are_there() -> None:
    answer = plan_json(make_crowded_plan())
    assert answer.keys() >= AGREED
    assert answer["segments"][0].keys() >= {"name", "mass_kg", "passes_liquidus_min", "peak_C"}
    assert answer["joints"][0].keys() >= {
        "name",
        "passes_solidus_min",
        "passes_liquidus_min",
        "time_above_target_min",
    }
    assert answer["warnings"][0].keys() >= {"code", "message"}


def properties(schema: dict[str, Any], path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    for key, value in schema.get("properties", {}).items():
        yield f"{path}/{key}", value
        yield from properties(value, f"{path}/{key}")
        yield from properties(value.get("items", {}), f"{path}/{key}[]")


def test_every_key_is_described() -> None:
    found = list(properties(answer_schema()))
    assert len(found) > 80
    assert [path for path, value in found if not value.get("description")] == []


def test_units_at_the_edge() -> None:
    answer = plan_json(make_plan())
    assert answer["set_point_C"] == 730.0  # exact after rounding: 1003.15 - 273.15
    assert answer["hold_time_min"] == 37.0
    assert answer["joints"][1]["gap_mm"] == 0.08
    assert answer["program"][0]["rate_K_per_min"] == 8.0


def test_a_time_that_never_comes_is_null() -> None:
    assert plan_json(make_crowded_plan())["joints"][2]["passes_liquidus_min"] is None


def test_strict_json_comes_back_equal() -> None:
    plan = make_crowded_plan()
    assert json.loads(json_text(plan), parse_constant=pytest.fail) == plan_json(plan)


def test_a_value_that_is_no_number_is_refused() -> None:
    with pytest.raises(SimulationError, match="finite"):
        plan_json(replace(make_plan(), energy_balance_error=float("nan")))
