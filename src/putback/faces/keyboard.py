"""One idea: the keys of a review are one table, which page and terminal both obey and show.

A key does the same on both. `docs/review.md` has the same table; a test holds the three together.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

ENTER, TAB = "Enter", "Tab"
"""Keys that print nothing are called as browsers call them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """What keys do. `does` is the name by which page and terminal know it.

    `typed` are further keys that only the terminal takes, where a page needs them for itself. `shows` are the keys as
    people read them. `page`: whether the page has it.
    """

    does: str
    keys: tuple[str, ...]
    words: str
    typed: tuple[str, ...] = ()
    shows: str = ""
    page: bool = True

    @property
    def shown(self) -> tuple[str, ...]:
        """The keys as people read them."""
        return tuple(self.shows.split()) if self.shows else self.keys


KEYS: Final = (
    Key(does="next", keys=("j", "ArrowDown"), shows="j ↓", words="next place"),
    Key(does="back", keys=("k", "ArrowUp"), shows="k ↑", words="place before"),
    Key(does="line before", keys=("h", "ArrowLeft"), shows="h ←", words="another line of the row, backwards"),
    Key(does="line after", keys=("l", "ArrowRight"), typed=(TAB,), shows="l →", words="another line of the row"),
    Key(does="go", keys=("g",), words="goes to a line, by its number or words of it"),
    Key(does="list", keys=("L",), words="every row, those that are confirmed too"),
    Key(does="confirm", keys=(ENTER, "a"), words="confirms the row as it is seen, and goes on"),
    Key(does="answer", keys=("1", "2", "3", "4"), words="answers what is asked; the row is confirmed with it"),
    Key(does="delete", keys=("x",), words="deletes the line; on words that were not used: nothing was done in them"),
    Key(does="flip", keys=("f",), words="turns the line round: way in, way back"),
    Key(does="merge", keys=("m",), words="makes one of two lines that say the same"),
    Key(does="split", keys=("s",), words="splits the line into several"),
    Key(does="twin", keys=("t",), words="says its twin"),
    Key(does="before", keys=("b",), words="says what had to come off before it"),
    Key(does="rename", keys=("r",), words="renames the thing everywhere; remembered for this car"),
    Key(does="verb", keys=("v",), words="changes what was done"),
    Key(does="object", keys=("o",), words="changes the thing, here only"),
    Key(does="count", keys=("c",), words="changes how many"),
    Key(does="size", keys=("z",), words="changes the size"),
    Key(does="torque", keys=("q",), words="says its torque and where it stands"),
    Key(does="new", keys=("n",), words="a line that nobody said; on words that were not used: a line of them"),
    Key(does="plain", keys=("A",), words="goes to the rows with nothing to ask; there: confirms them all"),
    Key(does="unused", keys=("X",), words="goes to the words that were not used; there: nothing was done in any"),
    Key(does="torques", keys=("T",), words="the torques that are needed, together"),
    Key(does="high voltage", keys=("H",), words="goes to whether the car has high voltage; 1 yes, 2 no"),
    Key(does="write", keys=("w",), words="writes the procedure"),
    Key(does="undo", keys=("u",), words="takes back what the last key did, all of it, as often as there are steps"),
    Key(does="keys", keys=("?",), words="this list"),
    Key(does="leave", keys=("Q",), words="leaves; every step is kept", page=False),
)


def letter(does: str) -> str:
    """The first key that does something.

    >>> letter("undo")
    'u'
    """
    return next(key.keys[0] for key in KEYS if key.does == does)


def on_page() -> Iterator[Key]:
    """The keys of the page."""
    return (key for key in KEYS if key.page)
