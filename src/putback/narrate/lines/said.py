"""One idea: an operation that was said is one of the closed list, with the words that it stands on."""

from dataclasses import dataclass
from typing import Final

from putback.core.operations import Verb

SCANS: Final = frozenset({Verb.READ_BEFORE, Verb.READ_AFTER})


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One operation as it was said. Sizes and torques are written as they were said (`10mm`, `22Nm`); None: not said.

    `start` and `end` are places in the spoken text, `seconds` the time of its first word, `torque` of a tightening
    its value. `twin` is the operation that it undoes, `also` are more of them ("both wheels"). `condition` is what was
    said for a case that may come ("if the bolt spins, …"). `doubts` are what a person should look at.
    """

    n: int
    verb: Verb
    object: str
    start: int
    end: int
    count: int | None = None
    size: str | None = None
    kind: str | None = None
    torque: str | None = None
    pattern: str | None = None
    zone: str | None = None
    tool: str | None = None
    tray: str | None = None
    seconds: float | None = None
    twin: int | None = None
    also: tuple[int, ...] = ()
    condition: str | None = None
    doubts: tuple[str, ...] = ()
    slackened: bool = False
