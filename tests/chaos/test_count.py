"""The counter finds what is made wrong on purpose; and finds nothing where nothing is."""

from typing import Any

import pytest

from chaos.count import count


def event(id: str, n: int, **more: Any) -> dict[str, Any]:
    return {
        "id": id,
        "device": "phone-a",
        "at": f"2026-03-02T09:00:{n:02}+01:00",
        "kind": "operation done",
        "body": {"verb": "undo", "planned": n},
        **more,
    }


RECORD = [event("opened", 0, device="desk", kind="job opened", body={}), event("a", 1), event("b", 2), event("c", 3)]
MADE = {"confirmed": {"a", "b", "c"}, "kept": {"a", "b", "c"}, "desk": {"opened"}}


def test_a_whole_record_is_sound() -> None:
    assert count(record=RECORD, **MADE).sound


@pytest.mark.parametrize("gone", ["a", "b", "c"])
def test_a_lost_event_is_counted(gone: str) -> None:
    found = count(record=[one for one in RECORD if one["id"] != gone], **MADE)
    assert (found.lost, found.doubled, found.strange) == ((gone,), (), ())


def test_an_event_that_was_confirmed_and_is_on_no_disk_any_more_is_lost() -> None:
    found = count(record=RECORD, confirmed={"a", "b", "c", "d"}, kept={"a", "b", "c"}, desk={"opened"})
    assert found.lost == ("d",)


def test_an_event_that_stands_twice_is_counted() -> None:
    assert count(record=[*RECORD, RECORD[1]], **MADE).doubled == ("a",)


def test_a_tap_that_was_sent_again_under_a_new_id_is_doubled() -> None:
    again = {**RECORD[1], "id": "d"}
    found = count(record=[*RECORD, again], confirmed={"a", "b", "c", "d"}, kept={"a", "b", "c", "d"}, desk={"opened"})
    assert found.doubled == ("d",)


def test_an_operation_that_one_device_logged_twice_is_doubled() -> None:
    later = event("d", 9, body={"verb": "undo", "planned": 1})
    record = [*RECORD, later]
    assert count(record=record, confirmed={"a", "b", "c", "d"}, kept={"a", "b", "c"}, desk={"opened"}).doubled == (
        "d",
    )
    back = event("e", 8, kind="operation taken back", body={"mends": "a"})
    assert count(
        record=[*record, back], confirmed={"a", "b", "c", "d", "e"}, kept={"a", "b", "c"}, desk={"opened"}
    ).sound


def test_another_device_may_do_the_same_operation() -> None:
    other = event("d", 1, device="phone-b")
    assert count(record=[*RECORD, other], confirmed={"a", "b", "c", "d"}, kept={"a", "b", "c"}, desk={"opened"}).sound


def test_an_event_that_nobody_made_is_strange() -> None:
    assert count(record=[*RECORD, event("d", 7)], **MADE).strange == ("d",)


def test_a_device_that_took_it_over_has_not_made_it() -> None:
    assert count(record=RECORD, confirmed={"a", "b"}, kept={"a", "b", "c"}, desk={"opened"}).strange == ("c",)
