"""One idea: the hand-over sheet and the labels are set as the job record is, from values that say all of it."""

from collections.abc import Callable
from typing import Any

import segno

from putback.bay.handover import HandOver
from putback.bay.labels import Content, Label, Labels
from putback.faces.pdf.plain import text
from putback.faces.pdf.setting import NotSet, pdf
from putback.faces.pdf.shorter import lengths

_SUM_NOTE = "The sum is what was agreed in the record. Whatever is not in these lines was not asked for in it."
_LONGEST_BAR_MM = 60
"""A bar this long still fits beside its mark on half a sheet, [mm]."""
_KEEP = (
    "Keep this sheet: against this head anybody can tell whether the record was changed, cut or written anew later. "
    "The job record holds every line of it and says how to check."
)


def handover_pdf(sheet: HandOver) -> bytes:
    """The hand-over sheet as PDF/A-3b.

    Raises:
        NotSet: the typesetter refused.
    """
    return _either_way("handover", lambda plain: _sheet(sheet, plain), sheet)


def labels_pdf(labels: Labels) -> bytes:
    """The labels as PDF/A-3b, on sheets of A4.

    Raises:
        NotSet: the typesetter refused.
    """
    return _either_way("labels", lambda plain: _labels(labels, plain), labels)


def _either_way(name: str, says: Callable[[bool], dict[str, Any]], paper: HandOver | Labels) -> bytes:
    """Set it with all letters, or, where the typesetter refuses, with codes for all beyond ASCII."""
    try:
        return pdf(name, says(False), at=paper.at)
    except NotSet:
        return pdf(name, says(True), at=paper.at)


def _sheet(sheet: HandOver, plain: bool) -> dict[str, Any]:
    def said(words: str) -> str:
        return text(words, plain=plain)

    return {
        "title": said(sheet.title),
        "job": text(sheet.job, plain=plain, longest=40),
        "invented": sheet.invented,
        "lengths": lengths(sheet, said),
        "total": f"{sheet.total} {said(sheet.currency)}".strip(),
        "total-says": sheet.total_says,
        "sum-note": _SUM_NOTE,
        "chain": f"{sheet.events} events. Head of the record, number and hash of the last:",
        "head": sheet.head,
        "keep": _KEEP,
        "authority": sheet.authority,
    }


def _labels(labels: Labels, plain: bool) -> dict[str, Any]:
    return {
        "title": text(labels.title, plain=plain),
        "car": text(labels.car, plain=plain),
        "job": text(labels.job, plain=plain),
        "labels": [_label(one, plain) for one in labels.labels],
    }


def _label(label: Label, plain: bool) -> dict[str, Any]:
    return {
        "place": text(label.place, plain=plain, longest=8),
        "zone": text(label.zone, plain=plain, longest=24),
        "points-to": text(label.points_to, plain=plain, longest=24),
        "code": segno.make(label.points_to, error="m", micro=False).svg_inline(border=0, dark="#000"),
        "size": 13 if len(label.contents) <= 5 else 11.5,
        "contents": [_content(one, plain) for one in label.contents],
    }


def _content(content: Content, plain: bool) -> dict[str, Any]:
    fits = content.length_mm if content.length_mm and content.length_mm <= _LONGEST_BAR_MM else 0
    return {
        "what": text(f"{content.count} × {content.kind}", plain=plain, longest=24),
        "item": text(content.item, plain=plain, longest=16),
        "trap": content.trap,
        "bar": fits,
    }
