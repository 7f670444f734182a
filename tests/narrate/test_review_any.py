"""Whatever steps a review is given, it folds, its twins are twins, and undo gives back what was.

The steps are drawn at random; the narrations are invented.
"""

import json
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate.narrations import text_of
from narrate.reviewing import NAMES, folded, line, review_of, row_with
from putback.core.operations import ON_THE_WAY_BACK, ON_THE_WAY_IN, Verb
from putback.core.quantity import Refused, read_torque
from putback.core.record.canonical import canonical_bytes, read_json
from putback.core.record.review_kinds import Act
from putback.narrate.hearing.understand import operations
from putback.narrate.review.acts import FIELDS
from putback.narrate.review.answers import ANSWERS
from putback.narrate.review.kept import draft_bytes, read_draft
from putback.narrate.review.look import Look, look
from putback.narrate.review.moves import accepting
from putback.narrate.review.result import procedure_of
from putback.narrate.review.state import begun
from putback.narrate.review.step import LONGEST, Step, read_step
from putback.narrate.review.steps import Taken, fold

# any sequence of steps

QUESTIONS = ("same_as", "never_put_back", "never_plugged_in", "no_torque", "count_mismatch", "consumable_reused")
KEYS = st.integers(min_value=0, max_value=16)
WORDS = st.sampled_from(["tray", "horn connector", "2 x clip", "x", "belly pan", "unplug", "fit", "9 N·m", "4", "yes"])
STEPS = st.builds(
    Step,
    act=st.sampled_from([act for act in Act if act is not Act.UNDO]),
    lines=st.lists(KEYS, max_size=3).map(tuple),
    twins=st.lists(KEYS, max_size=3).map(tuple),
    other=st.none() | KEYS,
    others=st.lists(KEYS, max_size=2).map(tuple),
    field=st.sampled_from(FIELDS) | st.none(),
    value=WORDS | st.none() | st.sampled_from([*ANSWERS, "4 is right", *map(str, Verb)]),
    name=WORDS | st.none(),
    into=st.lists(WORDS, max_size=3).map(tuple),
    span=st.none() | st.tuples(st.integers(0, 40), st.integers(40, 300)),
    spans=st.lists(st.tuples(st.integers(0, 40), st.integers(40, 300)), max_size=2).map(lambda row: sum(row, ())),
    source=WORDS | st.none(),
    kind=st.sampled_from(QUESTIONS) | st.none(),
    text=WORDS | st.none(),
)
SEQUENCES = st.lists(STEPS, max_size=12)


@settings(max_examples=300)
@given(SEQUENCES)
def test_any_steps_fold_and_every_twin_is_an_earlier_line_of_the_way_in(steps: list[Step]) -> None:
    seen = look(folded(review_of(), *steps).review)
    places = {one.key: place for place, one in enumerate(seen.review.lines)}
    assert len(places) == len(seen.review.lines)
    for one in seen.review.lines:
        if one.said.twin is not None:
            other = line(seen, one.said.twin)
            assert places[other.key] < places[one.key]
            assert other.said.verb in ON_THE_WAY_IN
            assert one.said.verb in ON_THE_WAY_BACK | {Verb.START}
        assert all(key in places for key in (*one.first, *one.said.also))
    assert sorted(one.key for row in seen.rows for one in row.lines) == sorted(places)
    procedure_of(seen, car="Quillet", file="x")


@settings(max_examples=150)
@given(SEQUENCES, STEPS)
def test_undoing_the_last_step_gives_the_state_before(steps: list[Step], last: Step) -> None:
    start, undone = review_of(), Step(act=Act.UNDO, step=f"e{len(steps) + 1}")
    before, back = folded(start, *steps), folded(start, *steps, last, undone)
    assert back.review == before.review
    assert back.misfits == before.misfits
    redone = folded(start, *steps, last, undone, Step(act=Act.UNDO, step=f"e{len(steps) + 2}"))
    assert redone.review == folded(start, *steps, last).review


@settings(max_examples=100)
@given(SEQUENCES, st.integers(0, 12))
def test_a_prefix_that_is_folded_first_comes_to_the_same(steps: list[Step], place: int) -> None:
    start = review_of()
    first = folded(start, *steps[:place]).review
    assert folded(first, *steps[place:]).review == folded(start, *steps).review


