"""Pairing, tried by who should not come in: used codes, old ones, guesses, clocks, damaged files, two at once."""

import json
import secrets
import stat
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from putback.adapters.whole_file import write_whole
from putback.bay.pairing import (
    CODE_LETTERS,
    LETTERS,
    Code,
    Device,
    NotPaired,
    Paired,
    Pairing,
    Way,
    letters_of,
    paired,
)
from putback.core.finding import Finding

WRITE = "putback.bay.pairing.write_whole"
MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)


@dataclass
class Desk:
    """A workshop whose two clocks can be moved apart."""

    place: Path
    wall: datetime = MORNING
    seconds: float = 1000.0
    pairing: Pairing = field(init=False)

    def __post_init__(self) -> None:
        self.restart()

    def restart(self) -> None:
        devices = paired(self.place)
        assert not isinstance(devices, Finding), devices
        self.pairing = Pairing(
            place=self.place,
            devices=devices,
            clock=lambda: self.wall,
            steady=lambda: self.seconds,
            random=secrets.token_bytes,
        )

    def go_by(self, minutes: float) -> None:
        self.wall += timedelta(minutes=minutes)
        self.seconds += 60 * minutes

    def code(self) -> str:
        code = self.pairing.new_code()
        assert isinstance(code, Code)
        return code.text

    def pair(self, code: str, name: str = "wing", way: Way = Way.ENCRYPTED) -> Paired | NotPaired:
        return self.pairing.pair(code=code, name=name, way=way)

    def let_in(self, name: str = "wing", way: Way = Way.ENCRYPTED) -> Paired:
        told = self.pair(self.code(), name, way)
        assert isinstance(told, Paired)
        return told

    def knows(self, told: Paired, way: Way = Way.ENCRYPTED) -> bool:
        return self.pairing.known(told.token, way=way) is not None


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path / "paired.json")


def wrong_for(code: str) -> str:
    return "".join(LETTERS[(LETTERS.index(one) + 1) % len(LETTERS)] for one in code)


def test_a_code_lets_one_phone_in_once(desk: Desk) -> None:
    code = desk.code()
    told = desk.pair(code)
    assert isinstance(told, Paired)
    assert desk.knows(told)
    assert isinstance(desk.pair(code), NotPaired), "a replay"
    desk.restart()
    assert isinstance(desk.pair(code), NotPaired), "a replay after a restart"
    assert desk.knows(told)
    assert [one.name for one in desk.pairing.devices()] == ["wing"]


@pytest.mark.parametrize("typed", [str.lower, lambda code: f" {code[:3]}-{code[3:]} ", " ".join])
def test_a_code_is_read_as_gloves_type_it(desk: Desk, typed: Callable[[str], str]) -> None:
    assert isinstance(desk.pair(typed(desk.code())), Paired)


def test_no_two_letters_of_a_code_look_alike() -> None:
    assert not set(LETTERS) & set("01OILQUVBGSZ2568")
    assert len(set(LETTERS)) == len(LETTERS)


def test_each_letter_is_as_likely_as_any_other() -> None:
    """Of 256 bytes 240 are 12 rounds of the 20 letters; the others are drawn again."""
    first = []
    for byte in range(256):
        drawn = iter([bytes([byte] * CODE_LETTERS), b"\xff" * CODE_LETTERS, b"\x00" * CODE_LETTERS])
        code = letters_of(lambda _, drawn=drawn: next(drawn))  # type: ignore[misc]
        assert code == LETTERS[byte % 20] * CODE_LETTERS if byte < 240 else code == LETTERS[0] * CODE_LETTERS
        first.append(code[0] if byte < 240 else "")
    assert {first.count(one) for one in LETTERS} == {12}


@pytest.mark.parametrize("minutes", [9.99, 10.0, 600.0])
def test_a_code_ends(desk: Desk, minutes: float) -> None:
    code = desk.code()
    desk.go_by(minutes)
    assert isinstance(desk.pair(code), Paired if minutes < 10 else NotPaired)


@pytest.mark.parametrize(
    ("wall", "steady"),
    [(11, 0), (0, 11), (-1, 11), (-1, 1), (-(60 * 24), 0), (60 * 24, 1)],
)
def test_no_clock_keeps_a_code_alive(desk: Desk, wall: float, steady: float) -> None:
    """Either clock ends it; a wall clock that is set back before the code was made voids it."""
    code = desk.code()
    desk.wall += timedelta(minutes=wall)
    desk.seconds += 60 * steady
    assert desk.pairing.code() is None
    desk.wall, desk.seconds = MORNING, 1000.0
    assert isinstance(desk.pair(code), NotPaired), "void for ever, whatever the clocks say later"


