"""The keys of a review are one table: page, terminal and docs/review.md hold what it says, and nothing else."""

import re
from importlib.resources import files
from pathlib import Path

from putback.faces.cli.review_keys import KEYS as IN_TERMINAL
from putback.faces.keyboard import KEYS, letter, on_page

DOCS = Path(__file__).parents[2] / "docs" / "review.md"
SCRIPT = files("putback.faces.web").joinpath("static", "review.js").read_text(encoding="utf-8")


def test_no_key_does_two_things() -> None:
    keys = [key for one in KEYS for key in (*one.keys, *one.typed)]
    assert len(set(keys)) == len(keys)
    assert len({one.does for one in KEYS}) == len(KEYS)


def test_the_terminal_has_every_key_of_the_table_and_no_other() -> None:
    assert set(IN_TERMINAL) == {key for one in KEYS for key in (*one.keys, *one.typed)}


def test_the_script_of_the_page_does_what_the_table_names() -> None:
    table = SCRIPT.partition("const DOES = {")[2].partition("// The list of keys")[0]
    for one in on_page():
        assert re.search(rf"\b{one.does}\b", table), f"review.js does nothing for: {one.does}"


def test_the_documents_have_every_key_once_with_its_words() -> None:
    """The table of keys in the document has a row for each key, in the order and the words of the table."""
    rows = re.findall(r"^\| (`.*?) \| (.*?) \|$", DOCS.read_text(encoding="utf-8"), re.MULTILINE)
    documented = [(tuple(re.findall(r"`(.+?)`", keys)), words) for keys, words in rows if keys.count("`") > 1]
    there = {words: keys for keys, words in documented}
    for one in KEYS:
        assert one.words in there, f"docs/review.md has no row that says: {one.words}"
        assert there[one.words] == (*one.shown, *one.typed)


def test_a_letter_is_found_by_what_it_does() -> None:
    assert [letter(does) for does in ("delete", "line after", "confirm")] == ["x", "l", "Enter"]
