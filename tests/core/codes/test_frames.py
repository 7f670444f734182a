"""Frames put together: published exchanges, an independent library on random traffic, and what is never whole."""

import random
from collections.abc import Iterator

import isotp
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.talk.frames import (
    MOST_BYTES,
    MOST_OPEN,
    FlowControl,
    Frame,
    Message,
    Reassembler,
    Why,
    place_of,
)


def rows(text: str, *, gap_s: float = 0.001) -> list[Frame]:
    """Frames as `ID#DATA`, one after the other, evenly in time."""
    parts = [one.split("#") for one in text.replace(";", " ").split()]
    return [
        Frame(n * gap_s, place_of(int(id, 16), extended=len(id) > 3), bytes.fromhex(data))
        for n, (id, data) in enumerate(parts)
    ]


def messages(frames: list[Frame], **more: float) -> list[Message]:
    one = Reassembler(**more)  # type: ignore[arg-type]  # one int and one float among the keywords
    return [item for item in one.take_all(frames) + one.end() if isinstance(item, Message)]


def test_a_published_exchange() -> None:
    """Seen: hartkopp/can-isotp issue 34; the decoding is computed. The flow control goes to 7E0, not to 7DF."""
    sent = (
        "7DF#0209020000000000; 7E8#1014490201574458; 7E0#3000000000000000; 7E8#212D53494D303031; 7E8#2239323132333435"
    )
    one = Reassembler()
    asked, flow, answer = one.take_all(rows(sent))
    assert isinstance(asked, Message)
    assert isinstance(answer, Message)
    assert (asked.id, asked.data, asked.whole) == (0x7DF, b"\x09\x02", True)
    assert isinstance(flow, FlowControl)
    assert (flow.place, flow.status, flow.block, flow.gap) == (0x7E0, 0, 0, 0)
    assert (answer.id, answer.stated, answer.whole) == (0x7E8, 0x14, True)
    assert answer.data == b"\x49\x02\x01WDX-SIM0019212345"


def test_a_published_answer_that_says_32_and_brings_27_is_not_whole() -> None:
    """Seen: python-OBD test_protocol_can, which takes it for whole."""
    (answer,) = messages(rows("7E8#1020490400010203 7E8#210405060708090A 7E8#220B0C0D0E0F1011 7E8#2312131415161718"))
    assert (answer.why, answer.stated, answer.data) == (Why.ENDED, 32, bytes([0x49, 0x04, *range(0x19)]))
    assert answer.said == "the frames end before it does: 27 of 32 bytes"


# an independent library on random traffic


def exchange(payload: bytes, *, fd: bool, padding: int | None) -> list[bytes]:
    """The frames by which can-isotp sends a message, flow control by another of its stacks."""
    to_tester: list[isotp.CanMessage] = []
    to_module: list[isotp.CanMessage] = []
    frames: list[bytes] = []
    more = {"tx_data_length": 64, "can_fd": True} if fd else {}
    params = {"stmin": 0, "blocksize": 4, "tx_padding": padding, "max_frame_size": 1 << 17, **more}

    def sent(message: isotp.CanMessage) -> None:
        frames.append(bytes(message.data))
        to_tester.append(message)

    def take(pile: list[isotp.CanMessage]) -> isotp.CanMessage | None:
        return pile.pop(0) if pile else None

    mode = isotp.AddressingMode.Normal_11bits
    module = isotp.TransportLayerLogic(
        rxfn=lambda _: take(to_module),
        txfn=sent,
        address=isotp.Address(mode, txid=0x7E8, rxid=0x7E0),
        params=params,
    )
    tester = isotp.TransportLayerLogic(
        rxfn=lambda _: take(to_tester),
        txfn=to_module.append,
        address=isotp.Address(mode, txid=0x7E0, rxid=0x7E8),
        params=params,
    )
    module.send(payload)
    for _ in range(100_000):
        module.process()
        tester.process()
        if tester.available():
            assert bytes(tester.recv() or b"") == payload
            return frames
    raise AssertionError("the library did not send its own message")


