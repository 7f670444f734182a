"""One idea: each key of a review does one thing: confirm, answer, go on, show, or an act that asks for words."""

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from rich.text import Text

from putback.core.record.review_kinds import Act
from putback.faces.cli.keys import ENTER, TAB
from putback.faces.cli.review_acts import ACTS
from putback.faces.cli.review_session import Session
from putback.faces.cli.review_text import rows_shown, show_keys, show_rows
from putback.narrate.review.look import Open, Row
from putback.narrate.review.moves import accepting, accepting_plain, answering
from putback.narrate.review.step import Step
from putback.narrate.review.stops import HIGH_VOLTAGE, PLAIN, TORQUES, WRITE, stops
from putback.narrate.review.words import answers_to


def _accept(session: Session) -> None:
    """What Enter does at each place."""
    stop, row = session.stop(), session.row()
    if row is not None:
        _accept_row(session, row)
    elif stop.name == PLAIN:
        most = rows_shown(session.out) if session.clears else None
        session.done(accepting_plain(session.look, most=most), stays=True)
    elif stop.name == WRITE:
        session.write_procedure()
    elif stop.name == TORQUES:
        ACTS["T"](session)
    else:
        _move(session, 1)


def _accept_row(session: Session, row: Row) -> None:
    steps = accepting(row)
    if steps:
        session.done(steps)
    elif _asked(row.questions) is not None:
        session.said = "it is confirmed; what is left is its question: 1, 2 or 3"
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


def _other_line(session: Session) -> None:
    row = session.row()
    if row is None:
        session.said = "there is no row here"
        return
    keys = [one.key for one in row.lines]
    session.chosen = keys[(keys.index(session.chosen) + 1) % len(keys)] if session.chosen in keys else keys[0]


def _plain(session: Session) -> None:
    if not session.look.plain:
        session.said = "there is no plain row that is not confirmed"
        return
    session.at = PLAIN


def _high_voltage(session: Session) -> None:
    answer = session.keys.words("high voltage, yes or no").lower()
    said = next((word for word in ("yes", "no") if answer and word.startswith(answer)), answer)
    session.done([Step(act=Act.HIGH_VOLTAGE, value=said or "not said")])


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


KEYS: Final[Mapping[str, Callable[[Session], None]]] = MappingProxyType(
    {
        ENTER: _accept,
        "a": _accept,
        "1": _answer(0),
        "2": _answer(1),
        "3": _answer(2),
        "j": lambda session: _move(session, 1),
        "k": lambda session: _move(session, -1),
        "h": _other_line,
        TAB: _other_line,
        "A": _plain,
        "H": _high_voltage,
        "l": _list,
        "u": Session.take_back,
        "w": Session.write_procedure,
        "?": _all_keys,
        **ACTS,
    }
)
