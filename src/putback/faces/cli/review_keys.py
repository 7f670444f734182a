"""One idea: each key of a review does one thing: confirm, answer, go on, show, or an act that asks for words."""

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from rich.text import Text

from putback.core.record.review_kinds import Act
from putback.faces import keyboard
from putback.faces.cli.review_acts import ACTS
from putback.faces.cli.review_session import Session
from putback.faces.cli.review_text import rows_shown, show_keys, show_rows
from putback.narrate.review.look import Open, Row
from putback.narrate.review.moves import accepting, accepting_plain, answering, dismissing
from putback.narrate.review.step import Step
from putback.narrate.review.stops import HIGH_VOLTAGE, PLAIN, TORQUES, UNUSED, WRITE, stops
from putback.narrate.review.words import answers_to


def _accept(session: Session) -> None:
    """What Enter does at each place."""
    stop, row = session.stop(), session.row()
    if row is not None:
        _accept_row(session, row)
    elif stop.name == PLAIN:
        session.done(accepting_plain(session.look, most=_most(session)), stays=True)
    elif stop.name == WRITE:
        session.write_procedure()
    elif stop.name == TORQUES:
        ACTS["torques"](session)
    elif stop.name == UNUSED:
        session.done(dismissing(stop.spans[: _most(session)]), stays=True)
    else:
        _move(session, 1)


def _most(session: Session) -> int | None:
    """How many of what is done together are shown; None: all."""
    return rows_shown(session.out) if session.clears else None


def _accept_row(session: Session, row: Row) -> None:
    steps = accepting(row)
    if steps:
        session.done(steps)
    elif _asked(row.questions) is not None:
        session.said = "it is confirmed; what is left is its question: 1, 2, 3"
    else:
        _move(session, 1)


def _asked(questions: Sequence[Open]) -> Open | None:
    """The first question that is to be answered with a key."""
    return next((one for one in questions if one.answer is None and answers_to(one)), None)


def _answer(place: int) -> Callable[[Session], None]:
    def act(session: Session) -> None:
        stop = session.stop()
        if stop.name == HIGH_VOLTAGE:
            _say_high_voltage(session, place)
            return
        asked = _asked(stop.questions) if stop.name not in (PLAIN, TORQUES) else None
        if asked is None:
            session.said = "nothing is asked here"
            return
        if place >= len(answers_to(asked)):
            session.said = f"there is no answer {place + 1} here"
            return
        session.done(answering(session.row(), asked, answers_to(asked)[place]))

    return act


def _say_high_voltage(session: Session, place: int) -> None:
    if place > 1:
        _move(session, 1)
        return
    session.done([Step(act=Act.HIGH_VOLTAGE, value=("yes", "no")[place])])


def _move(session: Session, by: int) -> None:
    names = [one.name for one in stops(session.look)]
    here = session.stop().name
    place = names.index(here) + by if here in names else 0
    session.at = names[place % len(names)]


def _other_line(session: Session, by: int) -> None:
    row = session.row()
    if row is None:
        session.said = "there is no row here"
        return
    keys = [one.key for one in row.lines]
    session.chosen = keys[(keys.index(session.chosen) + by) % len(keys)] if session.chosen in keys else keys[0]


def _plain(session: Session) -> None:
    """Go to what is plain; there, confirm it."""
    if session.stop().name == PLAIN:
        _accept(session)
    elif session.look.plain:
        session.at = PLAIN
    else:
        session.said = "there is no plain row that is not confirmed"


def _unused(session: Session) -> None:
    """Go to all words that were not used; there, nothing was done in any."""
    if session.stop().name == UNUSED:
        _accept(session)
    elif session.look.unused:
        session.at = UNUSED
    else:
        session.said = "no words are left that were not used"


def _high_voltage(session: Session) -> None:
    session.at = HIGH_VOLTAGE


def _list(session: Session) -> None:
    with session.paged():
        show_rows(session.out, session.look)


def _all_keys(session: Session) -> None:
    show_keys(session.out)
    _wait(session)


def _wait(session: Session) -> None:
    """Where each place takes the whole screen, what was asked for stays until a key is pressed."""
    if session.clears:
        session.out.print(Text("any key goes back", style="dim"))
        session.keys.key()


_DOES: Final[Mapping[str, Callable[[Session], None]]] = MappingProxyType(
    {
        "next": lambda session: _move(session, 1),
        "back": lambda session: _move(session, -1),
        "line before": lambda session: _other_line(session, -1),
        "line after": lambda session: _other_line(session, 1),
        "list": _list,
        "confirm": _accept,
        "plain": _plain,
        "unused": _unused,
        "high voltage": _high_voltage,
        "write": Session.write_procedure,
        "undo": Session.take_back,
        "keys": _all_keys,
        "leave": Session.leave,
        **ACTS,
    }
)


def _doing(does: str, key: str) -> Callable[[Session], None]:
    """What a key does; the keys of answers are their numbers."""
    return _answer(int(key) - 1) if does == "answer" else _DOES[does]


KEYS: Final[Mapping[str, Callable[[Session], None]]] = MappingProxyType(
    {key: _doing(one.does, key) for one in keyboard.KEYS for key in (*one.keys, *one.typed)}
)
"""The table of keys as the terminal does it."""
