"""The chain against a plain second writing of it, and every kind of tampering, found at its place."""

import subprocess
from dataclasses import replace
from hashlib import sha256
from shutil import which

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.record.made import EVENTS, chain, chained, event
from putback.core.record import (
    Ack,
    Arrival,
    Conflict,
    Event,
    Head,
    KeptHead,
    Link,
    NotAHead,
    follows,
    genesis,
    grow,
    head_of,
    read_head,
    verify,
)

JOB = "job-1"


def places(links: tuple[Link, ...], *, kept: list[Head] | None = None, own: Head | None = None) -> list[int]:
    """The numbers that a check names."""
    heads = [KeptHead(seq=head.seq, hash=head.hash) for head in kept or []]
    return [found.where.line or 0 for found in verify(links, job=JOB, kept=heads, own=own)]


def test_the_hash_by_hand() -> None:
    """FIPS 180-4 by hashlib on the four lines that the format names, written out here once more."""
    links = chained(3)
    before = sha256(b"putback record/1 job-1").hexdigest()
    for n, link in enumerate(links, start=1):
        lines = before.encode() + b"\n" + str(n).encode() + b"\n" + link.received_at.encode() + b"\n" + link.content
        before = sha256(lines).hexdigest()
        assert (link.seq, link.hash) == (n, before)


@pytest.mark.skipif(which("sha256sum") is None, reason="no sha256sum on this machine")
def test_the_hash_by_another_program() -> None:
    """coreutils' sha256sum, fed as the documents say."""
    link = chained(1)[0]
    lines = f"{genesis(JOB).hash}\n1\n{link.received_at}\n".encode() + link.content
    said = subprocess.run(["sha256sum"], input=lines, capture_output=True, check=True).stdout
    assert said.split()[0].decode() == link.hash


def test_a_sound_record_has_no_fault() -> None:
    links = chained(9)
    assert verify(links, job=JOB, own=head_of(JOB, links)) == ()
    assert places(links, kept=[head_of(JOB, links[:n]) for n in range(10)]) == []
    assert verify((), job=JOB, own=genesis(JOB)) == ()


# Tampering with one row: each names that row and no other.
CHANGES = {
    "content": lambda link: replace(link, content=event(link.id, body={"note": "other"}).content),
    "one byte": lambda link: replace(link, content=link.content.replace(b"about", b"abouT")),
    "no JSON": lambda link: replace(link, content=b"\x00"),
    "received_at": lambda link: replace(link, received_at="2026-03-02T07:15:02Z"),
    "hash": lambda link: replace(link, hash="0" * 64),
    "id": lambda link: replace(link, id="other"),
    "job": lambda link: replace(link, job="job-2"),
    "device clock": lambda link: replace(link, content=link.content.replace(b"08:15", b"08:14")),
}


@pytest.mark.parametrize("change", CHANGES)
@given(count=st.integers(1, 9), data=st.data())
@settings(max_examples=20)
def test_a_changed_row_is_named_alone(change: str, count: int, data: st.DataObject) -> None:
    links = list(chained(count))
    at = data.draw(st.integers(0, count - 1))
    links[at] = CHANGES[change](links[at])
    assert places(tuple(links)) == [at + 1]


@given(count=st.integers(2, 9), data=st.data())
def test_a_lost_row_is_named(count: int, data: st.DataObject) -> None:
    links = chained(count)
    at = data.draw(st.integers(0, count - 2))
    assert places(links[:at] + links[at + 1 :]) == [at + 1]


@given(count=st.integers(2, 9), data=st.data())
def test_a_lost_row_with_the_rest_renumbered_is_named(count: int, data: st.DataObject) -> None:
    links = chained(count)
    at = data.draw(st.integers(0, count - 2))
    moved = tuple(replace(link, seq=link.seq - 1) for link in links[at + 1 :])
    assert places(links[:at] + moved)[0] == at + 1


@given(count=st.integers(2, 9), data=st.data())
def test_two_rows_that_changed_places_are_named(count: int, data: st.DataObject) -> None:
    links = list(chained(count))
    one, two = data.draw(st.lists(st.integers(0, count - 1), min_size=2, max_size=2, unique=True).map(sorted))
    links[one], links[two] = replace(links[two], seq=one + 1), replace(links[one], seq=two + 1)
    found = verify(tuple(links), job=JOB)
    assert found[0].where.line == one + 1
    named = range(found[-1].where.line or 0, count + 1)
    assert two + 1 in named or two == one + 1


@given(count=st.integers(1, 9), data=st.data())
def test_rows_read_in_another_order_are_named(count: int, data: st.DataObject) -> None:
    links = chained(count)
    other = tuple(data.draw(st.permutations(links)))
    assert bool(verify(other, job=JOB)) == (other != links)


@given(count=st.integers(1, 9), data=st.data())
def test_an_inserted_row_is_named(count: int, data: st.DataObject) -> None:
    links = chained(count)
    at = data.draw(st.integers(0, count))
    forged = replace(chain([event("forged")], "2026-03-02T07:15:09Z")[0], seq=at + 1, hash="f" * 64)
    moved = tuple(replace(link, seq=link.seq + 1) for link in links[at:])
    kept = [head_of(JOB, links)]
    assert places((*links[:at], forged, *moved), kept=kept)[0] == at + 1


@given(count=st.integers(1, 9), data=st.data())
def test_a_doubled_row_is_named(count: int, data: st.DataObject) -> None:
    links = chained(count)
    at = data.draw(st.integers(0, count - 1))
    assert places((*links[: at + 1], links[at], *links[at + 1 :])) == [at + 1]