def test_a_new_code_voids_the_one_before(desk: Desk) -> None:
    old, new = desk.code(), desk.code()
    assert isinstance(desk.pair(old), NotPaired)
    assert isinstance(desk.pair(new), Paired)


def test_after_five_wrong_codes_pairing_shuts_and_needs_a_new_one(desk: Desk) -> None:
    code = desk.code()
    for _ in range(5):
        assert isinstance(desk.pair(wrong_for(code)), NotPaired)
    told = desk.pair(code)
    assert isinstance(told, NotPaired)
    assert "shut" in told.what
    assert isinstance(desk.pairing.new_code(), NotPaired)
    assert desk.pairing.code() is None
    desk.wall += timedelta(hours=5)
    assert isinstance(desk.pairing.new_code(), NotPaired), "the clock that can be set opens nothing"
    desk.go_by(10)
    assert isinstance(desk.pair(code), NotPaired), "the old code stays void"
    assert isinstance(desk.pair(desk.code()), Paired)


def test_a_new_code_or_a_pairing_gives_no_new_tries(desk: Desk) -> None:
    for _ in range(4):
        desk.pair(wrong_for(desk.code()))
    desk.let_in()
    code = desk.code()
    desk.pair(wrong_for(code))
    assert isinstance(desk.pair(code), NotPaired)


def test_wrong_codes_of_long_ago_do_not_count(desk: Desk) -> None:
    for _ in range(40):
        code = desk.code()
        desk.pair(wrong_for(code))
        desk.go_by(2.6)
    assert isinstance(desk.pair(desk.code()), Paired)


def test_guessing_for_a_day_is_hopeless(desk: Desk) -> None:
    """A new code whenever one may be had, a guess each second: tries a day over all codes is the chance."""
    tries = 0
    for _ in range(24 * 60):
        live = desk.pairing.code() or desk.pairing.new_code()
        for _ in range(60):
            if isinstance(live, Code) and desk.pairing.code() is not None:
                desk.pair(wrong_for(live.text))
                tries += 1
        desk.go_by(1)
    assert 0 < tries <= 5 * 24 * 6
    assert tries / len(LETTERS) ** CODE_LETTERS < 2e-5


@pytest.mark.parametrize("code", ["", " ", "ÄÖÜ", "A" * 10_000, "\0", "ACDEFHJ"])
def test_what_is_no_code_is_a_wrong_one(desk: Desk, code: str) -> None:
    desk.code()
    assert isinstance(desk.pair(code), NotPaired)
    assert desk.pairing.devices() == ()


@pytest.mark.parametrize("name", ["", "  ", "x" * 41, "a\x00b", "a\u202eb"])
def test_a_phone_needs_a_name_that_can_be_read(desk: Desk, name: str) -> None:
    code = desk.code()
    assert isinstance(desk.pair(code, name), NotPaired)
    assert isinstance(desk.pair(code, "  left \n bay "), Paired), "and the code is not used up by that"
    assert desk.pairing.devices()[0].name == "left bay"


