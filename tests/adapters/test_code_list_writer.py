"""A read that is saved and read back is the same read; a list that was written by hand stays what it is.

Random reads are made here; the format is the contract's and docs/codes-bus.md's.
"""

import os
import random
import stat
from dataclasses import replace
from pathlib import Path

import pytest

from putback.adapters.code_list_writer import list_text, listing_text, may_write, write_list
from putback.adapters.code_lists import read_code_list, read_code_list_text
from putback.core.codes.lists.listing import Listed, Listing, Readiness, Stage
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead, Pair

WORDS = ("no answer", "cut off; 13 bytes came", 'with, comma and "quotes"', "with: colon", "# with a hash", "ünïcode")
CODES = ("P0A9B-17", "P0104", "C1D27-13", "U1C33-87", "B1E08-62", "P0001")


def random_module(chance: random.Random, n: int) -> ModuleRead:
    how = chance.choice(list(How))
    heard = how in (How.ANSWERED, How.PARTIAL)
    mask = chance.choice((0xFF, 0xFF, 0x7F, 0x0C)) if heard else 0xFF
    name = chance.choice(("engine", "brake unit", "module 7e0", "radar (left)")) + f" {n}"
    extended = chance.random() < 0.3
    base = 0x18DA10F1 + 0x100 * n if extended else 0x600 + n
    listed = []
    for code in chance.sample(CODES, chance.randrange(len(CODES))) if heard else []:
        own = chance.choice((mask, mask, 0x08, 0x04, 0x0C)) & mask
        bits = chance.randrange(256) if own == mask else chance.randrange(256) & own
        text = chance.choice(("", 'it, "says"', "plain"))
        listed.append(Listed(module=name, code=code, bits=bits, mask=own, text=text))
    return ModuleRead(
        module=name,
        pair=Pair(request=base, answer=base + 8, extended=extended),
        how=how,
        listed=tuple(listed),
        mask=mask,
        permanent=chance.choice((None, (), ("P0104", "P0A9B"))) if heard else None,
        readiness=chance.choice((None, Readiness(supported=8, complete=chance.randrange(9)))) if heard else None,
        vin=chance.choice((None, "9ZZXA00A3T0000001")) if heard else None,
        service=chance.choice((0x19, 0x03)) if heard else None,
        said=tuple(chance.sample(WORDS, chance.randrange(3))),
        notes=tuple(chance.sample(WORDS, chance.randrange(3))),
        took_s=round(chance.random() * 3, 3),
    )


def random_read(chance: random.Random) -> CarRead:
    return CarRead(
        stage=str(chance.choice(list(Stage))),
        at="2026-11-26T16:00:00+01:00",
        bus=chance.choice(("socketcan:can0", "virtual car (simulated)")),
        modules=tuple(random_module(chance, n) for n in range(chance.randrange(1, 6))),
        vin=chance.choice((None, "9ZZXA00A3T0000001", "12 odd-number\\x00")),
        stopped=chance.choice(("", "stopped before every module was asked")),
        since=chance.choice(("", "12 V was off")),
        notes=tuple(chance.sample(WORDS, chance.randrange(3))),
        unasked=tuple(sorted(chance.sample(("77D", "7AC", "18DAF1FE"), chance.randrange(4)))),
    )


def lines_left_out(read: CarRead) -> CarRead:
    """The same without what only the file knows."""
    return replace(
        read,
        modules=tuple(
            replace(one, listed=tuple(replace(line, line=None) for line in one.listed)) for one in read.modules
        ),
    )


@pytest.mark.parametrize("seed", range(200))
def test_what_was_saved_reads_back_the_same(seed: int) -> None:
    read = random_read(random.Random(seed))
    found = read_code_list_text(list_text(read).encode(), "list.csv")
    assert [str(finding) for finding in found.findings] == []
    assert found.read is not None
    assert lines_left_out(found.read) == read
    assert found.listing is not None
    mine, saved = read.listing("list.csv"), found.listing
    assert saved.unheard >= {f"module answering under {id}" for id in read.unasked}
    assert {(one.module, one.code, one.bits & one.mask, one.mask) for one in mine.listed} == {
        (one.module, one.code, one.bits & one.mask, one.mask) for one in saved.listed
    }
    for field in ("stage", "answered", "silent", "partial", "readiness", "permanent", "since", "unasked", "answering"):
        assert getattr(mine, field) == getattr(saved, field), field


