"""One idea: a store keeps links, heads, what conflicted, and people; it is asked by one contract.

Every store passes the same tests. `append` answers only after the events are on the disk; the order of the answers
is the order of the record. People stand outside the record, under ids, and can be deleted from it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, Self

from putback.core.record import Answer, Conflict, Event, Head, Json, Link


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """What is kept of a person, under an id that the record refers to; `data` is None once it was deleted."""

    id: str
    data: Mapping[str, Json] | None


class Store(Protocol):
    """Where records are kept.

    Raises:
        StoreFailed: from any method, when the world fails. Nothing was acknowledged then; sending again is harmless.
    """

    @property
    def name(self) -> str:
        """The store as a person names it, without any password."""
        ...

    def append(self, events: Sequence[Event], *, received_at: str) -> tuple[Answer, ...]:
        """Chain events of a device, durably; one answer for each, in order.

        An event that is there already gets its old answer again. The same id with other content is a `Conflict`: it
        is kept aside. All of a call is written, or nothing.
        """
        ...

    def read(self, job: str, *, after_seq: int = 0) -> tuple[Link, ...]:
        """The links of a job behind a number, in order; empty for a job that is not known."""
        ...

    def heads(self) -> Mapping[str, Head]:
        """Every job with its head, by job id."""
        ...

    def jobs(self) -> tuple[str, ...]:
        """Every job that has a head or a link, by id; in a sound store those of `heads`."""
        ...

    def conflicts(self, job: str | None = None) -> tuple[Conflict, ...]:
        """What was kept aside, of one job or of all."""
        ...

    def put_person(self, person: str, data: Mapping[str, Json]) -> None:
        """Keep what is known of a person. An id that was deleted stays deleted (`Refused`)."""
        ...

    def person(self, person: str) -> Person | None:
        """A person, None for an id that was never kept."""
        ...

    def people(self) -> tuple[Person, ...]:
        """Everybody, the deleted as empty entries, by id."""
        ...

    def delete_person(self, person: str) -> bool:
        """Forget a person; whether there was anything to forget. The record stays as it is."""
        ...

    def take_in(self, job: str, links: Sequence[Link], conflicts: Sequence[Conflict] = ()) -> None:
        """Add links that were chained in another store, as they are; they must follow from the head here."""
        ...

    def __enter__(self) -> Self:
        """The store, to be let go of at the end of a block."""
        ...

    def __exit__(self, *_: object) -> None:
        """Let go of the store."""
        ...

    def close(self) -> None:
        """Let go of the store; what was acknowledged is safe without this."""
        ...
