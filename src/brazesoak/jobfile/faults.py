"""Validation errors in pydantic's words to findings in ours: what is wrong, what was expected, what to do."""

from __future__ import annotations

import typing
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from brazesoak.jobfile.checks import nearest
from brazesoak.jobfile.lines import Location
from brazesoak.jobfile.places import Finding
from brazesoak.jobfile.schema import CROSS_CHECK, SHAPES, AnySegment, Job
from brazesoak.jobfile.units import quoted

_TABLES = {
    "furnace": "[furnace]",
    "program": "[program]",
    "steps": "the steps of [program]",
    "hold": "[hold]",
    "brazing": "[brazing]",
    "segment": "a [[segment]]",
    "joint": "a [[joint]]",
}
_NOT_A_TABLE = {"model_type", "model_attributes_type"}
_WRONG_LENGTH = {"too_short", "too_long"}
Detail = Mapping[str, Any]


def findings(error: ValidationError) -> list[Finding]:
    """One finding for each error, except that a misspelled key is not also reported as missing."""
    details = [d for d in error.errors(include_url=False) if d["type"] != CROSS_CHECK]
    found: dict[Location, Finding] = {}
    meant: set[Location] = set()
    for detail in details:
        if detail["type"] == "extra_forbidden":
            location, table, _ = _follow(detail["loc"])
            near = nearest(str(location[-1]), list(_fields(table)))
            meant |= {(*location[:-1], near)} if near else set()
            found[location] = Finding(location, _unknown_key(str(location[-1]), near, table))
    for detail in details:
        for finding in _translated(detail):
            if not (detail["type"] == "missing" and finding.location in meant):
                found.setdefault(finding.location, finding)
    return list(found.values())


def _translated(detail: Detail) -> list[Finding]:
    location, _, field = _follow(detail["loc"])
    kind, value = detail["type"], detail["input"]
    if kind == "refused":
        return [Finding(location, detail["ctx"]["message"])]
    if kind.startswith("union_tag"):
        return _no_shape(location, value)
    if isinstance(location[-1], int) and kind == "missing":
        location, kind = location[:-1], "too_short"
    if kind == "missing":
        return [Finding(location, f"missing; {_wanted(str(location[-1]), field)}")]
    if kind in _NOT_A_TABLE or (isinstance(location[-1], int) and kind not in _WRONG_LENGTH):
        return [Finding(location, _not_a_table(location, value))]
    if kind in _WRONG_LENGTH and location[-1] in _TABLES:
        # pydantic counts the entries without fault; only the number written matters here.
        smallest = detail["ctx"]["min_length"]
        few = f"{len(value)} given, at least {smallest} needed; {_wanted(str(location[-1]), field)}"
        return [Finding(location, few)] if len(value) < smallest else []
    return [Finding(location, _wrong_value(str(location[-1]), value, field))]


def _follow(path: tuple[str | int, ...]) -> tuple[Location, type[BaseModel], FieldInfo | None]:
    """The location without pydantic's union tags, the model of its table, and its field if it has one."""
    location: Location = ()
    table: type[BaseModel] = Job
    inner: type[BaseModel] = Job
    field: FieldInfo | None = None
    for step in path:
        if len(location) == 2 and location[0] == "segment" and step in SHAPES and inner is AnySegment:
            inner = SHAPES[str(step)]
            continue
        location = (*location, step)
        if isinstance(step, str):
            table, field = inner, _fields(inner).get(step)
            inner = _model_in(field) or inner
    return location, table, field


def _fields(table: type[BaseModel]) -> dict[str, FieldInfo]:
    return {field.alias or name: field for name, field in table.model_fields.items()}


def _model_in(field: FieldInfo | None) -> type[BaseModel] | None:
    models = _models(field.annotation) if field else []
    return AnySegment if len(models) > 1 else models[0] if models else None


def _models(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in typing.get_args(annotation) for model in _models(inner)]


