"""One idea: which id asks and which answers is told by the standard, else by which answers fit which requests.

Source of the ids: ISO 15765-4 (from memory; 7DF and 18DB33F1 seen in public source).
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from putback.core.codes.talk.car_read import Pair
from putback.core.codes.talk.frames import place_of

BESIDE: Final = 8
"""How far the answering id lies from the asking one where nothing says. Common practice, no source."""

MOST_AT_ONCE: Final = 16
"""So many requests, the last ones, are looked at for one answer."""

MOST_PAIRS: Final = 20_000
"""So many different pairs are looked at; a car has some dozens."""

_BARE: Final = 0xFFFF_FFFF
_EXTENDED: Final = 0x8000_0000
_ID: Final = 0x1FFF_FFFF
_LENGTH: Final = 31
_CHANNEL: Final = 32

FUNCTIONAL: Final = frozenset({place_of(0x7DF), place_of(0x18DB33F1, extended=True)})
"""The ids that speak to all modules at once."""

PARTNERS: Final[Mapping[int, int]] = MappingProxyType(
    {place_of(0x7E0 + n): place_of(0x7E8 + n) for n in range(8)}
    | {
        place_of(0x18DA00F1 | n << 8, extended=True): place_of(0x18DAF100 | n, extended=True)
        for n in range(0x100)
        if n != 0xF1
    }
)
"""The pairs of the standard: asked under the one, answered under the other."""

_ASKERS: Final = MappingProxyType({answer: asker for asker, answer in PARTNERS.items()})


def to_all(place: int) -> bool:
    """Whether all modules are spoken to under this id."""
    return place & _BARE in FUNCTIONAL


def answers_by_standard(place: int) -> bool:
    """Whether the standard gives this id to an answering module."""
    return place & _BARE in _ASKERS


def channel_of(place: int) -> int:
    """The number of the channel."""
    return place >> _CHANNEL


def same_bus(one: int, other: int) -> bool:
    """Whether two places are of one channel, and their ids of one length."""
    return one >> _LENGTH == other >> _LENGTH


def id_shown(place: int) -> str:
    """An id as a person writes it.

    >>> id_shown(place_of(0x7E8)), id_shown(place_of(0x18DAF110, extended=True))
    ('7E8', '18DAF110')
    """
    return f"{place & _ID:0{8 if place & _EXTENDED else 3}X}"


def pair_of(asker: int, answer: int) -> Pair:
    """The pair of two places.

    >>> str(pair_of(place_of(0x7E0), place_of(0x7E8)))
    '7E0/7E8'
    """
    extended = bool(answer & _EXTENDED)
    most = _ID if extended else 0x7FF
    return Pair(request=asker & most, answer=answer & most, extended=extended)


class Askers:
    """Which id asks which, learnt while a log goes by.

    Where several modules are asked at once, an answer fits several requests. The pairs of a car mostly lie equally far
    apart, so the distance that fits most answers decides; where that does not tell, the request that came last does.
    """

    def __init__(self) -> None:
        self._votes: Counter[tuple[int, int]] = Counter()
        self._last: Counter[tuple[int, int]] = Counter()
        self._answered: dict[int, set[int]] = {}

    def fits(self, askers: Sequence[int], answer: int) -> None:
        """An answer under one id fitted the requests under others; the last request comes first."""
        for asker in askers[:MOST_AT_ONCE]:
            if (asker, answer) in self._votes or len(self._votes) < MOST_PAIRS:
                self._votes[asker, answer] += 1
        for asker in [one for one in askers if self._answered.get(one, {answer}) == {answer}][:1] or askers[:1]:
            self._last[asker, answer] += 1
            self._answered.setdefault(asker, set()).add(answer)

    def asks(self, place: int) -> bool:
        """Whether requests come under this id, by the standard or by what was answered before."""
        return place & _BARE in PARTNERS or to_all(place) or place in self._answered

    def answering(self, asker: int) -> Collection[int]:
        """The ids whose answers have fitted the last request, where that came under this one."""
        return self._answered.get(asker, ())

    def fitted(self, asker: int, answer: int) -> bool:
        """Whether an answer under the one has fitted the last request, which came under the other."""
        return (asker, answer) in self._last

    def pairs(self, *, without: Collection[int] = ()) -> Mapping[int, int]:
        """The asking id of each answering id that is not the standard's.

        >>> car = Askers()
        >>> car.fits([0x713, 0x742], 0x77D), car.fits([0x742, 0x713], 0x7AC)
        (None, None)
        >>> {hex(answer): hex(asker) for answer, asker in car.pairs().items()}
        {'0x77d': '0x713', '0x7ac': '0x742'}
        """
        most: Counter[int] = Counter()
        distances: Counter[int] = Counter()
        for (asker, answer), count in self._votes.items():
            most[answer] = max(most[answer], count)
            distances[answer - asker] += count + self._last[asker, answer]
        likely = [pair for pair, count in self._votes.items() if 2 * count > most[pair[1]] and pair[1] not in without]
        likely.sort(key=lambda pair: (-distances[pair[1] - pair[0]], -self._votes[pair] - self._last[pair], pair))
        found: dict[int, int] = {}
        taken: set[int] = set()
        for asker, answer in likely:
            if answer not in found and asker not in taken:
                found[answer] = asker
                taken.add(asker)
        return found


def usual_distance(pairs: Mapping[int, int]) -> int:
    """How far the answering id of most pairs lies from the asking one.

    >>> usual_distance({0x77D: 0x713, 0x7AC: 0x742, 0x7A8: 0x7A0})
    106
    """
    count = Counter(answer - asker for answer, asker in pairs.items())
    return max(count, key=lambda distance: (count[distance], distance == BESIDE), default=BESIDE)


def standard_partner(asker: int) -> int | None:
    """Under which id the standard lets this one be answered; None where it does not say."""
    answer = PARTNERS.get(asker & _BARE)
    return None if answer is None else asker >> _CHANNEL << _CHANNEL | answer


def standard_asker(answer: int) -> int | None:
    """Under which id the standard lets this one be asked; None where it does not say."""
    asker = _ASKERS.get(answer & _BARE)
    return None if asker is None else answer >> _CHANNEL << _CHANNEL | asker


def beside(place: int, distance: int) -> int:
    """The id that lies beside this one, as a guess, on the same channel; on its other side where there is no such id.

    >>> hex(beside(0x7A0, 8)), hex(beside(0x7FC, 8))
    ('0x7a8', '0x7f4')
    """
    most = _ID if place & _EXTENDED else 0x7FF
    id = (place & most) + distance
    return place & ~most | (id if 0 <= id <= most else (place & most) - distance)
