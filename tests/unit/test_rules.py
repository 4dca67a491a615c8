import pytest

from brazesoak.analysis.rules import rule_of_thumb, rule_sentence

from .jobs import boss, joint, kelvin, plate, prepared


def sentence(hold: float, surface: object = "oxidised", clock: float = 0.0) -> str:
    job = prepared(plate(surface=surface), boss(surface=surface), joint("boss", "plate"))
    return rule_sentence(hold, clock, job.assembly, job.model(job.inputs).bodies, kelvin(727.0))


def test_one_hour_per_kilogram() -> None:
    """Common practice, no source."""
    assert rule_of_thumb(2.5) == 9000.0


MASS = prepared().assembly.mass


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "far too long"),
        (0.04, "far too long"),
        (0.25, "4.0 times too long"),
        (1.0, "about right"),
        (1.1, "about right"),
        (2.0, "too short, 50% of what is needed"),
    ],
)
def test_how_the_hold_compares(share: float, words: str) -> None:
    assert words in sentence(share * 3600.0 * MASS)


@pytest.mark.parametrize(
    ("surface", "words"),
    [(0.9, "dark (emissivity 0.90)"), (0.1, "bright (emissivity 0.10)"), (0.5, "half-dark")],
)
def test_the_surface_is_named(surface: float, words: str) -> None:
    assert words in sentence(600.0, surface)


def test_surface_for_each_kilogram() -> None:
    job = prepared()
    area = sum(s.exposed_area for s in job.assembly.segments)
    assert f"{1e4 * area / MASS:.0f} cm2 for each kilogram" in sentence(600.0)


def test_a_slow_ramp_is_part_of_the_reason() -> None:
    assert "for 70 min before the clock starts" in sentence(600.0, clock=4200.0)
    assert "before the clock starts" not in sentence(600.0, clock=300.0)
