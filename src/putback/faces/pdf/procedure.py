"""One idea: a published procedure on paper says the same sections as its page."""

from datetime import UTC, datetime
from typing import Any

from putback.core.papers.published import AUTHORITY, sections_of
from putback.core.procedure import Procedure
from putback.faces.draw.said import said_valley_svg
from putback.faces.page.procedure import draft_of, title_of
from putback.faces.pdf.plain import section, text
from putback.faces.pdf.record import drawing
from putback.faces.pdf.setting import NotSet, pdf

_NO_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""A procedure has no time of its own; the same file gives the same bytes."""


def procedure_pdf(procedure: Procedure) -> bytes:
    """The procedure as PDF/A-3b, whose private data are left out already.

    Raises:
        NotSet: the typesetter refused.
    """
    try:
        return pdf("procedure", _says(procedure, plain=False), at=_NO_TIME)
    except NotSet:
        return pdf("procedure", _says(procedure, plain=True), at=_NO_TIME)


def _says(procedure: Procedure, *, plain: bool) -> dict[str, Any]:
    valley = drawing(said_valley_svg(procedure))
    return {
        "title": text(title_of(procedure), plain=plain),
        "car": text(procedure.car, plain=plain),
        "invented": procedure.invented,
        "draft": draft_of(procedure),
        "sections": [section(one, plain=plain) for one in sections_of(procedure)],
        "valley": text(valley, plain=True, longest=10_000) if plain else valley,
        "authority": AUTHORITY,
    }
