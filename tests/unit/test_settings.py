import numpy as np
import pytest

from brazesoak.analysis.settings import Settings, settle
from brazesoak.errors import JobFileError
from brazesoak.parts.assembly import assemble

from .jobs import LIBRARY, boss, job, joint, kelvin, plate, read

BRASS_ON_STEEL = (plate(), boss(metal="UNS C36000"), joint("boss", "plate"))
"""The brass (UNS C36000) begins to melt at 888 degC."""


def settled(*parts: str, **keys: str) -> Settings:
    job_read = read(*parts, **keys)
    return settle(job_read, assemble(job_read, LIBRARY), LIBRARY.furnace(job_read.job.furnace.name))


def noted(s: Settings, what: str) -> tuple[str, str]:
    (found,) = (a for a in s.assumptions if a.what == what)
    return found.value, found.why


@pytest.mark.parametrize(
    ("filler", "set_point", "reason"),
    [
        ("BAg-7", 727.0, "liquidus of BAg-7 plus 75 K"),  # 652 + 75
        ("BAg-5", 818.0, "liquidus of BAg-5 plus 75 K"),  # 743 + 75
        ("BAg-20", 838.0, 'solidus of "boss" less 50 K'),  # 766 + 75 = 841 is above 888 - 50
        ("BAg-8", 838.0, 'solidus of "boss" less 50 K'),
    ],
)
def test_default_set_point(filler: str, set_point: float, reason: str) -> None:
    """Liquidus plus 75 K, lowered to the lowest solidus less 50 K. Common practice, no source."""
    s = settled(*BRASS_ON_STEEL, filler=filler)
    assert s.set_point == pytest.approx(kelvin(set_point))
    assert reason in s.set_point_reason
    assert noted(s, "set-point")[0] == f"{set_point:.0f} degC"


KILN = 'name = "bench-kiln-10l"'


def off(kelvin_too_high: float) -> dict[str, str]:
    """A display that reads so much too high."""
    return {"furnace": f'{KILN}\ncontrol = {{ sensor_offset = "{kelvin_too_high:g} K" }}'}


@pytest.mark.parametrize(("filler", "true"), [("BAg-7", 727.0), ("BAg-20", 838.0)])
def test_a_display_that_is_off_is_set_so_that_the_furnace_is_right(filler: str, true: float) -> None:
    """Keyed in is the true temperature plus what the display reads too high; what the joints must reach stays."""
    right, high = (settled(*BRASS_ON_STEEL, filler=filler, **off(k)) for k in (0.0, 20.0))
    assert high.set_point == pytest.approx(kelvin(true + 20.0))
    assert high.true_set_point == right.true_set_point == pytest.approx(kelvin(true))
    assert high.targets == right.targets
    assert "+20 K as the display is off" in high.set_point_reason
    assert "display" not in right.set_point_reason


@pytest.mark.parametrize(
    ("keyed", "too_high", "said"),
    [
        (840, -60, "truly 900 degC by sensor_offset, is 12 K above the solidus"),  # the brass melts at 888 degC
        (660, 20, "truly 640 degC by sensor_offset, is not above the liquidus of BAg-7, 652 degC"),
    ],
)
def test_what_the_furnace_truly_is_at_may_not_melt_the_parts_nor_leave_the_filler_solid(
    keyed: int, too_high: float, said: str
) -> None:
    program = f'set_point = "{keyed} degC"'
    with pytest.raises(JobFileError, match=said):
        settled(*BRASS_ON_STEEL, program=program, **off(too_high))
    assert settled(*BRASS_ON_STEEL, program=program, **off(0.0)).set_point == pytest.approx(kelvin(keyed))


def test_the_highest_melting_filler_decides() -> None:
    s = settled(
        plate(),
        boss(),
        plate("lid"),
        joint("boss", "plate", name="1"),
        joint("lid", "boss", name="2", filler="BAg-5"),
    )
    assert s.set_point == pytest.approx(kelvin(818.0))
    assert s.targets == pytest.approx([kelvin(682.0), kelvin(773.0)])


def test_where_no_set_point_suits_the_job_is_refused() -> None:
    with pytest.raises(JobFileError, match="no set-point suits: RBCuZn-D is liquid only above"):
        settled(*BRASS_ON_STEEL, filler="RBCuZn-D")


@pytest.mark.parametrize("celsius", [600, 652])
def test_set_point_below_the_liquidus_is_refused_with_its_line(celsius: int) -> None:
    text = job(program=f'set_point = "{celsius} degC"')
    with pytest.raises(JobFileError) as caught:
        settled(program=f'set_point = "{celsius} degC"')
    (fault,) = caught.value.faults
    assert (fault.key, fault.line) == (
        "program.set_point",
        text.split("\n").index(f'set_point = "{celsius} degC"') + 1,
    )
    assert "BAg-7" in fault.message
    assert "652 degC" in fault.message


