"""`putback merge`: several recordings of one car become one car file, with what speaks for and against each link."""

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from putback.core.finding import Finding, Where
from putback.core.papers.published import for_a_car
from putback.core.procedure import Procedure
from putback.faces.cli.merge_asking import answered_here, can_ask
from putback.faces.cli.show import DONE, IMPOSSIBLE, UNREADABLE, finding_json, print_findings, print_json
from putback.faces.names import counted
from putback.narrate.car.car_from import Drawn, car_from
from putback.narrate.car.contradiction import Contradiction
from putback.narrate.car.learn import (
    MOST_QUESTIONS,
    Doubt,
    Evidence,
    Learned,
    learned,
    next_doubt,
    recorded,
    with_answer,
)
from putback.narrate.car.perhaps_one import PerhapsOne, perhaps_one


@dataclass(frozen=True, slots=True, kw_only=True)
class _Merged:
    """What came of several recordings: what was learned, the questions left for what is wanted, the car."""

    known: Learned
    doubts: tuple[Doubt, ...]
    drawn: Drawn
    perhaps_one: tuple[PerhapsOne, ...]


@click.command("merge")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--to", "place", type=click.Path(path_type=Path, dir_okay=False), help="Write the car file here.")
@click.option("--for", "wanted", default="", metavar="THINGS", help="Ask what matters for these, with commas.")
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="THING=THINGS",
    help="What must be off before a thing, of what was asked, with commas; nothing after = for none of it.",
)
@click.option("--json", "as_json", is_flag=True, help="Print what was learned as JSON.")
def command(files: tuple[Path, ...], place: Path | None, wanted: str, answers: tuple[str, ...], as_json: bool) -> int:
    """Draw one car file from procedure FILES of one car. Links say in how many jobs they were seen; what speaks
    against one is shown, never averaged. With --for, the questions that matter most are asked, three at most: in a
    terminal one at a time, else all at the end, to be answered by --answer.
    """
    read = _read(files)
    if isinstance(read, list):
        print_findings(read, err=True)
        return UNREADABLE
    if place is not None and os.path.realpath(place) in {os.path.realpath(file) for file in files}:
        raise click.UsageError(f"--to {place} is one of the files that are read; name another.")
    procedures, notes = read
    known = learned([recorded(one) for one in procedures])
    if not known.things:
        click.echo("nothing came off or went back in these recordings, so no car can be drawn of them", err=True)
        return IMPOSSIBLE
    targets = _targets(wanted, known, procedures[0])
    known, most = _answered(known, answers, procedures[0]), MOST_QUESTIONS - len(answers)
    if can_ask() and not as_json:
        known, targets = answered_here(known, targets, most)
        most = 0
    merged = _Merged(
        known=known,
        doubts=_doubts(known, targets, most),
        drawn=car_from(procedures, known),
        perhaps_one=perhaps_one(procedures),
    )
    text = _car_text(merged.drawn)
    if place is not None:
        try:
            place.write_text(text, encoding="utf-8")
        except OSError as error:
            click.echo(f"{place}: cannot be written: {error.strerror}; name a folder that exists", err=True)
            return UNREADABLE
    if as_json:
        print_json(_json(merged, place))
        return DONE
    open_ones = [one for one in merged.drawn.findings if one.rule != "contradiction"]
    print_findings([*notes, *(one.finding for one in merged.perhaps_one), *open_ones], err=True)
    for contradiction in merged.drawn.contradictions:
        _print_contradiction(contradiction)
    click.echo(text if place is None else _summary(merged, place), nl=place is not None)
    _print_doubts(merged.doubts)
    return DONE


def _read(files: Sequence[Path]) -> tuple[list[Procedure], list[Finding]] | list[Finding]:
    """All procedures with one table of aliases, and notes; or everything that is wrong."""
    from putback.adapters.procedure_file import read_procedure  # noqa: PLC0415 - loaded when it is used

    wrong: list[Finding] = []
    procedures: list[Procedure] = []
    seen: set[str] = set()
    for file in files:
        if os.path.realpath(file) in seen:
            wrong.append(_fault(file, "named twice", "name each recording once; a job counts once"))
            continue
        seen.add(os.path.realpath(file))
        read = read_procedure(file)
        if read.procedure is None:
            wrong += read.findings
        else:
            procedures.append(read.procedure)
    for one in procedures[1:]:
        if one.car != procedures[0].car:
            what = f"is about {one.car!r}, the first file about {procedures[0].car!r}"
            wrong.append(_fault(Path(one.file), what, "merge recordings of one car platform", "car"))
    if wrong:
        return wrong
    together = _with_all_aliases(procedures)
    if isinstance(together, list):
        return together
    procedures, notes = together
    return [for_a_car(one) for one in procedures], notes


def _fault(file: Path, what: str, mend: str, field: str = "") -> Finding:
    return Finding(where=Where(file=str(file), field=field), what=what, mend=mend, rule="merge")