@settings(max_examples=100)
@given(SEQUENCES)
def test_a_step_that_comes_twice_with_one_id_counts_once(steps: list[Step]) -> None:
    taken = [Taken(id=f"e{n}", who="p1", step=step) for n, step in enumerate(steps)]
    assert fold(review_of(), [*taken, *taken]) == fold(review_of(), taken)


OTHER_LINES = st.sampled_from([Act.ACCEPT, Act.DELETE, Act.FLIP, Act.SET, Act.SPLIT, Act.ADD, Act.HIGH_VOLTAGE])


@settings(max_examples=200)
@given(st.integers(1, 8), st.lists(st.tuples(OTHER_LINES, STEPS), max_size=6))
def test_a_confirmed_line_is_not_changed_by_what_is_done_to_others(key: int, changes: list[tuple[Act, Step]]) -> None:
    """Its own twin and what it points to is kept out of the changes: deleting a twin asks for a new look."""
    start = review_of()
    seen = look(start)
    own = {one.key for one in row_with(seen, key).lines}
    first = folded(start, *accepting(row_with(seen, key))).review
    steps = [
        replace(step, act=act, lines=tuple(one for one in step.lines if one not in own), twins=(), other=None)
        for act, step in changes
    ]
    then = folded(first, *steps).review
    for one in own:
        assert then.line(one) == first.line(one)
        assert line(look(then), one).said.twin == line(look(first), one).said.twin


@settings(max_examples=200)
@given(STEPS)
def test_a_step_comes_back_from_the_record_as_it_was(step: Step) -> None:
    body = json.loads(canonical_bytes(step.body()))
    assert read_step(body) == step
    assert read_step(read_json(canonical_bytes(step.body()))) == step  # type: ignore[arg-type]


NUMBERS_OR_WORDS = st.integers() | st.text(max_size=5)


@settings(max_examples=200)
@given(
    st.dictionaries(
        st.sampled_from([one.name for one in fields(Step)]),
        st.none()
        | st.booleans()
        | st.integers()
        | st.text(max_size=5)
        | st.lists(st.integers() | st.text(max_size=2)),
    )
)
def test_any_body_is_a_step_or_says_what_is_wrong(body: Mapping[str, Any]) -> None:
    read = read_step(body)
    if isinstance(read, Step):
        assert isinstance(look(folded(review_of(), read).review), Look)
    else:
        assert read
        assert all(": " in one for one in read)


def test_everything_that_is_wrong_with_a_step_is_said_at_once() -> None:
    wrong = read_step(
        {
            "act": "eat",
            "lines": "all",
            "span": [9, 3],
            "spans": [1, 2, 9, 3],
            "other": -1,
            "into": ["a", ""],
            "name": "x" * (LONGEST + 1),
            "value": "two\nlines",
        }
    )
    assert isinstance(wrong, tuple)
    assert [one.partition(":")[0] for one in wrong] == [
        "act",
        "lines",
        "span",
        "spans",
        "other",
        "into",
        "value",
        "name",
    ]


@pytest.mark.parametrize("name", NAMES)
def test_a_draft_is_kept_and_read_as_it_was(name: str) -> None:
    spoken = text_of(name)
    start = begun(spoken, operations(spoken), high_voltage=False)
    renamed = folded(start, Step(act=Act.RENAME, name=start.lines[0].said.object, value="cover plate")).review
    kept = begun(
        spoken, [one.said for one in renamed.lines], aliases=renamed.aliases, high_voltage=renamed.high_voltage
    )
    again = read_draft(draft_bytes(kept))
    assert again.lines == kept.lines
    assert again.spoken == kept.spoken
    assert dict(again.aliases.names) == dict(kept.aliases.names)
    assert again.high_voltage is False
    assert draft_bytes(again) == draft_bytes(kept)
    assert look(again).rows == look(kept).rows


@settings(max_examples=100)
@given(st.text(max_size=8))
def test_a_torque_that_is_kept_can_be_read(value: str) -> None:
    """`read_torque` is the house's one reader of torques; what it refuses is kept by no step."""
    found = folded(review_of(), Step(act=Act.TORQUE, lines=(2,), value=value or None))
    try:
        read_torque(value)
    except Refused:
        assert found.misfits
    else:
        assert not found.misfits