@pytest.mark.parametrize("name", ["quillet.before.csv", "quillet.after.csv", "quillet.drive.csv"])
def test_a_list_without_ids_stays_as_it_is_and_can_be_written_again(name: str) -> None:
    import putback.data  # noqa: PLC0415 - only here

    found = read_code_list(Path(putback.data.__file__).parent / "demo" / name)
    assert found.read is None
    assert found.listing is not None
    again = read_code_list_text(listing_text(found.listing).encode(), "again.csv")
    assert again.listing is not None
    assert not again.findings
    for field in ("stage", "answered", "silent", "partial", "readiness", "permanent", "since"):
        assert getattr(again.listing, field) == getattr(found.listing, field)
    assert [(one.module, one.code, one.status, one.text) for one in again.listing.listed] == [
        (one.module, one.code, one.status, one.text) for one in found.listing.listed
    ]


def test_a_listing_with_masks_of_its_lines() -> None:
    listed = (
        Listed(module="engine", code="P0102", bits=0x0C, mask=0x0C),
        Listed(module="engine", code="P0113", bits=0x08, mask=0x08),
        Listed(module="brake", code="C1D27-13", bits=0x2B, mask=0x7F),
    )
    listing = Listing(name="list.csv", stage="before", listed=listed, answered=frozenset({"engine", "brake"}))
    again = read_code_list_text(listing_text(listing).encode(), "list.csv").listing
    assert again is not None
    assert [(one.code, one.bits & one.mask, one.mask) for one in again.listed] == [
        ("P0102", 0x0C, 0x0C),
        ("P0113", 0x08, 0x08),
        ("C1D27-13", 0x2B, 0x7F),
    ]


@pytest.mark.parametrize(
    ("line", "field", "what"),
    [
        ("# module engine: 7E0", "module engine", "'7E0' is no pair of ids"),
        ("# module engine: 7E0/18DAF110", "module engine", "is no pair of ids"),
        ("# module engine: 7E0/7E0", "module engine", "the two ids of a module differ"),
        ("# readiness engine: supported 3, complete 4", "readiness engine", "4 complete of 3 supported"),
        ("# permanent engine: P0104, Q1", "permanent engine", "Q1"),
        ("# took engine: soon", "took engine", "'soon' is no time"),
        ("# service engine: 190", "service engine", "'190' is no service"),
    ],
)
def test_a_line_that_cannot_be_read_is_a_fault_with_its_place(line: str, field: str, what: str) -> None:
    text = f"# stage: before\n# modules answered: engine\n{line}\nmodule,code,status,text\n"
    found = read_code_list_text(text.encode(), "list.csv")
    assert found.listing is None
    assert [(finding.where.line, finding.where.field) for finding in found.findings] == [(3, field)]
    assert what in found.findings[0].what


def test_a_module_cannot_be_silent_and_partial() -> None:
    text = "# stage: before\n# modules silent: engine\n# modules partial: engine\nmodule,code,status,text\n"
    found = read_code_list_text(text.encode(), "list.csv")
    assert found.listing is None
    assert any("silent and to have answered in part" in finding.what for finding in found.findings)


# the file


def test_a_file_that_is_there_stays_unless_forced(tmp_path: Path) -> None:
    place = tmp_path / "before.csv"
    place.write_text("mine")
    refused = write_list(place, "new")
    assert refused is not None
    assert "--force" in refused.mend
    assert place.read_text() == "mine"
    assert write_list(place, "new", force=True) is None
    assert place.read_text() == "new"


def test_a_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    place = tmp_path / "before.csv"
    assert write_list(place, "new") is None
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
    assert os.listdir(tmp_path) == ["before.csv"]  # noqa: PTH208 - names are wanted, and nothing is left beside it


def test_places_that_cannot_be_written_are_found_out_before_the_work(tmp_path: Path) -> None:
    assert may_write(tmp_path / "new.csv") is None
    for bad in (tmp_path, tmp_path / "no" / "before.csv"):
        assert may_write(bad) is not None
        assert write_list(bad, "new") is not None
