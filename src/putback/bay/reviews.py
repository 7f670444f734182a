"""One idea: a narration is reviewed at the desk step by step, and every step is an event in a record of its own.

Whoever opens the review next, on whatever device, finds it where it was left. What people said are the same things on
one car is remembered for the next narration of that car.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from putback.adapters.procedure_file import write_procedure
from putback.bay.desk import Bay, Closed, readable
from putback.core.finding import Finding
from putback.core.record import Event
from putback.core.record.review_kinds import NARRATION_TAKEN, PROCEDURE_WRITTEN, REVIEW_STEP, Act
from putback.narrate.hearing.understand import operations
from putback.narrate.lines.aliases import NO_ALIASES, Aliases
from putback.narrate.review.kept import draft_bytes, read_draft
from putback.narrate.review.look import Look, look
from putback.narrate.review.result import procedure_of
from putback.narrate.review.state import Review, begun
from putback.narrate.review.step import Step, read_step
from putback.narrate.review.steps import Folded, Taken, fold
from putback.narrate.text.captions import read_narration

UNNAMED: Final = "unnamed"
"""Whoever looked without saying who they are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A narration that was taken, with what is to be said of its file. `again`: it was there already."""

    review: str
    findings: tuple[Finding, ...] = ()
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLine:
    """A review in the list of reviews."""

    review: str
    name: str
    car: str
    taken_at: str
    lines: int
    unconfirmed: int
    open_questions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A procedure file that was written of a review. `stale`: something was done in the review since."""

    sha256: str
    at: str
    stale: bool


@dataclass(frozen=True, kw_only=True)
class ReviewHere:
    """A review as it stands.

    `start` is the draft that nobody had looked at, `steps` are all that was done since, `standing` those that count,
    `misfits` ids of others with why they do not fit, `written` the last procedure that was written of it.
    """

    review: str
    name: str
    car: str
    taken_at: str
    start: Review
    steps: tuple[Taken, ...]
    look: Look
    standing: tuple[Taken, ...]
    misfits: tuple[tuple[str, str], ...]
    written: Written | None = None

    @property
    def last_key(self) -> tuple[Taken, ...]:
        """The steps of the last key, which an undo takes out together; empty where none stands."""
        first = len(self.standing) - 1
        while first > 0 and (self.standing[first].step.part or 1) > 1:
            first -= 1
        return self.standing[max(first, 0) :]

    @property
    def last(self) -> Taken | None:
        """The first step of those that an undo takes out; None where none stands."""
        return self.last_key[0] if self.standing else None


def take_narration(
    bay: Bay, data: bytes, *, name: str, car: str, person: str | None = None, high_voltage: bool | None = None
) -> Begun | Finding:
    """Keep a narration and what is heard in it, and begin its review.

    Args:
        bay: the desk.
        data: the file of captions or notes.
        name: its name.
        car: the vehicle platform.
        person: who reviews it.
        high_voltage: whether the car has high voltage; None: nobody said.

    The same text on the same car is the same review: it is gone on with.

    Raises:
        StoreFailed, OSError: nothing was taken.
    """
    heard = read_narration(data, name)
    if isinstance(heard, Finding):
        return heard
    text = bay.shelf.put(data)
    for review, taken in _narrations(bay):
        if taken.body.get("text_sha256") == text and taken.body.get("car") == car:
            return Begun(review=review, findings=heard.findings, again=True)
    start = begun(heard.spoken, operations(heard.spoken), aliases=aliases_of(bay, car), high_voltage=high_voltage)
    body = {"name": name, "car": car, "text_sha256": text, "draft_sha256": bay.shelf.put(draft_bytes(start))}
    review = f"talk-{bay.new_id()}"
    bay.begin(review, NARRATION_TAKEN, body, person=person)
    return Begun(review=review, findings=heard.findings)


def review_here(bay: Bay, review: str) -> ReviewHere | Closed:
    """A review as it stands after all its steps."""
    events = tuple(readable(bay.store.read(review)))
    taken = next((event for event in events if event.kind == NARRATION_TAKEN), None)
    if taken is None:
        return Closed(what=f"there is no review {review:.60} here", mend="look in the list of narrations")
    data = bay.shelf.get(str(taken.body.get("draft_sha256", "")))
    start = None if data is None else _start(data)
    if data is None or start is None:
        return Closed(
            what="what was heard in this narration is not on the shelf",
            mend="bring the folder of files back from a back-up, beside the store",
        )
    steps = tuple(_steps(events))
    folded, seen = _seen(data, steps)
    return ReviewHere(
        review=review,
        name=str(taken.body["name"]),
        car=str(taken.body["car"]),
        taken_at=taken.at,
        start=start,
        steps=steps,
        look=seen,
        standing=folded.standing,
        misfits=folded.misfits,
        written=_written(events),
    )


def do(bay: Bay, review: str, step: Step, *, person: str | None) -> ReviewHere | Closed | str:
    """Do one step of a review and keep it; the words why not where it does not fit, and then nothing is kept.

    Raises:
        StoreFailed: nothing was kept.
    """
    return do_all(bay, review, (step,), person=person)


