"""What is no text, no YAML or no car file is refused at once, with its line and a mend in plain words."""

from pathlib import Path

import pytest
import yaml

from putback.adapters.car_file import demo_path, nodes, read_car, read_car_text
from putback.adapters.car_file.text import LARGEST_BYTES

DEMO = demo_path().read_bytes()


def only(data: bytes | str) -> tuple[int | None, str, str]:
    """Line, rule and whole text of the single finding of an unreadable file."""
    reading = read_car_text(data.encode() if isinstance(data, str) else data, "x")
    assert reading.car is None
    assert len(reading.findings) == 1
    finding = reading.findings[0]
    return finding.where.line, finding.rule, str(finding)


UNREADABLE = [
    (b"", None, "empty", "the file is empty"),
    (b" \n\t\n", None, "empty", "putback new"),
    (b"# only a comment\n", 1, "empty", "nothing but comments"),
    (b"---\n", 2, "empty", "holds nothing"),
    (
        b"name: a\nb: \xe9t\xe9\n",
        2,
        "encoding",
        "byte 11 (0xe9) is not UTF-8 text; open it in a text editor",
    ),
    (b"\xff\xfen\x00a\x00", 1, "encoding", "UTF-16"),
    (b"a: b\nc: \x00\n", 2, "character", "U+0000"),
    ("a: b\nc: x\u2028y\n", 2, "character", "U+2028"),
    ("a: x\u0085y\n", 1, "character", "U+0085"),
    ("a:\n  b: 1\n\tc: 2\n", 3, "tab", "indented with a tab; indent with blanks"),
    ("a: [1, 2\nb: 3\n", 1, "syntax", "closing ]"),
    ("x: 1\na: {b: 1\nb: 3\n", 2, "syntax", "closing }"),
    ('x: 1\na: "b\nc: d\n', 2, "syntax", "never closed; close it with the same quote"),
    ("a: b: c\n", 1, "syntax", "put text with a colon in quotes"),
    ("a: 1\n  b: 2\n", 2, "syntax", "same column"),
    ("items:\n  fan:\n    name: x\n   zone: A\n", 4, "syntax", "does not line up"),
    ("a: @home\n", 1, "syntax", "put the whole text in quotes"),
    ("a: %x\n", 1, "syntax", "put the whole text in quotes"),
    ('a: "\\q"\n', 1, "syntax", "single quotes"),
    ("a:\n  - 1\n  b: 2\n", 3, "syntax", "start all entries with - in one column"),
    ("a: - b\n", 1, "syntax", "line of its own"),
    ("%YAML 1.3\n---\na: 1\n", 1, "syntax", "%YAML"),
    ("a: 1\n---\nb: 2\n", 2, "document", "delete the line ---"),
    ("a: &x 1\n", 1, "anchor", "write the values out"),
    ("a: 1\nb: *x\n", 2, "anchor", "(*x)"),
]


@pytest.mark.parametrize(("data", "line", "rule", "words"), UNREADABLE)
def test_what_cannot_be_read(data: bytes | str, line: int | None, rule: str, words: str) -> None:
    found_line, found_rule, told = only(data)
    assert (found_line, found_rule) == (line, rule)
    assert words in told
    assert not read_car_text(data.encode() if isinstance(data, str) else data, "x").readable


@pytest.mark.parametrize(
    ("data", "line", "rule"), [(d, n, r) for d, n, r, _ in UNREADABLE if r in {"tab", "syntax", "anchor", "document"}]
)
def test_the_slow_parser_says_the_same(data: str, line: int, rule: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nodes, "_LOADER", yaml.Loader)
    if "%YAML" not in data:  # the pure parser reads on: it takes every version 1.x
        assert only(data)[:2] == (line, rule)


def test_the_slow_parser_reads_the_demo_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    fast = read_car_text(DEMO, "x")
    monkeypatch.setattr(nodes, "_LOADER", yaml.Loader)
    assert read_car_text(DEMO, "x") == fast


def test_every_tabbed_line_is_named() -> None:
    reading = read_car_text(b"a:\n\tb: 1\n\tc: 2\nd: 'text\n\tgoes on'\n", "x")
    assert [finding.where.line for finding in reading.findings] == [2, 3, 5]


def test_a_tab_that_is_no_indentation_is_fine() -> None:
    told = [finding.rule for finding in read_car_text(b"putback:\tcar/1\t# x\nname: a\tb\n", "x").findings]
    assert told == ["missing-key", "missing-key"]


def test_what_is_yaml_but_no_car_file() -> None:
    for text in ("- a\n", "hello\n", "12\n"):
        assert only(text)[1] == "format"
        assert read_car_text(text.encode(), "x").readable


def test_another_format_is_not_read_on() -> None:
    line, rule, told = only("name: x\nputback: car/2\nnew_key: 3\n")
    assert (line, rule) == (2, "format")
    assert "newer" in told
    assert "this program reads car/1" in told
    assert "this program reads car/1" in only("putback: procedure/1\n")[2]


def test_a_missing_header_is_told_with_everything_else() -> None:
    told = [str(finding) for finding in read_car_text(b"name: 5\nzones: {}\nitems: {}\n", "x").findings]
    assert len(told) == 3
    assert "add putback: car/1" in told[1]
    assert "nothing in it" in told[2]


def test_byte_order_mark_and_windows_line_ends() -> None:
    plain = read_car_text(DEMO, "x")
    assert plain.car is not None
    assert read_car_text(b"\xef\xbb\xbf" + DEMO, "x") == plain
    assert read_car_text(DEMO.replace(b"\n", b"\r\n"), "x") == plain
    broken = DEMO.replace(b"\n", b"\r\n").replace(b"recheck-50km", b"recheck\xff")
    assert only(broken)[0] == DEMO[: DEMO.index(b"recheck-50km")].count(b"\n") + 1


@pytest.mark.parametrize(
    "data",
    [
        b"a: &a [x,x]\n" + b"".join(b"b%d: &b%d [*a,*a,*a,*a,*a,*a,*a,*a,*a]\n" % (n, n) for n in range(50)),
        b"[" * 1_000_000,
        b"{a: " * 500_000,
        b"- " * 500_000,
        b"a: " + b"x" * 5_000_000 + b": y: z",
    ],
    ids=["aliases", "lists", "groups", "dashes", "one long word"],
)
def test_bombs_are_refused(data: bytes) -> None:
    """Unrefused, the aliases alone would stand for 9 to the power of 50 words; how quickly: benchmarks/reading.py."""
    reading = read_car_text(data, "x")
    assert not reading.readable
    assert len(reading.findings) == 1


def test_forty_deep_is_the_end() -> None:
    assert only("a: " + "[" * 41 + "]" * 41)[1] == "depth"


def test_a_file_that_is_not_there_or_no_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.car.yaml", tmp_path, Path("\0")):
        reading = read_car(path)
        assert (reading.car, reading.readable) == (None, False)
        assert reading.findings[0].rule == "file"
        assert reading.findings[0].where.file == str(path)


def test_a_file_of_fifty_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "big.car.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    reading = read_car(path)
    assert "50,000,000 bytes" in str(reading.findings[0])
    assert only(b"a" * (LARGEST_BYTES + 1))[1] == "size"
