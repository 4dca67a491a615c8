"""Run the benchmarks: ``python -m benchmarks [--quick] [--only P1] [--json FILE]``.

Quick: under 5 minutes. In full: about an hour, for no run of a peer takes longer than its cap.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import Any

from .cases import boss_in_plate, plate_with_boss_and_ribs, seconds_apart
from .comparison import Effort, Say, compare
from .contenders import GOAL, OURS, OURS_CONVERGED
from .cycle import cycles
from .growth import CELLS_MM, QUICK_MM, growth
from .limit import largest, limit
from .measure import machine
from .network import network
from .samples import samples
from .table import disagreements, table

PARTS = ("P1", "P2", "P3", "cycle", "growth", "limit", "samples")
QUICK = Effort(cap=30.0, patience=4.0)
FULL = Effort(cap=200.0)
FINE = Effort(cap=180.0, rounds=2, patience=60.0, own=False)
"""At 2 mm the slow peers, elements and FiPy, are stopped after 3 minutes, and the table says what a run would take at
the pace reached, as a projection; with every search there, all would take half a day."""


def three_dimensions(quick: bool, say: Say) -> list[dict[str, Any]]:
    """P1: at 4 mm and 2 mm everybody, at 1 mm ours alone."""
    coarse = plate_with_boss_and_ribs(4e-3)
    records, settings = compare(coarse, QUICK if quick else FULL, say)
    records.append(cross_check(say))
    if not quick:
        fine = plate_with_boss_and_ribs(2e-3)
        more, _ = compare(fine, FINE, say, settings)
        records += [*more, largest(1.0, settings[OURS.name], say)]
    return records


def cross_check(say: Say) -> dict[str, Any]:
    """The converged run against the hand script's with small second-order steps, on the 4 mm grid."""
    from .peers import hand
    from .peers.implicit import March

    case = plate_with_boss_and_ribs(4e-3)
    say("P1: cross-check of the converged run")
    start = time.perf_counter()
    ours = OURS.run(case, OURS_CONVERGED, lambda _: None)
    middle = time.perf_counter()
    peer = hand.run(case, March(2, newton=1e-3, linear=1e-5), lambda _: None, tolerance=0.05)
    end = time.perf_counter()
    return {
        "case": "P1 converged, 4 mm",
        "cells": case.n_cell,
        "ours_s": middle - start,
        "peer": "(a) numpy + scipy, second order, small steps",
        "peer_s": end - middle,
        "ratio": (end - middle) / (middle - start),
        "max_difference": seconds_apart(peer.melt, ours.melt),
        "allowed_difference": 0.2 * GOAL,
        "note": "the reference that the errors are counted from",
    }


def measured(part: str, quick: bool, say: Say) -> list[dict[str, Any]]:
    """Records of one part."""
    if part == "P1":
        return three_dimensions(quick, say)
    if part == "P2":
        return compare(boss_in_plate(0.47e-3), QUICK if quick else FULL, say)[0]
    if part == "P3":
        return network(say, 200 if quick else 1000)
    if part == "samples":
        return samples(say, quick)
    if part == "cycle":
        return cycles(say)
    if part == "growth":
        return growth(QUICK_MM if quick else CELLS_MM, say)
    return [limit(mm, say) for mm in ((2.0,) if quick else (2.0, 1.0))]


def main(arguments: list[str] | None = None) -> int:
    """Run what is asked for; 1 if two codes disagree."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description="The engine beside its peers.")
    parser.add_argument("--quick", action="store_true", help="smaller grids, under 5 minutes; in full about an hour")
    parser.add_argument("--only", nargs="+", choices=PARTS, default=PARTS, help="run these parts only")
    parser.add_argument("--json", type=Path, metavar="FILE", help="also write the records")
    chosen = parser.parse_args(arguments)
    about, start = machine(), time.perf_counter()
    print(f"{about['processor']}, {about['cores']} cores, {about['system']}, load {about['load_at_start']}")
    print(", ".join(f"{k} {v}" for k, v in about["versions"].items()))

    def say(what: str) -> None:
        print(f"[{time.perf_counter() - start:6.0f} s] {what}", file=sys.stderr, flush=True)

    OURS.run(plate_with_boss_and_ribs(16e-3), 100.0, lambda _: None)  # compiles, or loads what is compiled
    records = [r for part in PARTS if part in chosen.only for r in measured(part, chosen.quick, say)]
    print(table(records))
    print(f"Times are the shortest of several runs by turns; {time.perf_counter() - start:.0f} s in all.")
    if chosen.json:
        chosen.json.write_text(json.dumps([r | {"machine": about} for r in records], indent=1) + "\n")
    wrong = disagreements(records)
    print("\n".join(wrong) or "All codes agree to the stated tolerance.")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