def test_an_event_that_is_chained_twice_is_named() -> None:
    """A whole chain made anew with one event twice in it: each hash fits."""
    one, two = event("e1"), event("e2")
    first = grow([Arrival(event=one, received_at="2026-03-02T07:15:01Z")], heads={}, known={})
    again = [Arrival(event=each, received_at="2026-03-02T07:15:02Z") for each in (two, one)]
    links = first.links + grow(again, heads=first.heads, known={}).links
    (found,) = verify(links, job=JOB)
    assert (found.rule, found.where.line, found.where.field) == ("doubled", 3, "e1")


@given(count=st.integers(1, 9), data=st.data())
def test_a_cut_end_is_found_against_a_head(count: int, data: st.DataObject) -> None:
    links = chained(count)
    left = data.draw(st.integers(0, count - 1))
    head = head_of(JOB, links)
    assert places(links[:left]) == []
    assert places(links[:left], kept=[head]) == [left + 1]
    assert places(links[:left], own=head) == [left + 1]
    (found,) = verify(links[:left], job=JOB, kept=[KeptHead(seq=None, hash=head.hash)])
    assert found.rule == "head"


@given(count=st.integers(2, 9), data=st.data())
def test_a_record_written_anew_is_found_between_two_heads(count: int, data: st.DataObject) -> None:
    links = chained(count)
    changed = data.draw(st.integers(1, count))
    events = [event(f"job-1-e{n}", body={"note": "anew"} if n == changed else None) for n in range(1, count + 1)]
    anew = chain(events)
    kept = [head_of(JOB, links[:n]) for n in range(1, count + 1)]
    assert places(anew) == []
    assert places(anew, kept=kept[-1:]) == [count]
    assert places(anew, kept=kept) == list(range(changed, count + 1))
    first = verify(anew, job=JOB, kept=[KeptHead(seq=head.seq, hash=head.hash) for head in kept])[0]
    assert f"from event {changed} to {changed}" in first.what


def test_events_behind_the_stores_own_head_are_named() -> None:
    links = chained(5)
    assert places(links, own=head_of(JOB, links[:3])) == [4]


@given(count=st.integers(1, 6), cut=st.integers(0, 6), data=st.data())
def test_any_edit_of_any_field_is_found(count: int, cut: int, data: st.DataObject) -> None:
    """Whatever is done to the rows, a check with the head says nothing only if they are the same rows."""
    links = chained(count)
    rows = list(links[: max(0, count - cut)])
    for _ in range(data.draw(st.integers(0, 3))):
        if not rows:
            break
        at = data.draw(st.integers(0, len(rows) - 1))
        field = data.draw(st.sampled_from(["seq", "id", "received_at", "content", "hash", "job"]))
        other = data.draw(st.sampled_from([*links, *chained(2, "job-2")]))
        rows[at] = replace(rows[at], **{field: getattr(other, field)})
    rows = data.draw(st.permutations(rows))
    found = places(tuple(rows), kept=[head_of(JOB, links)])
    assert bool(found) == (tuple(rows) != links)
    whole = [row for row in rows if row in links]
    first_wrong = next((n for n in range(1, count + 1) if links[n - 1] not in whole), None)
    if first_wrong is not None and found and tuple(sorted(rows, key=lambda row: row.seq)) == tuple(rows):
        assert min(found) <= first_wrong


def test_a_slip_in_copying_a_head_is_told_from_a_change() -> None:
    links = chained(4)
    head = head_of(JOB, links)
    digit = "0" if head.hash[5] != "0" else "1"
    typed = head.hash[:5] + digit + head.hash[6:]
    for kept in (KeptHead(seq=4, hash=typed), KeptHead(seq=None, hash=typed)):
        (found,) = verify(links, job=JOB, kept=[kept])
        assert "look for a slip" in found.what


def test_a_head_reads_back_from_print() -> None:
    head = head_of(JOB, chained(4))
    for text in (str(head), head.on_paper(), head.on_paper().upper(), f"  {head.hash[:32]}\n{head.hash[32:]} "):
        assert read_head(text).hash == head.hash
    assert read_head(head.on_paper()).seq == 4
    for text in ("", "4", head.hash[:-1], f"x:{head.hash}", head.hash + "0", f"4:4:{head.hash}"):
        with pytest.raises(NotAHead):
            read_head(text)


@given(st.lists(EVENTS, max_size=12), st.data())
def test_growing_again_in_any_order_and_split_changes_nothing(events: list[Event], data: st.DataObject) -> None:
    arrivals = [Arrival(event=one, received_at="2026-03-02T07:15:01Z") for one in events]
    grown = grow(arrivals, heads={}, known={})
    known = {link.id: link for link in grown.links}
    assert verify(grown.links, job=JOB) == ()
    assert follows(genesis(JOB), grown.links)
    answered = {answer.id: answer for answer in grown.answers if isinstance(answer, Ack)}
    for arrival in data.draw(st.permutations(arrivals)):
        again = grow([replace(arrival, received_at="2026-03-03T00:00:00Z")], heads=grown.heads, known=known)
        assert again.links == ()
        (answer,) = again.answers
        if isinstance(answer, Conflict):
            assert known[answer.id].content != answer.content == arrival.event.content
            assert answer.id in answer.finding.what
        else:
            assert (answer.seq, answer.hash) == (answered[answer.id].seq, answered[answer.id].hash)
            assert answer.again


def test_a_time_of_receipt_is_a_time() -> None:
    with pytest.raises(ValueError, match="received_at"):
        Arrival(event=event("e1"), received_at="noon")
