"""Pasted lists: codes by the standard's form, headings as a guess, nothing lost or made up. All texts are invented."""

import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.lists.listing import Answer
from putback.core.codes.lists.pasted import MOST_LINES, Byte, Corrections, Guess, guess
from putback.core.codes.lists.pasted_words import find_codes, says_no_answer, says_no_codes
from putback.core.codes.meaning.code import Code


def codes(text: str, corrections: Corrections | None = None) -> list[tuple[str, str, str]]:
    return [(one.module, one.code, one.status) for one in guess(text, corrections).codes]


def kinds(found: Guess) -> list[str]:
    return [str(line.kind) for line in found.lines]


SPELT = [
    ("P0123", ["P0123"]),
    ("p0123-1f", ["P0123-1F"]),
    ("U1C33:87", ["U1C33-87"]),
    ("C0AB0/13", ["C0AB0-13"]),
    ("b1abc . 4a", ["B1ABC-4A"]),
    ("P 0123", ["P0123"]),
    ("- P01 23-1F stored", ["P0123-1F"]),
    ("1. P0123, 2. U0100", ["P0123", "U0100"]),
    ("(P0123)[C1234]", ["P0123", "C1234"]),
    ("P0123P0456", ["P0123", "P0456"]),
    ("P0123: too high", ["P0123"]),
    ("P0123-Throttle circuit", ["P0123"]),
    ("código P0123", ["P0123"]),
    ("P0000", []),
    ("P4123 P0G23 X0123 PO123", []),
    ("9ZZXA00A3T0000001", []),
    ("9ZZP0123A3T000001", []),
    ("part P0123-4567", []),
    ("part 5Q-P0123", []),
    ("file_P0123.txt", []),
    ("P01231F", []),
    ("0P0123", []),
    ("c 1200 rpm", []),
]


@pytest.mark.parametrize(("text", "expected"), SPELT)
def test_what_is_a_code_and_what_is_not(text: str, expected: list[str]) -> None:
    assert [str(one.code) for one in find_codes(text)] == expected


@given(st.integers(1, 0xFFFF), st.one_of(st.none(), st.integers(0, 0xFF)), st.sampled_from(["-", ":", "/", " - "]))
def test_every_code_is_found_in_either_case(number: int, kind: int | None, sign: str) -> None:
    code = Code(number=number, failure_type=kind)
    spelt = str(code).replace("-", sign)
    for text in (spelt, spelt.lower(), f"* {spelt}, stored", f"engine\t{spelt}\tx"):
        assert [one.code for one in find_codes(text)] == [code]


def test_headings_results_and_codes() -> None:
    text = """
Engine control
  P0123-1F  throttle sensor current too high   stored
  p0456  pending
Brakes: no codes
Radar - no response
[Body]
B1234-13 (active)
"""
    found = guess(text)
    assert codes(text) == [
        ("engine control", "P0123-1F", "08 of 08"),
        ("engine control", "P0456", "04 of 04"),
        ("body", "B1234-13", "01 of 01"),
    ]
    listing = found.listing(name="pasted", stage="before")
    assert listing.answered == frozenset({"engine control", "brakes", "body"})
    assert (listing.silent, listing.partial) == (frozenset({"radar"}), frozenset())
    assert found.codes[0].text == "throttle sensor current too high"


def test_nothing_answered_that_was_not_said() -> None:
    """A heading with nothing below it, or a word that says nothing of codes, leaves its module unknown."""
    found = guess("Engine:\nP0123\nGearbox:\nOK\nBrakes:\n")
    listing = found.listing(name="", stage="before")
    assert listing.answered == frozenset({"engine"})
    assert listing.answer("gearbox") is listing.answer("brakes") is Answer.NOT_SAID
    assert [line.text for line in found.not_understood] == ["OK"]


def test_every_line_is_there() -> None:
    text = "Report of today\nMileage: 123456\nEngine\nP0123 stored\n\n*****\nEnd of the report."
    found = guess(text)
    assert [line.number for line in found.lines] == list(range(1, 8))
    assert kinds(found) == [
        "not understood", "not understood", "heading", "code", "empty", "empty", "not understood",
    ]  # fmt: skip
    assert all(line.why for line in found.not_understood)


