"""What must hold between several keys of a job file: names that refer to each other, keys that need another.

These checks work on the plain tables as tomllib gives them and pass over whatever has the wrong type (that is
reported elsewhere), so that they can be reported together with the faults of single values.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from typing import Any

from brazesoak.jobfile.control import check_control
from brazesoak.jobfile.lines import Location
from brazesoak.jobfile.places import Finding
from brazesoak.jobfile.units import quoted

_FEW = 10
"""Most names a message lists."""

FACES: Mapping[str, tuple[str, ...]] = {
    "plate": ("face", "edge", "end"),
    "bar": ("side", "top", "end"),
    "boss": ("end",),
    "tube": ("end",),
    "ring": ("end",),
    "lump": (),
}
"""The faces of each shape that a flat joint can name."""


def cross_check(data: Mapping[str, Any]) -> list[Finding]:
    """Every fault between the keys of a job file."""
    segments, joints = _tables(data, "segment"), _tables(data, "joint")
    shapes = {_text(table, "name"): _text(table, "shape") for _, table in segments if _text(table, "name")}
    findings = [*_doubled_names("segment", segments), *_doubled_names("joint", joints)]
    for index, joint in joints:
        findings += _joined_segments(index, joint, shapes)
        findings += _fit(index, joint, shapes)
    findings += _places(segments)
    findings += check_control(data, [name for name in shapes if name])
    findings += _load(data.get("load"))
    return [*findings, *_filling(joints, data.get("brazing")), *_unjoined(segments, joints)]


def nearest(name: str, names: list[str]) -> str | None:
    """The known name most like `name`, if one is like it at all."""
    lowered = {known.lower(): known for known in reversed(names)}
    # A bounded length keeps the comparison quick for any text.
    near = difflib.get_close_matches(name.lower()[:100], list(lowered), n=1, cutoff=0.6)
    return lowered[near[0]] if near else None


def _tables(data: Mapping[str, Any], key: str) -> list[tuple[int, Mapping[str, Any]]]:
    value = data.get(key)
    entries = value if isinstance(value, list | tuple) else ()
    return [(index, entry) for index, entry in enumerate(entries) if isinstance(entry, dict)]


def _text(table: Mapping[str, Any], key: str) -> str:
    value = table.get(key)
    return value.strip() if isinstance(value, str) else ""


def _pair(table: Mapping[str, Any], key: str) -> list[str]:
    value = table.get(key)
    texts = _texts(value)
    return texts if isinstance(value, list | tuple) and len(value) == len(texts) == 2 else []


def _texts(value: object) -> list[str]:
    entries = value if isinstance(value, list | tuple) else ()
    return [entry.strip() for entry in entries if isinstance(entry, str)]


def _doubled_names(kind: str, tables: list[tuple[int, Mapping[str, Any]]]) -> Iterator[Finding]:
    seen: dict[str, int] = {}
    for index, table in tables:
        name = _text(table, "name")
        if name in seen:
            message = f"{quoted(name)} is already the name of {kind} {seen[name] + 1}; each {kind} needs its own"
            yield Finding((kind, index, "name"), message)
        elif name:
            seen[name] = index


def _places(segments: list[tuple[int, Mapping[str, Any]]]) -> Iterator[Finding]:
    """Places and directions count only if every segment has its place."""
    placed = [index for index, table in segments if "at" in table]
    for index, table in segments:
        if placed and index not in placed:
            lump = _text(table, "shape") == "lump"
            reason = "a lump has no place" if lump else "missing, and other segments have a place"
            message = f'{reason}; give "at" for every segment, or for none'
            yield Finding(("segment", index, "at"), message)
        turned = [key for key in ("axis", "along") if _text(table, key) not in ("", "z" if key == "axis" else "")]
        for key in turned if not placed else ():
            message = f'says nothing without a place; add "at" to every segment, or remove {key}'
            yield Finding(("segment", index, key), message)


def _joined_segments(index: int, joint: Mapping[str, Any], shapes: Mapping[str, str]) -> Iterator[Finding]:
    pair = _pair(joint, "between")
    for place, name in enumerate(pair):
        if name not in shapes:
            near = nearest(name, list(shapes))
            known = ", ".join(quoted(known) for known in list(shapes)[:_FEW]) or "none"
            hint = f"did you mean {quoted(near)}?" if near else f"the segments are: {known}"
            yield Finding(("joint", index, "between", place), f"there is no segment named {quoted(name)}; {hint}")
    if pair and pair[0] == pair[1] and pair[0] in shapes:
        message = f"joins {quoted(pair[0])} to itself; name two different segments"
        yield Finding(("joint", index, "between"), message)


def _fit(index: int, joint: Mapping[str, Any], shapes: Mapping[str, str]) -> Iterator[Finding]:
    at: Location = ("joint", index)
    fit = joint.get("fit", "flat")
    pair, faces = _pair(joint, "between"), _pair(joint, "faces")
    if fit == "plug" and "depth" not in joint:
        message = 'missing; a plug needs the depth to which it sits in its hole; add depth = "20 mm"'
        yield Finding((*at, "depth"), message)
    if fit in ("flat", "crossed") and "depth" in joint:
        message = f'only a joint with fit = "plug" has a depth; this one is "{fit}"; remove it or correct the fit'
        yield Finding((*at, "depth"), message)
    if fit in ("plug", "crossed") and "faces" in joint:
        message = f'only a joint with fit = "flat" names faces; this one is "{fit}"; remove them or correct the fit'
        yield Finding((*at, "faces"), message)
    elif faces and pair:
        for place, (name, face) in enumerate(zip(pair, faces, strict=True)):
            yield from _face((*at, "faces", place), name, face, shapes.get(name, ""))
    lumps = [name for name in pair if shapes.get(name) == "lump"]
    if lumps and "area" not in joint:
        message = f'missing; the contact of a lump ({quoted(lumps[0])}) cannot be computed; add area = "12 cm2"'
        yield Finding((*at, "area"), message)


def _face(at: Location, name: str, face: str, shape: str) -> Iterator[Finding]:
    if shape not in FACES or face in FACES[shape]:
        return
    if not FACES[shape]:
        yield Finding(at, f"{quoted(name)} is a {shape}, which has no faces; remove faces and give the area")
        return
    known = ", ".join(f'"{known}"' for known in FACES[shape])
    yield Finding(at, f"{quoted(face)} is not a face of {quoted(name)}; a {shape} has {known}")


def _filling(joints: list[tuple[int, Mapping[str, Any]]], brazing: object) -> Iterator[Finding]:
    common = brazing if isinstance(brazing, dict) else {}
    for key, value in (("filler", "BAg-7"), ("flux", "FB3-C"), ("gap", "0.1 mm")):
        without = [index for index, joint in joints if key not in joint] if key not in common else []
        example = f'{key} = "{value}"'
        if len(without) == len(joints) > 1:
            message = f"missing here and in every joint; add {example}, for example, to [brazing] for all joints"
            yield Finding(("brazing", key), message)
            continue
        for index in without:
            message = f"missing; add {example}, for example, to this joint or to [brazing] for all joints"
            yield Finding(("joint", index, key), message)


def _load(load: object) -> Iterator[Finding]:
    if not isinstance(load, dict) or "spacing" in load:
        return
    copies = load.get("copies", 1)
    if isinstance(copies, int) and not isinstance(copies, bool) and copies > 1:
        message = (
            f'missing; {copies} copies shade each other by how near they stand; add spacing = "30 mm", for example'
        )
        yield Finding(("load", "spacing"), message)


def _unjoined(
    segments: list[tuple[int, Mapping[str, Any]]], joints: list[tuple[int, Mapping[str, Any]]]
) -> Iterator[Finding]:
    if not joints or not all(_texts(joint.get("between")) for _, joint in joints):
        return  # a missing or unreadable joint is reported as such; which segments it meant is unknown
    joined = {name for _, joint in joints for name in _texts(joint.get("between"))}
    names = [_text(table, "name") for _, table in segments]
    # A misspelled name in a joint is one fault, not two.
    joined |= {near for name in joined - set(names) if (near := nearest(name, names))}
    for index, table in segments:
        name = _text(table, "name")
        if name and name not in joined:
            message = f"{quoted(name)} is joined to nothing; add a [[joint]] that names it, or remove the segment"
            yield Finding(("segment", index), message)
