"""The safety cautions of a heat as text: one line each, or in full. They stand under every answer that leads to one."""

from __future__ import annotations

from collections.abc import Sequence

from brazesoak.answer import Caution
from brazesoak.report import format as fmt
from brazesoak.report.layout import bullets, paragraph
from brazesoak.report.wording import DEFERRAL

HEADING = "CAUTIONS"
IN_FULL = "in full: brazesoak plan JOB --full, and the run card that plan writes"


def cautions_block(cautions: Sequence[Caution], width: int, *, full: bool = False) -> str:
    """Heading, hazards with what to do, and what comes before this page.

    full : bool     every caution whole, not in one line
    """
    heading = HEADING if full else f"{HEADING} ({IN_FULL})"
    texts = [f"{fmt.sentence(c.hazard)[:-1]}: {_told(c, full)}" for c in cautions]
    return "\n".join(part for part in (heading, bullets(texts, width), paragraph(DEFERRAL, width)) if part)


def _told(caution: Caution, full: bool) -> str:
    return fmt.sentence(caution.text) if full or not caution.short else f"{fmt.typeset(caution.short)}."
