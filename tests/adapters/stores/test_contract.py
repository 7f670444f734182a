"""What every store must do: one suite, run on SQLite and on a real PostgreSQL server.

The reference is a list in memory: what `grow` makes of the same events, which tests of the core hold against a plain
second writing of the chain.
"""

from collections.abc import Callable
from itertools import count
from threading import Thread

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.record.made import event, opening
from putback.adapters.stores import NotOurs, ReadOnly, Refused, Store, open_store
from putback.adapters.stores.check import check_job, check_store
from putback.core.record import Ack, Arrival, Conflict, Event, Head, Link, grow, head_of, verify

AT = "2026-03-02T07:15:01Z"
LATER = "2026-03-03T09:00:00Z"
IN_ONE_STORE = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
_jobs = count(1)


def events(total: int, job: str = "job-1") -> list[Event]:
    return [opening(job), *(event(f"{job}-e{n}", job=job) for n in range(2, total + 1))]


def grown(made: list[Event], at: str = AT) -> tuple[Link, ...]:
    return grow([Arrival(event=one, received_at=at) for one in made], heads={}, known={}).links


def data_of(store: Store, id: str) -> object:
    person = store.person(id)
    assert person is not None
    return person.data


def test_an_empty_store(store: Store) -> None:
    assert (store.jobs(), dict(store.heads()), store.read("job-1")) == ((), {}, ())
    assert (store.conflicts(), store.people(), store.person("p1")) == ((), (), None)
    assert store.append([], received_at=AT) == ()


def test_events_are_chained_and_read_back(store: Store) -> None:
    made = events(5)
    answers = store.append(made[:2], received_at=AT) + store.append(made[2:], received_at=AT)
    links = store.read("job-1")
    assert links == grown(made)
    assert [(one.seq, one.hash, one.again) for one in answers if isinstance(one, Ack)] == [
        (link.seq, link.hash, False) for link in links
    ]
    assert dict(store.heads()) == {"job-1": head_of("job-1", links)}
    assert store.read("job-1", after_seq=3) == links[3:]
    assert store.read("job-2") == ()
    assert check_job(store, "job-1").faults == ()


def test_it_is_there_after_opening_again(name: str) -> None:
    with open_store(name, create=True) as first:
        first.append(events(3), received_at=AT)
        first.put_person("p1", {"name": "A. Hand"})
    with open_store(name) as second:
        assert second.read("job-1") == grown(events(3))
        assert data_of(second, "p1") == {"name": "A. Hand"}
        second.append(events(5), received_at=AT)
    with open_store(name, read_only=True) as third:
        assert third.read("job-1") == grown(events(5))


def test_sending_again_is_answered_as_before(store: Store) -> None:
    made = events(4)
    first = [one for one in store.append(made, received_at=AT) if isinstance(one, Ack)]
    again = [one for one in store.append(made[::-1], received_at=LATER) if isinstance(one, Ack)]
    assert [(one.id, one.seq, one.hash) for one in again] == [(one.id, one.seq, one.hash) for one in first[::-1]]
    assert {one.again for one in again} == {True}
    assert len(store.read("job-1")) == 4


def test_the_same_id_with_other_content_is_kept_aside(store: Store) -> None:
    store.append([opening(), event("e1")], received_at=AT)
    other = event("e1", body={"note": "not the same"})
    elsewhere = event("e1", job="job-2")
    answers = store.append([other, event("e2"), other, elsewhere], received_at=LATER)
    assert [type(one) for one in answers] == [Conflict, Ack, Conflict, Conflict]
    assert store.read("job-1")[1].content == event("e1").content
    assert [one.content for one in store.conflicts("job-1")] == [other.content]
    assert {one.content for one in store.conflicts()} == {other.content, elsewhere.content}
    assert "job-2" not in store.jobs()
    checked = check_job(store, "job-1")
    assert checked.faults == ()
    assert [note.rule for note in checked.notes] == ["conflict"]


def test_one_call_with_several_jobs_and_one_event_twice(store: Store) -> None:
    mixed = [opening("a"), opening("b"), event("a-1", job="a"), event("a-1", job="a"), event("b-1", job="b")]
    answers = store.append(mixed, received_at=AT)
    assert [(one.job, one.seq, one.again) for one in answers if isinstance(one, Ack)] == [
        ("a", 1, False),
        ("b", 1, False),
        ("a", 2, False),
        ("a", 2, True),
        ("b", 2, False),
    ]
    assert [checked.faults for checked in check_store(store)] == [(), ()]
    assert store.jobs() == ("a", "b")


@given(data=st.data())
@IN_ONE_STORE
def test_sent_in_any_split_and_again_it_stands_once(store: Store, data: st.DataObject) -> None:
    """Hypothesis splits a device's events into calls and sends some again, in any order."""
    job = f"job-{next(_jobs)}"
    made = events(data.draw(st.integers(1, 8)), job)
    sent = 0
    while sent < len(made):
        more = data.draw(st.integers(1, len(made) - sent))
        call = made[sent : sent + more]
        call += data.draw(st.lists(st.sampled_from(made[: sent + more]), max_size=3))
        answers = store.append(call, received_at=AT)
        assert [one.id for one in answers] == [one.id for one in call]
        sent += more
    links = store.read(job)
    assert links == grown(made)
    for one in store.append(data.draw(st.permutations(made)), received_at=LATER):
        assert isinstance(one, Ack)
        assert links[one.seq - 1].hash == one.hash
    assert store.read(job) == links


