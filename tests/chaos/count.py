"""One idea: what devices hold, what they showed as logged and what the record has are held against each other."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

EventRow = Mapping[str, Any]
"""An event as a device or the record has it: id, device, kind, body, at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Ids of events: confirmed or kept and not in the record; in it twice; in it and made by nobody."""

    lost: tuple[str, ...] = ()
    doubled: tuple[str, ...] = ()
    strange: tuple[str, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not (self.lost or self.doubled or self.strange)


def count(*, confirmed: Iterable[str], kept: Iterable[str], record: Sequence[EventRow], desk: Iterable[str]) -> Count:
    """Hold the record against the devices.

    Args:
        confirmed: ids of events that a device made, its page showing them as logged.
        kept: ids of events that a device holds at the end, its own and others'.
        record: the server's events in its order.
        desk: ids of events that the server's own pages made.
    """
    confirmed, kept = set(confirmed), set(kept)
    there = Counter(str(event["id"]) for event in record)
    return Count(
        lost=tuple(sorted((confirmed | kept) - set(there))),
        doubled=(*sorted(id for id, times in there.items() if times > 1), *_same_tap(record)),
        strange=tuple(sorted(set(there) - confirmed - set(desk))),
    )


def _same_tap(record: Sequence[EventRow]) -> tuple[str, ...]:
    """Events that are one tap under two ids: alike in all else, or a planned operation done twice by one device."""
    found: list[str] = []
    seen: dict[str, str] = {}
    backed = {str(event["body"].get("mends")) for event in record if event["kind"] == "operation taken back"}
    for event in record:
        id, body = str(event["id"]), event["body"]
        if id in backed:
            continue
        marks = [repr((event["device"], event["at"], event["kind"], sorted(map(repr, body.items()))))]
        if event["kind"] == "operation done" and "planned" in body:
            marks.append(repr((event["device"], "planned", body["planned"])))
        if any(seen.setdefault(mark, id) != id for mark in marks):
            found.append(id)
    return tuple(found)
