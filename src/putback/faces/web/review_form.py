"""One idea: what a person pressed on the page of a review becomes steps; what cannot is said in the form, all at once.

A row is confirmed as it was seen: where it has changed meanwhile on another device, it is shown again first.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from hashlib import sha256
from types import MappingProxyType
from typing import Final

from putback.core.operations import Verb
from putback.core.quantity import Refused, read_torque
from putback.core.record.review_kinds import Act
from putback.faces.web.form import Form
from putback.narrate.review.acts import FIELDS
from putback.narrate.review.answers import NOT_KNOWN
from putback.narrate.review.look import Look, Open, Row
from putback.narrate.review.moves import accepting, accepting_plain, answered, answering, dismissing, torque_given
from putback.narrate.review.state import Reviewed
from putback.narrate.review.step import LONGEST, Step, read_step
from putback.narrate.review.words import answers_to

Steps = tuple[Step, ...]
_Button = Callable[[Form, Look, str], Steps]
_Change = Callable[[Form, Look, Reviewed], Steps]

CHANGED: Final = ("this row", "was changed meanwhile; look at it again")
_MOST_SEEN: Final = 40_000
_EMPTY: Final = ("this", "changes nothing; change something first")


def sign_of(question: Open) -> str:
    """What tells a question from another on the page."""
    return sha256(repr((question.kind, question.line, question.text)).encode()).hexdigest()[:12]


def seen_words(rows: Iterable[Row]) -> str:
    """The lines of rows with their twins as the page shows them."""
    return " ".join(f"{one.key}:{one.said.twin or 0}" for row in rows for one in row.lines)


def spans_words(spans: Iterable[tuple[int, int]]) -> str:
    """Stretches of the text as the page sends them."""
    return " ".join(f"{start}-{end}" for start, end in spans)


def pressed(form: Form, look: Look) -> Steps:
    """The steps of one button of the page of a review; none where something is wrong with it."""
    do, _, rest = form.text("do", "what is done", needed=True, most=60).partition(":")
    doing = _BUTTONS.get(do)
    if doing is not None:
        return _whole(form, doing(form, look, rest))
    if not form.wrong:
        form.wrong.append(("the button", f"{do!r:.40} is not known here; load the page again"))
    return ()


def _whole(form: Form, steps: Steps) -> Steps:
    """The steps, if each can be kept and read again."""
    for step in steps:
        read = read_step(step.body())
        form.wrong += [] if isinstance(read, Step) else [("this", one) for one in read]
    if not steps and not form.wrong:
        form.wrong.append(_EMPTY)
    return () if form.wrong else steps


def _keys(texts: Iterable[str]) -> tuple[int, ...]:
    return tuple(int(text) for text in texts if text.isascii() and text.isdecimal() and len(text) < 10)


def _act(act: Act) -> _Button:
    """An act on the lines whose keys the button names."""
    return lambda _form, _look, rest: (Step(act=act, lines=_keys(rest.split("+"))),)


def _accepted(form: Form, look: Look, _rest: str) -> Steps:
    seen = form.text("seen", "what was seen", needed=True, most=_MOST_SEEN)
    row = next((row for row in look.rows if seen_words([row]) == seen), None)
    if row is None:
        form.wrong.append(CHANGED)
        return ()
    return accepting(row)


def _accepted_together(form: Form, look: Look, _rest: str) -> Steps:
    if seen_words(look.plain) != form.text("seen", "what was seen", needed=True, most=_MOST_SEEN):
        form.wrong.append(("these rows", "were changed meanwhile; look at them again"))
        return ()
    return accepting_plain(look)


def _dismissed(form: Form, look: Look, rest: str) -> Steps:
    """Words that were not used, by where they start and end: nothing was done in them."""
    span = next((one for one in look.unused if spans_words([one]) == rest), None)
    if span is None:
        form.wrong.append(("these words", "are not asked any more; look at the page again"))
        return ()
    return dismissing([span])


def _dismissed_together(form: Form, look: Look, _rest: str) -> Steps:
    if spans_words(look.unused) != form.text("seen", "what was seen", needed=True, most=_MOST_SEEN):
        form.wrong.append(("these words", "were changed meanwhile; look at them again"))
        return ()
    return dismissing(look.unused)


def _high_voltage(_form: Form, _look: Look, rest: str) -> Steps:
    return (Step(act=Act.HIGH_VOLTAGE, value=rest),)


def _answer(form: Form, look: Look, rest: str) -> Steps:
    """An answer by its number, to the question that the sign tells; the row must be as it was seen."""
    sign, _, which = rest.partition(":")
    asked = next((one for one in look.questions if sign_of(one) == sign and one.answer is None), None)
    answers = answers_to(asked) if asked else ()
    if asked is None or which not in [str(n) for n, _ in enumerate(answers, start=1)]:
        form.wrong.append(("this question", "is not asked any more; look at its row again"))
        return ()
    row = None if asked.line is None else look.row_of(asked.line)
    if row is not None and seen_words([row]) != form.text("seen", most=_MOST_SEEN):
        form.wrong.append(CHANGED)
        return ()
    return answering(row, asked, answers[int(which) - 1])


def _torques(form: Form, look: Look, _rest: str) -> Steps:
    return tuple(_all_torques(form, look))


def _all_torques(form: Form, look: Look) -> Iterator[Step]:
    """All torques that were given at once; those left empty stay asked, or are answered as not known."""
    shared = form.text("source", "the source", most=LONGEST)
    for asked in look.torques_needed():
        sign = sign_of(asked)
        value = torque_of(form, f"torque-{sign}", asked.text)
        source = form.text(f"source-{sign}", asked.text, most=LONGEST) or shared
        if value:
            yield torque_given(asked, value, source or None)
        elif form.text("rest") == "not-known":
            yield answered(asked, NOT_KNOWN)


def torque_of(form: Form, name: str, label: str) -> str:
    """A torque with its unit; empty where it is not said."""
    value = form.text(name, label, most=LONGEST)
    if value:
        try:
            read_torque(value)
        except Refused as wrong:
            form.wrong.append((label, f"{wrong.what}; {wrong.mend}"))
    return value


_BUTTONS: Final[Mapping[str, _Button]] = MappingProxyType(
    {
        "accept": _accepted,
        "plain": _accepted_together,
        "dismiss": _dismissed,
        "dismiss-all": _dismissed_together,
        "delete": _act(Act.DELETE),
        "flip": _act(Act.FLIP),
        "merge": _act(Act.MERGE),
        "high-voltage": _high_voltage,
        "torques": _torques,
        "answer": _answer,
    }
)
"""What each button of the page of a review does."""


# the page of one line


def changed(form: Form, look: Look, line: Reviewed) -> Steps:
    """The steps of one form of the page of a line."""
    doing = _CHANGES.get(form.text("do", "what is done", needed=True, most=60))
    return _whole(form, doing(form, look, line) if doing else ())


def _set(form: Form, _look: Look, line: Reviewed) -> Steps:
    return tuple(_fields(form, line))


def _fields(form: Form, line: Reviewed) -> Iterator[Step]:
    """A step for each field that is no longer as it was."""
    form_only = (name for name in FIELDS if name in form.fields or name == "slackened")
    for name in form_only:
        was = getattr(line.said, name)
        before = ("yes" if was else "") if name == "slackened" else "" if was is None else str(was)
        after = form.text(name, name, needed=name == "object", most=LONGEST)
        if name == "verb":
            form.one_of(name, name, [str(one) for one in Verb], needed=True)
        if name == "count" and after:
            form.count(name, name)
        if after != before:
            yield Step(act=Act.SET, lines=(line.key,), field=name, value=after or None)


def _twin(form: Form, look: Look, line: Reviewed) -> Steps:
    """`3` is the twin of this line, `of 3`: this line is the twin of that; `none`: whatever it was, it has none."""
    said = form.text("twin", "the twin", needed=True, most=20)
    if said == "none":
        joined = [one.key for one in look.review.lines if one.said.twin == line.key]
        return (Step(act=Act.TWIN, lines=tuple(joined or [line.key])),)
    side, _, key = said.rpartition(" ")
    keys = _keys([key])
    if not keys:
        form.wrong.append(("the twin", f"{said!r:.40} is no line; choose one of the list"))
        return ()
    if side == "of":
        return (Step(act=Act.TWIN, lines=keys, other=line.key),)
    return (Step(act=Act.TWIN, lines=(line.key,), other=keys[0]),)


def _torque(form: Form, look: Look, line: Reviewed) -> Steps:
    value = torque_of(form, "torque", "the torque")
    if not value and not form.wrong:
        form.wrong.append(("the torque", "is empty; what nobody knows stays a value needed"))
    source = form.text("source", "its source", most=LONGEST)
    asked = Open(kind="", text="", line=line.key, other=tightened_by(look, line))
    return (torque_given(asked, value, source or None),)


def tightened_by(look: Look, line: Reviewed) -> int | None:
    """The line that tightens what this one undid, the last of them; None where there is none."""
    if line.said.verb is not Verb.UNDO:
        return None
    found = look.review.tightened_by(line.key)
    return found.key if found else None


def _split(form: Form, _look: Look, line: Reviewed) -> Steps:
    return (Step(act=Act.SPLIT, lines=(line.key,), into=_pieces(form)),)


def _pieces(form: Form) -> tuple[str, ...]:
    pieces = tuple(piece for line in form.text("into", "the pieces").split("\n") if (piece := line.strip()))
    if len(pieces) < 2:
        form.wrong.append(("the pieces", "are fewer than two; write each on a line of its own"))
    return pieces


def _merge(form: Form, _look: Look, line: Reviewed) -> Steps:
    others = _keys([form.text("other", "the other line", needed=True)])
    return (Step(act=Act.MERGE, lines=(line.key, *others)),)


def _rename(form: Form, _look: Look, line: Reviewed) -> Steps:
    name = form.text("name", "the new name", needed=True, most=LONGEST)
    return (Step(act=Act.RENAME, name=line.said.object, value=name or None),)


def _first(form: Form, _look: Look, line: Reviewed) -> Steps:
    return (Step(act=Act.FIRST, lines=(line.key,), others=_keys(form.many("first"))),)


def _act_of_line(act: Act) -> _Change:
    return lambda _form, _look, line: (Step(act=act, lines=(line.key,)),)


_CHANGES: Final[Mapping[str, _Change]] = MappingProxyType(
    {
        Act.SET: _set,
        Act.TWIN: _twin,
        Act.TORQUE: _torque,
        Act.SPLIT: _split,
        Act.MERGE: _merge,
        Act.RENAME: _rename,
        Act.FIRST: _first,
        Act.DELETE: _act_of_line(Act.DELETE),
        Act.FLIP: _act_of_line(Act.FLIP),
    }
)
"""What each form of the page of a line does."""


def added(form: Form) -> Steps:
    """The step of a line that was not understood, or that nobody said."""
    verb = form.one_of("verb", "what was done", [str(one) for one in Verb], needed=True)
    name = form.text("object", "the thing", needed=True, most=LONGEST)
    start, end = (form.count(edge, "its words") for edge in ("start", "end"))
    span = (start, end) if start is not None and end is not None else None
    return _whole(form, (Step(act=Act.ADD, value=verb or None, name=name or None, span=span),))
