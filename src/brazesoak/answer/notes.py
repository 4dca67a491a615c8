"""Warnings, cautions and what is taken for granted."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Notice:
    """A warning on the plan: a stable code for machines; what, why and what to do for people."""

    code: str
    """Kebab-case, for example ``set-point-high``."""
    message: str
    """What is the matter and why it matters, one or two sentences with the numbers."""
    action: str
    """What to do."""
    source: str
    """Published source, or ``common practice, no source``."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety caution that applies to this job."""

    hazard: str
    text: str
    source: str
    short: str = ""
    """In one line: hazard and what to do; empty: `text` is short enough."""


@dataclass(frozen=True, slots=True)
class Assumption:
    """A default that was used because the job file is silent, or a simplification of the model."""

    what: str
    value: str
    why: str
    """Reason and source."""
    table: str = ""
    """Of the job file, where another value may be written; empty: nowhere."""
    short: str = ""
    """In few words, with the key of that table where there is one; empty: what and value."""
