"""`putback review` as a person calls it, by keys in a pipe and on a terminal. The narration is invented.

What a key must do is said in docs/review.md; how many lines, questions and torques there are was counted by hand in
the words below.
"""

import json
import os
import pty
import select
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from putback.adapters.procedure_file import read_procedure
from putback.core.finding import faults
from putback.core.procedure import Procedure
from putback.faces.cli.review import command

TEXT = """1
00:00:01,000 --> 00:00:06,000
Read the codes of all modules. Unplug the horn connector. Remove two 10 mm bolts from the horn.

2
00:00:06,000 --> 00:01:15,000
Remove the horn. Unplug the lamp connector.

3
00:01:15,000 --> 00:01:25,000
Fit the horn. Fit the two 10 mm horn bolts. Tighten the horn bolts.
"""


@pytest.fixture
def horn(tmp_path: Path) -> Path:
    path = tmp_path / "horn.srt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def call(*words: str | Path, keys: str = "") -> Result:
    return CliRunner().invoke(command, [str(word) for word in words], input=keys, standalone_mode=False)


def review(file: Path, *words: str | Path, keys: tuple[str, ...] = ()) -> Result:
    """A review of a file in the store beside it, each key on a line of its own."""
    result = call(file, "--store", file.with_name("s.db"), *words, keys="".join(f"{key}\n" for key in keys))
    assert result.exception is None, result.exception
    assert result.return_value == 0, result.stderr
    return result


def standing(file: Path, *keys: str) -> dict[str, object]:
    """How a review stands after some keys."""
    found: dict[str, object] = json.loads(review(file, "--json", keys=keys).stdout)
    return found


def procedure(file: Path, *keys: str) -> Procedure:
    """The procedure that is written after some keys; reading it finds no fault."""
    to = file.with_name("out.procedure.yaml")
    review(file, "--to", to, keys=keys)
    read = read_procedure(to)
    assert read.procedure is not None, read.findings
    assert not faults(read.findings)
    return read.procedure


def line_of(found: Procedure, verb: str, thing: str) -> object:
    return next(one for one in found.lines if one.verb == verb and one.object == thing)


def test_the_most_urgent_row_is_shown_with_its_words_its_time_and_its_question(horn: Path) -> None:
    shown = " ".join(review(horn, keys=("2", "j")).stdout.split())
    assert "Does the car have high voltage?" in shown
    assert "way back not heard" in shown
    assert "horn connector: plugged back in? not heard 1 done, not said 2 not done 3 not known" in shown
    assert "[Unplug the horn connector]" in shown
    assert "0:0" in shown


def test_a_key_confirms_and_the_next_call_goes_on_there(horn: Path) -> None:
    first = standing(horn)
    after = standing(horn, "2", "g", "horn connector", "a")
    assert after["high_voltage"] is False
    assert after["unconfirmed"] == first["unconfirmed"] - 1  # type: ignore[operator]
    again = standing(horn)
    assert again == after
    taken_back = standing(horn, "u", "u")
    assert taken_back["high_voltage"] is None
    assert taken_back["unconfirmed"] == first["unconfirmed"]
    assert standing(horn, "u")["steps"] == 0


def test_a_way_back_that_was_done_and_not_said_is_a_person_s_line(horn: Path) -> None:
    found = procedure(horn, "g", "horn connector", "1")
    unplugged = line_of(found, "unplug", "horn connector")
    back = next(one for one in found.lines if one.verb == "plug in")
    assert (back.object, back.twin, back.start) == ("horn connector", unplugged.n, None)  # type: ignore[attr-defined]
    assert back.confirmed == "unnamed"
    answered = {one.text: one.answer for one in found.questions}
    assert answered["horn connector: plugged back in? not heard"] == "done, not said"
    assert answered["lamp connector: plugged back in? not heard"] is None


def test_confirming_what_was_said_leaves_its_question_open(horn: Path) -> None:
    found = procedure(horn, "g", "horn connector", "a", "a")
    assert line_of(found, "unplug", "horn connector").confirmed == "unnamed"  # type: ignore[attr-defined]
    assert {one.answer for one in found.questions if one.kind == "never_plugged_in"} == {None}


