"""One idea: a key that needs words asks for them under the row, and makes one step of them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from rich.text import Text

from putback.core.operations import ON_THE_WAY_BACK, ON_THE_WAY_IN, Verb
from putback.core.quantity import Refused, read_torque
from putback.core.record.review_kinds import Act
from putback.faces.cli.review_session import Session
from putback.faces.cli.review_text import choices, torque_words
from putback.narrate.review.moves import dismissing, torque_given
from putback.narrate.review.state import Reviewed
from putback.narrate.review.step import Step
from putback.narrate.review.stops import UNUSED, stop_of_line

_MOST_SHOWN: Final = 12
_NONE: Final = ("0", "none")
_AGAIN: Final = "="
"""Typed for a source: the same as the one before."""

_Acting = Callable[[Session], None]


def _of_line(act: Callable[[Session, Reviewed], None]) -> _Acting:
    """An act on the chosen line; elsewhere it says that there is none."""

    def acting(session: Session) -> None:
        session.stop()
        line = session.line()
        if line is None:
            session.said = "there is no line here; g goes to one"
            return
        act(session, line)

    return acting


def _delete(session: Session) -> None:
    """The line is deleted; in words that were not used, nothing was done."""
    spans = session.stop().spans
    if spans and session.at != UNUSED:
        session.done(dismissing(spans))
    else:
        _of_line(_delete_line)(session)


def _delete_line(session: Session, line: Reviewed) -> None:
    session.done([Step(act=Act.DELETE, lines=(line.key,))])


def _flip(session: Session, line: Reviewed) -> None:
    if session.done([Step(act=Act.FLIP, lines=(line.key,))]):
        _show(session, line.key)


def _field(name: str, ask: str) -> Callable[[Session, Reviewed], None]:
    """Change one field; an empty line says that it was not said."""

    def act(session: Session, line: Reviewed) -> None:
        now = getattr(line.said, name)
        value = session.keys.words(ask, "" if now is None else str(now))
        if name == "verb":
            value = _verb(value)
        if session.done([Step(act=Act.SET, lines=(line.key,), field=name, value=value or None)], stays=True):
            _show(session, line.key)

    return act


def _verb(typed: str) -> str:
    """The verb that begins as was typed, where there is only one.

    >>> _verb("unp"), _verb("un")
    ('unplug', 'un')
    """
    found = [str(one) for one in Verb if str(one).startswith(typed.lower())]
    return typed if typed in set(Verb) or len(found) != 1 else found[0]


def _rename(session: Session, line: Reviewed) -> None:
    name = session.keys.words(f"call {line.said.object} everywhere", line.said.object)
    if not name:
        session.said = "left as it was"
        return
    session.done([Step(act=Act.RENAME, name=line.said.object, value=name)], stays=True)


def _merge(session: Session, line: Reviewed) -> None:
    others = _pick(session, "merge it with, by number or words", [one for one in _lines(session) if one is not line])
    if others:
        session.done([Step(act=Act.MERGE, lines=(line.key, *others))], stays=True)


def _split(session: Session, line: Reviewed) -> None:
    pieces = session.keys.words("split into, with commas, a count in front of each where it has one")
    into = tuple(piece.strip() for piece in pieces.split(",") if piece.strip())
    session.done([Step(act=Act.SPLIT, lines=(line.key,), into=into)], stays=True)


def _twin(session: Session, line: Reviewed) -> None:
    """A line of the way back gets the one that it undoes; one of the way in is given to what undoes it."""
    lines = _lines(session)
    place = lines.index(line)
    if line.said.verb in ON_THE_WAY_IN:
        others = [one for one in lines[place + 1 :] if one.said.verb in ON_THE_WAY_BACK | {Verb.START}]
        found = _pick(session, "what undoes it, by number or words", others)
        if found:
            session.done([Step(act=Act.TWIN, lines=found, other=line.key)], stays=True)
        return
    others = [one for one in lines[:place] if one.said.verb in ON_THE_WAY_IN]
    found = _pick(session, "its twin, by number or words (0: none)", others, none=True)
    if found is not None:
        twin = found[0] if found else None
        if session.done([Step(act=Act.TWIN, lines=(line.key,), other=twin)], stays=True):
            _show(session, line.key)


def _torque(session: Session, line: Reviewed) -> None:
    """The torque of a line; one that was undone is tightened by the line that undoes it, where there is one."""
    target = session.look.review.tightened_by(line.key) or line
    value = _asked_torque(session, f"{target.said.object}: torque with its unit", target.said.torque or "")
    if value is None:
        session.said = "left as it was; a torque that nobody knows stays a value needed"
        return
    source = session.keys.words("where it stands: publication and page (empty: nobody said)", target.source or "")
    session.done([Step(act=Act.TORQUE, lines=(target.key,), value=value, source=source or None)], stays=True)


def _asked_torque(session: Session, ask: str, now: str = "") -> str | None:
    """A torque that can be read; None where nothing was typed."""
    while value := session.keys.words(ask, now):
        try:
            read_torque(value)
        except Refused as wrong:
            session.out.print(Text(f"{wrong.what}; {wrong.mend}"))
            continue
        return value
    return None


def _torques(session: Session) -> None:
    """Every torque that is needed, one after the other; each is kept as soon as it is given."""
    needed, source = session.look.torques_needed(), ""
    if not needed:
        session.said = "no torque is needed that is not there"
        return
    for question in needed:
        value = _asked_torque(session, torque_words(session.look, question))
        if value is None:
            continue
        again = f" ({_AGAIN}: {source})" if source else ""
        typed = session.keys.words(f"where it stands{again}")
        source = source if typed == _AGAIN else typed
        session.done([torque_given(question, value, source or None)], stays=True)
    session.said = session.said or "no torque was given; each stays a value needed"


def _before(session: Session, line: Reviewed) -> None:
    lines = _lines(session)
    ask = "what had to come off before it, by number or words"
    found = _pick(session, ask, [one for one in lines[: lines.index(line)] if one.said.verb in ON_THE_WAY_IN])
    if found:
        session.done([Step(act=Act.FIRST, lines=(line.key,), others=found)], stays=True)


def _add(session: Session) -> None:
    """A line of the words that are shown, where those were not used, or one that nobody said."""
    spans = session.stop().spans
    which = 1
    if len(spans) > 1:
        typed = session.keys.words("the number of its words")
        which = int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 7 else 0
        if not 1 <= which <= len(spans):
            session.said = f"{typed!r:.40} is no number of the list"
            return
    verb = _verb(session.keys.words("verb, or how it begins"))
    name = session.keys.words("thing, with its numbers")
    span = spans[which - 1] if spans else None
    new = session.look.review.next_key
    if session.done([Step(act=Act.ADD, value=verb or None, name=name or None, span=span)]) and not spans:
        _show(session, new)


def _go(session: Session) -> None:
    found = _pick(session, "go to line, by number or words", _lines(session))
    if found:
        _show(session, found[0])


def _show(session: Session, key: int) -> None:
    """Show the row of a line, with the line chosen."""
    stop = stop_of_line(session.look, key)
    if stop is not None:
        session.at, session.chosen = stop.name, key


def _lines(session: Session) -> list[Reviewed]:
    return list(session.look.review.lines)


def _pick(session: Session, ask: str, lines: Sequence[Reviewed], *, none: bool = False) -> tuple[int, ...] | None:
    """Keys of lines by their numbers, with commas, or by words that only one of them holds; None: left as it was.

    Words that several hold list those, and it is asked again.
    """
    shown = lines
    while True:
        for line in choices(session.look, shown[-_MOST_SHOWN:]):
            session.out.print(line)
        typed = session.keys.words(ask)
        if not typed:
            session.said = "left as it was"
            return None
        if none and typed in _NONE:
            return ()
        keys = _numbers(typed)
        if keys:
            return keys
        found = list(_holding(typed, lines))
        if len(found) == 1:
            return (found[0].key,)
        session.out.print(Text(f"{len(found)} lines hold {typed!r:.40}"))
        shown = found or lines


def _numbers(typed: str) -> tuple[int, ...]:
    """Numbers with commas or blanks between them; empty where it is anything else.

    >>> _numbers("3, 14"), _numbers("3 bolts")
    ((3, 14), ())
    """
    parts = typed.replace(",", " ").split()
    right = all(part.isascii() and part.isdecimal() and len(part) < 8 for part in parts)
    return tuple(map(int, parts)) if right else ()


def _holding(typed: str, lines: Sequence[Reviewed]) -> Iterator[Reviewed]:
    words = typed.casefold().split()
    for one in lines:
        there = f"{one.said.verb} {one.said.object}".casefold()
        if all(word in there for word in words):
            yield one


ACTS: Final[Mapping[str, _Acting]] = MappingProxyType(
    {
        "delete": _delete,
        "flip": _of_line(_flip),
        "merge": _of_line(_merge),
        "split": _of_line(_split),
        "twin": _of_line(_twin),
        "rename": _of_line(_rename),
        "verb": _of_line(_field("verb", "verb, or how it begins")),
        "object": _of_line(_field("object", "thing")),
        "count": _of_line(_field("count", "count (empty: not said)")),
        "size": _of_line(_field("size", "size (empty: not said)")),
        "torque": _of_line(_torque),
        "before": _of_line(_before),
        "torques": _torques,
        "go": _go,
        "new": _add,
    }
)
"""What a key does that asks for words or changes the chosen line, by the names of the table of keys."""
