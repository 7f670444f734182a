"""`putback review`: a person looks over what was heard, key by key, and a procedure comes of it."""

import os
import sys
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from putback.adapters.car_file.text import read_bytes
from putback.adapters.stores import Store, StoreFailed, open_store
from putback.bay.desk import Bay, Closed
from putback.bay.owner import Someone, worker, workers
from putback.bay.people import LONGEST_NAME
from putback.bay.reviews import ReviewHere, do, review_here, reviews, take_narration
from putback.bay.shelf import beside
from putback.core.finding import Finding
from putback.core.record.review_kinds import Act
from putback.faces.cli.job_here import desk
from putback.faces.cli.show import DONE, INTERRUPTED, UNREADABLE, print_findings, print_json
from putback.narrate.review.step import Step
from putback.narrate.review.words import left

if TYPE_CHECKING:
    from putback.faces.cli.review_session import Session

_HIGH_VOLTAGE: Final = {None: None, "yes": True, "no": False}
_LONGEST_CAR: Final = 120


@click.command("review")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--store", default="putback.db", show_default=True, help="A file, or postgresql://USER@HOST/DATABASE.")
@click.option(
    "--files",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where texts and drafts are kept. [default: beside the store]",
)
@click.option("--car", help="The vehicle platform. [default: the name of the file]")
@click.option("--high-voltage", type=click.Choice(("yes", "no")), help="Whether the car has high voltage.")
@click.option("--by", help="Who looks it over.")
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Where the procedure is written.")
@click.option("--json", "as_json", is_flag=True, help="Print how it stands at the end as JSON.")
def command(file: Path | None, store: str, files: Path | None, *, as_json: bool, **said: Any) -> int:
    """Look over the narration in FILE, one row at a time, the most urgent first, and write a procedure of it.

    One key confirms a row; ? shows every key. From a pipe each line is a key. Each step is kept at once, in the
    record: whoever reviews the same FILE next goes on from there. Without FILE the reviews of the store are listed.
    """
    wrong = _wrong_words(said["car"], said["by"])
    if wrong:
        raise click.UsageError(wrong)
    if file is not None and said["to"] is not None and os.path.realpath(said["to"]) == os.path.realpath(file):
        raise click.UsageError("--to is the FILE that is read; name another.")
    try:
        with open_store(store, create=file is not None, read_only=file is None) as opened:
            if file is None:
                return _listed(opened, files or beside(store), as_json=as_json)
            return _review(desk(opened, files or beside(store)), file, as_json=as_json, **said)
    except (StoreFailed, OSError) as failure:
        click.echo(str(failure), err=True)
        return UNREADABLE


def _wrong_words(car: str | None, by: str | None) -> str:
    """What is wrong with the name of a car or a person; empty where nothing is."""
    for option, words, most in (("--car", car, _LONGEST_CAR), ("--by", by, LONGEST_NAME)):
        if words is not None and (not words.strip() or len(words) > most or not words.isprintable()):
            return f"{option}: write 1 to {most} letters on one line."
    return ""


def _listed(store: Store, files: Path, *, as_json: bool) -> int:
    lines = reviews(desk(store, files))
    if as_json:
        names = ("review", "name", "car", "taken_at", "lines", "unconfirmed", "open_questions")
        print_json({"reviews": [{name: getattr(one, name) for name in names} for one in lines]})
        return DONE
    from putback.faces.cli.plan_text import console  # noqa: PLC0415 - loaded when it is used
    from putback.faces.cli.review_text import show_reviews  # noqa: PLC0415 - the same

    show_reviews(console(), lines)
    return DONE