def test_everything_plain_is_confirmed_by_one_key_after_it_was_shown(horn: Path) -> None:
    result = review(horn, keys=("A", "a"))
    assert "plain row" in result.stdout
    assert "remove horn" in result.stdout
    found = procedure(horn)
    assert line_of(found, "remove", "horn").confirmed == "unnamed"  # type: ignore[attr-defined]
    assert line_of(found, "unplug", "horn connector").confirmed is None  # type: ignore[attr-defined]


def test_torques_are_asked_together_and_what_is_no_torque_is_asked_again(horn: Path) -> None:
    result = review(horn, keys=("T", "nine", "9 N·m", "workshop book page 4"))
    assert "torque 9 N·m" in result.stdout
    found = procedure(horn)
    tight = next(one for one in found.lines if one.verb == "tighten")
    assert tight.torque == "9 N·m"
    assert found.sources[tight.source or ""] == "workshop book page 4"
    assert not any(one.kind == "no_torque" and one.answer is None for one in found.questions)


def test_a_torque_that_nobody_knows_is_never_filled_in(horn: Path) -> None:
    found = procedure(horn, "T", "")
    assert next(one for one in found.lines if one.verb == "tighten").torque is None
    assert any(one.kind == "no_torque" and one.answer is None for one in found.questions)


def test_words_change_the_chosen_line(horn: Path) -> None:
    found = procedure(
        horn,
        *("g", "remove horn", "o", "signal horn"),
        *("g", "unplug lamp", "r", "side lamp plug"),
        *("g", "undo", "c", "3", "z", "12mm"),
    )
    assert line_of(found, "remove", "signal horn")
    assert line_of(found, "unplug", "side lamp plug")
    assert found.aliases["lamp connector"] == "side lamp plug"
    undone = next(one for one in found.lines if one.verb == "undo")
    assert (undone.count, undone.size) == (3, "12mm")


def test_a_line_is_flipped_deleted_split_merged_and_added(horn: Path) -> None:
    found = procedure(horn, "g", "unplug lamp", "f")
    assert line_of(found, "plug in", "lamp connector")
    found = procedure(horn, "u", "g", "unplug lamp", "s", "2 lamp plug, lamp lead")
    assert line_of(found, "unplug", "lamp plug").count == 2  # type: ignore[attr-defined]
    assert line_of(found, "unplug", "lamp lead").count is None  # type: ignore[attr-defined]
    found = procedure(horn, "g", "lamp lead", "m", "lamp plug")
    assert [one.object for one in found.lines if one.verb == "unplug"].count("lamp plug") == 0
    lines = len(found.lines)
    assert len(procedure(horn, "g", "lamp lead", "x").lines) == lines - 1
    added = procedure(horn, "n", "measure", "battery voltage")
    assert (added.lines[-1].verb, added.lines[-1].object, added.lines[-1].start) == (
        "measure",
        "battery voltage",
        None,
    )


GREY = (
    TEXT
    + """
4
00:01:25,000 --> 00:01:40,000
Remember the 13 mm bracket. That is the 8 mm spacer. Then the 6 mm sleeve.
"""
)


def test_words_that_were_not_used_are_dismissed_one_by_one_and_together(tmp_path: Path) -> None:
    path = tmp_path / "grey.srt"
    path.write_text(GREY, encoding="utf-8")
    shown = review(path, keys=("X",)).stdout
    assert "3 places with words that were not used" in shown
    assert all(words in shown for words in ("[Remember the 13 mm bracket]", "8 mm spacer", "6 mm sleeve"))
    wrong = review(path, keys=("X", "n", "77")).stdout
    assert "'77' is no number of the list" in wrong
    one = review(path, keys=("2", "A", "A", "x")).stdout
    assert "Words that were not used: what was done in them?" in one
    assert "nothing was done in “Remember the 13 mm bracket”" in one
    assert "2 places with words that were not used" in review(path, keys=("X",)).stdout
    assert "3 places with words" in review(path, keys=("u", "X")).stdout
    assert "nothing was done in 3 places" in review(path, keys=("X", "X")).stdout
    assert "no words are left that were not used" in review(path, keys=("X",)).stdout


