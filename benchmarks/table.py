"""The records as a table for people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

HEAD = ("case", "cells", "ours", "error", "peer", "peer's time", "error", "ratio", "apart", "note")


def table(records: Sequence[dict[str, Any]]) -> str:
    """Aligned text; times in seconds, errors against converged melt times."""
    rows = [HEAD, *(_row(r) for r in records)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEAD))]
    lines = ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join([lines[0], "-" * min(len(lines[0]) + 20, 160), *lines[1:]])


def _row(r: dict[str, Any]) -> tuple[str, ...]:
    time, ratio = _seconds(r["peer_s"]), "" if r["ratio"] is None else f"{r['ratio']:.1f}"
    note = r.get("note", "")
    if "ratio_at_least" in r:
        ratio = f"> {r['ratio_at_least']:.1f}"
        note += f"; at that pace {r['extrapolated_s']:.0f} s, not measured"
    return (
        r["case"], str(r["cells"]), _seconds(r["ours_s"]), _percent(r.get("ours_error")), r["peer"] or "",
        time, _percent(r.get("peer_error")), ratio, _percent(r["max_difference"]), note,
    )  # fmt: skip


def _seconds(value: float | None) -> str:
    if value is None:
        return ""
    return f"{value:.3g} s" if value < 100.0 else f"{value:.0f} s"


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value:.2%}"


def disagreements(records: Sequence[dict[str, Any]]) -> list[str]:
    """Pairs of codes whose melt times differ by more than is allowed."""
    return [
        f"{r['case']}: {r['peer']}: {r['max_difference']:.2%} apart, allowed {r['allowed_difference']:.2%}"
        for r in records
        if r["max_difference"] is not None and r["max_difference"] > r["allowed_difference"]
    ]
