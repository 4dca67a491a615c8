"""The JSON Schema of the job file, for editors that complete and check; shipped as ``job.schema.json``.

``python -m brazesoak.jobfile.job_schema`` prints the text of that file.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from brazesoak.jobfile.schema import Job


class _ForToml(GenerateJsonSchema):
    """TOML has no null: a key that may be left out is simply not required."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        inner = super().default_schema(schema)
        return {key: value for key, value in inner.items() if key != "default" or value is not None}


def job_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a job file."""
    schema = Job.model_json_schema(by_alias=True, schema_generator=_ForToml)
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        **schema,
        "title": "brazesoak job file",
    }


def job_schema_text() -> str:
    """The schema as it is shipped."""
    return json.dumps(job_schema(), indent=2) + "\n"


if __name__ == "__main__":
    print(job_schema_text(), end="")