def test_a_line_between_codes_is_a_heading_or_the_text_of_the_code_above() -> None:
    """Which of the two no program can know: it is guessed by what stands below the last code, and is in doubt."""
    headings = guess("Engine\nP0123\nBrakes\nC0123")
    assert [one.module for one in headings.codes] == ["engine", "brakes"]
    texts = guess("Engine\nP0123\nThermostat stuck\nP0456\nSensor bad")
    assert [one.module for one in texts.codes] == ["engine", "engine"]
    assert [line.number for line in headings.doubtful] == [line.number for line in texts.doubtful] == [3]
    indented = guess("Engine\n  P0123\nBrakes\n  C0123")
    assert ([one.module for one in indented.codes], indented.doubtful) == (["engine", "brakes"], ())


def test_corrections() -> None:
    text = "Shop of the corner\nP0123 2F\nEngine\nP0456"
    found = guess(text)
    assert [one.module for one in found.codes] == ["shop of the corner", "engine"]
    assert "is not said" in found.lines[1].why
    better = Corrections(no_headings=frozenset({1}), headings={3: "Motor, left"}, module="gearbox", byte=Byte.STATUS)
    assert codes(text, better) == [("gearbox", "P0123", "2F"), ("motor left", "P0456", "08 of 08")]
    other = Corrections(byte=Byte.FAILURE_TYPE, headings={1: "gearbox"}, skip=frozenset({4}))
    assert codes(text, other) == [("gearbox", "P0123-2F", "08 of 08")]


def test_codes_without_a_module_are_not_written() -> None:
    found = guess("P0123\nno codes")
    assert [line.number for line in found.unnamed] == [1, 2]
    assert found.listing(name="", stage="before").listed == ()
    assert guess("P0123\nno codes", Corrections(module="Engine")).unnamed == ()


def test_a_count_that_is_not_met_is_a_list_cut_off() -> None:
    found = guess("Engine (3 codes)\nP0123\nP0456\nBody - 1 fault\nB1234")
    assert (dict(found.short), found.partial) == ({"engine": (3, 2)}, frozenset({"engine"}))


def test_what_looks_like_a_code_makes_the_list_partial_until_it_is_explained() -> None:
    text = "Engine\nP0123\nP045612\nBrakes\nC0123 and PO456"
    found = guess(text)
    assert found.partial == frozenset({"engine", "brakes"})
    assert [line.number for line in found.doubtful] == [3, 5]
    assert guess(text, Corrections(skip=frozenset({3, 5}))).partial == frozenset()


def test_a_module_that_did_not_answer_and_has_codes_is_torn() -> None:
    assert guess("Radar: no response\nRadar:\nC1234").torn == ("radar",)


def test_permanent_codes() -> None:
    listing = guess("Engine\nP0123 permanent\nP0456 stored").listing(name="", stage="before")
    assert listing.permanent == ("P0123",)


def test_the_worse_of_a_code_that_stands_twice() -> None:
    listing = guess("Engine\nP0123 stored\nP0123 active").listing(name="", stage="before")
    assert [(one.code, one.status) for one in listing.listed] == [("P0123", "09 of 09")]


TABLES = [
    "module;code;status;text\nEngine;P0123-1F;2F;too high\nBrakes;no codes;;\nRadar;;no response;\n",
    "Text\tECU\tStatus byte\tDTC\ntoo high\tEngine\t0x2F\tP0123-1F\n\tBrakes\t\tnone\n\tRadar\t\tno answer\n",
    "| control unit | fault code | status |\n|---|---|---|\n| Engine | P0123:1F | 2f |\n"
    "| Brakes | no faults | |\n| Radar | no communication | |\n",
    'Code,Text,State,System\nP0123/1F,"too high, by far",2Fh,Engine\nno DTCs,,,Brakes\n,,timeout,Radar\n',
]