def do_all(bay: Bay, review: str, steps: Iterable[Step], *, person: str | None) -> ReviewHere | Closed | str:
    """Do several steps, all of them or none: the torques that were asked together are given together."""
    here, steps = review_here(bay, review), tuple(steps)
    if isinstance(here, Closed):
        return here
    wrong = _does_not_fit(here, steps, person or UNNAMED)
    if wrong:
        return wrong
    if len(steps) > 1:
        steps = tuple(replace(step, part=n) for n, step in enumerate(steps, start=1))
    bay.log(review, [(REVIEW_STEP, step.body()) for step in steps], person=person)
    return review_here(bay, review)


def undo(bay: Bay, review: str, *, person: str | None) -> ReviewHere | Closed | str:
    """Take what the last key did out again: an answer and the line that it wrote go together."""
    here = review_here(bay, review)
    if isinstance(here, Closed):
        return here
    if here.last is None:
        return "there is nothing to undo"
    taken_out = (Step(act=Act.UNDO, step=one.id) for one in reversed(here.last_key))
    return do_all(bay, review, taken_out, person=person)


def write(bay: Bay, review: str, *, person: str | None, name: str = "") -> bytes | Closed:
    """The procedure file of a review as it stands; that it was written is kept.

    Raises:
        StoreFailed, OSError: nothing was kept.
    """
    here = review_here(bay, review)
    if isinstance(here, Closed):
        return here
    file = f"{here.name.rsplit('.', 1)[0]}.procedure.yaml"
    procedure = procedure_of(here.look, car=here.car, file=file, name=name or here.name, names=bay.names())
    content = write_procedure(procedure).encode()
    body = {
        "sha256": bay.shelf.put(content),
        "lines": len(procedure.lines),
        "confirmed": len(procedure.lines) - len(procedure.unconfirmed()),
        "open_questions": len(procedure.unanswered()),
    }
    bay.log(review, [(PROCEDURE_WRITTEN, body)], person=person)
    return content


def reviews(bay: Bay) -> tuple[ReviewLine, ...]:
    """Every review, the newest first."""
    found = [here for review, _ in _narrations(bay) if isinstance(here := review_here(bay, review), ReviewHere)]
    lines = (
        ReviewLine(
            review=one.review,
            name=one.name,
            car=one.car,
            taken_at=one.taken_at,
            lines=len(one.look.review.lines),
            unconfirmed=one.look.unconfirmed,
            open_questions=len(one.look.open_questions),
        )
        for one in found
    )
    return tuple(sorted(lines, key=lambda one: one.taken_at, reverse=True))


def aliases_of(bay: Bay, car: str) -> Aliases:
    """What things are called on a car, as the reviews of its narrations have said; the latest word counts."""
    names: dict[str, str] = {}
    taken = [(first.at, review) for review, first in _narrations(bay) if first.body.get("car") == car]
    for _, review in sorted(taken):
        here = review_here(bay, review)
        if isinstance(here, ReviewHere):
            known = here.start.aliases.names
            names.update((old, new) for old, new in here.look.review.aliases.names.items() if known.get(old) != new)
    return Aliases(names) if names else NO_ALIASES


def _narrations(bay: Bay) -> Iterator[tuple[str, Event]]:
    """Every narration that was taken, with its event."""
    for review in bay.store.jobs():
        first = next(iter(readable(bay.store.read(review)[:1])), None)
        if first is not None and first.kind == NARRATION_TAKEN:
            yield review, first


def _start(data: bytes) -> Review | None:
    try:
        return _read(data)
    except (ValueError, KeyError, TypeError):
        return None


@lru_cache(maxsize=8)
def _seen(data: bytes, steps: tuple[Taken, ...]) -> tuple[Folded, Look]:
    """A draft after its steps; whoever asks again before the next step is told at once."""
    folded = fold(_read(data), steps)
    return folded, look(folded.review)


@lru_cache(maxsize=8)
def _read(data: bytes) -> Review:
    return read_draft(data)


def _steps(events: Iterable[Event]) -> Iterator[Taken]:
    for event in events:
        if event.kind == REVIEW_STEP:
            step = read_step(event.body)
            if isinstance(step, Step):
                yield Taken(id=event.id, who=event.person or UNNAMED, step=step)


def _written(events: Sequence[Event]) -> Written | None:
    """The last procedure that was written of a review."""
    for place in range(len(events) - 1, -1, -1):
        event = events[place]
        if event.kind == PROCEDURE_WRITTEN:
            stale = any(later.kind == REVIEW_STEP for later in events[place:])
            return Written(sha256=str(event.body["sha256"]), at=event.at, stale=stale)
    return None


def _does_not_fit(here: ReviewHere, steps: Iterable[Step], who: str) -> str:
    """Why one of these steps cannot be done now; empty where all can."""
    known = {one.id for one in here.steps}
    new = [Taken(id=f"new {n}", who=who, step=step) for n, step in enumerate(steps)]
    if any(one.step.act is Act.UNDO and one.step.step not in known for one in new):
        return "undo: there is no such step"
    folded = fold(here.start, (*here.steps, *new))
    return next((why for id, why in folded.misfits if id not in known), "")
