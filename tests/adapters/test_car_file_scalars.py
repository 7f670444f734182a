"""Unquoted words against the YAML 1.2.2 core schema, section 10.3.2, and against ruamel.yaml."""

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from putback.adapters.car_file.nodes import Mapping, Scalar, Sequence, parse
from putback.adapters.car_file.scalars import resolve

# YAML 1.2.2 (2021-10-01), section 10.3.2: the last example, "Core Tag Resolution", value by value.
PRINTED: list[tuple[str, object]] = [
    ("null", None),
    ("", None),
    ("true", True),
    ("True", True),
    ("false", False),
    ("FALSE", False),
    ("0", 0),
    ("0o7", 7),
    ("0x3A", 58),
    ("-19", -19),
    ("0.", 0.0),
    ("-0.0", -0.0),
    (".5", 0.5),
    ("+12e03", 12000.0),
    ("-2E+05", -200000.0),
    (".inf", math.inf),
    ("-.Inf", -math.inf),
    ("+.INF", math.inf),
]

# The table of the same section: each of its alternatives, and next to each what matches none of them.
TABLE: list[tuple[str, object]] = [
    *((word, None) for word in ("null", "Null", "NULL", "~")),
    *((word, True) for word in ("true", "True", "TRUE")),
    *((word, False) for word in ("false", "False", "FALSE")),
    *((word, word) for word in ("nULL", "tRUE", "fALSE", "yes", "no", "on", "off", "Yes", "NO", "y", "n")),
    ("+12", 12),
    ("010", 10),
    ("0o14", 12),
    *((word, word) for word in ("0o8", "-0o7", "0O7", "0o", "0x", "0X3A", "-0x1", "0b1", "1_000", "12:30", "1,5")),
    ("5.", 5.0),
    ("1.e3", 1000.0),
    *((word, word) for word in (".", "+", "1e", ".e3", "e10", "1.5.1", "0.5 V", "24 N·m", "M8x40", "2001-12-14")),
    *((word, word) for word in (".INf", "inf", "nan", ".nAn", "+.nan")),
]


@pytest.mark.parametrize(("word", "value"), PRINTED + TABLE)
def test_the_core_schema(word: str, value: object) -> None:
    found = resolve(word)
    assert (found, type(found)) == (value, type(value))


@pytest.mark.parametrize("word", [".nan", ".NaN", ".NAN"])
def test_not_a_number(word: str) -> None:
    found = resolve(word)
    assert isinstance(found, float)
    assert math.isnan(found)


def test_a_quoted_word_is_text() -> None:
    root = parse("a: \"12\"\nb: 'true'\nc: |\n  12\n", "x").root
    assert isinstance(root, Mapping)
    assert [value.value for value in (entry.value for entry in root.entries) if isinstance(value, Scalar)] == [
        "12",
        "true",
        "12\n",
    ]


# ruamel.yaml keeps underscores in numbers, binary numbers and dates from YAML 1.1, so none of these is asked of it.
@settings(max_examples=1000, deadline=None)
@given(st.text("0123456789.+-eEoxXfFinaNIAtrueTRUElsFALSy~", max_size=6).filter(lambda word: "0b" not in word))
def test_as_ruamel_resolves(word: str) -> None:
    text = f"[{word}]"
    root = parse(text, "x").root
    loaded: Any = YAML(typ="safe", pure=True).load(text) if root is not None else None
    if isinstance(root, Sequence) and root.entries and isinstance(root.entries[0], Scalar):
        ours, theirs = root.entries[0].value, loaded[0]
        assert type(ours) is type(theirs)
        assert repr(ours) == repr(theirs)


def test_a_number_of_a_thousand_digits_is_still_read() -> None:
    assert resolve("9" * 400) == 10**400 - 1
    assert resolve("9" * 9000) == math.inf
