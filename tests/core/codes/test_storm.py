"""A million broken frames: nothing raises, nothing grows without bound, no list that was broken counts as whole."""

import os

from core.codes.storm import Batch, Storm
from putback.core.codes.meaning.answers import read_answer
from putback.core.codes.meaning.code_answers import CodeAnswer, StatusAnswer
from putback.core.codes.talk.askers import standard_partner
from putback.core.codes.talk.car_read import How, ModuleRead
from putback.core.codes.talk.frames import Message, Reassembler, place_of
from putback.core.codes.talk.replay import Replay

FRAMES = int(os.environ.get("PUTBACK_STORM", "1_000_000"))


def codes_of(payload: bytes) -> list[str]:
    answer = read_answer(payload)
    if isinstance(answer, StatusAnswer):
        return sorted({str(one.code) for one in answer.listed})
    assert isinstance(answer, CodeAnswer)
    return sorted({str(code) for code in answer.codes})


def check_messages(batch: Batch) -> int:
    """Every whole message of a module is one that was sent so, to the byte."""
    parts = Reassembler(ended_by=standard_partner)
    items = parts.take_all(batch.rows) + parts.end()
    got = [item for item in items if isinstance(item, Message) and item.place in batch.sent]
    refusal = bytes.fromhex("7F1922")
    for item in got:
        assert item.data in batch.sent[item.place] or item.data == refusal or not item.whole, item
        assert item.whole or item.said
    for place, sent in batch.sent.items():
        came = {item.data for item in got if item.place == place and item.whole}
        assert sent <= came, "a message that was sent in full is missing"
    return len(items)


def place_of_module(module: ModuleRead) -> int:
    return place_of(module.pair.answer, extended=module.pair.extended)


def check_lists(batch: Batch) -> int:
    """A module counts as answered only where a list of it was sent whole, and then it has exactly those codes."""
    replay = Replay(stage="before")
    replay.take_all(batch.rows)
    answered = 0
    for read in replay.end().reads:
        for module in read.modules:
            if module.how is How.ANSWERED:
                answered += 1
                whole = [codes_of(payload) for payload in batch.lists.get(place_of_module(module), ())]
                assert sorted(line.code for line in module.listed) in whole, module
    return answered


def test_a_storm_of_broken_frames() -> None:
    storm, frames, ended, answered = Storm(20261126), 0, 0, 0
    while frames < FRAMES:
        # among many answers of a module one is whole nearly always; among few there is often none
        batch = storm.batch(storm.rng.choice((200, 10, 10, 10, 10, 10, 10, 10, 10, 10, 10)))
        frames += len(batch.rows)
        ended += check_messages(batch)
        answered += check_lists(batch)
    assert ended > frames // 100
    assert answered > 0
