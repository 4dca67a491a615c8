"""Classes of furnaces and thermocouples: against the reference data, and in the plan."""

import re

import pytest

from brazesoak.analysis.instruments import TOLERANCES, UNIFORMITY, thermocouple, uniformity
from brazesoak.analysis.plan import make_plan, uncertain
from brazesoak.errors import JobFileError
from brazesoak.jobfile.quantities import UNIFORMITY_CLASSES

from .jobs import LIBRARY, kelvin, prepared, read

TABLES = LIBRARY.practice().tables


def test_classes_of_furnaces_are_those_of_the_reference() -> None:
    rows = TABLES["furnace_class"]
    assert {f"class {r['furnace_class']}": r["uniformity_K"] for r in rows} == UNIFORMITY
    assert tuple(UNIFORMITY) == UNIFORMITY_CLASSES


def test_tolerances_of_thermocouples_are_those_of_the_reference() -> None:
    seen = set()
    for row in TABLES["thermocouple"]:
        if row["standard"] != "IEC 60584-1":
            continue
        for letter in re.findall(r"\b[KNSR]\b", str(row["type"])):
            kind = f"{letter} class {row['tolerance_class']}"
            # The reference gives the value at 730 degC to a tenth of a kelvin.
            assert thermocouple(kind, kelvin(730.0))[0] == pytest.approx(row["at_730C_K"], abs=0.051)
            seen.add(kind)
    assert seen == set(TOLERANCES)


def test_at_low_temperature_the_least_tolerance_holds() -> None:
    assert thermocouple("K class 2", kelvin(100.0)) == (2.5, "IEC 60584-1:2013, type K, class 2")


def test_a_figure_of_the_job_is_taken_as_it_is() -> None:
    assert uniformity(12.0) == (12.0, "the job file")
    assert uniformity("class 5") == (14.0, "SAE AMS2750F (2020), class 5 as the job says")


def test_classes_of_the_job_enter_the_uncertainty() -> None:
    own = 'name = "bench-kiln-3l"\nuniformity = "class 5"\nthermocouple = "K class 1"'
    p = prepared(furnace=own, program='set_point = "730 degC"')
    found = {u.name: u for u in uncertain(p)}
    even = found["evenness of the furnace"]
    assert (even.low_text, even.high_text) == ("-14 K", "+14 K")
    assert found["furnace thermocouple"].high_text == "+2.9 K"
    assert "class 1" in found["furnace thermocouple"].source


def test_a_class_that_there_is_not_is_refused() -> None:
    with pytest.raises(JobFileError, match='"class 7" is no class; expected class 1 to class 6'):
        read(furnace='name = "ideal"\nuniformity = "class 7"')


def test_a_better_class_makes_the_hold_surer() -> None:
    """Evenness 3 K for 28 K, sensor 1 K for 5.5 K: the range of the hold closes, and what is enough comes down."""
    found = []
    for even, sensor in (("class 1", "S class 1"), ("class 6", "K class 2")):
        own = f'name = "bench-kiln-3l"\nuniformity = "{even}"\nthermocouple = "{sensor}"'
        found.append(make_plan(read(furnace=own, program='set_point = "730 degC"', fidelity="network"), LIBRARY))
    good, poor = found
    assert good.hold_time_nominal == pytest.approx(poor.hold_time_nominal, abs=1.0)
    spread = [p.hold_time_high - p.hold_time_low for p in found]
    assert spread[0] < 0.7 * spread[1]
    assert good.hold_time < poor.hold_time
