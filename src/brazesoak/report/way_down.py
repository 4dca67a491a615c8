"""The way down after the hold: when to open, how fast it cools, whether to quench."""

from __future__ import annotations

from collections.abc import Iterator

from brazesoak.answer import Cooling, Plan
from brazesoak.report import format as fmt
from brazesoak.report.wording import began


def cooling_sentences(plan: Plan) -> tuple[str, ...]:
    """The way down: when to open, how fast it cools, whether to quench."""
    return (*opening_sentences(plan), *_handled(plan), *cooling_rates(plan), *_quench(plan.cooling))


def later_sentences(plan: Plan) -> tuple[str, ...]:
    """When the load can be handled, and whether to quench."""
    return (*_handled(plan), *_quench(plan.cooling))


def opening_sentences(plan: Plan) -> tuple[str, ...]:
    """When the joints are solid and when to open; says so when the cooling was not computed."""
    opening = fmt.temperature_text(plan.opening_temperature)
    if plan.joints_solid is None and plan.safe_to_open is None:
        return (f"The cooling was not computed. Do not move the parts or open above {opening}.",)
    sentences = []
    if plan.joints_solid is not None:
        sentences.append(
            f"Every joint is solid about {fmt.minutes_not_before(plan.joints_solid)} after {began(plan)}: do not knock "
            "or move the parts before."
        )
    if plan.safe_to_open is not None:
        sentences.append(
            f"Everything is below {opening} about {fmt.minutes_not_before(plan.safe_to_open)} after {began(plan)}: the "
            "door may be opened, but everything in there still burns."
        )
    return tuple(sentences)


def _handled(plan: Plan) -> Iterator[str]:
    """When the load can be handled."""
    cooling = plan.cooling
    if cooling is None or cooling.safe_to_handle is None:
        return
    how = {"ajar": "With the door ajar from then", "still air": "Out in still air from then"}
    begin = how.get(cooling.how, "With the door shut to the end")
    yield (
        f"{begin}, everything can be handled with gloves, below 60 \N{DEGREE SIGN}C, about "
        f"{fmt.minutes_not_before(cooling.safe_to_handle)} after {began(plan)}."
    )


def cooling_rates(plan: Plan) -> Iterator[str]:
    """How fast the segments cool where steel may harden."""
    cooling = plan.cooling
    if cooling and (known := dict(_rates(cooling))):
        told = ", ".join(f"{', '.join(names)} {rate} K/min" for rate, names in known.items())
        alike = len(next(iter(known.values()))) == len(cooling.rates) > 1
        yield f"From 700 to 500 \N{DEGREE SIGN}C: {f'every segment {next(iter(known))} K/min' if alike else told}."


def _quench(cooling: Cooling | None) -> Iterator[str]:
    """Whether the load may be quenched to loosen its flux, and why."""
    if cooling:
        yield fmt.sentence(f"quench to loosen flux: {'yes' if cooling.may_quench else 'no'}, {cooling.quench}")


def _rates(cooling: Cooling) -> Iterator[tuple[str, list[str]]]:
    """Cooling rates as they read [K/min], each with the segments that cool so."""
    known = [(f"{rate * 60.0:.0f}", name) for name, rate in cooling.rates if rate is not None]
    for rate in dict.fromkeys(rate for rate, _ in known):
        yield rate, [name for r, name in known if r == rate]