def _with_all_aliases(procedures: Sequence[Procedure]) -> tuple[list[Procedure], list[Finding]] | list[Finding]:
    """An alias that one recording gives holds for all; two meanings of one name are faults."""
    aliases: dict[str, tuple[str, str]] = {}
    wrong = []
    for one in procedures:
        for said, name in one.aliases.items():
            known, file = aliases.setdefault(said, (name, one.file))
            if known != name:
                what = f"{said!r} stands for {name!r} here and for {known!r} in {file}"
                wrong.append(_fault(Path(one.file), what, "give it one name", f"aliases.{said}"))
    table = {said: name for said, (name, _) in aliases.items()}
    together = [replace(one, aliases=table) for one in procedures]
    circles = sorted(said for said in table if together[0].named(said) in table)
    if circles:
        what = f"the aliases {', '.join(circles)} lead back to themselves"
        wrong.append(_fault(Path(procedures[0].file), what, "name each thing once", "aliases"))
    return wrong or (together, [])


def _targets(wanted: str, known: Learned, aliased: Procedure) -> Sequence[str]:
    """What is asked for, by its name.

    Raises:
        click.UsageError: no recording touched it.
    """
    targets = _names(wanted, aliased)
    for name in targets:
        _must_be_known(name, known, "--for")
    return targets


def _names(said: str, aliased: Procedure) -> list[str]:
    """Names with commas between them, as the things are called on this car."""
    return [aliased.named(name.strip()) for name in said.split(",") if name.strip()]


def _must_be_known(name: str, known: Learned, option: str) -> None:
    if name not in known.times:
        things = ", ".join(known.things[:12])
        raise click.UsageError(f"{option}: no recording touched {name!r}; they touched {things}.")


def _answered(known: Learned, answers: Sequence[str], aliased: Procedure) -> Learned:
    """What is known with the answers of the call.

    Raises:
        click.UsageError: an answer names what no recording touched, or cannot be read.
    """
    for answer in answers:
        asked, sign, said = (part.strip() for part in answer.partition("="))
        thing = aliased.named(asked)
        if not sign:
            raise click.UsageError(f"--answer {answer!r}: write THING=THINGS, or THING= for none of them.")
        _must_be_known(thing, known, "--answer")
        doubt = next_doubt(known, [thing], {})
        needed = _names(said, aliased)
        for one in needed:
            _must_be_known(one, known, "--answer")
        if doubt is not None:
            known = with_answer(known, doubt, needed)
    return known


def _doubts(known: Learned, targets: Sequence[str], most: int) -> tuple[Doubt, ...]:
    """The questions for what is wanted, one for each thing at most, those that matter most first."""
    doubts: list[Doubt] = []
    left = list(targets)
    while left and len(doubts) < most:
        doubt = next_doubt(known, left, {})
        if doubt is None:
            break
        doubts.append(doubt)
        left.remove(doubt.thing)
    return tuple(doubts)


def _car_text(drawn: Drawn) -> str:
    from putback.adapters.car_writer import write_car  # noqa: PLC0415 - loaded when it is used

    return write_car(drawn.car, findings=drawn.findings)


def _summary(merged: _Merged, place: Path) -> str:
    known, against = merged.known, len(merged.drawn.contradictions)
    jobs, twice = counted(known.jobs, "job"), counted(against, "contradiction")
    return f"{place} written: {counted(len(known.things), 'thing')} from {jobs}, {twice}"


def _print_doubts(doubts: Sequence[Doubt]) -> None:
    for doubt in doubts:
        click.echo(f'asked: {doubt.text} Answer with --answer "{doubt.thing}=…"', err=True)


def _print_contradiction(one: Contradiction) -> None:
    click.echo(f"said in two ways: {one.about}", err=True)
    for said in one.sayings:
        by = f", confirmed by {said.confirmed}" if said.confirmed else ""
        place = f"  – {said.place}{by}" if said.place else ""
        click.echo(f"    {said.words}{place}", err=True)
    click.echo(f"    {one.done}; {one.mend}", err=True)


def _json(merged: _Merged, place: Path | None) -> dict[str, Any]:
    known = merged.known
    return {
        "car": merged.drawn.car.name,
        "jobs": known.jobs,
        "things": [{"name": one, "id": merged.drawn.ids[one], "jobs": jobs} for one, jobs in known.times.items()],
        "links": [_link_json(one) for links in known.links.values() for one in links],
        "set_aside": [_link_json(one) for one in known.set_aside],
        "circles": [_link_json(one) for one in known.circles],
        "questions": [_question_json(one) for one in merged.doubts],
        "perhaps_one": [_pair_json(one) for one in merged.perhaps_one],
        "contradictions": [_contradiction_json(one) for one in merged.drawn.contradictions],
        "findings": [finding_json(one) for one in merged.drawn.findings],
        "written": None if place is None else str(place),
    }


def _pair_json(one: PerhapsOne) -> dict[str, Any]:
    return {
        "short": one.short,
        "long": one.long,
        "short_in": list(one.short_in),
        "long_in": list(one.long_in),
        "text": one.text,
    }


def _question_json(doubt: Doubt) -> dict[str, Any]:
    return {"thing": doubt.thing, "candidates": list(doubt.candidates), "text": doubt.text}


def _contradiction_json(one: Contradiction) -> dict[str, Any]:
    said = [
        {
            "file": saying.file or None,
            "operation": saying.operation,
            "seconds": saying.seconds,
            "confirmed": saying.confirmed,
            "words": saying.words,
        }
        for saying in one.sayings
    ]
    return {"about": one.about, "said": said, "done": one.done, "mend": one.mend}


def _link_json(one: Evidence) -> dict[str, Any]:
    return {
        "thing": one.thing,
        "needs_off": one.first,
        "from": str(one.origin),
        "seen": list(one.seen),
        "marked": list(one.marked),
        "against": list(one.against),
    }
