"""Events and links for the tests, made up."""

from collections.abc import Mapping, Sequence

from hypothesis import strategies as st

from putback.core.record import Arrival, Event, Json, Link, grow

AT = "2026-03-02T08:15:00+01:00"
SHA = "0" * 64

OPENING: Mapping[str, Json] = {"car_file": "quillet.car.yaml", "car_sha256": SHA, "wanted": ["pump"]}


def event(
    id: str, kind: str = "noted", body: Mapping[str, Json] | None = None, *, job: str = "job-1", at: str = AT
) -> Event:
    """One event of a tablet."""
    said = {"note": f"about {id}"} if body is None and kind == "noted" else body or {}
    return Event(id=id, job=job, device="tablet", at=at, person="p1", kind=kind, body=said)


def opening(job: str = "job-1") -> Event:
    """The event that opens a job."""
    return event(f"{job}-open", "job opened", OPENING, job=job)


def chain(events: Sequence[Event], received_at: str = "2026-03-02T07:15:01Z") -> tuple[Link, ...]:
    """The events of jobs, chained from their beginning."""
    arrivals = [Arrival(event=one, received_at=received_at) for one in events]
    return grow(arrivals, heads={}, known={}).links


def chained(count: int, job: str = "job-1") -> tuple[Link, ...]:
    """A record of so many events."""
    return chain([event(f"{job}-e{n}", job=job) for n in range(1, count + 1)])


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
BODIES: st.SearchStrategy[dict[str, Json]] = st.dictionaries(
    TEXTS, st.none() | st.booleans() | st.integers(-9, 9) | st.floats(-1e6, 1e6) | TEXTS | st.lists(TEXTS, max_size=2)
)
EVENTS = st.builds(
    event,
    id=st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,9}", fullmatch=True),
    kind=st.sampled_from(["noted", "operation done", "job closed", "key moved"]),
    body=BODIES,
)