@pytest.mark.parametrize(
    ("program", "key"),
    [
        ('set_point = "888 degC"', "program.set_point"),
        ('set_point = "900 degC"', "program.set_point"),
        ('steps = [{ to = "520 degC" }, { to = "890 degC" }]', "program.steps[2].to"),
    ],
)
def test_what_melts_a_segment_is_refused_with_its_line(program: str, key: str) -> None:
    """The brass begins to melt at 888 degC."""
    with pytest.raises(JobFileError) as caught:
        settled(*BRASS_ON_STEEL, program=program)
    (fault,) = caught.value.faults
    assert fault.key == key
    assert fault.line is not None
    assert 'the solidus of "boss" (Free-machining brass), 888 degC' in fault.message
    assert "838 degC or below" in fault.message


def test_just_below_the_solidus_is_taken() -> None:
    assert settled(*BRASS_ON_STEEL, program='set_point = "887 degC"').set_point == pytest.approx(kelvin(887.0))


def test_set_point_of_the_job_is_kept() -> None:
    s = settled(program='set_point = "740 degC"')
    assert s.set_point == pytest.approx(kelvin(740.0))
    assert "set-point" not in {a.what for a in s.assumptions}


def test_a_target_too_near_the_set_point_is_lowered_and_said_so() -> None:
    s = settled(program='set_point = "690 degC"')
    assert s.targets == pytest.approx([kelvin(670.0)])
    assert noted(s, "target of the joints")[0] == "lowered to 670 degC"


def test_every_default_is_on_record() -> None:
    assert {a.what for a in settled().assumptions} == {
        "loading", "temperature of the load at the start", "superheat over the liquidus", "time above that",
        "door opened below", "temperature of the room", "convection film", "set-point", "ramp",
        "limits on the hold", "thermocouple on the load", "lag of a thermocouple on the load",
    }  # fmt: skip


def test_what_the_job_says_is_no_default() -> None:
    s = settled(
        furnace='name = "ideal"\nroom = "25 degC"\nfilm = "8 W/(m2 K)"',
        program='set_point = "730 degC"\nramp = "5 K/min"\nloading = "cold"\nstart = "25 degC"',
        hold='superheat = "20 K"\ntime = "4 min"\nopen_below = "300 degC"\nthermocouple_lag = "8 s"'
        + '\nthermocouple = "K class 1"',
        limits='flux = "40 min"\nscale = "0.2 mm"',
        fidelity="network",
    )
    assert s.assumptions == ()
    assert (s.superheat, s.wanted, s.open_below) == pytest.approx((20.0, 240.0, kelvin(300.0)))
    assert (s.start, s.surroundings.room) == pytest.approx((kelvin(25.0), kelvin(25.0)))


def test_program_with_steps() -> None:
    s = settled(program='ramp = "10 K/min"\nsteps = [{ to = "520 degC", ramp = "5 K/min", hold = "20 min" }]')
    # 500 K at 5 K/min, 20 min, 207 K at 10 K/min.
    assert s.surroundings.profile.time / 60.0 == pytest.approx([0.0, 100.0, 120.0, 140.7])


def test_hot_loading_begins_at_the_set_point() -> None:
    s = settled(program='loading = "hot"')
    assert s.hot
    assert s.surroundings.profile.at(0.0) == pytest.approx(kelvin(727.0))
    assert "ramp" not in {a.what for a in s.assumptions}


def test_steps_of_a_furnace_loaded_hot_are_refused() -> None:
    with pytest.raises(JobFileError) as caught:
        settled(program='loading = "hot"\nsteps = [{ to = "520 degC" }]')
    assert [f.key for f in caught.value.faults] == ["program.steps"]


def test_furnace_of_the_library_with_own_figures() -> None:
    own = 'power = "2.5 kW"\nheat_capacity = "20 kJ/K"\nloss_conductance = "3 W/K"\nwall_emissivity = 0.8\nfilm = "9 W/(m2 K)"'  # noqa: E501
    s = settled(furnace=f'name = "bench-kiln-3l"\n{own}\nsensor_time_constant = "12 s"\nuniformity = "10 K"')
    c = s.surroundings.chamber
    assert c is not None
    assert (
        c.power,
        c.heat_capacity,
        c.loss_conductance,
        c.wall_emissivity,
        c.sensor_time_constant,
    ) == pytest.approx((2500.0, 20000.0, 3.0, 0.8, 12.0))
    assert s.surroundings.film == pytest.approx(9.0)
    assert s.uniformity == pytest.approx((-10.0, 10.0))
    assert s.film == pytest.approx((6.3, 11.7))
    assert "the job file" in s.film_source
    assert {a.what for a in s.assumptions}.isdisjoint({"convection film", "figures of the furnace"})


