"""One idea: what the page of a review shows is worked out here as plain text; the template only sets it."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from putback.bay.reviews import ReviewHere
from putback.core.operations import ITEM_OFF, ON_THE_WAY_BACK, Verb
from putback.core.record.review_kinds import Act
from putback.faces.web.review_form import seen_words, sign_of, spans_words, tightened_by
from putback.narrate.review.acts import apply
from putback.narrate.review.look import Look, Open, Row, Stand
from putback.narrate.review.state import Reviewed
from putback.narrate.review.step import Step
from putback.narrate.review.stops import TORQUES, UNUSED, Stop, next_stop, stops
from putback.narrate.review.words import (
    Around,
    amount,
    answers_to,
    around,
    clock,
    done_words,
    is_looked_at,
    left,
    without_line,
)

SHAPES: Final[Mapping[Stand, str]] = {
    Stand.NO_WAY_BACK: "only-in",
    Stand.NO_WAY_IN: "only-back",
    Stand.DOUBT: "doubt",
    Stand.HEARD: "both",
    Stand.ALONE: "alone",
}
"""The class of a stand's shape: half a disc, the other half, a lozenge, a disc, a dash."""

_TURNED: Final = frozenset({Verb.UNDO, Verb.TIGHTEN})


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
    """A line as it is shown; `n` is its place, by which doubts call it."""

    key: int
    n: int
    verb: str
    name: str
    amount: str
    torque: str
    source: str
    places: str
    time: str
    said: Around | None
    confirmed: str
    turns: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedView:
    """A question with its answers."""

    id: str
    sign: str
    text: str
    answers: tuple[str, ...]
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowView:
    """A row as it is shown. `owed`: the side that was not heard."""

    id: str
    shape: str
    stand: str
    name: str
    way_in: LineView | None
    way_back: tuple[LineView, ...]
    owed: str
    doubts: tuple[str, ...]
    asked: tuple[AskedView, ...]
    seen: str
    accept: bool
    needs_torque: bool


def review_view(here: ReviewHere, people: Mapping[str, str]) -> dict[str, Any]:
    """All that the page of a review shows."""
    look = here.look
    plain = look.plain
    looked_at = [row for row in look.rows if is_looked_at(row)]
    shut = {id(row) for row in (*plain, *looked_at)}
    rows = [row_view(row, look, people) for row in look.rows if id(row) not in shut]
    lines = len(look.review.lines)
    return {
        "asked": [asked_view(one) for one in without_line(look)],
        "answered": [asked_view(one) for one in look.questions if one.line is None and one.answer is not None],
        "high_voltage": look.review.high_voltage,
        "groups": [(str(stand), of) for stand in Stand if (of := [row for row in rows if row.stand == stand])],
        "plain": [row_view(row, look, people) for row in plain],
        "plain_seen": seen_words(plain),
        "looked_at": [row_view(row, look, people) for row in looked_at],
        "unused": [unused_view(look, span) for span in look.unused],
        "unused_seen": spans_words(look.unused),
        "dismissed": [unused_view(look, span) for span in look.dismissed],
        "torques": [(sign_of(one), _thing(look, one), one.text) for one in look.torques_needed()],
        "left": left(look),
        "figures": (
            ("left to look at", str(left(look))),
            ("lines confirmed", f"{lines - look.unconfirmed} of {lines}"),
            ("torques needed", str(len(look.torques_needed()))),
            ("places with words not used", str(len(look.unused))),
        ),
        "misfits": [why for _, why in here.misfits],
        "last": last_words(here),
        "written": here.written,
    }


def last_words(here: ReviewHere) -> str:
    """What the last step that counts did; empty where nothing was done yet."""
    return done_words(here.last.step, here.look.review, here.start) if here.last else ""


def row_view(row: Row, look: Look, people: Mapping[str, str]) -> RowView:
    """A row as it is shown."""
    head = row.lines[0]
    owed = {Stand.NO_WAY_BACK: "back", Stand.NO_WAY_IN: "in"}.get(row.stand, "")
    return RowView(
        id=f"row-{head.key}",
        shape=SHAPES[row.stand],
        stand=str(row.stand),
        name=head.said.object or str(head.said.verb),
        way_in=line_view(row.way_in, look, people) if row.way_in else None,
        way_back=tuple(line_view(one, look, people) for one in row.way_back),
        owed=owed,
        doubts=row.doubts,
        asked=tuple(asked_view(one) for one in row.questions if answers_to(one)),
        seen=seen_words([row]),
        accept=any(one.confirmed is None for one in row.lines),
        needs_torque=any(not answers_to(one) and one.answer is None for one in row.questions),
    )


def line_view(one: Reviewed, look: Look, people: Mapping[str, str]) -> LineView:
    """A line as it is shown, with the sentence that it stands on."""
    said = one.said
    places = [said.pattern, said.zone, said.tool, f"to {said.tray}" if said.tray else None]
    return LineView(
        key=one.key,
        n=next(n for n, other in enumerate(look.review.lines, start=1) if other.key == one.key),
        verb=str(said.verb),
        name=said.object,
        amount=amount(said),
        torque=said.torque or "",
        source=one.source or "",
        places=" · ".join(part for part in places if part),
        time=clock(said.seconds),
        said=None if one.by_hand else around(look.review.spoken.text, said.start, said.end),
        confirmed=people.get(one.confirmed, one.confirmed) if one.confirmed else "",
        turns=said.verb in _TURNED,
    )


