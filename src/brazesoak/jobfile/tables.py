"""What the tables of a job file have in common."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class Table(BaseModel):
    """One table of the job file: frozen, without other keys, its defaults read as a user's texts are."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)


def default(written: str, description: str) -> Any:
    """A field whose default is written as a user would write it."""
    return Field(written, description=description, examples=[written])


def optional(description: str, example: object) -> Any:
    """A field that may be left out and then is None."""
    return Field(None, description=description, examples=[example])
