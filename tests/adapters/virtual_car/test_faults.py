"""Each switch does what it says, on frames; the same seed does the same again."""

import functools
import random

import can
import isotp
import pytest

from putback.adapters.virtual_car.faults import WAIT_S, Faults, Switches

ID = 0x7E8
MESSAGES = 200


LENGTH = 60


@functools.cache
def sent() -> tuple[list[bytes], ...]:
    """The frames of messages of 60 bytes, as can-isotp makes them."""
    return tuple(frames_of(bytes((n + place) % 251 for place in range(LENGTH))) for n in range(MESSAGES))


def frames_of(message: bytes) -> list[bytes]:
    frames: list[bytes] = []
    go_on = [isotp.CanMessage(0x7E0, 3, bytes.fromhex("300000"))]
    layer = isotp.TransportLayerLogic(
        rxfn=lambda _timeout: go_on.pop() if go_on and frames else None,
        txfn=lambda frame: frames.append(bytes(frame.data)),
        address=isotp.Address(isotp.AddressingMode.Normal_11bits, txid=ID, rxid=0x7E0),
        params={"tx_padding": 0xAA},
    )
    layer.send(message)
    for _ in range(4):
        layer.process()
    return frames


def out(switches: Switches, frames: list[bytes], faults: Faults | None = None) -> list[tuple[float, bytes]]:
    faults = faults or Faults(switches, seed=1)
    made = []
    for data in frames:
        frame = can.Message(arbitration_id=ID, data=data, is_extended_id=False)
        made += [(due, bytes(one.data)) for due, one in faults.out(frame, 0.0)]
    return made


def all_out(switches: Switches, *, seed: int = 1) -> tuple[list[list[bytes]], list[list[tuple[float, bytes]]]]:
    faults = Faults(switches, seed=seed)
    before = list(sent())
    return before, [out(switches, frames, faults) for frames in before]


def test_without_faults_every_frame_goes_out_at_once() -> None:
    before, after = all_out(Switches())
    assert all(len(frames) == 9 for frames in before)  # ISO 15765-2: 6 bytes first, then 7 each: 1 + ceil(54 / 7)
    assert [[(0.0, data) for data in frames] for frames in before] == after


@pytest.mark.parametrize("chance", [0.03, 0.5])
def test_loss_loses_so_many(chance: float) -> None:
    before, after = all_out(Switches(loss=chance))
    count = sum(map(len, before))
    lost = count - sum(map(len, after))
    margin = 4 * (count * chance * (1 - chance)) ** 0.5  # four standard deviations of a binomial count
    assert abs(lost - count * chance) < margin
    assert all(data in frames for frames, made in zip(before, after, strict=True) for _, data in made)
    faults = Faults(Switches(loss=chance), seed=2)
    let_in = sum(faults.lets_in() for _ in range(4000))
    assert abs(let_in - 4000 * (1 - chance)) < 4 * (4000 * chance * (1 - chance)) ** 0.5


def test_twice_sends_the_same_again() -> None:
    before, after = all_out(Switches(twice=1.0))
    assert [[data for _, data in made] for made in after] == [
        [data for data in frames for _ in range(2)] for frames in before
    ]


def test_a_wrong_number_is_never_the_right_one_and_the_rest_stays() -> None:
    before, after = all_out(Switches(wrong_number=1.0))
    for frames, made in zip(before, after, strict=True):
        assert made[0][1] == frames[0]
        for data, (_, other) in zip(frames[1:], made[1:], strict=True):
            assert other[0] >> 4 == 2
            assert other[0] != data[0]
            assert other[1:] == data[1:]


def test_malformed_frames_are_of_every_kind() -> None:
    _, after = all_out(Switches(malformed=1.0))
    found = [data for made in after for _, data in made]
    assert {len(data) for data in found} >= {0, 1, 2, 3, 8}
    assert {data[0] >> 4 for data in found if data} >= set(range(4, 16))
    assert any(data and data[0] >> 4 == 0 and not 0 < data[0] < len(data) for data in found)


def test_cut_off_stops_after_the_beginning_and_before_the_end() -> None:
    before, after = all_out(Switches(cut_off=1.0))
    counts = {len(made) for made in after}
    assert counts == set(range(1, 9))
    for frames, made in zip(before, after, strict=True):
        assert [data for _, data in made] == frames[: len(made)]


def test_a_full_buffer_says_wait_and_then_go_on_or_never() -> None:
    # ISO 15765-2: flow status 1 wait, 2 overflow, 0 continue
    go_on, found = bytes.fromhex("300000AAAAAAAAAA"), set()
    for seed in range(50):
        made = out(Switches(), [go_on], Faults(Switches(buffer_full=1.0), seed=seed))
        found.add(tuple((due, data[0]) for due, data in made))
    assert found == {((0.0, 0x31), (WAIT_S, 0x30)), ((0.0, 0x32),)}


def test_late_frames_keep_their_order() -> None:
    _, after = all_out(Switches(late_s=0.05))
    for made in after:
        times = [due for due, _ in made]
        assert times == sorted(times)
        assert times[-1] <= 0.05
    assert max(due for made in after for due, _ in made) > 0.04


def test_the_same_seed_does_the_same() -> None:
    switches = Switches(loss=0.1, twice=0.1, wrong_number=0.1, malformed=0.1, cut_off=0.1, late_s=0.01)
    assert all_out(switches, seed=7) == all_out(switches, seed=7)
    assert all_out(switches, seed=7) != all_out(switches, seed=8)


def test_any_frame_can_be_spoilt() -> None:
    chance = random.Random(3)
    faults = Faults(Switches(malformed=1.0, wrong_number=1.0, cut_off=0.5, buffer_full=0.5, twice=0.5), seed=3)
    for _ in range(5000):
        data = chance.randbytes(chance.randint(0, 8))
        for _, made in faults.out(can.Message(arbitration_id=ID, is_extended_id=False, data=data), 0.0):
            assert len(made.data) <= 8


@pytest.mark.parametrize("wrong", [{"loss": 1.1}, {"twice": -0.1}, {"late_s": 11}, {"busy": -1}])
def test_what_cannot_be_is_said(wrong: dict[str, float]) -> None:
    (said,) = Switches(**wrong).wrong()  # type: ignore[arg-type]  # numbers of both kinds in one table
    assert said.startswith(next(iter(wrong)))
