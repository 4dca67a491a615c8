"""Which fillers and fluxes suit the metals of a job: ranked, with reasons; and which must not be used, and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from ..choices import Choice, Choices, Excluded, FillerChoice, Reason
from ..errors import Fault
from ..parts.assembly import Assembly, Joint, assemble
from .assumptions import celsius
from .cautions import cautions_for
from .choice_fillers import Need, bars, set_point, weighs
from .choice_fluxes import sort_fluxes
from .settings import BELOW_SOLIDUS

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from ..trade.records import Filler, Flux, Metal


def rank(need: Need, fillers: tuple[Filler, ...], fluxes: tuple[Flux, ...]) -> Choice:
    """Fillers for these metals, best first, each with its fluxes; joints and the job's own choice are left empty."""
    good, barred = [], []
    for f in fillers:
        T, against = set_point(f), tuple(bars(f, need))
        suited, unsuited = sort_fluxes(fluxes, need.families, f, T)
        if not against and not suited:
            text = f"no flux of the library suits {', '.join(sorted(need.families))} from {celsius(f.solidus)} "
            against = (Reason("no-flux", f"{text}to {celsius(T)}", "the flux data of the library"),)
        if against:
            barred.append(Excluded(f.name, against))
            continue
        reasons = tuple(sorted(weighs(f, need), key=lambda r: -abs(r.points)))
        good.append(FillerChoice(f.name, f.solidus, f.liquidus, T, reasons, suited, unsuited))
    ranked = tuple(sorted(good, key=lambda c: -c.points))
    return Choice((), tuple(dict.fromkeys(m.name for m in need.metals)), (), ranked, tuple(barred))


def choose(read: ReadJob, library: Library, *, allow_cadmium: bool = False, wet: bool = False) -> Choices:
    """Fillers and fluxes for all joints of a job together and, where their metals differ, apart.

    Raises
    ------
    JobFileError    names or shapes at fault; a metal that is not brazed in air; a joint that no filler suits
    """
    assembly = assemble(read, library)
    _check_air(read, assembly)
    lowest = min(assembly.segments, key=lambda s: s.metal.solidus.value)
    source = next((c.source for c in library.cautions() if c.hazard == "cadmium"), "")

    def ranked(joints: tuple[Joint, ...]) -> Choice:
        metals = tuple({m.id: m for j in joints for m in _metals(assembly, j)}.values())
        need = Need(metals, lowest.metal, read.job.hold.superheat, source, allow_cadmium, wet)
        found = rank(need, library.fillers, library.fluxes)
        in_job = tuple(dict.fromkeys((j.filler.name, j.flux.name) for j in joints))
        return replace(found, joints=tuple(j.name for j in joints), in_job=in_job)

    groups: dict[frozenset[str], list[Joint]] = {}
    for j in assembly.joints:
        groups.setdefault(frozenset(m.id for m in _metals(assembly, j)), []).append(j)
    apart = tuple(ranked(tuple(g)) for g in groups.values())
    hopeless = [c for c in apart if not c.fillers]
    if hopeless:
        raise read.error(*(read.fault(("joint", c.joints[0]), _none_suits(c)) for c in hopeless))
    together = apart[0] if len(apart) == 1 else ranked(assembly.joints)
    shown = apart if len(apart) > 1 else ()
    cautions = cautions_for(_with_fillers(assembly, library, (together, *shown)), library.cautions())
    ceiling = lowest.metal.solidus.value - BELOW_SOLIDUS
    notes = {s.metal.id: (s.metal.name, s.metal.cautions) for s in assembly.segments if s.metal.cautions}
    return Choices(read.job.title, ceiling, lowest.name, together, shown, tuple(notes.values()), cautions)


def _metals(assembly: Assembly, joint: Joint) -> tuple[Metal, ...]:
    return tuple(assembly.segments[i].metal for i in joint.segments)


def _check_air(read: ReadJob, assembly: Assembly) -> None:
    """A metal that must not be heated in air has no filler here."""
    faults: list[Fault] = []
    for n, s in enumerate(assembly.segments):
        if not s.metal.air_flux_brazing:
            text = (
                f'no filler suits "{s.name}": {s.metal.name.split(",")[0].lower()} must not be brazed in air '
                f"({'; '.join(s.metal.cautions[:1])}); braze it in vacuum or argon, or make the segment of another "
                "metal"
            )
            faults.append(read.fault(("segment", n, "metal"), text))
    if faults:
        raise read.error(*faults)


def _none_suits(choice: Choice) -> str:
    """One sentence: what bars most fillers, and what to do."""
    counts: dict[str, list[str]] = {}
    texts: dict[str, str] = {}
    for e in choice.excluded:
        for r in e.reasons:
            counts.setdefault(r.code, []).append(e.name)
            texts.setdefault(r.code, r.text)
    most = sorted(counts, key=lambda code: -len(counts[code]))[:2]
    why = "; ".join(f"{len(counts[code])} are out because, as with {counts[code][0]}, {texts[code]}" for code in most)
    return (
        f"no filler of the library suits {' on '.join(m.split(',')[0] for m in choice.metals)}: of "
        f"{len(choice.excluded)}, {why}; make one of the parts of another metal, or add your own filler or flux data"
    )


def _with_fillers(assembly: Assembly, library: Library, choices: Iterable[Choice]) -> Assembly:
    """The assembly with every filler that may be taken in it, so that the cautions are those of all of them."""
    records = {f.name: f for f in library.fillers}
    names = dict.fromkeys(f.name for c in choices for f in c.fillers)
    one = assembly.joints[0]
    return replace(assembly, joints=tuple(replace(one, filler=records[n]) for n in names))
