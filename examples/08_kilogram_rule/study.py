"""One hour per kilogram beside the computed hold: a steel cylinder from 0.1 to 20 kg, bright to dark, open to shaded.

    python examples/08_kilogram_rule/study.py [FOLDER]

writes kilogram.md, kilogram.csv and kilogram.png. Rule and hold count alike: from when the furnace's display comes to
temperature, or from the closing of the door where the load goes in hot.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import pi
from pathlib import Path

from brazesoak.analysis.fidelity import nominal
from brazesoak.analysis.prepared import Prepared, prepare
from brazesoak.analysis.rules import rule_of_thumb
from brazesoak.bridge.simulate import simulate
from brazesoak.jobfile.read import read_job_text
from brazesoak.plots.style import COLOURS, DASHES, house_style, new_figure, save_figure
from brazesoak.report.format import minutes
from brazesoak.results.atomic import atomic_write
from brazesoak.trade.library import Library

MASSES = 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0
"""[kg]"""
SURFACES = {"bright": 0.1, "half-dark": 0.35, "dark": 0.8}
"""Emissivities; invented, between polished and heavily oxidised metal."""
SEEN = {"open": 1.0, "half shaded": 0.5, "deep in shade": 0.2}
"""Share of the furnace that each place of the surface sees, and of the air that comes to it; invented. Neighbours that
shade a part are about as hot as it is, so that what they take of its view is lost to it."""
LOADINGS = {"cold": "warms with the furnace at 10 K/min", "hot": "put into the furnace at its set-point"}
DENSITY = 7850.0
"""Of the steel [kg/m3], EN 1991-1-1 and EN 1993-1-2, as in the library."""
ENOUGH = 2.0
"""The rule is called generous where it is more than so many times as long as the computed hold."""
MARKS = {"dangerous": "!", "right": "=", "generous": "+"}
LIBRARY = Library()


@dataclass(frozen=True)
class Case:
    """One load: mass [kg], words for its surface, its view and its loading."""

    mass: float
    surface: str
    seen: str
    loading: str

    @property
    def diameter(self) -> float:
        """Of a cylinder as high as it is wide [m]."""
        return float((4.0 * self.mass / (pi * DENSITY)) ** (1.0 / 3.0))


@dataclass(frozen=True)
class Found:
    """A case with its computed hold [s], every input as given, and the rule's [s]."""

    case: Case
    hold: float

    @property
    def rule(self) -> float:
        """One hour per kilogram [s]."""
        return rule_of_thumb(self.case.mass)

    @property
    def verdict(self) -> str:
        """What the rule is here: dangerous (too short), right, or generous."""
        if self.rule < self.hold:
            return "dangerous"
        return "right" if self.rule <= ENOUGH * self.hold else "generous"


def job_text(case: Case, film: float) -> str:
    """Two halves of a cylinder, one on the other, brazed with BAg-7 at 727 degC; `film` in the open [W/(m2 K)]."""
    seen = SEEN[case.seen]
    half = (
        f'metal = "carbon-steel"\nsurface = {SURFACES[case.surface] * seen:.6g}\nshape = "boss"\n'
        f'diameter = "{case.diameter * 1e3:.9g} mm"\nheight = "{case.diameter * 0.5e3:.9g} mm"\n'
    )
    return (
        f'title = "{case.mass:g} kg, {case.surface}, {case.seen}"\n'
        f'[furnace]\nname = "ideal"\nfilm = "{film * seen:.6g} W/(m2 K)"\n'
        f'[program]\nset_point = "727 degC"\nloading = "{case.loading}"\n'
        + ('ramp = "10 K/min"\n' if case.loading == "cold" else "")
        + '[brazing]\nfiller = "BAg-7"\nflux = "FB3-C"\ngap = "0.1 mm"\n'
        f'[[segment]]\nname = "lower"\n{half}[[segment]]\nname = "upper"\n{half}'
        '[[joint]]\nname = "seam"\nbetween = ["lower", "upper"]\n'
    )


def prepared(case: Case, film: float | None = None) -> Prepared:
    """The case ready to be simulated; the film of the library's ideal furnace unless another is given."""
    natural = LIBRARY.furnace("ideal").film.use
    return prepare(read_job_text(job_text(case, natural if film is None else film)), LIBRARY)


def computed(case: Case, fidelity: str = "section") -> Found:
    """The hold that the slowest joint needs: 30 K above the liquidus for 5 min, counted by the furnace's display."""
    job = prepared(case)
    run = simulate(job.model(job.inputs), fidelity, lambda clock, last: last)
    return Found(case, nominal(job, run))


def study(masses: Sequence[float] = MASSES, fidelity: str = "section") -> Iterator[Found]:
    """Every case, by loading, view, surface and mass."""
    for loading, seen, surface, mass in product(LOADINGS, SEEN, SURFACES, masses):
        yield computed(Case(mass, surface, seen, loading), fidelity)


