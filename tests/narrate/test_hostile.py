"""Whatever a file holds, there is a clear error or a draft: no crash, no hang, and nothing that cannot be written.

The bytes are invented; the seeds are fixed, so a failure comes again.
"""

import random
from pathlib import Path

import pytest

from putback.adapters.procedure_file import read_procedure_text, write_procedure
from putback.core.finding import Finding, faults
from putback.narrate.lines.draft import drafted
from putback.narrate.lines.firm import as_procedure
from putback.narrate.text.captions import read_narration

HERE = Path(__file__).parent
SRT = (HERE / "held_out" / "starter.srt").read_bytes()
STAMPS = (
    "99:99:99,999",
    "-1:00:00,000",
    "00:00:00,000",
    "9999:59:59,999",
    "1:2",
    "00:00:60,000",
    "::",
    "٠٠:٠١:٠٢,٠٠٠",
)
TRADE = tuple(
    "bolt four ten mil off out the it no and back on same other side both torque to nm rag if don't again .".split()  # noqa: SIM905
)
ODD = (
    "\u202e\u202d\u2066\u2069\u200b\u200d\ufeff",
    "e\u0301\u0302\u0303" * 40,
    "\x00\x07\x1b[31m",
    "½ ⅝ ² Ⅷ ٣ 四",
    "<i><b><c.x><v a>" * 50,
    "{\\an8}",
    "🔩🚗\u200d🔧",
    "--> 00:00:01,000 -->",
    "NOTE\nSTYLE\nREGION",
    "9" * 5000,
    "1/0 5/0 0/8 -3 +4 1e999 0x10",
    "a 12 volt",
)


def taken(data: bytes) -> None:
    """Read, draft, write as a procedure and read that again."""
    heard = read_narration(data, "odd.srt")
    if isinstance(heard, Finding):
        assert heard.what
        assert heard.mend
        return
    draft = drafted(heard.spoken)
    for one in draft.operations:
        assert 0 <= one.start <= one.end <= len(heard.spoken.text)
    text = write_procedure(as_procedure(draft, car="Invented 1", file="odd.procedure.yaml"))
    again = read_procedure_text(text.encode("utf-8"), "odd.procedure.yaml")
    assert again.procedure is not None, faults(again.findings)
    assert len(again.procedure.lines) == len(draft.operations)


@pytest.mark.parametrize("seed", range(60))
def test_random_bytes_and_broken_captions(seed: int) -> None:
    chance = random.Random(seed)
    taken(chance.randbytes(chance.randrange(400)))
    broken = bytearray(SRT)
    for _ in range(chance.randrange(1, 40)):
        broken[chance.randrange(len(broken))] = chance.randrange(256)
    start = chance.randrange(len(broken))
    taken(bytes(broken[start : start + chance.randrange(2000)]))


@pytest.mark.parametrize("seed", range(60))
def test_absurd_times_words_and_signs(seed: int) -> None:
    chance = random.Random(seed)
    rows = []
    for n in range(chance.randrange(1, 12)):
        words = [chance.choice((*TRADE, *ODD)) for _ in range(chance.randrange(14))]
        rows.append(f"{n}\n{chance.choice(STAMPS)} --> {chance.choice(STAMPS)}\n{' '.join(words)}\n")
    taken(
        chance.choice(("WEBVTT\n\n", "\ufeff", "")).encode()
        + "\n".join(rows).encode(chance.choice(("utf-8", "utf-16")))
    )


@pytest.mark.parametrize("cut", range(0, 2000, 37))
def test_captions_that_end_anywhere(cut: int) -> None:
    taken(SRT[:cut])


@pytest.mark.parametrize(
    "end",
    [
        "12 V",
        "a 12 volt",
        "bolt off 12v",
        "ten",
        "take the",
        "if",
        "both",
        "to 22",
        "'s",
        "on, just",
        "11.9/4",
        "1,5/0",
        "to stop removed,",
    ],
)
def test_notes_that_break_off(end: str) -> None:
    taken(end.encode())
    taken(f"cover off {end}".encode())
    taken(f"back more kit {end}".encode())


@pytest.mark.parametrize("word", ["bolt", "four", "x", "off", "'s", "half", "\u202e"])
def test_one_word_again_and_again(word: str) -> None:
    taken(f"{word} ".encode() * (30_000 // len(word)))


@pytest.mark.parametrize(
    "data", [b"bolt " * 2_000_000, b"a" * 10_000_000], ids=["ten megabytes of one word", "one long word"]
)
def test_what_is_too_long_is_refused_in_words(data: bytes) -> None:
    refused = read_narration(data, "long.txt")
    assert isinstance(refused, Finding)
    assert "parts" in refused.mend


def test_a_megabyte_without_a_blank_and_very_many_cues() -> None:
    taken(b"a" * 1_000_000)
    taken(b"".join(b"%d\n00:00:01,000 --> 00:00:02,000\nbolt\n\n" % n for n in range(20_000)))


def test_three_hours_of_talk_are_read_whole() -> None:
    words = "I take the four ten millimeter bolts off the cover and set it on the bench then "
    cues = [
        f"{n}\n{n // 1200:02}:{n // 20 % 60:02}:{n * 3 % 60:02},000 --> 03:59:59,000\n{words}{n}\n"
        for n in range(1900)
    ]
    heard = read_narration("\n".join(cues).encode(), "three.srt")
    assert not isinstance(heard, Finding)
    assert len(heard.spoken.text.split()) > 30_000
    assert drafted(heard.spoken).operations[-1].end > 0.99 * len(heard.spoken.text)