def test_a_figure_of_nothing_is_a_figure() -> None:
    s = settled(furnace='name = "bench-kiln-3l"\nloss_conductance = "0 W/K"\nfilm = "0 W/(m2 K)"')
    assert s.surroundings.chamber is not None
    assert s.surroundings.chamber.loss_conductance == 0.0
    assert s.surroundings.film == 0.0


def test_figures_that_the_furnace_brings_are_on_record_with_their_source() -> None:
    s = settled(furnace='name = "bench-kiln-3l"\npower = "2.5 kW"')
    furnace = LIBRARY.furnace("bench-kiln-3l")
    assert noted(s, "convection film") == (f"{furnace.film.use:.3g} W/(m2 K)", furnace.film.source)
    assert s.film_source == furnace.film.source
    value, source = noted(s, "figures of the furnace")
    assert source == furnace.source
    assert "power" not in value  # the job's own
    assert value == f"lag of the sensor {furnace.sensor_time_constant:.0f} s"
    assert noted(s, "lining of the furnace")[0].startswith("65 mm insulating firebrick")
    assert noted(s, "emissivity of the chamber walls")[1] == furnace.wall_emissivity.source


def test_a_furnace_of_the_library_is_computed_in_bodies() -> None:
    s, told = settled(furnace='name = "bench-kiln-3l"'), LIBRARY.furnace("bench-kiln-3l").interior
    assert told is not None
    c = s.surroundings.chamber
    assert c is not None
    assert c.interior is not None
    assert c.loss_conductance == told.openings_conductance
    brick = c.interior.lining.layers[0]
    assert brick.thickness == pytest.approx(0.065)
    # Group 26: VDI Heat Atlas, 2nd ed., through the reference data: 790 kg/m3, 0.30 W/(m K), 994 J/(kg K).
    assert np.interp(kelvin(600.0), *brick.conductivity) == pytest.approx(0.30)
    assert np.interp(kelvin(600.0), *brick.capacity) == pytest.approx(790.0 * 994.0)
    # Elements: 1200 W at 2 W/cm2 are 600 cm2 of wire of 1 mm, half of it free: 15 cm3 of 7150 kg/m3, 700 J/(kg K).
    assert c.interior.elements.area == pytest.approx(0.03)
    assert c.interior.elements.heat_capacity == pytest.approx(15e-6 * 7150.0 * 700.0)
    shelf = c.interior.shelf
    assert shelf is not None
    assert shelf.area * shelf.thickness * shelf.capacity == pytest.approx(0.1298**2 * 0.01 * 2000.0 * 1020.0, rel=0.01)


@pytest.mark.parametrize("key", ['heat_capacity = "20 kJ/K"', 'loss_conductance = "3 W/K"'])
def test_a_figure_of_the_job_replaces_the_lining_and_says_so(key: str) -> None:
    s = settled(furnace=f'name = "bench-kiln-3l"\n{key}')
    assert s.surroundings.chamber is not None
    assert s.surroundings.chamber.interior is None
    value, why = noted(s, "lining of the furnace")
    assert value == "one lump with the chamber"
    assert "heat_capacity or loss_conductance" in why
    f = LIBRARY.furnace("bench-kiln-3l")
    left = f"loss {f.loss_conductance:.2g} W/K" if "heat" in key else f"heat capacity {f.chamber_heat_capacity:.0f} J/K"
    assert left in noted(s, "figures of the furnace")[0]


def test_an_ideal_furnace_has_no_chamber_and_says_what_it_does_not_use() -> None:
    s = settled(furnace='name = "ideal"\npower = "2 kW"')
    assert s.surroundings.chamber is None
    assert noted(s, "furnace.power of the job file")[0] == "not used"


def test_a_load_starts_at_the_temperature_of_the_room() -> None:
    s = settled(*BRASS_ON_STEEL, furnace='name = "ideal"\nroom = "5 degC"')
    assert s.start == pytest.approx(kelvin(5.0))
    assert noted(s, "temperature of the load at the start") == ("5 degC", "that of the room")


def test_no_furnace_is_opened_on_a_joint_that_is_not_solid() -> None:
    s = settled(hold='open_below = "700 degC"')
    assert s.open_below == pytest.approx(kelvin(618.0))  # solidus of BAg-7
    value, why = noted(s, "door opened below")
    assert value == "618 degC"
    assert '700 degC, as the job says, the filler of joint "joint"' in why
    assert settled(hold='open_below = "600 degC"').open_below == pytest.approx(kelvin(600.0))
