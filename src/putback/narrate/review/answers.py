"""One idea: what a person may answer is a closed list of words; of two numbers they say which is right."""

import re
from typing import Final

from putback.core.procedure import BOTH_RIGHT, NOT_DONE, USED_AGAIN

DONE, NOT_KNOWN = "done, not said", "not known"
SAME, NOT_THE_SAME = "the same", "not the same"
NEW_FITTED: Final = "a new one was fitted"
ANSWERS: Final = (DONE, NOT_DONE, NOT_KNOWN, SAME, NOT_THE_SAME, NEW_FITTED, USED_AGAIN, BOTH_RIGHT)
"""Every answer in words; of two numbers `right` says which."""

OWED: Final = frozenset(
    {"never_put_back", "never_plugged_in", "loosened_never_tightened", "guard_left", "isolation_never_restored"}
)
"""Kinds of questions that one more line of the way back answers."""

_RIGHT: Final = re.compile(r"([1-9][0-9]{0,5}) is right", re.ASCII)


def right(number: int) -> str:
    """The answer that one of two numbers is right.

    >>> right(4)
    '4 is right'
    """
    return f"{number} is right"


def number_in(answer: str) -> int | None:
    """The number that an answer says is right; None where it says none.

    >>> number_in("4 is right"), number_in("not known")
    (4, None)
    """
    found = _RIGHT.fullmatch(answer)
    return int(found[1]) if found else None
