"""Single sentences and notes against what a hand wrote down for each: the labels are in `sentences.txt`, all invented.

The lines stand for ways of speaking, not for texts: British, American and Australian words, orders, reports, notes
without verbs, talk without stops.
"""

import re
from pathlib import Path

import pytest

from putback.core.operations import Verb
from putback.narrate.hearing.understand import operations
from putback.narrate.lines.said import Said
from putback.narrate.sense.things import singular
from putback.narrate.text.spoken import Spoken

_FIELDS = {"c": "count", "s": "size", "k": "kind", "t": "torque"}
_FIELD = re.compile(r"\b([cskt])=(5mm hex|\S+)")


def rows() -> list[tuple[str, str]]:
    """Every line with its labels."""
    text = Path(__file__).with_name("sentences.txt").read_text("utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return list(zip(lines[::2], (line.strip() for line in lines[1::2]), strict=True))


def _is(one: Said, label: str) -> bool:
    """Whether an operation is the labelled one."""
    words = _FIELD.sub("", label)
    verb = max((verb for verb in Verb if words.startswith(verb.value)), key=lambda verb: len(verb.value))
    named = {singular(word) for word in words.removeprefix(verb.value).split()}
    if one.verb is not verb or not named <= {singular(word) for word in one.object.lower().split()}:
        return False
    return all(str(getattr(one, _FIELDS[key])) == value for key, value in _FIELD.findall(label))


@pytest.mark.parametrize(("text", "labels"), rows())
def test_a_line_says_what_a_hand_wrote_down(text: str, labels: str) -> None:
    wanted = [] if labels == "-" else labels.split(" ; ")
    said = operations(Spoken(text=text))
    assert len(said) == len(wanted), [f"{one.verb} {one.object}" for one in said]
    assert [label for one, label in zip(said, wanted, strict=True) if not _is(one, label)] == []


def test_the_same_on_the_other_side_repeats_the_run_with_its_side_flipped() -> None:
    text = "Undo the two bolts on the left bracket. Lift the left bracket off. Same on the other side."
    said = operations(Spoken(text=text))
    assert [(one.verb.value, one.object) for one in said] == [
        ("undo", "left bracket bolts"),
        ("remove", "left bracket"),
        ("undo", "right bracket bolts"),
        ("remove", "right bracket"),
    ]
    start = text.index("Same")
    assert [(one.start, one.count) for one in said[2:]] == [(start, None), (start, None)]


def test_the_same_on_the_other_side_is_not_repeated_where_it_was_not_done() -> None:
    assert len(operations(Spoken(text="Undo the left clip. Other side the same, not done today."))) == 1


def test_a_side_named_alone_holds_for_what_follows() -> None:
    said = operations(Spoken(text="Left side. Five nuts off. Wheel off. Right side. Five nuts off. Wheel off."))
    assert [one.object for one in said if one.verb is Verb.REMOVE] == ["left wheel", "right wheel"]


def test_right_alone_is_no_side() -> None:
    (one,) = operations(Spoken(text="Right. Take the wheel off."))
    assert one.object == "wheel"


def test_a_case_that_may_come_is_kept_with_its_operation() -> None:
    (one,) = operations(Spoken(text="Undo the nut. If the stud spins, hold it with a key."))
    assert (one.verb.value, one.condition) == ("undo", "If the stud spins, hold it with a key")


def test_what_is_told_again_after_it_was_done_is_no_second_operation() -> None:
    said = operations(Spoken(text="Take the cover off. Once the cover is off, unplug the coil."))
    assert [one.verb.value for one in said] == ["remove", "unplug"]


def test_a_loosened_bolt_is_slackened_until_it_is_taken_out() -> None:
    (one,) = operations(Spoken(text="Slacken the pivot bolt."))
    assert one.slackened
    (one,) = operations(Spoken(text="Undo the pivot bolt."))
    assert not one.slackened


def test_fasteners_named_by_their_size_alone_are_doubtful() -> None:
    (one,) = operations(Spoken(text="Three tens off."))
    assert (one.count, one.size) == (3, "10mm")
    assert one.doubts


def test_a_number_of_hundreds_said_short_is_one_number() -> None:
    (one,) = operations(Spoken(text="Torque the wheel nuts to one ten newton metres."))
    assert one.torque == "110Nm"
    (one,) = operations(Spoken(text="Torque the wheel nuts to a hundred and eight newton metres."))
    assert one.torque == "108Nm"