def asked_view(one: Open) -> AskedView:
    """A question as it is shown."""
    sign = sign_of(one)
    answer = one.answer.answer if one.answer else ""
    return AskedView(id=f"asked-{sign}", sign=sign, text=one.text, answers=answers_to(one), answer=answer)


def unused_view(look: Look, span: tuple[int, int]) -> dict[str, Any]:
    """A stretch that was not used, with its time and what stands around it."""
    spoken = look.review.spoken
    return {
        "start": span[0],
        "end": span[1],
        "time": clock(spoken.second(span[0])),
        "said": around(spoken.text, *span),
    }


def _thing(look: Look, asked: Open) -> str:
    """What a torque is asked of, with its count and size."""
    line = look.review.line(asked.line or 0)
    return f"{line.said.object} {amount(line.said)}".strip() if line else asked.text


# where the focus goes


def anchors(look: Look) -> list[str]:
    """The places of the page at which something is left to do, in their order."""
    return [_anchor(stop) for stop in stops(look)]


def next_anchor(before: Look, after: Look, was: str) -> str:
    """Where to go on: the first open place behind the one that was, else the first of all."""
    old = stops(before)
    name = next((stop.name for stop in old if _anchor(stop) == was), "")
    return _anchor(next_stop(old, stops(after), name))


def _anchor(stop: Stop) -> str:
    """The id under which a place stands on the page."""
    if not stop.rows and stop.questions and stop.name != TORQUES:
        return f"asked-{sign_of(stop.questions[0])}"
    return stop.name.replace(" ", "-")


def anchor_of(look: Look, keys: Iterable[int]) -> str:
    """The place of the row in which one of these lines stands; empty where none does."""
    rows = (look.row_of(key) for key in keys)
    return next((f"row-{row.lines[0].key}" for row in rows if row is not None), "")


def anchor_of_step(look: Look, step: Step) -> str:
    """The place of what a step was done to: the row of its lines, words that were not used; empty where none is."""
    words = (f"{UNUSED}-{start}" for start, _ in look.unused if start in step.spans)
    other = "high-voltage" if step.act is Act.HIGH_VOLTAGE else ""
    return anchor_of(look, step.lines) or next(words, other)


# the page of one line


def change_view(look: Look, line: Reviewed, people: Mapping[str, str]) -> dict[str, Any]:
    """What the page of one line shows: its fields, and which lines may be its twin."""
    said = line.said
    torque = look.review.line(tightened_by(look, line) or line.key)
    assert torque is not None
    numbers = {one.key: n for n, one in enumerate(look.review.lines, start=1)}
    before = _before(look, line)
    return {
        "line": line_view(line, look, people),
        "said": said,
        "verbs": [str(one) for one in Verb],
        "twins": sorted(_twins(look, line, numbers), key=lambda one: not one[2]),
        "has_twin": said.twin is not None or any(one.said.twin == line.key for one in look.review.lines),
        "others": [(one.key, choice_words(one, numbers)) for one in look.review.lines if one.key != line.key],
        "before": [(one.key, choice_words(one, numbers), one.key in line.first) for one in before],
        "turns": said.verb in _TURNED,
        "torque": torque.said.torque or "",
        "source": torque.source or "",
    }


def choice_words(one: Reviewed, numbers: Mapping[int, int]) -> str:
    """A line as it stands in a list to choose from, under the number that the page shows of it."""
    time = clock(one.said.seconds)
    parts = (f"{numbers[one.key]} {one.said.verb} {one.said.object}".strip(), amount(one.said), time)
    return ", ".join(part for part in parts if part)


def _before(look: Look, line: Reviewed) -> list[Reviewed]:
    """The lines before one that take something off or loose."""
    keys = [one.key for one in look.review.lines]
    earlier = look.review.lines[: keys.index(line.key)]
    return [one for one in earlier if one.said.verb in ITEM_OFF | {Verb.UNDO}]


def _twins(look: Look, line: Reviewed, numbers: Mapping[int, int]) -> Iterator[tuple[str, str, bool]]:
    """What may be the twin of a line: the value of the choice, its words, whether it is so now."""
    back = line.said.verb in ON_THE_WAY_BACK | {Verb.START}
    step: Callable[[Reviewed], Step] = (
        (lambda one: Step(act=Act.TWIN, lines=(line.key,), other=one.key))
        if back
        else (lambda one: Step(act=Act.TWIN, lines=(one.key,), other=line.key))
    )
    lines = reversed(look.review.lines) if back else look.review.lines
    for one in lines:
        if one.key != line.key and not isinstance(apply(look.review, step(one), ""), str):
            joined = line.said.twin == one.key if back else one.said.twin == line.key
            yield f"{one.key}" if back else f"of {one.key}", choice_words(one, numbers), joined
