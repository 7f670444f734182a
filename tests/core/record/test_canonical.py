"""Canonical bytes against RFC 8785 itself: its examples, its table of numbers, and the published number file.

Sources: RFC 8785 sections 3.2.2, 3.2.3, 3.2.4 and Appendix B; the number file of that RFC's test material
(github.com/cyberphone/json-canonicalization, testdata, Apache-2.0), whose lines follow from 168 edge values, 2,000
neighbours and a SHA-256 sequence, and whose first 1,000, 10,000 and 100,000 lines have published hashes.
"""

import json
import math
import struct
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.record.canonical import (
    DEEPEST,
    LARGEST_WHOLE,
    Json,
    NotCanonical,
    canonical_bytes,
    frozen,
    number_text,
    read_json,
)

RFC_SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""

RFC_SAMPLE_BYTES = """
    7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
    75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
    5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
    65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
    5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
    30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""

RFC_SORTING = r"""{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}"""

RFC_SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]

APPENDIX_B = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]

# Hashes published with the number file for its first lines.
NUMBER_FILE = {
    1_000: "be18b62b6f69cdab33a7e0dae0d9cfa869fda80ddc712221570f9f40a5878687",
    10_000: "b9f7a8e75ef22a835685a52ccba7f7d6bdc99e34b010992cbc5864cd12be6892",
    100_000: "22776e6d4b49fa294a0d0f349268e5c28808fe7e0cb2bcbe28f63894e494d4c7",
}


def _double(bits: int) -> float:
    value: float = struct.unpack(">d", bits.to_bytes(8, "big"))[0]
    return value


def test_the_rfcs_sample_byte_for_byte() -> None:
    assert canonical_bytes(read_json(RFC_SAMPLE)) == bytes.fromhex(RFC_SAMPLE_BYTES)


def test_the_rfcs_order_of_names() -> None:
    assert list(json.loads(canonical_bytes(read_json(RFC_SORTING))).values()) == RFC_SORTED


@pytest.mark.parametrize(("bits", "text"), APPENDIX_B)
def test_the_rfcs_numbers(bits: str, text: str) -> None:
    assert number_text(_double(int(bits, 16))) == text


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_numbers_that_the_rfc_refuses(bits: str) -> None:
    with pytest.raises(NotCanonical, match="no finite number"):
        number_text(_double(int(bits, 16)))


def _file_numbers() -> Iterator[int]:
    yield from (int(word, 16) for word in (Path(__file__).parent / "es6_numbers.txt").read_text().split())
    yield from range(0x0010000000000000, 0x0010000000000000 + 2000)
    block = bytes(32)
    while True:
        block = sha256(block).digest()
        for at in range(0, 32, 8):
            bits = int.from_bytes(block[at : at + 8], "little")
            if math.isfinite(_double(bits)) and _double(bits) != 0:
                yield bits


def test_the_published_number_file_by_its_hashes() -> None:
    hashed = sha256()
    numbers = _file_numbers()
    for n in range(1, 100_001):
        bits = next(numbers)
        hashed.update(f"{bits:x},{number_text(_double(bits))}\n".encode())
        if n in NUMBER_FILE:
            assert hashed.hexdigest() == NUMBER_FILE[n], n


NUMBERS = st.integers(-LARGEST_WHOLE, LARGEST_WHOLE) | st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=12,
)


@given(VALUES)
def test_what_is_spelled_reads_back_and_spells_the_same(value: Json) -> None:
    spelled = canonical_bytes(value)
    assert (
        json.loads(spelled, parse_int=float) == value
    )  # the standard library's reader, numbers as ECMAScript has them
    assert read_json(spelled) == value
    assert canonical_bytes(read_json(spelled)) == spelled
    assert canonical_bytes(frozen(value)) == spelled


@given(st.dictionaries(TEXTS, st.integers(0, 9), max_size=6), st.randoms())
def test_the_order_of_members_and_blanks_do_not_matter(value: dict[str, int], rng: Random) -> None:
    names = list(value)
    rng.shuffle(names)
    other = json.dumps({name: value[name] for name in names}, indent=2)
    assert canonical_bytes(read_json(other)) == canonical_bytes(value)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ('{"a":1,"a":2}', "one name twice"),
        ('{"a":NaN}', "no JSON"),
        ("[Infinity]", "no JSON"),
        ("[1e999]", "too large"),
        ("[9007199254740993]", "no binary64 number holds exactly"),
        (f"[{'9' * 5000}]", "too large|no binary64|no JSON"),
        ("[1,]", "no JSON"),
        ("", "no JSON"),
        ("[" * 100_000, "nested deeper"),
        ("[" * 40 + "]" * 40, "nested deeper"),
        (r'["\ud800"]', "surrogate"),
    ],
)
def test_json_that_is_refused(text: str, what: str) -> None:
    with pytest.raises(NotCanonical, match=what):
        canonical_bytes(read_json(text))


def test_bytes_that_are_no_utf_8_are_refused() -> None:
    with pytest.raises(NotCanonical, match="UTF-8"):
        read_json(b'"\xff"')


def test_whole_numbers_beyond_exactness_are_refused_and_not_rounded() -> None:
    assert canonical_bytes(LARGEST_WHOLE) == b"9007199254740991"
    with pytest.raises(NotCanonical):
        canonical_bytes(LARGEST_WHOLE + 1)
    assert read_json("100000000000000000000") == 1e20  # binary64 holds it exactly; ECMAScript spells it so


@pytest.mark.parametrize("value", [{1: 2}, {"a": {1}}, b"x", {"a": object()}])
def test_values_that_json_does_not_have_are_refused(value: Json) -> None:
    with pytest.raises(NotCanonical):
        canonical_bytes(value)


def test_nesting_ends() -> None:
    value: Json = 1
    for _ in range(DEEPEST):
        value = [value]
    canonical_bytes(value)
    with pytest.raises(NotCanonical, match="nested deeper"):
        canonical_bytes([value])


def test_what_is_frozen_cannot_be_changed() -> None:
    held = frozen({"a": [1, {"b": 2}]})
    with pytest.raises(TypeError):
        held["a"] = 1  # type: ignore[index]
    with pytest.raises(TypeError):
        held["a"][1]["b"] = 3  # type: ignore[index,call-overload]
