"""One idea: what a page of codes shows is worked out here as plain text; the template only sets it."""

from typing import Any

from putback.bay.code_compare import Held
from putback.bay.code_reads import KeptRead
from putback.bay.code_words import (
    NO_CAUSE,
    answered_words,
    cause_circuits,
    cause_name,
    judged_lines,
    look_next,
    rework_words,
    too_many_words,
)
from putback.core.codes.lists.pasted import Guess, LineKind
from putback.core.codes.verdicts.verdict import Verdict
from putback.faces.web.pasted import MOST_ASKED, sign_of

_SHAPES = {
    Verdict.CAUSED: "new",
    Verdict.EXPECTED: "awaited",
    Verdict.ALREADY: "old",
    Verdict.PERMANENT: "old",
    Verdict.GONE_PROVEN: "gone",
}
"""The class of a verdict's shape; all others are open."""


def held_view(held: Held) -> dict[str, Any]:
    """Verdicts, causes, what is open."""
    return {
        "headline": held.headline,
        "open": held.open_points,
        "readiness": held.readiness,
        "erased": held.comparison.erased,
        "lines": [(one, _SHAPES.get(one.verdict, "open")) for one in judged_lines(held)],
        "causes": _causes(held),
        "look": look_next(held),
        "no_cause": NO_CAUSE if held.diagnosis and held.diagnosis.explanations and not held.diagnosis.suspects else "",
        "note": _note(held),
    }


def _note(held: Held) -> str:
    if held.too_many:
        return f"{too_many_words(held)}."
    return held.job.note if held.job else "It is not said what was renewed, so no cause is named."


def _causes(held: Held) -> list[tuple[str, ...]]:
    if held.job is None or held.diagnosis is None:
        return []
    car = held.job.car
    return [
        (f"{one.rank}", cause_name(car, one), cause_circuits(one), rework_words(one), f"{one.chance:.0%}")
        for one in held.diagnosis.explanations
    ]


def read_view(read: KeptRead, name: str) -> dict[str, Any]:
    """One attached read."""
    return {
        "stage": str(read.stage),
        "at": read.at,
        "who": name,
        "answered": "" if read.lost else answered_words(read.listing),
        "codes": len(read.listing.listed),
        "digest": read.sha256,
        "bus": read.read.bus if read.read else "",
        "remark": read.lost or (f"not whole: {read.stopped}" if read.stopped else ""),
        "notes": read.read.notes if read.read else (),
    }


def guess_view(found: Guess) -> dict[str, Any]:
    """A guess, line by line, with what may be said of each line."""
    lines = [line for line in found.lines if line.kind is not LineKind.EMPTY]
    table = found.table.said if found.table else ""
    return {
        "sign": sign_of(found),
        "lines": lines[:MOST_ASKED],
        "more": max(0, len(lines) - MOST_ASKED),
        "table": table,
        "cut": found.cut,
        "short": found.short,
        "partial": sorted(found.partial),
        "needs_module": bool(found.unnamed),
        "needs_byte": any("failure type is not said" in line.why for line in lines),
    }