def table(found: Sequence[Found]) -> str:
    """Holds as tables in Markdown, one for each loading, with what the rule is."""
    parts = []
    for loading, words in LOADINGS.items():
        cells = {(f.case.mass, f.case.seen, f.case.surface): f for f in found if f.case.loading == loading}
        columns = list(product(SEEN, SURFACES))
        parts.append(f"Load {words}:\n")
        parts.append("| mass | rule | " + " | ".join(f"{seen}, {surface}" for seen, surface in columns) + " |")
        parts.append("|---|---|" + "---|" * len(columns))
        for mass in dict.fromkeys(f.case.mass for f in found):
            row = [cells[mass, *column] for column in columns]
            holds = " | ".join(f"{minutes(f.hold)} {MARKS[f.verdict]}" for f in row)
            parts.append(f"| {mass:g} kg | {minutes(row[0].rule)} | {holds} |")
        parts.append("")
    return "\n".join(parts)


def csv_text(found: Sequence[Found]) -> str:
    """The same for machines: one line a case, times in minutes."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("loading", "seen", "surface", "emissivity", "mass_kg", "hold_min", "rule_min", "verdict"))
    for f in found:
        c = f.case
        where = (c.loading, SEEN[c.seen], c.surface, SURFACES[c.surface], c.mass)
        rows.writerow((*where, f"{f.hold / 60.0:.2f}", f"{f.rule / 60.0:g}", f.verdict))
    return out.getvalue()


def figure(found: Sequence[Found], path: Path) -> None:
    """Hold against mass for each surface, one panel for each view and loading, with what the rule is behind it."""
    masses = sorted({f.case.mass for f in found})
    rule = [masses[0], masses[-1]]
    with house_style():
        drawn = new_figure(9.0, 6.2)
        panels = drawn.subplots(len(LOADINGS), len(SEEN), sharex=True, sharey=True)
        for (loading, seen), axes in zip(product(LOADINGS, SEEN), panels.flat, strict=True):
            axes.fill_between(rule, [60.0 * m for m in rule], 1e5, color="#f8d9c4", lw=0, zorder=0)
            axes.fill_between(
                rule, [60.0 * m / ENOUGH for m in rule], [60.0 * m for m in rule], color="#d3ebdd", lw=0, zorder=0
            )
            axes.plot(rule, [60.0 * m for m in rule], color="black", lw=1.2)
            for n, surface in enumerate(SURFACES):
                line = [f for f in found if (f.case.loading, f.case.seen, f.case.surface) == (loading, seen, surface)]
                axes.plot(
                    [f.case.mass for f in line], [max(f.hold / 60.0, 0.5) for f in line], color=COLOURS[n],
                    ls=DASHES[n], marker="o", ms=3, label=f"{surface}, {SURFACES[surface]:g}",
                )  # fmt: skip
            axes.set_xscale("log")
            axes.set_yscale("log")
            axes.set_xlim(*rule)
            axes.set_ylim(1.0, 1500.0)
            axes.set_title(f"{seen}, loaded {loading}", fontsize=9)
            axes.grid(visible=True, color="#dddddd", lw=0.4)
            for axis in (axes.xaxis, axes.yaxis):
                axis.set_major_formatter("{x:g}")
        panels[0, 0].text(0.13, 300.0, "rule too short:\ndangerous", fontsize=8, color="#8a3b00")
        panels[0, 0].text(1.5, 2.0, "rule generous", fontsize=8)
        panels[0, 1].text(3.0, 100.0, "right", fontsize=8, rotation=33)
        panels[0, 0].annotate("rule: 1 h/kg", (6.0, 360.0), xytext=(0.5, 900.0), fontsize=8,
                              arrowprops={"arrowstyle": "-", "lw": 0.6})  # fmt: skip
        panels[0, -1].legend(title="surface, emissivity", fontsize=7.5, title_fontsize=7.5, loc="lower right")
        drawn.supxlabel("mass, kg", fontsize=9)
        drawn.supylabel("hold from the furnace at temperature, min", fontsize=9)
    save_figure(drawn, path)


def main(folder: Path) -> None:
    """Compute every case and write the three files."""
    folder.mkdir(parents=True, exist_ok=True)
    total, found = len(MASSES) * len(SEEN) * len(SURFACES) * len(LOADINGS), []
    for f in study():
        found.append(f)
        print(f"\r{len(found)} of {total}", end="" if len(found) < total else "\n", file=sys.stderr)
    atomic_write(folder / "kilogram.md", table(found))
    atomic_write(folder / "kilogram.csv", csv_text(found))
    figure(found, folder / "kilogram.png")
    print(table(found))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
