"""One idea: one read of a car is what each of its modules answered; a module that answered nothing is still a line.

A module whose list came cut off is partial: the codes that came are there, and none is absent. A module that was heard
and could not be asked is a line too. A read that was stopped is kept as far as it came.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from putback.core.codes.lists.listing import Listed, Listing, Readiness, module_under
from putback.core.codes.meaning.wrong import Wrong

_PAIR = re.compile(r"(?:0x)?([0-9a-f]{3}|[0-9a-f]{8})\s*/\s*(?:0x)?([0-9a-f]{3}|[0-9a-f]{8})", re.IGNORECASE)
HIGHEST = {False: 0x7FF, True: 0x1FFF_FFFF}
"""The highest id of 11 bits, and of 29."""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Pair:
    """The two ids by which one module is spoken to: frames go out under `request`, and come back under `answer`.

    `extended`: 29-bit ids instead of 11-bit ones (ISO 11898-1).
    """

    request: int
    answer: int
    extended: bool = False

    def __post_init__(self) -> None:
        for id in (self.request, self.answer):
            if not 0 <= id <= HIGHEST[self.extended]:
                raise ValueError(f"{id:X} is no {29 if self.extended else 11}-bit id")
        if self.request == self.answer:
            raise ValueError(f"{self.request:X} is asked and answers: the two ids of a module differ")

    def __str__(self) -> str:
        """As a person writes it.

        >>> str(Pair(request=0x7E0, answer=0x7E8))
        '7E0/7E8'
        """
        return f"{id_text(self.request, extended=self.extended)}/{self.answer_text}"

    @property
    def answer_text(self) -> str:
        """The id under which it answers, as a person writes it."""
        return id_text(self.answer, extended=self.extended)


def id_text(id: int, *, extended: bool) -> str:
    """An id as a person writes it: three hex digits, or eight where it has 29 bits.

    >>> id_text(0x77D, extended=False), id_text(0x10, extended=True)
    ('77D', '00000010')
    """
    return f"{id:0{8 if extended else 3}X}"


def unasked(ids: Iterable[tuple[int, bool]]) -> tuple[str, ...]:
    """The ids, each with whether it has 29 bits, under which modules answer whose own id is not known.

    >>> unasked([(0x77D, False)])
    ('77D',)
    """
    return tuple(id_text(id, extended=extended) for id, extended in ids)


def read_pair(text: str) -> Pair | Wrong:
    """A pair as a person writes it: both with three hex digits, or both with eight.

    >>> read_pair("18DA10F1/18DAF110").extended
    True
    """
    found = _PAIR.fullmatch(text.strip())
    mend = "write such as 7E0/7E8, or 18DA10F1/18DAF110 for 29-bit ids"
    if found is None or len(found[1]) != len(found[2]):
        return Wrong(what=f"{text!r:.60} is no pair of ids", mend=mend)
    try:
        return Pair(request=int(found[1], 16), answer=int(found[2], 16), extended=len(found[1]) == 8)
    except ValueError as wrong:
        return Wrong(what=str(wrong), mend=mend)


class How(StrEnum):
    """How a module answered."""

    ANSWERED = "answered"
    PARTIAL = "partial"
    REFUSED = "refused"
    SILENT = "silent"


@dataclass(frozen=True, slots=True, kw_only=True)
class ModuleRead:
    """What one module answered.

    Args:
        module: its name: what it calls itself, or the name that a person gave it; small letters.
        service: by which service it gave its codes; None where it gave none.
        said: what it answered where that was no whole list: refusals, and how far a cut answer came.
        notes: what was done to hear it: sessions asked for, requests repeated, frames that came twice.
        permanent, readiness, vin: None where it was not asked or did not say.
        took_s: from its first request to its last answer, [s].
    """

    module: str
    pair: Pair
    how: How
    listed: tuple[Listed, ...] = ()
    mask: int = 0xFF
    permanent: tuple[str, ...] | None = None
    readiness: Readiness | None = None
    vin: str | None = None
    service: int | None = None
    said: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    took_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CarRead:
    """One read of the whole car.

    Args:
        stage: a word of `Stage`.
        at: when it began, ISO 8601 with its offset.
        bus: the bus it was read over, as it was named.
        vin: the vehicle number as it was sent; None where no module gave one.
        stopped: why it is not whole; empty where every module that was found was asked to the end.
        since: what was done since the read before that erases codes, where it is known.
        unasked: the ids under which modules were heard that could not be asked: by which id, is not known.
    """

    stage: str
    at: str
    bus: str
    modules: tuple[ModuleRead, ...]
    vin: str | None = None
    stopped: str = ""
    since: str = ""
    notes: tuple[str, ...] = ()
    unasked: tuple[str, ...] = ()

    def listing(self, name: str) -> Listing:
        """The read as a code list of this name."""
        by_how = {how: frozenset(one.module for one in self.modules if one.how is how) for how in How}
        permanent = [one.permanent for one in self.modules if one.permanent is not None]
        readiness = [one.readiness for one in self.modules if one.readiness is not None]
        return Listing(
            name=name,
            stage=self.stage,
            listed=tuple(line for one in self.modules for line in one.listed),
            answered=by_how[How.ANSWERED] | by_how[How.PARTIAL],
            silent=by_how[How.SILENT] | by_how[How.REFUSED],
            partial=by_how[How.PARTIAL],
            readiness=_together(readiness),
            permanent=tuple(dict.fromkeys(code for codes in permanent for code in codes)) if permanent else None,
            since=self.since,
            unasked=frozenset(self.unasked),
            answering=frozenset((one.pair.answer_text, one.module) for one in self.modules),
        )

    @property
    def unknown(self) -> tuple[str, ...]:
        """The modules of which it is not known, or not to the end, what they hold."""
        not_whole = (one.module for one in self.modules if one.how is not How.ANSWERED)
        return (*not_whole, *map(module_under, self.unasked))

    @property
    def pairs(self) -> Mapping[str, Pair]:
        """By which ids each module was spoken to."""
        return {one.module: one.pair for one in self.modules}


def _together(readiness: list[Readiness]) -> Readiness | None:
    """The self-tests of all modules that gave them, counted together."""
    if not readiness:
        return None
    supported = sum(one.supported for one in readiness)
    return Readiness(supported=supported, complete=sum(one.complete for one in readiness))
