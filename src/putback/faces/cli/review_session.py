"""One idea: a review in the terminal is a loop: show a place, take a key, do what it says, go on to the next place.

Every step is kept as soon as it is done, so that nothing is lost however the loop ends.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from putback.bay.desk import Bay, Closed
from putback.bay.reviews import ReviewHere, do_all, undo, write
from putback.faces.cli.keys import Keys
from putback.faces.cli.review_text import show_stop
from putback.narrate.review.look import Look, Row
from putback.narrate.review.state import Reviewed
from putback.narrate.review.step import Step
from putback.narrate.review.stops import (
    PLAIN,
    UNUSED,
    Stop,
    next_stop,
    stop_of_line,
    stops,
    visited,
)
from putback.narrate.review.words import done_words, left


class Gone(Exception):
    """The review is not there any more; carries what and mend."""

    def __init__(self, closed: Closed) -> None:
        super().__init__(f"{closed.what}; {closed.mend}")


@dataclass(slots=True, kw_only=True)
class Session:
    """A review with a person at it.

    Args:
        bay: the desk.
        here: the review as it stands.
        person: whose steps they are; None: nobody said.
        keys: where keys come from.
        out: where it is shown.
        clears: whether each place takes the whole screen.
        to: where the procedure is written; None: it is asked for.
        wrote: where the procedure stands that says all that was done.
        at: the name of the place that is shown.
        chosen: the key of the line that is chosen in its row.
        said: what the last key did.
        left: whether the person has left.
    """

    bay: Bay
    here: ReviewHere
    person: str | None
    keys: Keys
    out: Console
    clears: bool
    to: Path | None = None
    wrote: Path | None = None
    at: str = ""
    chosen: int | None = None
    said: str = ""
    left: bool = False

    @property
    def look(self) -> Look:
        """What is seen of the review."""
        return self.here.look

    def stop(self) -> Stop:
        """The place that is shown: where something is left to do, or the line that was gone to."""
        open_now = stops(self.look)
        found = next((one for one in open_now if one.name == self.at), None)
        found = found or visited(self.look, self.at) or open_now[0]
        self.at = found.name
        keys = [one.key for row in found.rows for one in row.lines] if found.name != PLAIN else []
        if self.chosen not in keys:
            self.chosen = keys[0] if keys else None
        return found

    def row(self) -> Row | None:
        """The row that is shown; None at another place."""
        stop = self.stop()
        return stop.rows[0] if stop.rows and stop.name != PLAIN else None

    def line(self) -> Reviewed | None:
        """The line that is chosen."""
        return None if self.chosen is None else self.look.review.line(self.chosen)

    def done(self, steps: Sequence[Step], *, stays: bool = False) -> bool:
        """Do steps and keep them, and go on; `stays`: the row is shown again with what it is now."""
        before, was = self.look, self.stop().name
        after = do_all(self.bay, self.here.review, steps, person=self.person)
        if isinstance(after, Closed):
            raise Gone(after)
        if isinstance(after, str):
            self.said = after
            return False
        self.here, self.wrote = after, None
        words = done_words(steps[-1], after.look.review, before.review)
        self.said = f"{words}; {left(after.look)} left"
        self._go_on(before, was, stays=stays)
        return True

    def _go_on(self, before: Look, was: str, *, stays: bool) -> None:
        if was == UNUSED and self.look.unused:
            return
        now = stops(self.look)
        same = next((one for one in now if one.name == was), None)
        self.at = was if stays and same is not None else next_stop(stops(before), now, was).name

    def take_back(self) -> None:
        """Undo the last step, and show the line that it was for."""
        last, before = self.here.last, self.look
        after = undo(self.bay, self.here.review, person=self.person)
        if isinstance(after, Closed):
            raise Gone(after)
        if isinstance(after, str) or last is None:
            self.said = str(after)
            return
        self.here, self.wrote = after, None
        self.said = f"taken back: {done_words(last.step, self.look.review, before.review)}; {left(self.look)} left"
        names = {one.name for one in stops(before)}
        again = (one for one in stops(self.look) if one.name not in names)
        lines = (stop_of_line(self.look, key) for key in last.step.lines)
        self.at = next((one.name for one in (*again, *lines) if one is not None), self.at)

    def write_procedure(self) -> None:
        """Write the procedure as it stands now, and say where."""
        if self.to is None:
            file = f"{self.here.name.rsplit('.', 1)[0]}.procedure.yaml"
            self.to = Path(self.keys.words("write the procedure to", file) or file)
        content = write(self.bay, self.here.review, person=self.person)
        if isinstance(content, Closed):
            raise Gone(content)
        try:
            self.to.write_bytes(content)
        except OSError as wrong:
            self.said = f"{self.to}: cannot be written: {wrong.strerror}; name a folder that exists"
            self.to = None
            return
        self.wrote, self.said = self.to, f"{self.to} written"

    def leave(self) -> None:
        """Leave; every step is kept."""
        self.left = True

    def paged(self) -> AbstractContextManager[object]:
        """What is printed meanwhile is leafed through where each place takes the whole screen."""
        return self.out.pager(styles=True) if self.clears else nullcontext()

    def show(self) -> None:
        """Show the place that is next."""
        stop = self.stop()
        show_stop(self.out, self.here, stop, chosen=self.chosen, said=self.said, clears=self.clears)
        self.said = ""


def run(session: Session, acts: Mapping[str, Callable[[Session], None]]) -> bool:
    """Show and do until nothing more comes, or a person leaves; whether nothing more came.

    Args:
        session: the review.
        acts: what each key does.

    Raises:
        KeyboardInterrupt: a person broke off.
        Gone, StoreFailed, OSError: it cannot go on.
    """
    while not session.left:
        session.show()
        try:
            key = session.keys.key()
        except EOFError:
            return True
        act = acts.get(key)
        if act is None:
            session.said = f"{key!r:.20} is no key here; ? shows all"
            continue
        try:
            act(session)
        except (EOFError, KeyboardInterrupt):
            session.said = "left as it was"
    return False