def _review(
    bay: Bay, file: Path, *, car: str | None, high_voltage: str | None, by: str | None, to: Path | None, as_json: bool
) -> int:
    """Take the narration, or go on with it, and review it until a person leaves or no more keys come."""
    data = read_bytes(file)
    person = None if by is None else _person(bay, by.strip())
    voltage = _HIGH_VOLTAGE[high_voltage]
    if isinstance(data, Finding):
        return _unreadable(data)
    taken = take_narration(bay, data, name=file.name, car=_car(bay, car, file), person=person, high_voltage=voltage)
    if isinstance(taken, Finding):
        return _unreadable(taken)
    print_findings(taken.findings, err=True)
    here = review_here(bay, taken.review)
    if isinstance(here, ReviewHere) and high_voltage is not None and here.look.review.high_voltage is not voltage:
        told = do(bay, taken.review, Step(act=Act.HIGH_VOLTAGE, value=high_voltage), person=person)
        here = told if isinstance(told, ReviewHere) else here
    if isinstance(here, Closed):
        click.echo(f"{file}: {here.what}; {here.mend}", err=True)
        return UNREADABLE
    return _at_the_keys(bay, here, person, to, as_json=as_json)


def _car(bay: Bay, car: str | None, file: Path) -> str:
    """The car as it is named, else as the last review of a narration of this name has it, else the file's name."""
    if car:
        return car.strip()
    earlier = next((one.car for one in reviews(bay) if one.name == file.name), "")
    return earlier or file.name.split(".", maxsplit=1)[0][:_LONGEST_CAR] or "unnamed"


def _unreadable(finding: Finding) -> int:
    print_findings((finding,), err=True)
    return UNREADABLE


def _person(bay: Bay, name: str) -> str | None:
    """The id of who is called so; a new name is kept first."""
    known = next((id for id, called in workers(bay).items() if called == name), "")
    return worker(bay, Someone(id=known, name=name))


def _at_the_keys(bay: Bay, here: ReviewHere, person: str | None, to: Path | None, *, as_json: bool) -> int:
    """Let the person press keys; the exit code."""
    from rich.console import Console  # noqa: PLC0415 - loaded when it is used

    from putback.faces.cli.keys import keys_from  # noqa: PLC0415 - the same
    from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same
    from putback.faces.cli.review_session import Gone, Session  # noqa: PLC0415 - the same
    from putback.faces.cli.signs import like_ascii  # noqa: PLC0415 - the same

    out = Console(stderr=True, highlight=False) if as_json else console()
    like_ascii(out.file)
    clears = out.is_terminal and sys.stdin.isatty()
    session = Session(bay=bay, here=here, person=person, keys=keys_from(out), out=out, clears=clears, to=to)
    try:
        code = _pressed(session)
    except Gone as gone:
        click.echo(str(gone), err=True)
        return UNREADABLE
    if as_json:
        print_json(_json(session.here, session.wrote))
    else:
        _say_end(session.here, session.wrote)
    return code


def _pressed(session: "Session") -> int:
    """The keys until the end; a whole screen is given back as it was. Without more keys the procedure is written."""
    from putback.faces.cli.review_keys import KEYS  # noqa: PLC0415 - loaded when it is used
    from putback.faces.cli.review_session import run  # noqa: PLC0415 - the same

    try:
        with session.out.screen(hide_cursor=False) if session.clears else nullcontext():
            ended = run(session, KEYS)
    except KeyboardInterrupt:
        return INTERRUPTED
    if ended and session.to is not None and session.wrote is None:
        session.write_procedure()
    return DONE


def _say_end(here: ReviewHere, wrote: Path | None) -> None:
    still, open_now = left(here.look), len(here.look.open_questions)
    click.echo(f"{here.name}: {still} left to look at, {open_now} without an answer; every step is kept")
    click.echo(f"{wrote} written" if wrote else "no procedure was written: w writes one")


def _json(here: ReviewHere, wrote: Path | None) -> dict[str, Any]:
    look = here.look
    return {
        "review": here.review,
        "name": here.name,
        "car": here.car,
        "high_voltage": look.review.high_voltage,
        "lines": len(look.review.lines),
        "unconfirmed": look.unconfirmed,
        "left": left(look),
        "steps": len(here.standing),
        "open_questions": [{"kind": one.kind, "line": one.line, "text": one.text} for one in look.open_questions],
        "written": str(wrote) if wrote else None,
    }
