"""One idea: both stores have the same tables and ask the same questions; only how they write and lock differs.

A statement has `?` for its values. A store gives itself as a `Run`: statement and values in, rows out.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias, cast

from putback.adapters.stores.contract import Person
from putback.core.record import Arrival, Conflict, Grown, Head, Json, Link, canonical_bytes, grow, read_json

Run: TypeAlias = Callable[[str, Sequence[Any]], list[tuple[Any, ...]]]

FORMAT = "putback record"
VERSION = 1
TABLES = ("about", "links", "heads", "conflicts", "people")

_AT_ONCE = 500


def columns(blob: str) -> tuple[str, ...]:
    """The tables of schema version 1, by the store's word for bytes. The primary key of `links` is the lock."""
    return (
        "about (format TEXT NOT NULL, version INTEGER NOT NULL)",
        "links (job TEXT NOT NULL, seq INTEGER NOT NULL, id TEXT NOT NULL UNIQUE, received_at TEXT NOT NULL, "
        f"content {blob} NOT NULL, hash TEXT NOT NULL, PRIMARY KEY (job, seq))",
        "heads (job TEXT NOT NULL PRIMARY KEY, seq INTEGER NOT NULL, hash TEXT NOT NULL)",
        "conflicts (id TEXT NOT NULL, digest TEXT NOT NULL, job TEXT NOT NULL, received_at TEXT NOT NULL, "
        f"content {blob} NOT NULL, PRIMARY KEY (id, digest))",
        f"people (id TEXT NOT NULL PRIMARY KEY, data {blob})",
    )


_LINK = "SELECT job, seq, id, received_at, content, hash FROM links"


def links(run: Run, job: str, after_seq: int) -> tuple[Link, ...]:
    """The links of a job behind a number."""
    rows = run(f"{_LINK} WHERE job = ? AND seq > ? ORDER BY seq", (job, after_seq))
    return tuple(_link(row) for row in rows)


def _link(row: tuple[Any, ...]) -> Link:
    job, seq, id, received_at, content, hash = row
    return Link(job=job, seq=seq, id=id, received_at=received_at, content=bytes(content), hash=hash)


def heads(run: Run) -> dict[str, Head]:
    """Every job with its head."""
    rows = run("SELECT job, seq, hash FROM heads", ())
    return {job: Head(seq=seq, hash=hash) for job, seq, hash in sorted(rows)}


def jobs(run: Run) -> tuple[str, ...]:
    """Every job that has a head or a link: a store that was tampered with may lack either."""
    return tuple(sorted(job for (job,) in run("SELECT job FROM heads UNION SELECT job FROM links", ())))


def heads_of(run: Run, jobs: Iterable[str]) -> dict[str, Head]:
    """The heads of some jobs, as far as they have one."""
    rows = _in_parts(run, "SELECT job, seq, hash FROM heads WHERE job IN", jobs)
    return {job: Head(seq=seq, hash=hash) for job, seq, hash in rows}


def known(run: Run, ids: Iterable[str]) -> dict[str, Link]:
    """Those of some event ids that are in a record."""
    return {link.id: link for link in map(_link, _in_parts(run, f"{_LINK} WHERE id IN", ids))}


def _in_parts(run: Run, statement: str, values: Iterable[str]) -> Iterator[tuple[Any, ...]]:
    listed = sorted(set(values))
    for at in range(0, len(listed), _AT_ONCE):
        part = listed[at : at + _AT_ONCE]
        yield from run(f"{statement} ({', '.join('?' * len(part))})", part)


def append(run: Run, arrivals: Sequence[Arrival]) -> Grown:
    """Work out what arrivals come to and write it; the caller holds their jobs' locks and commits."""
    jobs = {arrival.event.job for arrival in arrivals}
    ids = {arrival.event.id for arrival in arrivals}
    grown = grow(arrivals, heads=heads_of(run, jobs), known=known(run, ids))
    write(run, grown.links, grown.conflicts, grown.heads)
    return grown


def write(run: Run, new: Iterable[Link], aside: Iterable[Conflict], moved: Mapping[str, Head]) -> None:
    """Write links, conflicts and heads."""
    for link in new:
        insert = "INSERT INTO links (job, seq, id, received_at, content, hash) VALUES (?, ?, ?, ?, ?, ?)"
        run(insert, (link.job, link.seq, link.id, link.received_at, link.content, link.hash))
    for conflict in aside:
        insert = "INSERT INTO conflicts (id, digest, job, received_at, content) VALUES (?, ?, ?, ?, ?)"
        values = (conflict.id, conflict.digest, conflict.job, conflict.received_at, conflict.content)
        run(f"{insert} ON CONFLICT (id, digest) DO NOTHING", values)
    for job, head in moved.items():
        upsert = "INSERT INTO heads (job, seq, hash) VALUES (?, ?, ?) ON CONFLICT (job) DO UPDATE SET"
        run(f"{upsert} seq = excluded.seq, hash = excluded.hash", (job, head.seq, head.hash))


def conflicts(run: Run, job: str | None) -> tuple[Conflict, ...]:
    """What was kept aside."""
    rows = run("SELECT id, job, received_at, content FROM conflicts ORDER BY job, received_at, id, digest", ())
    found = (
        Conflict(id=id, job=of, received_at=received_at, content=bytes(content))
        for id, of, received_at, content in rows
    )
    return tuple(conflict for conflict in found if job in (None, conflict.job))


def person(run: Run, id: str) -> Person | None:
    """One person."""
    rows = run("SELECT id, data FROM people WHERE id = ?", (id,))
    return _person(rows[0]) if rows else None


def people(run: Run) -> tuple[Person, ...]:
    """Everybody."""
    rows = run("SELECT id, data FROM people", ())
    return tuple(sorted(map(_person, rows), key=lambda one: one.id))


def _person(row: tuple[Any, ...]) -> Person:
    id, data = row
    return Person(id=id, data=None if data is None else cast("Mapping[str, Json]", read_json(bytes(data))))


def put_person(run: Run, id: str, data: Mapping[str, Json]) -> bool:
    """Keep a person; False where the id was deleted, which it stays."""
    there = person(run, id)
    if there is not None and there.data is None:
        return False
    upsert = "INSERT INTO people (id, data) VALUES (?, ?) ON CONFLICT (id) DO UPDATE SET data = excluded.data"
    run(upsert, (id, canonical_bytes(data)))
    return True


def delete_person(run: Run, id: str) -> bool:
    """Forget a person and remember only that the id is used up; whether there was something to forget."""
    there = person(run, id)
    upsert = "INSERT INTO people (id, data) VALUES (?, NULL) ON CONFLICT (id) DO UPDATE SET data = NULL"
    run(upsert, (id,))
    return there is not None and there.data is not None
