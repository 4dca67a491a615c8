"""Made-up answers for the tests of `report`, `plots` and `results`: every number is invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from brazesoak.answer import (
    Assumption,
    Candidate,
    Caution,
    Chances,
    Driver,
    Energy,
    FidelityRow,
    FloatArray,
    Histories,
    JointAnswer,
    JointAtHeat,
    Notice,
    Orientation,
    Percentile,
    Placing,
    Plan,
    Posture,
    ProgramStep,
    Section,
    SegmentAnswer,
)

ZERO = 273.15
SET_POINT = 730.0 + ZERO
RAMP = 8.0 / 60.0
HOLD = 37 * 60.0


def lagging(time: FloatArray, ambient: FloatArray, time_constant: float) -> FloatArray:
    """A body that follows `ambient` with one time constant, by small explicit steps."""
    out = np.empty_like(time)
    out[0] = ambient[0]
    for i in range(1, time.size):
        rate = min(1.0, (time[i] - time[i - 1]) / time_constant)
        out[i] = out[i - 1] + rate * (ambient[i] - out[i - 1])
    return out


def passing(time: FloatArray, temperature: FloatArray, level: float) -> float | None:
    """First time at which a rising history passes `level`; None when it never does."""
    if temperature.max() < level:
        return None
    return float(np.interp(level, np.maximum.accumulate(temperature), time))


def make_histories(time_constants: tuple[float, ...], joint_constants: tuple[float, ...]) -> Histories:
    ramp_end = (SET_POINT - 293.15) / RAMP
    time = np.linspace(0.0, ramp_end + HOLD + 120.0, 700)
    program = np.minimum(293.15 + RAMP * time, SET_POINT)
    sensor = lagging(time, program, 60.0)
    coldest = np.array([lagging(time, program, tau) for tau in time_constants])
    joints = np.array([lagging(time, program, tau) for tau in joint_constants])
    return Histories(time, program, sensor, coldest, np.minimum(coldest + 2.0, SET_POINT), joints)


def make_joint(
    name: str, segments: tuple[str, str], filler: str, melts: tuple[float, float], **more: Any
) -> JointAnswer:
    history, time, end = more.pop("history"), more.pop("time"), more.pop("end")
    solidus, liquidus = melts[0] + ZERO, melts[1] + ZERO
    target = min(liquidus + 30.0, SET_POINT - 20.0)
    times = [passing(time, history, level) for level in (solidus, liquidus, target)]
    between = None if times[0] is None or times[1] is None else times[1] - times[0]
    return JointAnswer(
        name=name,
        segments=segments,
        filler=filler,
        flux=more.pop("flux", "FB3-C"),
        area=more.pop("area", 28.3e-4),
        gap=more.pop("gap", 1e-4),
        solidus=solidus,
        liquidus=liquidus,
        target=target,
        passes_solidus=times[0],
        passes_liquidus=times[1],
        passes_target=times[2],
        time_above_target=0.0 if times[2] is None else max(0.0, end - times[2]),
        time_between_solidus_and_liquidus=between,
        flux_time=22 * 60.0,
        time_error=1.3,
    )


def make_segment(name: str, metal: str, mass: float, history: FloatArray, time: FloatArray) -> SegmentAnswer:
    return SegmentAnswer(
        name=name,
        metal=metal,
        surface="bright",
        mass=mass,
        exposed_area=160e-4,
        thickest_section=55e-3,
        biot=0.021,
        passes_solidus=passing(time, history, 618.0 + ZERO),
        passes_liquidus=passing(time, history, 652.0 + ZERO),
        peak=float(history.max()),
        solidus_margin=885.0 + ZERO - float(history.max()),
    )


def make_section() -> Section:
    """A round boss on a plate: radius to 80 mm, plate 6 mm thick below a boss of radius 30 mm."""
    r = np.linspace(0.0, 0.08, 17)
    z = np.concatenate([np.linspace(0.0, 0.006, 4), np.linspace(0.006, 0.061, 12)[1:]])
    rr, zz = np.meshgrid((r[1:] + r[:-1]) / 2, (z[1:] + z[:-1]) / 2, indexing="ij")
    segment = np.where(zz < 0.006, 1, np.where(rr < 0.03, 0, -1)).astype(np.int64)
    temperature = np.where(segment < 0, np.nan, 690.0 + ZERO + 60.0 * rr + 30.0 * np.abs(zz - 0.03))
    return Section("axisymmetric", r, z, segment, temperature, 91 * 60.0)


def settling(hold: float) -> tuple[tuple[int, float], ...]:
    """A percentile that settles to `hold` [min]."""
    return tuple((n, 60.0 * (hold + 2.0 - n / 32.0)) for n in (16, 32, 64))


def make_plan(**changes: Any) -> Plan:
    """Brass boss and stainless pin on a steel plate: two joints, one warning."""
    histories = make_histories((700.0, 240.0, 330.0), (560.0, 300.0))
    time = histories.time
    clock_start = passing(time, histories.sensor, SET_POINT - 5.0)
    assert clock_start is not None
    end = clock_start + HOLD
    joints = (
        make_joint(
            "boss to plate",
            ("boss", "plate"),
            "BAg-7",
            (618.0, 652.0),
            history=histories.joint_coldest[0],
            time=time,
            end=end,
        ),
        make_joint(
            "pin to plate",
            ("pin", "plate"),
            "BAg-24",
            (660.0, 705.0),
            history=histories.joint_coldest[1],
            time=time,
            end=end,
            area=3.1e-4,
            gap=8e-5,
        ),
    )
    segments = (
        make_segment("boss", "Free-cutting brass (UNS C36000)", 1.32, histories.segment_coldest[0], time),
        make_segment("plate", "Low-carbon steel (AISI 1018)", 0.471, histories.segment_coldest[1], time),
        make_segment("pin", "Austenitic stainless steel (AISI 304)", 0.061, histories.segment_coldest[2], time),
    )
    plan = Plan(
        title="Bearing pedestal (invented for the tests)",
        job_path="pedestal.toml",
        furnace="Ideal furnace",
        furnace_is_ideal=True,
        set_point=SET_POINT,
        set_point_reason="liquidus of BAg-24 (705 °C) plus 75 K, lowered for the solidus of the boss",
        hold_time=HOLD,
        hold_time_nominal=29 * 60.0,
        hold_time_low=23 * 60.0,
        hold_time_high=36.2 * 60.0,
        clock_start=clock_start,
        clock_band=5.0,
        hold_end=end,
        superheat=30.0,
        minutes_at_target=300.0,
        ruling_joint="boss to plate",
        ruling_reason="its boss is the heaviest segment for its surface, and bright brass heats slowly",
        rule_of_thumb=1.852 * 3600.0,
        rule_sentence="The rule counts the mass and does not know that 1.3 kg of it is one compact boss.",
        fidelity="section axisymmetric",
        fidelity_reason="a round boss stands on a plate, so a section through the axis tells all",
        energy_balance_error=3.2e-9,
        total_mass=1.852,
        segments=segments,
        joints=joints,
        program=(
            ProgramStep("ramp", 520.0 + ZERO, RAMP, (520.0 - 20.0) / RAMP),
            ProgramStep("hold", 520.0 + ZERO, None, 1200.0, "lets the segments even out"),
            ProgramStep("ramp", SET_POINT, RAMP, 210.0 / RAMP),
            ProgramStep("hold", SET_POINT, None, HOLD, "from when the display shows 725 °C"),
            ProgramStep("off", None, None, None, "leave the door shut"),
        ),
        drivers=(
            Driver("emissivity of bright brass", "0.05", "0.20", 41 * 60.0, 24 * 60.0, "invented for the tests"),
            Driver(
                "film coefficient",
                "5 W/(m2 K)",
                "12 W/(m2 K)",
                33 * 60.0,
                27 * 60.0,
                "invented for the tests",
            ),
            Driver(
                "contact of the dry joint",
                "100 W/(m2 K)",
                "1000 W/(m2 K)",
                30.5 * 60.0,
                28.4 * 60.0,
                "invented for the tests",
            ),
            Driver("furnace uniformity", "-10 K", "+10 K", 29.4 * 60.0, 28.9 * 60.0, "invented for the tests"),
        ),
        warnings=(
            Notice(
                "transformation-near-target",
                "The target of 682 °C lies 41 K below the transformation of the plate (723 °C); the "
                "last degrees are slow.",
                "Do not shorten the hold because the display has been steady.",
                "EN 1993-1-2, clause 3.4.1.2",
            ),
        ),
        cautions=(
            Caution(
                "zinc fume",
                "Brass overheated or soaked long gives white fume: metal fume fever.",
                "29 CFR 1910.1000 Table Z-1 (recalled)",
            ),
            Caution(
                "fluoride flux",
                "Fume and dust hurt eyes, lungs and skin. Exhaust the furnace, wear gloves.",
                "29 CFR 1910.252(c)",
            ),
            Caution(
                "parts that look cold",
                "No glow below about 525 °C: treat every part as hot.",
                "Draper 1847 (recalled)",
            ),
        ),
        assumptions=(
            Assumption("set-point", "730 °C", "the job names none; liquidus plus 75 K, common practice, no source"),
            Assumption("superheat above the liquidus", "30 K", "the job names none; common practice, no source"),
        ),
        watch=(
            "The flux turns clear and glassy at about 600 °C.",
            "The filler flashes at the boss's edge: note the time.",
        ),
        thermocouple="Tie the thermocouple to the foot of the boss, away from the wall. "
        "The hold may end when it has read 682 °C or more for 5 min.",
        filler_amounts=(("boss to plate", 3.4e-7), ("pin to plate", 3.1e-8)),
        joints_solid=end + 9 * 60.0,
        safe_to_open=end + 24 * 60.0,
        opening_temperature=500.0 + ZERO,
        energy=Energy(load=5.9e5, chamber=0.0, lining=0.0, losses=0.0, heater=None),
        histories=histories,
        section=make_section(),
        chances=Chances(
            confidence=0.95,
            percentiles=(
                Percentile(
                    0.5,
                    29.2 * 60.0,
                    20.0,
                    29.0 * 60.0,
                    {"boss to plate": 6100.0, "pin to plate": 5600.0},
                    settling(29.2),
                ),
                Percentile(
                    0.9,
                    34.1 * 60.0,
                    31.0,
                    34.6 * 60.0,
                    {"boss to plate": 6400.0, "pin to plate": 5700.0},
                    settling(34.1),
                ),
                Percentile(
                    0.95,
                    36.4 * 60.0,
                    45.0,
                    37.1 * 60.0,
                    {"boss to plate": 6540.0, "pin to plate": 5800.0},
                    settling(36.4),
                ),
            ),
            samples=64,
            seed=0,
            never=0.0,
            model_error=12.0,
            measure="Blacken the bright brass surfaces evenly.",
            margin=47.0,
            sampled_as="section axisymmetric",
            cells=139,
            checked_on=556,
        ),
        orientation=Orientation(
            "no one position does for all joints",
            (
                Posture("z", 'standing with "plate" at the bottom', ("boss to plate",), ("boss to plate",), (), ()),
                Posture("x", "lying on its side", ("pin to plate",), (), (("pin to plate", 8e-3),), ()),
            ),
            (),
            50.0,
            (),
            ("BAg-24",),
            True,
        ),
        placing=Placing(
            "boss",
            'on "boss", close beside joint "boss to plate"',
            675.0 + ZERO,
            clock_start + 1200.0,
            420.0,
            310.0,
            395.0,
            1300.0,
            2190.0,
            10.0,
            1.4,
            95.0,
            (Candidate('on "boss", close beside joint "boss to plate"', 675.0 + ZERO, 310.0, 395.0),),
        ),
        at_heat=(
            JointAtHeat(
                "boss to plate",
                False,
                682.0 + ZERO,
                1e-4,
                (5e-5, 1.3e-4),
                0.0,
                (0.13, 0.21, 0.29),
                2.83e-7,
                4e-8,
                3.4e-7,
                3.2e-3,
                ((1e-3, 0.433), (1.5e-3, 0.192)),
                (1e-4, 3.4e-3),
                0.0044,
                "brass handbook (memory)",
            ),
            JointAtHeat(
                "pin to plate",
                True,
                682.0 + ZERO,
                -1e-5,
                (5e-5, 1.3e-4),
                8e-3,
                None,
                2.5e-8,
                2e-9,
                3.1e-8,
                2.9e-4,
                ((1e-3, 0.0395), (1.5e-3, 0.0175)),
                (1e-4, 3.1e-4),
                -0.001,
                "steel code (published)",
            ),
        ),
    )
    return replace(plan, **changes)


def make_crowded_plan() -> Plan:
    """Six segments, six joints, eight warnings, nine cautions, one joint that never gets there."""
    base = make_plan()
    constants = (900.0, 240.0, 330.0, 420.0, 520.0, 610.0)
    histories = make_histories(constants, (850.0, 300.0, 360.0, 430.0, 500.0, 560.0))
    time, end = histories.time, base.hold_end
    names = ("boss", "base plate", "pin", "left bearing housing", "right bearing housing", "stiffening rib")
    fillers = (("BAg-7", (618.0, 652.0)), ("BAg-24", (660.0, 705.0)), ("BAg-5", (677.0, 743.0)))
    segments = tuple(
        make_segment(name, "Low-carbon steel (AISI 1018)", 0.4 + 0.3 * i, histories.segment_coldest[i], time)
        for i, name in enumerate(names)
    )
    joints = tuple(
        make_joint(
            f"{name} to base plate",
            (name, "base plate"),
            *fillers[i % 3],
            history=histories.joint_coldest[i],
            time=time,
            end=end,
        )
        for i, name in enumerate(names)
    )
    warning = replace(base.warnings[0], message=base.warnings[0].message + " This costs about ten minutes here.")
    rows = tuple(
        FidelityRow(
            name,
            cells,
            1700.0 + 30.0 * i,
            joints[0].name,
            {j.name: j.passes_target for j in joints},
            1e-9,
            2.0,
            0.3,
        )
        for i, (name, cells) in enumerate((("network", 6), ("section axisymmetric", 900)))
    )
    return replace(
        base,
        segments=segments,
        joints=joints,
        histories=histories,
        section=None,
        fidelities=rows,
        warnings=tuple(replace(warning, code=f"warning-{i}") for i in range(8)),
        cautions=base.cautions * 3,
        filler_amounts=tuple((joint.name, 2e-7) for joint in joints),
        at_heat=tuple(replace(base.at_heat[i % 2], name=joint.name) for i, joint in enumerate(joints)),
        joints_solid=None,
        safe_to_open=None,
        ruling_joint=joints[0].name,
        watch=base.watch * 2,
        energy=Energy(load=5.9e5, chamber=1.1e6, lining=0.0, losses=4e5, heater=2.09e6),
        furnace_is_ideal=False,
        furnace="Small chamber furnace, 2.5 kW",
    )
