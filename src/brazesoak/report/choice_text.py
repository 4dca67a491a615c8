"""The chooser's answer as plain text: one filler for all joints, then joints by their metals, then the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brazesoak.choices import Choice, Choices, Excluded, FillerChoice, Reason
from brazesoak.report import format as fmt
from brazesoak.report.cautions import cautions_block
from brazesoak.report.layout import bullets, paragraph, table

SHOWN = 5
"""Fillers told with their reasons; the others are named."""
HOW_TO_READ = (
    "+ speaks for it, - against it, = know it; [n] is its source, listed below. The points that order the list are "
    "common practice, no source; what is excluded is not a matter of points. Set-points are what a plan takes by "
    "itself; one that the job gives is not looked at."
)


class _Sources:
    """Sources by number, in the order they are first cited."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def cite(self, source: str) -> str:
        """The mark of a source."""
        return f"[{self.numbers.setdefault(source, len(self.numbers) + 1)}]"


def choice_text(choices: Choices, width: int = 100) -> str:
    """The whole answer, no line longer than `width` unless one word is."""
    together, sources = choices.together, _Sources()
    ceiling = (
        f'No set-point above {fmt.temperature_both(choices.ceiling)}, for the sake of "{choices.lowest}"; it holds '
        "for every joint, since all parts go into the furnace."
    )
    blocks = [paragraph(text, width) for text in (choices.title, ceiling, HOW_TO_READ)]
    if together.fillers:
        blocks += _blocks(together, "ALL JOINTS", width, sources)
    else:
        blocks.append("ALL JOINTS\n" + paragraph("No one filler suits all joints; choose for each below.", width))
    for choice in choices.apart:
        heading = f"ONLY {', '.join(choice.joints)}"
        if _names(choice) == _names(together):
            metals = f"Metals: {'; '.join(choice.metals)}. The same fillers in the same order as for all joints."
            blocks.append(f"{heading}\n" + paragraph(metals, width))
        else:
            blocks += _blocks(choice, heading, width, sources)
    notes = [f"{metal}: {fmt.sentence('; '.join(texts))}" for metal, texts in choices.metal_notes]
    if notes:
        blocks.append("OF THE METALS (from their data files; brazesoak data NAME for more)\n" + bullets(notes, width))
    blocks.append("SOURCES\n" + _listed(sources, width))
    blocks.append(cautions_block(choices.cautions, width, full=True))
    return "\n\n".join(blocks)


def _blocks(choice: Choice, heading: str, width: int, sources: _Sources) -> Iterator[str]:
    best = choice.fillers[0]
    yield f"{heading}\n" + paragraph(f"Metals: {'; '.join(choice.metals)}.", width) + "\n" + _in_job(choice, width)
    head = ("Rank", "Filler", "Melts", "Set-point", "Points", "First flux")
    yield table(head, [_row(i, f) for i, f in enumerate(choice.fillers[:SHOWN], 1)], width)
    for i, filler in enumerate(choice.fillers[:SHOWN], 1):
        yield f"{i}. {filler.name}\n" + _reasons(filler.reasons, width, sources)
    rest = _names(choice)[SHOWN:]
    if rest:
        yield paragraph(f"Possible, but ranked lower: {', '.join(rest)}.", width)
    if choice.excluded:
        yield "Fillers excluded\n" + _excluded(choice.excluded, width, sources)
    for i, flux in enumerate(best.fluxes, 1):
        span = f"{fmt.temperature_text(flux.active_low)} to {fmt.temperature_text(flux.active_high)}"
        title = f"{i}. {flux.name}, active {span}, {flux.points:+.1f} points"
        above = f"Fluxes for {best.name}\n" if i == 1 else ""
        yield f"{above}{title}\n" + _reasons(flux.reasons, width, sources)
    if best.excluded_fluxes:
        yield f"Fluxes excluded for {best.name}\n" + _excluded(best.excluded_fluxes, width, sources)


def _names(choice: Choice) -> list[str]:
    return [f.name for f in choice.fillers]


def _row(rank: int, f: FillerChoice) -> tuple[str, ...]:
    melts = f"{fmt.celsius(f.solidus):.0f} to {fmt.temperature_text(f.liquidus)}"
    return str(rank), f.name, melts, fmt.temperature_text(f.set_point), f"{f.points:+.1f}", f.fluxes[0].name


def _in_job(choice: Choice, width: int) -> str:
    """Where the job's own filler and flux stand."""
    barred = {e.name: e for e in choice.excluded}
    told = []
    for filler, flux in choice.in_job:
        if filler in barred:
            told.append(f"{filler} is excluded: {barred[filler].reasons[0].text}")
            continue
        rank, found = next((i, f) for i, f in enumerate(choice.fillers, 1) if f.name == filler)
        bad = next((e for e in found.excluded_fluxes if e.name == flux), None)
        state = f"but {flux} does not suit it: {bad.reasons[0].text}" if bad else f"and {flux} suits it"
        told.append(f"{filler} ranks {rank} of {len(choice.fillers)}, {state}")
    return paragraph(fmt.sentence(f"the job's own: {'; '.join(told)}"), width)


def _reasons(reasons: Iterable[Reason], width: int, sources: _Sources) -> str:
    def mark(points: float) -> str:
        return "+ " if points > 0.0 else "- " if points < 0.0 else "= "

    texts = [(mark(r.points), f"{fmt.sentence(r.text)} {sources.cite(r.source)}") for r in reasons]
    return "\n".join(paragraph(text, width, f"   {m}", "     ") for m, text in texts)


def _excluded(items: Iterable[Excluded], width: int, sources: _Sources) -> str:
    """Names by reason, so that a reason shared by many is read once; each name under its first reason."""
    groups: dict[tuple[str, str], list[str]] = {}
    for item in items:
        first = item.reasons[0]
        groups.setdefault((first.text, first.source), []).append(item.name)
    lines = [f"{', '.join(n)}: {fmt.typeset(text)}. {sources.cite(source)}" for (text, source), n in groups.items()]
    return bullets(lines, width)


def _listed(sources: _Sources, width: int) -> str:
    entries = [(f"[{n}] ", fmt.sentence(source)) for source, n in sources.numbers.items()]
    return "\n".join(paragraph(text, width, mark, " " * len(mark)) for mark, text in entries)
