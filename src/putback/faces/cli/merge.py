"""`putback merge`: several recordings of one car become one car file, with what speaks for and against each link."""

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from putback.core.finding import Finding, Where
from putback.core.procedure import Procedure
from putback.faces.cli.show import DONE, IMPOSSIBLE, UNREADABLE, finding_json, print_findings, print_json
from putback.narrate.car_from import Drawn, car_from
from putback.narrate.learn import (
    MOST_QUESTIONS,
    Doubt,
    Evidence,
    Learned,
    learned,
    next_doubt,
    recorded,
    with_answer,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Merged:
    """What came of several recordings: what was learned, the questions left for what is wanted, the car."""

    known: Learned
    doubts: tuple[Doubt, ...]
    drawn: Drawn


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
    against one is shown, never averaged. With --for, the questions that matter most are asked, three at most.
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
    targets = _targets(wanted, known)
    merged = _merged(procedures, known, targets, answers)
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
    print_findings([*notes, *merged.drawn.findings], err=True)
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
    return _with_all_aliases(procedures)


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


def _targets(wanted: str, known: Learned) -> list[str]:
    """What is asked for, by its name.

    Raises:
        click.UsageError: no recording touched it.
    """
    targets = [name.strip() for name in wanted.split(",") if name.strip()]
    for name in targets:
        _must_be_known(name, known, "--for")
    return targets


def _must_be_known(name: str, known: Learned, option: str) -> None:
    if name not in known.times:
        things = ", ".join(known.things[:12])
        raise click.UsageError(f"{option}: no recording touched {name!r}; they touched {things}.")


def _merged(
    procedures: Sequence[Procedure], known: Learned, targets: Sequence[str], answers: Sequence[str]
) -> _Merged:
    """The car after the answers, and the questions that are left."""
    answered = 0
    for answer in answers:
        thing, sign, said = (part.strip() for part in answer.partition("="))
        if not sign:
            raise click.UsageError(f"--answer {answer!r}: write THING=THINGS, or THING= for none of them.")
        _must_be_known(thing, known, "--answer")
        doubt = next_doubt(known, [thing], {})
        needed = [one.strip() for one in said.split(",") if one.strip()]
        for one in needed:
            _must_be_known(one, known, "--answer")
        if doubt is not None:
            known = with_answer(known, doubt, needed)
            answered += 1
    doubts = _doubts(known, targets, MOST_QUESTIONS - answered)
    return _Merged(known=known, doubts=doubts, drawn=car_from(procedures, known))


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
    known = merged.known
    against = len(known.contradictions) + len(known.set_aside) + len(known.circles)
    jobs = f"{known.jobs} {'job' if known.jobs == 1 else 'jobs'}"
    return f"{place} written: {len(known.things)} things from {jobs}, {against} links with something against them"


def _print_doubts(doubts: Sequence[Doubt]) -> None:
    for doubt in doubts:
        click.echo(f'asked: {doubt.text} Answer with --answer "{doubt.thing}=…"', err=True)


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
        "findings": [finding_json(one) for one in merged.drawn.findings],
        "written": None if place is None else str(place),
    }


def _question_json(doubt: Doubt) -> dict[str, Any]:
    return {"thing": doubt.thing, "candidates": list(doubt.candidates), "text": doubt.text}


def _link_json(one: Evidence) -> dict[str, Any]:
    return {
        "thing": one.thing,
        "needs_off": one.first,
        "from": str(one.origin),
        "seen": list(one.seen),
        "marked": list(one.marked),
        "against": list(one.against),
    }