@pytest.mark.parametrize("fd", [False, True])
def test_what_the_library_sends_and_takes_is_taken_the_same(fd: bool) -> None:
    """300 messages of random length, interleaved over 12 ids, three ways of padding; the frames are can-isotp's."""
    rng = random.Random(20 + fd)
    waiting: dict[int, list[bytes]] = {}
    truth: dict[int, list[bytes]] = {}
    for id in range(12):
        for _ in range(25):
            payload = rng.randbytes(rng.choice((1, 2, 6, 7, 8, 9, 61, 62, 63, 64, rng.randrange(1, 700))))
            waiting.setdefault(id, []).extend(exchange(payload, fd=fd, padding=rng.choice((None, 0x00, 0xAA))))
            truth.setdefault(id, []).append(payload)
    order = [id for id, frames in waiting.items() for _ in frames]
    rng.shuffle(order)
    frames = [Frame(n * 1e-4, id, waiting[id].pop(0)) for n, id in enumerate(order)]
    came: dict[int, list[bytes]] = {}
    for message in messages(frames, silence_s=9.0):
        assert message.whole
        came.setdefault(message.id, []).append(message.data)
    assert came == truth


def test_a_length_beyond_twelve_bits() -> None:
    """Escape length of ISO 15765-2:2016, frames by can-isotp."""
    payload = random.Random(5).randbytes(5000)
    frames = [Frame(0.0, 1, one) for one in exchange(payload, fd=False, padding=None)]
    assert frames[0].data[:2] == b"\x10\x00"
    assert [one.data for one in messages(frames)] == [payload]


# what is not whole


def cut(payload: bytes) -> list[bytes]:
    """A message of more than seven bytes as plain frames."""
    first = bytes([0x10 | len(payload) >> 8, len(payload) & 0xFF]) + payload[:6]
    rest = [payload[place : place + 7] for place in range(6, len(payload), 7)]
    return [first, *(bytes([0x20 | n & 0xF]) + one.ljust(7, b"\x55") for n, one in enumerate(rest, start=1))]


def at_even_pace(frames: list[bytes], *, place: int = 0x7E8, start_s: float = 0.0) -> list[Frame]:
    return [Frame(start_s + n * 0.001, place, data) for n, data in enumerate(frames)]


def test_every_single_loss_is_said_whatever_frame_it_is() -> None:
    payload = bytes(range(200))
    frames = cut(payload)
    for lost in range(len(frames)):
        got = messages(at_even_pace(frames[:lost] + frames[lost + 1 :]))
        assert len(got) == 1, lost
        assert not got[0].whole
        assert payload.startswith(got[0].data)
        assert got[0].why is (Why.HEADLESS if lost == 0 else Why.ENDED if lost == len(frames) - 1 else Why.SEQUENCE)


def test_a_loss_of_sixteen_frames_keeps_the_sequence_and_is_still_said() -> None:
    frames = cut(bytes(255))
    (got,) = messages(at_even_pace(frames[:3] + frames[19:]))
    assert got.why is Why.ENDED


