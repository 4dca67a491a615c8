"""The models by themselves: frozen, complete, and the JSON Schema made from them."""

import json
import tomllib
import typing
from importlib.resources import files

import pydantic
import pytest

from brazesoak.errors import JobFileError
from brazesoak.jobfile import schema
from brazesoak.jobfile.checks import FACES
from brazesoak.jobfile.job_schema import job_schema, job_schema_text
from brazesoak.jobfile.read import read_job_text
from brazesoak.jobfile.starter import starter_text

from .jobs import job

MODELS = [
    schema.Job,
    schema.FurnaceChoice,
    schema.Program,
    schema.ProgramStepInput,
    schema.HoldRule,
    schema.LoadInput,
    schema.LimitsInput,
    schema.Brazing,
    schema.Joint,
    *schema.SHAPES.values(),
]


@pytest.mark.parametrize("model", MODELS)
def test_every_key_is_described_and_has_an_example(model: type[pydantic.BaseModel]) -> None:
    assert model.model_config["frozen"]
    assert model.model_config["extra"] == "forbid"
    tables = {"program", "hold", "limits", "brazing", "segments", "joints"}
    for name, field in model.model_fields.items():
        assert field.description
        assert field.description.endswith(".")
        assert field.examples or name in tables


def test_shapes_are_those_of_the_union() -> None:
    union = typing.get_args(typing.get_args(schema.Segment)[0])
    assert tuple(schema.SHAPES.values()) == union
    assert schema.SHAPES.keys() == FACES.keys()
    for shape, model in schema.SHAPES.items():
        assert typing.get_args(model.model_fields["shape"].annotation) == (shape,)


def test_a_job_cannot_be_changed() -> None:
    job = read_job_text(starter_text()).job
    with pytest.raises(pydantic.ValidationError):
        job.title = "other"  # type: ignore[misc]


def test_a_job_made_without_the_reader_is_still_checked_between_keys() -> None:
    tables = tomllib.loads(starter_text())
    tables["joint"][0]["between"] = ["boss", "lid"]
    with pytest.raises(pydantic.ValidationError) as caught:
        schema.Job.model_validate(tables)
    (error,) = caught.value.errors()
    assert error["type"] == schema.CROSS_CHECK
    assert "joint[1].between[2]" in error["msg"]


def test_shipped_schema_is_the_one_the_models_make() -> None:
    shipped = files("brazesoak.jobfile").joinpath("job.schema.json").read_text(encoding="utf-8")
    # Renew with: python -m brazesoak.jobfile.job_schema > src/brazesoak/jobfile/job.schema.json
    assert json.loads(shipped) == job_schema()
    assert shipped == job_schema_text()


def test_schema_has_no_null_and_shows_defaults_as_a_user_writes_them() -> None:
    text = job_schema_text()
    assert "null" not in text
    assert job_schema()["$defs"]["HoldRule"]["properties"]["superheat"]["default"] == "30 K"
    assert job_schema()["$defs"]["FurnaceChoice"]["properties"]["room"]["default"] == "20 degC"


BREAKS = [
    ('thickness = "6 mm"', 'thickness = "6 mm2"'),
    ('thickness = "6 mm"', "thickness = 6"),
    ('"730 degC"', '"730"'),
    ('"730 degC"', '"730 K/min"'),
    ('surface = "bright"', 'surface = "shiny"'),
    ('surface = "bright"', "surface = 1.5"),
    ('shape = "plate"', 'shape = "box"'),
    ('fit = "flat"', 'fit = "plug"'),
    ('fidelity = "auto"', 'fidelity = "full"'),
    ('diameter = "60 mm"', 'diametre = "60 mm"'),
    ('title = "Bearing pedestal"', ""),
]


@pytest.mark.parametrize(("old", "new"), BREAKS)
def test_schema_accepts_the_starter_and_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(job_schema())
    assert validator.is_valid(tomllib.loads(starter_text()))
    assert not validator.is_valid(tomllib.loads(starter_text().replace(old, new, 1)))


def test_schema_is_itself_valid() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    jsonschema.Draft202012Validator.check_schema(job_schema())
    assert job_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_a_scale_is_thinner_than_any_gap() -> None:
    assert read_job_text(job(limits='scale = "5 um"')).job.limits.scale == pytest.approx(5e-6)
    with pytest.raises(JobFileError) as caught:
        read_job_text(job(limits='scale = "0 mm"'))
    assert "must be greater than 0 mm" in caught.value.faults[0].message