@pytest.mark.parametrize("text", TABLES)
def test_tables_of_other_orders_and_names(text: str) -> None:
    found = guess(text)
    assert found.table is not None
    listing = found.listing(name="", stage="before")
    assert [(one.module, one.code, one.status) for one in listing.listed] == [("engine", "P0123-1F", "2F")]
    assert (listing.answered, listing.silent) == (frozenset({"engine", "brakes"}), frozenset({"radar"}))


def test_a_table_without_names_is_guessed_and_can_be_corrected() -> None:
    text = "Engine;P0123;2F;pump\nBrakes;C0456;08;valve"
    found = guess(text)
    assert found.table is not None
    assert found.table.said == "columns by semicolon: module 1, code 2, text 4"
    assert [line.doubt for line in found.lines] == [True, True]
    assert codes(text, Corrections(columns={"status": 3})) == [("engine", "P0123", "2F"), ("brakes", "C0456", "08")]
    assert codes(text, Corrections(byte=Byte.FAILURE_TYPE))[0][1] == "P0123-2F"
    assert codes(text, Corrections(columns={"module": 0}, module="x"))[0][0] == "x"


def test_an_empty_cell_means_the_module_above() -> None:
    text = "module\tcode\nEngine\tP0123\n\tP0456\nBody\tB1234"
    assert [one[0] for one in codes(text)] == ["engine", "engine", "body"]


@pytest.mark.parametrize(
    "text", ["No codes", "no trouble codes stored.", "0 faults", "Keine Fehler", "aucun défaut", "sin averías", "none"]
)
def test_words_for_no_codes(text: str) -> None:
    assert says_no_codes(text)
    assert not says_no_answer(text)


@pytest.mark.parametrize("text", ["No response", "keine Antwort", "Timeout!", "sin comunicación", "not responding"])
def test_words_for_no_answer(text: str) -> None:
    assert says_no_answer(text)
    assert not says_no_codes(text)


@pytest.mark.parametrize("text", ["OK", "no", "all codes", "no codes but one", "codes", "", "no communication codes"])
def test_words_that_say_neither(text: str) -> None:
    assert not says_no_codes(text)
    assert not says_no_answer(text)


# hostile texts


@given(st.text(max_size=300))
def test_no_text_raises_and_no_line_is_lost(text: str) -> None:
    found = guess(text)
    found.listing(name="", stage="before")
    assert [line.number for line in found.lines] == list(range(1, 1 + len(re.split("\r\n|\r|\n", text.rstrip()))))


PIECES = st.sampled_from(
    ["P0123", "engine", ":", " - ", "\t", ";", "no codes", "(", ")", "2F", "\n", " ", "|", '"', "#"]
)


@given(st.lists(PIECES, max_size=60).map("".join))
def test_pieces_in_any_order(text: str) -> None:
    found = guess(text)
    listing = found.listing(name="", stage="before")
    assert listing.silent.isdisjoint(listing.answered or ())
    assert {one.code[:5] for one in found.codes} <= {"P0123"}
    named = {one.module for one in found.codes if one.module}
    assert named <= (listing.answered or frozenset()) | listing.silent


@pytest.mark.parametrize(
    "line",
    [
        "(" * 3_999,
        " " * 3_990 + "x",
        "a " * 2_000,
        ". " * 2_000,
        "P0123," * 660,
        "12 codes " * 400,
        ":" * 3_999,
        "[-" * 1_900,
        "," * 3_990 + "P0123",
    ],
)
def test_no_line_takes_long(line: str) -> None:
    begun = time.monotonic()
    guess("\n".join([line] * 20))
    assert time.monotonic() - begun < 5


def test_a_text_that_is_too_long_is_said_and_makes_all_partial() -> None:
    found = guess("Engine\nP0123\n" + "x\n" * MOST_LINES)
    assert "are looked at" in found.cut
    assert (found.partial, len(found.lines)) == (frozenset({"engine"}), MOST_LINES)
    long = guess("Engine\nP0123 " + "x" * 5_000)
    assert (long.partial, long.codes[0].code) == (frozenset({"engine"}), "P0123")
