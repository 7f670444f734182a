"""Fields of a form: what is right comes out in one spelling, what is wrong is said beside its label."""

from datetime import datetime

import pytest

from putback.faces.web.form import LONGEST, read_form

NOW = datetime.fromisoformat("2026-03-02T08:15:30+01:00")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("1572.4", "1572.40"), ("1 572,40", "1572.40"), ("0", "0.00"), ("\u202f7 000", "7000.00"), ("", "")],
)
def test_amounts_have_one_spelling(typed: str, kept: str) -> None:
    form = read_form(f"a={typed}".encode())
    assert form.money("a", "amount") == kept
    assert form.wrong == []


@pytest.mark.parametrize("typed", ["1,572.40", "-1", "1e3", "NaN", "inf", "1.555", "٣", "1.", "9999999999"])
def test_what_is_no_amount_is_said(typed: str) -> None:
    form = read_form(f"a={typed}".encode())
    assert form.money("a", "amount") == ""
    assert [name for name, _ in form.wrong] == ["amount"]


def test_numbers_and_counts() -> None:
    form = read_form(b"a=84+210%2C5&b=3&c=1.5&d=many")
    assert (form.number("a", "a"), form.count("b", "b"), form.number("none", "none")) == (84210.5, 3, None)
    assert (form.count("c", "count"), form.number("d", "number")) == (None, None)
    assert [name for name, _ in form.wrong] == ["count", "number"]


def test_times_get_this_machines_offset_and_empty_is_now() -> None:
    form = read_form(b"a=2026-03-02T07:00&b=&c=2026-02-30T07:00&d=2026-03-02T07:00Z")
    assert form.time("a", "a", now=NOW) == "2026-03-02T07:00:00+01:00"
    assert form.time("b", "b", now=NOW) == "2026-03-02T08:15:30+01:00"
    assert form.time("c", "day", now=NOW) == form.time("d", "zone", now=NOW) == "2026-03-02T08:15:30+01:00"
    assert [name for name, _ in form.wrong] == ["day", "zone"]


def test_texts_lose_what_nobody_sees_and_keep_their_lines() -> None:
    form = read_form(b"a= one%0D%0Atwo%00%1B &b=" + b"x" * (LONGEST + 1))
    assert form.text("a") == "one\ntwo"
    assert len(form.text("b", "long")) == LONGEST
    form.text("c", "gone", needed=True)
    assert [name for name, _ in form.wrong] == ["long", "gone"]


def test_a_choice_is_one_of_the_list() -> None:
    form = read_form(b"a=yes&b=maybe")
    assert (form.one_of("a", "a", ("yes", "no")), form.one_of("b", "b", ("yes", "no"))) == ("yes", "")
    assert [name for name, _ in form.wrong] == ["b"]


@pytest.mark.parametrize("body", [b"\xff\xfe", b"&".join(b"a=1" for _ in range(2000))])
def test_what_cannot_be_read_is_one_fault(body: bytes) -> None:
    form = read_form(body)
    assert (dict(form.fields), [name for name, _ in form.wrong]) == ({}, ["form"])