def test_frames_that_come_twice_are_counted_and_taken_once() -> None:
    payload = bytes(range(60))
    frames = [one for frame in cut(payload) for one in (frame, frame)]
    one = Reassembler()
    (got,) = [item for item in one.take_all(at_even_pace(frames)) if isinstance(item, Message)]
    assert (got.whole, got.data, got.duplicates, one.late) == (True, payload, len(frames) // 2 - 1, 1)


def test_a_swapped_pair_is_out_of_order() -> None:
    frames = cut(bytes(range(60)))
    frames[2], frames[3] = frames[3], frames[2]
    (got,) = messages(at_even_pace(frames))
    assert (got.why, len(got.data)) == (Why.SEQUENCE, 13)


def test_silence_and_a_new_beginning_cut_it_off() -> None:
    frames = cut(bytes(range(60)))
    late = at_even_pace(frames[:4]) + at_even_pace(frames[4:], start_s=1.1)
    assert [one.why for one in messages(late)] == [Why.SILENT]
    new = at_even_pace(frames[:4] + frames)
    assert [one.why for one in messages(new)] == [Why.NEW, None]
    single = at_even_pace([*frames[:4], bytes.fromhex("037F1922")])
    assert [(one.why, len(one.data)) for one in messages(single)] == [(Why.NEW, 27), (None, 3)]


def test_a_new_request_ends_what_was_on_its_way_and_the_sign_of_life_does_not() -> None:
    frames = at_even_pace(cut(bytes(60)))
    partner = {place_of(0x7E0): place_of(0x7E8)}.get
    for said, why in (("023E80", None), ("021001", Why.BROKEN)):
        one = Reassembler(ended_by=partner)
        items = one.take_all([*frames[:3], Frame(0.003, 0x7E0, bytes.fromhex(said)), *frames[3:]]) + one.end()
        assert [item.why for item in items if isinstance(item, Message) and item.id == 0x7E8] == [why]


def test_short_frames_inside_a_message() -> None:
    frames = cut(bytes(range(60)))
    assert [one.why for one in messages(at_even_pace([*frames[:2], frames[2][:5], *frames[3:]]))] == [Why.SHORT]
    assert [one.why for one in messages(at_even_pace([frames[0][:5], *frames[1:]]))] == [Why.SHORT]
    assert [one.why for one in messages(at_even_pace([*frames[:-1], frames[-1][:3]]))] == [Why.SHORT]
    bare = [*frames[:-1], frames[-1][: 1 + (60 - 6) % 7]]  # the last frame without padding
    assert [one.why for one in messages(at_even_pace(bare))] == [None]


def test_a_single_frame_that_says_more_than_it_holds() -> None:
    (got,) = messages(rows("7E8#074302"))
    assert (got.why, got.stated, got.data) == (Why.SHORT, 7, b"\x43\x02")


def test_what_may_not_be_is_counted() -> None:
    one = Reassembler()
    bad = "7E8#0000000000000000 7E8#08AABBCCDDEEFF00 7E8#FF00 7E8#4000 7E8# 7E8#30 7E8#1007AABBCCDDEEFF"
    bad += " 7E8#10000000000100FF"
    assert one.take_all(rows(bad)) == []
    assert one.unread == 8


def test_ids_channels_and_lengths_of_id_are_kept_apart() -> None:
    frames = cut(bytes(range(60)))
    places = [place_of(0x7E8), place_of(0x7E8, extended=True), place_of(0x7E8, channel=1)]
    mixed = [Frame(n * 0.001, place, data) for n, data in enumerate(frames) for place in places]
    assert sorted(one.place for one in messages(mixed) if one.whole) == sorted(places)
    assert [(one.id, one.extended, one.channel) for one in messages(mixed)] == [
        (0x7E8, False, 0),
        (0x7E8, True, 0),
        (0x7E8, False, 1),
    ]


def test_an_address_before_each_frame() -> None:
    """Extended addressing of ISO 15765-2: the first byte tells modules apart, six are left for a single frame."""
    payload = bytes(range(20))
    frames = [b"\x10\x14" + payload[:5], b"\x21" + payload[5:11], b"\x22" + payload[11:17], b"\x23" + payload[17:]]
    mixed = [address + data for data in frames for address in (b"\xf1", b"\xf2")]
    got = messages(at_even_pace([*mixed, b"\xf1\x03\x7f\x19\x22"]), address_bytes=1)
    assert [(one.data, one.whole) for one in got] == [(payload, True)] * 2 + [(b"\x7f\x19\x22", True)]


# memory, and bytes of any kind


def flood(count: int) -> Iterator[Frame]:
    for n in range(count):
        yield Frame(n * 1e-5, place_of(n % (1 << 20), extended=True), b"\x10\x00\xff\xff\xff\xff\x01\x02")


def test_a_flood_of_huge_beginnings_stays_small() -> None:
    """50,000 first frames under as many ids, each of which states 4,294,967,295 bytes."""
    one = Reassembler()
    out = one.take_all(flood(50_000)) + one.end()
    assert len(out) == 50_000
    assert {item.why for item in out if isinstance(item, Message)} == {Why.CROWDED, Why.ENDED}
    assert sum(item.why is Why.ENDED for item in out if isinstance(item, Message)) == MOST_OPEN


def test_a_message_without_end_is_not_followed_for_ever() -> None:
    rest = [bytes([0x20 | n & 0xF]) + bytes(7) for n in range(1, 20_000)]
    got = messages(at_even_pace([b"\x10\x00\xff\xff\xff\xff\x01\x02", *rest]))
    assert [one.why for one in got] == [Why.LONG]
    assert MOST_BYTES < len(got[0].data) < MOST_BYTES + 8


@given(st.lists(st.tuples(st.floats(allow_nan=True), st.integers(0, 3), st.binary(max_size=70)), max_size=40))
def test_no_bytes_and_no_times_raise(frames: list[tuple[float, int, bytes]]) -> None:
    one = Reassembler()
    for item in one.take_all(frames) + one.end():
        if isinstance(item, Message):
            assert item.whole == (item.stated == len(item.data))
            assert item.whole or item.said
