"""One idea: in a terminal the few questions that matter are asked one at a time, with the things to tick.

What an answer settles is settled before the next question is chosen. Enter leaves a question open; nothing is taken
for an answer that was not one.
"""

import sys
from collections.abc import Sequence

import click

from putback.narrate.car.learn import Doubt, Learned, next_doubt, with_answer


def can_ask() -> bool:
    """Whether a person sits there: what is typed and what is said go through a terminal."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def answered_here(known: Learned, targets: Sequence[str], most: int) -> tuple[Learned, tuple[str, ...]]:
    """What is known after a person was asked, and the targets whose question is not left open.

    Args:
        known: what recordings show.
        targets: what is to be reached.
        most: so many questions at most.
    """
    left = list(targets)
    for number in range(1, most + 1):
        doubt = next_doubt(known, left, {})
        if doubt is None:
            break
        ticked = _ask(known, doubt, f"Question {number}, of {most} at most")
        if ticked is None:
            left.remove(doubt.thing)
        else:
            known = with_answer(known, doubt, ticked)
            _say(_settled(doubt, ticked))
    return known, tuple(left)


def _ask(known: Learned, doubt: Doubt, heading: str) -> list[str] | None:
    """What was ticked; None: the question is left open."""
    _say(f"\n{heading}: which of these must be off before {doubt.thing}?")
    for place, name in enumerate(doubt.candidates, start=1):
        _say(f"  {place}  {name}{_seen(known, doubt.thing, name)}")
    _say("Numbers with blanks between them. 0: none of them. Enter: not known, leave it open.")
    while True:
        typed: str = click.prompt("must be off", default="", show_default=False, err=True)
        if not typed.strip():
            return None
        ticked = ticked_of(typed, doubt.candidates)
        if isinstance(ticked, list):
            return ticked
        _say(ticked)


def ticked_of(typed: str, candidates: Sequence[str]) -> list[str] | str:
    """The things with these numbers; or what is wrong with what was typed.

    >>> ticked_of("2, 1", ["cover", "hose"]), ticked_of("0", ["cover"]), ticked_of("3", ["cover", "hose"])
    (['cover', 'hose'], [], '3 is none of the numbers; write numbers from 1 to 2, or 0 alone')
    """
    words = typed.replace(",", " ").split()
    if words == ["0"]:
        return []
    known = {str(place): name for place, name in enumerate(candidates, start=1)}
    wrong = [word for word in words if word not in known]
    if wrong:
        return f"{wrong[0]} is none of the numbers; write numbers from 1 to {len(candidates)}, or 0 alone"
    return [name for place, name in known.items() if place in words]


def _seen(known: Learned, thing: str, first: str) -> str:
    """In how many jobs it came off first, where it was next to the thing itself."""
    link = next((one for one in known.links.get(thing, ()) if one.first == first), None)
    if link is None or not link.seen:
        return ""
    against = f", {len(link.against)} against it" if link.against else ""
    return f"  (came off first in {len(link.seen)} of {known.times[thing]} jobs{against})"


def _settled(doubt: Doubt, ticked: Sequence[str]) -> str:
    free = [name for name in doubt.candidates if name not in ticked]
    needed = f"{', '.join(ticked) or 'none of these'} must be off before {doubt.thing}"
    return f"{needed}; not needed: {', '.join(free)}." if free and ticked else f"{needed}."


def _say(text: str) -> None:
    click.echo(text, err=True)