def test_a_line_is_made_of_words_that_were_not_used(tmp_path: Path) -> None:
    path = tmp_path / "grey.srt"
    path.write_text(GREY, encoding="utf-8")
    found = procedure(path, "X", "n", "2", "renew", "spacer")
    new = line_of(found, "renew", "spacer")
    assert (new.seconds is not None, new.start is not None) == (True, True)  # type: ignore[attr-defined]
    assert "2 places with words" in review(path, keys=("X",)).stdout


def test_a_twin_is_picked_and_taken_away(horn: Path) -> None:
    found = procedure(horn, "g", "fit horn", "t", "0")
    fitted = line_of(found, "fit", "horn")
    assert fitted.twin is None  # type: ignore[attr-defined]
    found = procedure(horn, "g", "fit horn", "t", "remove horn")
    removed = line_of(found, "remove", "horn")
    assert line_of(found, "fit", "horn").twin == removed.n  # type: ignore[attr-defined]


def test_what_had_to_come_off_first_is_a_mark(horn: Path) -> None:
    found = procedure(horn, "g", "remove horn", "b", "horn connector")
    connector = line_of(found, "unplug", "horn connector")
    assert line_of(found, "remove", "horn").first == (connector.n,)  # type: ignore[attr-defined]


def test_the_other_line_of_a_row_is_chosen_by_its_key(horn: Path) -> None:
    found = procedure(horn, "g", "remove horn", "h", "o", "signal horn")
    assert line_of(found, "fit", "signal horn")
    assert line_of(found, "remove", "horn")


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (("!",), "'!' is no key here"),
        (("x",), "there is no line here"),
        (("g", "horn", ""), "lines hold 'horn'"),
        (("g", "remove horn", "c", "many"), "is no whole number"),
        (("g", "remove horn", "v", "gulp"), "is no verb"),
        (("u",), "there is nothing to undo"),
        (("g", "99999"), ""),
        (("g", "remove horn", "s", "one"), "two pieces or more"),
        (("H", "x"), "there is no line here"),
        (("X",), "no words are left that were not used"),
        (("g", "horn connector", "4"), "there is no answer 4 here"),
        (("A", "1"), "nothing is asked here"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(horn: Path, keys: tuple[str, ...], words: str) -> None:
    before = standing(horn)
    assert words in " ".join(review(horn, keys=keys).stdout.split())
    assert standing(horn) == before


def test_a_file_that_is_no_text_or_is_not_there_is_named(tmp_path: Path) -> None:
    missing = call(tmp_path / "none.srt", "--store", tmp_path / "s.db")
    assert missing.return_value == 2
    assert "none.srt" in missing.stderr
    empty = tmp_path / "empty.txt"
    empty.write_bytes(b"")
    said = call(empty, "--store", tmp_path / "s.db")
    assert said.return_value == 2
    assert said.stderr.strip()


def test_leaving_by_q_writes_nothing_and_w_asks_for_a_name(horn: Path) -> None:
    to = horn.with_name("later.procedure.yaml")
    review(horn, "--to", to, keys=("2", "Q"))
    assert not to.exists()
    named = horn.with_name("named.procedure.yaml")
    assert f"{named} written" in review(horn, keys=("w", str(named), "Q")).stdout.replace("\n", "")
    assert named.exists()


def test_the_reviews_of_a_store_are_listed(horn: Path) -> None:
    review(horn, "--car", "Quillet", "--by", "A. Reader", keys=("2",))
    listed = call("--store", horn.with_name("s.db"))
    assert "horn.srt" in listed.stdout
    assert "Quillet" in listed.stdout
    (line,) = json.loads(call("--store", horn.with_name("s.db"), "--json").stdout)["reviews"]
    assert (line["name"], line["car"]) == ("horn.srt", "Quillet")
    review(horn, keys=())
    assert len(json.loads(call("--store", horn.with_name("s.db"), "--json").stdout)["reviews"]) == 1


def test_the_person_is_kept_once_and_named_in_the_procedure(horn: Path) -> None:
    procedure(horn)
    to = horn.with_name("by.procedure.yaml")
    review(horn, "--by", "A. Reader", "--to", to, keys=("g", "remove horn", "a"))
    review(horn, "--by", "A. Reader", "--to", to, keys=("g", "horn connector", "a"))
    found = read_procedure(to).procedure
    assert found is not None
    assert {one.confirmed for one in found.lines} == {None, "A. Reader"}


SCRIPT = """
import fcntl, sys, termios
if sys.stdin.isatty():
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
from putback.faces.cli.review import command
sys.exit(command.main(sys.argv[1:], standalone_mode=False))
"""


class Terminal:
    """A program on a terminal of its own."""

    def __init__(self, *words: str | Path) -> None:
        self.place, end = pty.openpty()
        self.before = _modes(self.place)
        self.program = subprocess.Popen(
            [sys.executable, "-c", SCRIPT, *map(str, words)],
            stdin=end,
            stdout=end,
            stderr=end,
            env={**os.environ, "TERM": "xterm", "COLUMNS": "80", "LINES": "40"},
            start_new_session=True,
        )
        os.close(end)
        self.shown = ""

    def until(self, words: str, *, within_s: float = 30) -> None:
        """Read until some words were shown."""
        ends = time.monotonic() + within_s
        while words not in self.shown:
            assert time.monotonic() < ends, f"{words!r} was not shown: {self.shown[-2000:]!r}"
            if select.select([self.place], [], [], 0.2)[0]:
                self.shown += os.read(self.place, 65536).decode("utf-8", "replace")

    def press(self, keys: str) -> None:
        self.shown = ""
        os.write(self.place, keys.encode())

    def end(self, *, within_s: float = 30) -> int:
        ends = time.monotonic() + within_s
        while self.program.poll() is None and time.monotonic() < ends:
            if select.select([self.place], [], [], 0.2)[0]:
                try:
                    self.shown += os.read(self.place, 65536).decode("utf-8", "replace")
                except OSError:
                    break
        return self.program.wait(timeout=within_s)


def _modes(place: int) -> list[object]:
    return termios.tcgetattr(place)[:4]


def test_on_a_terminal_single_keys_work_and_keys_pressed_ahead_are_kept(horn: Path) -> None:
    terminal = Terminal(horn, "--store", horn.with_name("s.db"))
    terminal.until("high voltage")
    terminal.press("2")
    terminal.until("high voltage: no")
    terminal.press("Auu2Q")
    assert terminal.end() == 0
    assert standing(horn)["high_voltage"] is False


def test_words_are_typed_and_ended_with_enter(horn: Path) -> None:
    terminal = Terminal(horn, "--store", horn.with_name("s.db"))
    terminal.until("high voltage")
    terminal.press("g")
    terminal.until("by number or words")
    terminal.press("remove horn\r")
    terminal.until("[Remove the horn]")
    terminal.press("c")
    terminal.until("count (empty: not said)")
    terminal.press("1\r")
    terminal.until("count is changed")
    terminal.press("Q")
    assert terminal.end() == 0


def test_ctrl_c_gives_the_terminal_back_and_loses_nothing(horn: Path) -> None:
    terminal = Terminal(horn, "--store", horn.with_name("s.db"))
    terminal.until("high voltage")
    terminal.press("2")
    terminal.until("high voltage: no")
    terminal.press("\x03")
    terminal.until("every step is kept")
    assert terminal.end() == 130
    assert _modes(terminal.place) == terminal.before
    assert standing(horn)["high_voltage"] is False


def test_a_program_that_is_killed_loses_no_step(horn: Path) -> None:
    terminal = Terminal(horn, "--store", horn.with_name("s.db"))
    terminal.until("high voltage")
    terminal.press("1")
    terminal.until("high voltage: yes")
    terminal.program.kill()
    terminal.program.wait(timeout=30)
    assert standing(horn)["high_voltage"] is True


def test_where_only_ascii_can_be_written_every_sign_has_one(horn: Path) -> None:
    words = [sys.executable, "-c", SCRIPT, str(horn), "--store", str(horn.with_name("s.db"))]
    ran = subprocess.run(
        words,
        input=b"j\nj\nA\nL\n?\n",
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        timeout=120,
    )
    assert ran.returncode == 0, ran.stderr
    assert b"2 x 10mm bolt" in ran.stdout
    assert ran.stdout.isascii()