@given(data=st.data())
@IN_ONE_STORE
def test_what_is_odd_comes_back_byte_for_byte(store: Store, data: st.DataObject) -> None:
    job = f"odd-{next(_jobs)}"
    text = data.draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
    made = [event(f"{job}-1", "key moved", {"note": text + "\x00", text or "empty": 1e300}, job=job)]
    store.append(made, received_at=AT)
    (link,) = store.read(job)
    assert link.content == made[0].content
    assert verify([link], job=job) == ()


def test_eight_writers_at_once_lose_and_double_nothing(store: Store) -> None:
    """Eight threads of one program, each on its own job and on one that all share."""
    answers: list[Ack] = []

    def work(writer: int) -> None:
        for n in range(12):
            made = [event(f"w{writer}-{n}", job=f"own-{writer}"), event(f"s{writer}-{n}", job="shared")]
            answers.extend(one for one in store.append(made, received_at=AT) if isinstance(one, Ack))

    threads = [Thread(target=work, args=(writer,)) for writer in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 8 * 12 * 2
    assert [len(store.read(job)) for job in store.jobs()] == [12] * 8 + [96]
    assert all(not checked.faults for checked in check_store(store))
    for one in answers:
        assert store.read(one.job, after_seq=one.seq - 1)[0].id == one.id


def test_two_programs_at_once_take_turns(name: str) -> None:
    """Two openings of one store, as two programs would have, writing the same job."""
    failed: list[Exception] = []

    def work(writer: int) -> None:
        try:
            with open_store(name, create=True) as opened:
                for n in range(15):
                    opened.append([event(f"w{writer}-{n}"), event(f"both-{n}")], received_at=AT)
        except Exception as error:  # kept for the assertion in the main thread
            failed.append(error)

    threads = [Thread(target=work, args=(writer,)) for writer in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with open_store(name, read_only=True) as opened:
        assert check_job(opened, "job-1").faults == ()
        assert len(opened.read("job-1")) == 3 * 15 + 15


def test_people_stand_outside_and_can_be_deleted(store: Store) -> None:
    store.append(events(3), received_at=AT)
    before = store.read("job-1")
    store.put_person("p1", {"name": "A. Hand", "phone": "000"})
    store.put_person("p1", {"name": "A. Hand", "phone": "001"})
    store.put_person("p2", {"name": "B. Foot"})
    assert data_of(store, "p1") == {"name": "A. Hand", "phone": "001"}
    assert store.delete_person("p1")
    assert not store.delete_person("p1")
    assert not store.delete_person("p9")
    assert data_of(store, "p1") is None
    assert [(one.id, one.data) for one in store.people()] == [("p1", None), ("p2", {"name": "B. Foot"}), ("p9", None)]
    with pytest.raises(Refused, match="was deleted"):
        store.put_person("p1", {"name": "A. Hand"})
    with pytest.raises(Refused, match="no id"):
        store.put_person("A. Hand", {})
    assert store.read("job-1") == before
    assert check_job(store, "job-1").faults == ()


def test_the_name_of_a_person_is_in_no_event(store: Store) -> None:
    store.append(events(3), received_at=AT)
    store.put_person("p1", {"name": "Quastlinger"})
    assert all(b"Quastlinger" not in link.content for link in store.read("job-1"))


def test_taking_in_what_was_chained_elsewhere(store: Store) -> None:
    links = grown(events(5))
    store.take_in("job-1", links[:3])
    store.take_in("job-1", links)  # the part that is there is not written again
    store.take_in("job-1", links[2:])
    assert store.read("job-1") == links
    assert store.heads()["job-1"] == head_of("job-1", links)
    more = store.append([event("next")], received_at=LATER)
    assert isinstance(more[0], Ack)
    assert more[0].seq == 6


def test_what_does_not_follow_is_not_taken_in(store: Store) -> None:
    links, other = grown(events(5)), grown(events(5), LATER)
    store.take_in("job-1", links[:2])
    for wrong in (links[3:], other, other[2:], (*links[2:4], other[4]), links[2:5:2]):
        with pytest.raises(Refused, match="does not follow"):
            store.take_in("job-1", wrong)
    with pytest.raises(Refused):
        store.take_in("job-2", links)
    assert store.read("job-1") == links[:2]
    assert store.jobs() == ("job-1",)


def test_read_only_writes_nothing(name: str) -> None:
    with open_store(name, create=True) as opened:
        opened.append(events(2), received_at=AT)
    with open_store(name, read_only=True) as opened:
        for write in (
            lambda: opened.append([event("e9")], received_at=AT),
            lambda: opened.put_person("p1", {}),
            lambda: opened.delete_person("p1"),
            lambda: opened.take_in("job-1", ()),
        ):
            with pytest.raises(ReadOnly):
                write()
        assert len(opened.read("job-1")) == 2


def test_what_is_not_there_is_not_made_unasked(name: str) -> None:
    for read_only in (True, False):
        with pytest.raises(NotOurs):
            open_store(name, read_only=read_only)


def test_both_stores_chain_alike(name_of: Callable[[str], str]) -> None:
    chains: list[tuple[tuple[Link, ...], Head, tuple[Conflict, ...]]] = []
    for kind in ("sqlite", "postgresql"):
        with open_store(name_of(kind), create=True) as opened:
            opened.append(events(4), received_at=AT)
            opened.append([*events(7), event("job-1-e2", body={"note": "other"})], received_at=LATER)
            chains.append((opened.read("job-1"), opened.heads()["job-1"], opened.conflicts()))
    assert chains[0] == chains[1]
