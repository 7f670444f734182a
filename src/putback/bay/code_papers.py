"""One idea: on paper, reads of codes stand with what they say together, and with what they leave open."""

from collections.abc import Iterator

from putback.bay.code_compare import Held
from putback.bay.code_reads import KeptRead
from putback.bay.code_words import (
    JobCodes,
    answered_words,
    cause_circuits,
    cause_name,
    judged_lines,
    look_next,
    rework_words,
)
from putback.core.papers import Column, Row, Section, Table, Told, code_reads
from putback.core.papers.section import pairs

NO_PROOF = "No code is no proof that a thing was tested."
SIMULATED = "Read from a virtual car (simulated): these lists say nothing of a vehicle."
_VIRTUAL = "virtual car"


def codes_section(told: Told, codes: JobCodes) -> Section:
    """The reads of a job with verdicts, causes and what is open; where none is attached, when codes were read."""
    if not codes.reads:
        return code_reads(told)
    held = codes.held
    tables = [_reads(told, codes.reads)]
    if held is not None:
        tables += [_verdicts(held), _causes(held), _open(held)]
    lead = [SIMULATED] if is_simulated(codes) else []
    lead += [held.headline if held is not None else f"Nothing can be said: {codes.why_not}.", NO_PROOF]
    lead += [f"{remark}." for remark in codes.remarks]
    return Section(id="codes", title="Codes before and after", lead=" ".join(lead), tables=tuple(tables))


def is_simulated(codes: JobCodes) -> bool:
    """Whether any of the lists was read from a virtual car."""
    return any(one.read is not None and one.read.bus.startswith(_VIRTUAL) for one in codes.reads)


def codes_lines(codes: JobCodes) -> Iterator[str]:
    """What the owner is told of the codes: the sum, then every open point; nothing where no read is attached."""
    if not codes.reads:
        return
    simulated = f"{SIMULATED} " if is_simulated(codes) else ""
    if codes.held is None:
        yield f"{simulated}Codes before and after the work: nothing can be said, {codes.why_not}."
        return
    yield f"{simulated}Codes before and after the work: {codes.held.headline} {NO_PROOF}"
    for point in codes.held.open_points:
        yield f"Codes: {point}."


def _reads(told: Told, reads: tuple[KeptRead, ...]) -> Table:
    columns = (
        Column(name="read", share=1.6),
        Column(name="when, who", share=1.4),
        Column(name="modules", share=3.4),
        Column(name="codes", share=0.8, figure=True),
        Column(name="SHA-256, first digits", share=2.2),
        Column(name="event", share=0.8, figure=True),
    )
    rows = []
    for one in reads:
        place = told.case.place_of[one.event]
        modules = [one.lost or answered_words(one.listing), f"not whole: {one.stopped}" if one.stopped else ""]
        cells = (
            str(one.stage),
            told.stamp(told.case.facts[place - 1]),
            "; ".join(filter(None, modules)),
            "" if one.lost else str(len(one.listing.listed)),
            one.sha256[:16],
            str(place),
        )
        rows.append(Row(cells=cells, owed=bool(one.lost or one.stopped)))
    return Table(columns=columns, rows=tuple(rows))


def _verdicts(held: Held) -> Table:
    columns = (
        Column(name="code", share=1.2),
        Column(name="verdict", share=1.8),
        Column(name="module", share=1.3),
        Column(name="before", share=1),
        Column(name="now", share=1),
        Column(name="why", share=4.6),
    )
    rows = tuple(
        Row(
            cells=(
                one.code,
                str(one.verdict),
                one.module,
                one.before,
                one.after,
                f"{one.text}: {one.why}" if one.text else one.why,
            ),
            owed=one in held.comparison.caused,
        )
        for one in judged_lines(held)
    )
    return Table(columns=columns, rows=rows, title="Code by code")


def _causes(held: Held) -> Table:
    columns = (
        Column(name="rank", share=0.6, figure=True),
        Column(name="may be", share=4),
        Column(name="circuit", share=3),
        Column(name="rework", share=1.2, figure=True),
    )
    explanations = held.diagnosis.explanations if held.diagnosis is not None else ()
    rows = tuple(
        Row(cells=(str(one.rank), cause_name(held.job.car, one), cause_circuits(one), rework_words(one)))
        for one in explanations
        if held.job is not None
    )
    return Table(columns=columns, rows=rows, title="Where new codes may come from, by guesses of common practice")


def _open(held: Held) -> Table:
    lines = [("erased in between", sign) for sign in held.comparison.erased]
    lines += [("still open", point) for point in held.open_points]
    lines += [("readiness", held.readiness)]
    lines += [("look next", words) for words in (look_next(held),) if words]
    return pairs(lines, title="What is open")