def test_two_phones_with_one_code_at_once(desk: Desk) -> None:
    code, told = desk.code(), []
    ready = threading.Barrier(8)

    def run() -> None:
        ready.wait()
        told.append(desk.pair(code))

    threads = [threading.Thread(target=run) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(isinstance(one, Paired) for one in told) == 1
    assert len(desk.pairing.devices()) == 1


def test_of_a_token_only_its_digest_is_kept(desk: Desk) -> None:
    told = desk.let_in()
    text = desk.place.read_text()
    assert len(bytes.fromhex(told.token)) == 32
    assert told.token not in text
    assert sha256(told.token.encode()).hexdigest() in text
    assert stat.S_IMODE(desk.place.stat().st_mode) == 0o600
    assert desk.pairing.known(sha256(told.token.encode()).hexdigest(), way=Way.ENCRYPTED) is None


@pytest.mark.parametrize("token", ["", "0" * 64, "ü", "\ud800"])
def test_another_token_is_a_stranger(desk: Desk, token: str) -> None:
    desk.let_in()
    assert desk.pairing.known(token, way=Way.ENCRYPTED) is None


@pytest.mark.parametrize(("paired_on", "used_on"), [(Way.PLAIN, Way.ENCRYPTED), (Way.ENCRYPTED, Way.PLAIN)])
def test_a_token_heard_in_plain_http_opens_nothing_encrypted(desk: Desk, paired_on: Way, used_on: Way) -> None:
    told = desk.let_in(way=paired_on)
    assert desk.knows(told, paired_on)
    assert not desk.knows(told, used_on)
    desk.restart()
    assert not desk.knows(told, used_on)


def test_an_unpaired_phone_is_shut_out_at_once_and_stays_so(desk: Desk) -> None:
    gone, stays = desk.let_in("wing"), desk.let_in("bench")
    assert desk.pairing.unpair(gone.device.id)
    assert not desk.knows(gone)
    assert not desk.pairing.unpair(gone.device.id)
    desk.restart()
    assert not desk.knows(gone)
    assert desk.knows(stays)


def test_when_a_phone_was_here_is_known(desk: Desk) -> None:
    told = desk.let_in()
    desk.go_by(7)
    assert desk.knows(told)
    assert desk.pairing.devices()[0].seen_at == MORNING + timedelta(minutes=7)
    assert desk.pairing.devices()[0].paired_at == MORNING


@pytest.fixture
def full(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    def refuse(*_: object, **__: object) -> bool:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(WRITE, refuse)
        yield patch


def test_a_full_disk_lets_nobody_in_and_the_code_lives(desk: Desk, full: pytest.MonkeyPatch) -> None:
    code = desk.code()
    with pytest.raises(OSError, match="No space"):
        desk.pair(code)
    assert desk.pairing.devices() == ()
    full.undo()
    assert isinstance(desk.pair(code), Paired)


def test_a_full_disk_still_shuts_a_phone_out(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    told, other = desk.let_in(), desk.let_in("bench")
    monkeypatch.setattr(WRITE, lambda *_: (_ for _ in ()).throw(OSError(28, "No space left")))
    with pytest.raises(OSError, match="No space"):
        desk.pairing.unpair(told.device.id)
    assert not desk.knows(told)
    assert len(desk.pairing.devices()) == 2, "it is listed until the disk has it"
    monkeypatch.setattr(WRITE, write_whole)
    desk.let_in("third")
    assert told.device.token_sha256 not in desk.place.read_text(), "whatever is written next shuts it out for good"
    assert desk.pairing.unpair(told.device.id)
    desk.restart()
    assert not desk.knows(told)
    assert desk.knows(other)


DAMAGE = {
    "empty": b"",
    "cut off": b'{"format": "putback-paired/1", "devices": [{"id"',
    "no text": b"\xff\xfe",
    "a list": b"[]",
    "null": b"null",
    "deep": b"[" * 100_000,
    "no devices": b'{"format": "putback-paired/1"}',
    "no list": b'{"format": "putback-paired/1", "devices": 7}',
    "newer": b'{"format": "putback-paired/2", "devices": []}',
}


@pytest.mark.parametrize("name", DAMAGE)
def test_a_damaged_file_is_said_and_lets_nobody_in(tmp_path: Path, name: str) -> None:
    place = tmp_path / "paired.json"
    place.write_bytes(DAMAGE[name])
    told = paired(place)
    assert isinstance(told, Finding)
    assert told.where.file == str(place)
    assert "nobody is let in" in told.mend


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("id", 7),
        ("way", "other"),
        ("paired_at", "yesterday"),
        ("paired_at", "2026-03-02T08:00:00"),
        ("token_sha256", ""),
        ("token_sha256", "zz" * 32),
        ("name", None),
    ],
)
def test_a_damaged_line_is_said_and_lets_nobody_in(desk: Desk, key: str, value: object) -> None:
    desk.let_in("wing")
    desk.let_in("bench")
    raw = json.loads(desk.place.read_text())
    raw["devices"][0][key] = value
    desk.place.write_text(json.dumps(raw))
    assert isinstance(paired(desk.place), Finding)
    raw["devices"] = [raw["devices"][1]] * 2
    desk.place.write_text(json.dumps(raw))
    assert isinstance(paired(desk.place), Finding), "one phone twice"


def test_no_file_is_no_phone(tmp_path: Path) -> None:
    assert paired(tmp_path / "paired.json") == ()


def test_the_file_says_what_was_paired(desk: Desk) -> None:
    told = desk.let_in("left bay")
    devices = paired(desk.place)
    assert devices == (told.device,)
    assert isinstance(told.device, Device)
