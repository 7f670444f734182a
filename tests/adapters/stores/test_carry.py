"""Back-up, restore and moving house, between both kinds of store, there and back."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from core.record.made import event, opening
from putback.adapters.stores import Refused, Store, open_store
from putback.adapters.stores.carry import back_up, carry
from putback.adapters.stores.check import check_store
from putback.core.record import Link

AT = "2026-03-02T07:15:01Z"
LATER = "2026-03-03T09:00:00Z"
WAYS = [("sqlite", "sqlite"), ("sqlite", "postgresql"), ("postgresql", "sqlite"), ("postgresql", "postgresql")]


def filled(name: str) -> Store:
    """Two jobs, two events kept aside (one of a job that has no other), two people and one who was deleted."""
    store = open_store(name, create=True)
    store.append([opening(), *(event(f"e{n}") for n in range(2, 7))], received_at=AT)
    store.append([opening("job-2"), event("e2", body={"note": "other"}), event("e3", job="job-3")], received_at=LATER)
    for person in ("p1", "p2", "gone"):
        store.put_person(person, {"name": person})
    store.delete_person("gone")
    return store


def held(store: Store) -> tuple[dict[str, tuple[Link, ...]], object, object, object]:
    jobs = {job: store.read(job) for job in store.jobs()}
    return jobs, dict(store.heads()), store.conflicts(), store.people()


@pytest.mark.parametrize(("one", "other"), WAYS)
def test_all_is_carried_there_and_back(name_of: Callable[[str], str], tmp_path: Path, one: str, other: str) -> None:
    with filled(name_of(one)) as source, open_store(name_of(other), create=True) as target:
        carried = carry(source, target)
        assert (carried.events, carried.people, carried.refused, carried.broken) == (7, 2, (), ())
        assert held(target) == held(source)
        assert all(not checked.faults for checked in check_store(target))
        assert (carry(source, target).events, carry(source, target).people) == (0, 0)
        source.append([event("e7")], received_at=LATER)
        assert carry(source, target).events == 1
        with open_store(str(tmp_path / "back.record"), create=True) as back:
            carry(target, back)
            assert held(back) == held(source)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_a_back_up_restores_an_empty_store_and_finishes_a_shorter_one(
    name_of: Callable[[str], str], tmp_path: Path, kind: str
) -> None:
    file = tmp_path / "backup.record"
    with filled(name_of(kind)) as source:
        assert back_up(source, file).broken == ()
        before = held(source)
        source.append([event("e7")], received_at=LATER)
        with open_store(str(file), read_only=True) as kept:
            assert held(kept) == before
            assert carry(kept, source).events == 0  # the store is ahead of the back-up, and stays so
        assert len(source.read("job-1")) == 7
        with open_store(name_of(kind), create=True) as empty, open_store(str(file), read_only=True) as kept:
            assert carry(kept, empty).events == 7
            assert held(empty) == before
            answers = empty.append([event("e7"), event("e3")], received_at=LATER)
            assert [answer.id for answer in answers] == ["e7", "e3"]  # a device offers again what the back-up lacks
            assert len(empty.read("job-1")) == 7


def test_a_back_up_is_one_file_and_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    file = tmp_path / "kept" / "backup.record"
    with filled(str(tmp_path / "a.record")) as source:
        back_up(source, file)
        assert [found.name for found in file.parent.iterdir()] == [file.name]
        before = file.read_bytes()
        with pytest.raises(Refused, match="already"):
            back_up(source, file)
        assert file.read_bytes() == before


def test_what_an_interrupted_back_up_left_is_in_nobodys_way(tmp_path: Path) -> None:
    (tmp_path / "backup.record.part").write_bytes(b"half a file")
    with filled(str(tmp_path / "a.record")) as source:
        assert back_up(source, tmp_path / "backup.record").events == 7
    assert sorted(found.name for found in tmp_path.iterdir()) == ["a.record", "backup.record"]


@pytest.mark.parametrize(("one", "other"), WAYS)
def test_a_store_with_other_events_is_not_touched(name_of: Callable[[str], str], one: str, other: str) -> None:
    with filled(name_of(one)) as source, open_store(name_of(other), create=True) as target:
        target.append([opening(), event("e2"), event("mine")], received_at=AT)
        before = held(target)
        carried = carry(source, target)
        assert [(finding.where.line, finding.where.field) for finding in carried.refused] == [(3, "mine")]
        assert held(target) == before


def test_a_record_that_was_tampered_with_is_not_carried(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    filled(str(path)).close()
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE links SET content = zeroblob(3) WHERE job = 'job-1' AND seq = 4")
        raw.commit()
    with (
        open_store(str(path), read_only=True) as source,
        open_store(str(tmp_path / "b.record"), create=True) as target,
    ):
        assert [fault.where.line for fault in carry(source, target).broken] == [4]
        assert target.jobs() == ()
        assert [fault.where.line for fault in back_up(source, tmp_path / "c.record").broken] == [4]
    assert not (tmp_path / "c.record").exists()
    assert not (tmp_path / "c.record.part").exists()


def test_a_person_deleted_after_the_back_up_stays_deleted(tmp_path: Path) -> None:
    file = tmp_path / "backup.record"
    with filled(str(tmp_path / "a.record")) as store:
        back_up(store, file)
        store.delete_person("p1")
        store.put_person("p2", {"name": "new name"})
        with open_store(str(file), read_only=True) as kept:
            assert carry(kept, store).people == 0
        assert {one.id: one.data for one in store.people()} == {"gone": None, "p1": None, "p2": {"name": "new name"}}


def test_a_source_that_goes_on_meanwhile_is_said(tmp_path: Path) -> None:
    class Growing:
        """A store to which something is added as soon as people are asked for."""

        def __init__(self, inner: Store) -> None:
            self._inner = inner

        def people(self) -> object:
            self._inner.append([event("late")], received_at=LATER)
            return self._inner.people()

        def __getattr__(self, name: str) -> object:
            return getattr(self._inner, name)

    with filled(str(tmp_path / "a.record")) as source, open_store(str(tmp_path / "b.record"), create=True) as target:
        carried = carry(Growing(source), target)  # type: ignore[arg-type]
        assert [(finding.rule, finding.where.line) for finding in carried.broken] == [("went on", 7)]
        assert carry(source, target).broken == ()