def _unknown_key(key: str, near: str | None, table: type[BaseModel]) -> str:
    if near:
        return f'unknown key {quoted(key)}; did you mean "{near}"?'
    home = next((place for place, model in _homes() if key in _fields(model)), None)
    if home and table in (Job, *(model for _, model in _homes())):
        return f"unknown key {quoted(key)} here; it belongs to {home}; move it there"
    return f"unknown key {quoted(key)}; the keys here are {', '.join(_fields(table))}; correct or remove it"


def _homes() -> list[tuple[str, type[BaseModel]]]:
    """Every table with one set of keys, and how it is called."""
    named = [(place, _model_in(_follow((key,))[2])) for key, place in _TABLES.items() if key != "segment"]
    return [("the top of the file, above the first table", Job), *((p, m) for p, m in named if m)]


def _no_shape(location: Location, table: object) -> list[Finding]:
    """The fault of the shape itself, and those of the keys that every shape has."""
    names = ", ".join(f'"{shape}"' for shape in SHAPES)
    at = (*location, "shape")
    if not isinstance(table, dict):
        return [Finding(location, _not_a_table(location, table))]
    if "shape" not in table:
        found = [Finding(at, f'missing; expected one of {names}; add shape = "plate", for example')]
    else:
        found = [Finding(at, _not_one_of(table["shape"], list(SHAPES)))]
    try:
        AnySegment.model_validate({key: table[key] for key in AnySegment.model_fields if key in table})
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            found += _translated({**detail, "loc": (*location, *detail["loc"])})
    return found


def _wanted(key: str, field: FieldInfo | None) -> str:
    """What a missing key means and how to add it."""
    if key in ("segment", "joint"):
        return f"add a [[{key}]] table for each {key}"
    if field is None:
        return "add it"
    example = f"add {key} = {_toml(field.examples[0])}, for example" if field.examples else "add it"
    if key == "furnace":
        example = 'add a [furnace] table with name = "ideal", for example'
    return f"{_sentence(field)}; {example}"


def _wrong_value(key: str, value: object, field: FieldInfo | None) -> str:
    if key in ("segment", "joint"):
        return f"{quoted(value)} where a list of tables is needed; write [[{key}]] with double brackets"
    if field is None:
        return f"{quoted(value)} is not accepted here; remove it"
    if choices := _choices(field.annotation):
        return _not_one_of(value, choices)
    example = f", such as {_toml(field.examples[0])}" if field.examples else ""
    what = quoted(value)
    if isinstance(value, list | tuple):
        what = f"a list of {len(value)}"
    return f"{what} does not fit here; expected {_sentence(field)}{example}"


def _choices(annotation: object) -> list[str]:
    """The words that a key takes, whether or not it may be left out; none where it takes anything else."""
    kinds = [a for a in (typing.get_args(annotation) or (annotation,)) if a is not type(None)]
    only = kinds[0] if len(kinds) == 1 else annotation
    return list(typing.get_args(only)) if typing.get_origin(only) is typing.Literal else []


def _sentence(field: FieldInfo) -> str:
    text = (field.description or "").rstrip(".")
    return text[:1].lower() + text[1:]


def _not_one_of(value: object, choices: list[str]) -> str:
    near = nearest(value, choices) if isinstance(value, str) else None
    hint = f'; did you mean "{near}"?' if near else ""
    names = ", ".join(f'"{choice}"' for choice in choices)
    return f"{quoted(value)} is not known here; expected one of {names}{hint}"


def _not_a_table(location: Location, value: object) -> str:
    key = next(step for step in reversed(location) if isinstance(step, str))
    if isinstance(location[-1], int) and key in ("segment", "joint"):
        return f"{quoted(value)} where a table is needed; write [[{key}]] and its keys below it"
    if isinstance(location[-1], int):
        return f'{quoted(value)} where a table is needed, such as {{ to = "520 degC", hold = "20 min" }}'
    path = ".".join(step for step in location if isinstance(step, str))
    return f"{quoted(value)} where a table is needed; write [{path}] on its own line and its keys below it"


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(inner) for inner in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)
