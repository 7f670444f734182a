"""Reviews for the tests: an invented narration, steps folded over it, and what is seen then."""

from putback.narrate.hearing.understand import operations
from putback.narrate.review.look import Look, Row, look
from putback.narrate.review.state import Review, Reviewed, begun
from putback.narrate.review.step import Step
from putback.narrate.review.steps import Folded, Taken, fold
from putback.narrate.text.spoken import Spoken

TEXT = (
    "Unplug the horn connector. Take the four 10 mm bolts off the tray. Remove the tray. Remove the shroud. "
    "Fit the cowl. Fit the tray. Start the four 10 mm tray bolts. Tighten the tray bolts. Remember the 13 mm bracket."
)
NAMES = ("actuator", "blower", "fuelpump", "heatervalve", "oilline", "tensioner")


def review_of(text: str = TEXT) -> Review:
    """The review of a text that nobody has looked at."""
    spoken = Spoken(text=text)
    return begun(spoken, operations(spoken))


def folded(start: Review, *steps: Step) -> Folded:
    """Steps folded, named e1, e2 and so on, of one person."""
    return fold(start, [Taken(id=f"e{n}", who="p1", step=step) for n, step in enumerate(steps, start=1)])


def after(start: Review, *steps: Step) -> Look:
    """What is seen after steps that all fit."""
    found = folded(start, *steps)
    assert found.misfits == ()
    return look(found.review)


def why_not(start: Review, step: Step) -> str:
    """Why a step does not fit; it has changed nothing then."""
    found = folded(start, step)
    assert found.review == start
    ((_, why),) = found.misfits
    return why


def key_of(start: Review, verb: str, thing: str) -> int:
    return next(one.key for one in start.lines if (one.said.verb, one.said.object) == (verb, thing))


def row_with(seen: Look, key: int) -> Row:
    return next(row for row in seen.rows if any(one.key == key for one in row.lines))


def line(seen: Look, key: int) -> Reviewed:
    found = seen.review.line(key)
    assert found is not None
    return found
