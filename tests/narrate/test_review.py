"""A review is its steps, folded. What each act does is said in docs/review.md; the narrations are invented."""

from dataclasses import replace

import pytest

from narrate.narrations import text_of
from narrate.reviewing import NAMES, TEXT, after, folded, key_of, line, review_of, row_with, why_not
from putback.core.operations import TWIN, Verb
from putback.core.papers.published import sections_of
from putback.core.procedure import BOTH_RIGHT, NOT_DONE, USED_AGAIN, Procedure
from putback.core.record.review_kinds import Act
from putback.narrate.hearing.understand import operations
from putback.narrate.review.answers import DONE, NEW_FITTED, NOT_KNOWN, NOT_THE_SAME, SAME
from putback.narrate.review.look import Look, Stand, look
from putback.narrate.review.moves import accepting, accepting_plain, answering, dismissing, torque_given
from putback.narrate.review.result import procedure_of
from putback.narrate.review.state import Reviewed, begun
from putback.narrate.review.step import Step, read_step
from putback.narrate.review.stops import WRITE, next_stop, stop_of_line, stops, visited
from putback.narrate.review.words import answers_to, done_words, is_looked_at
from putback.narrate.text.spoken import Spoken

# each act


def test_accepting_confirms_the_lines_with_the_twins_that_were_seen() -> None:
    start = review_of()
    tray, fitted = key_of(start, "remove", "tray"), key_of(start, "fit", "tray")
    seen = after(start, Step(act=Act.ACCEPT, lines=(tray, fitted), twins=(0, tray)))
    assert [line(seen, key).confirmed for key in (tray, fitted)] == ["p1", "p1"]
    assert line(seen, fitted).said.twin == tray
    alone = after(start, Step(act=Act.ACCEPT, lines=(fitted,), twins=(0,)))
    assert line(alone, fitted).said.twin is None, "no twin was seen, so none is looked for again"


def test_deleting_frees_what_pointed_to_the_line() -> None:
    start = review_of()
    tray, fitted = key_of(start, "remove", "tray"), key_of(start, "fit", "tray")
    seen = after(
        start, Step(act=Act.ACCEPT, lines=(tray, fitted), twins=(0, tray)), Step(act=Act.DELETE, lines=(tray,))
    )
    assert seen.review.line(tray) is None
    assert line(seen, fitted).said.twin is None
    assert line(seen, fitted).confirmed is None


def test_words_of_a_deleted_line_are_not_asked_again() -> None:
    start = review_of()
    shroud = key_of(start, "remove", "shroud")
    seen = after(start, Step(act=Act.DELETE, lines=(shroud,)))
    assert seen.unused == look(start).unused
    assert [TEXT[slice(*one)] for one in seen.dismissed] == ["Remove the shroud"]
    assert look(folded(start, Step(act=Act.DELETE, lines=(shroud,)), Step(act=Act.UNDO, step="e1")).review) == look(
        start
    )


@pytest.mark.parametrize("verb", sorted(TWIN))
def test_flipping_is_the_twin_verb_of_the_table(verb: Verb) -> None:
    said = replace(review_of().lines[0].said, verb=verb)
    seen = after(begun(Spoken(text=TEXT), [said]), Step(act=Act.FLIP, lines=(1,)))
    assert line(seen, 1).said.verb is TWIN[verb]


def test_what_has_no_way_back_is_not_flipped() -> None:
    said = replace(review_of().lines[0].said, verb=Verb.CLEAN)
    assert why_not(begun(Spoken(text=TEXT), [said]), Step(act=Act.FLIP, lines=(1,))) == "clean has no way back"


@pytest.mark.parametrize(
    ("field", "value", "becomes"),
    [
        ("count", "6", 6),
        ("count", None, None),
        ("size", "12mm", "12mm"),
        ("object", "belly pan", "belly pan"),
        ("verb", "clean", Verb.CLEAN),
        ("tray", "C", "C"),
        ("slackened", "yes", True),
    ],
)
def test_a_field_becomes_what_is_said(field: str, value: str | None, becomes: object) -> None:
    seen = after(review_of(), Step(act=Act.SET, lines=(2,), field=field, value=value))
    assert getattr(line(seen, 2).said, field) == becomes
    assert line(seen, 2).confirmed == "p1"


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (Step(act=Act.SET, lines=(2,), field="count", value="four"), "is no whole number from 1"),
        (Step(act=Act.SET, lines=(2,), field="count", value="0"), "is no whole number from 1"),
        (Step(act=Act.SET, lines=(2,), field="count", value="٣"), "is no whole number from 1"),
        (Step(act=Act.SET, lines=(2,), field="verb", value="gulp"), "is no verb"),
        (Step(act=Act.SET, lines=(2,), field="object"), "name it, or delete the line"),
        (Step(act=Act.SET, lines=(2,), field="torque", value="9 N·m"), "is no field"),
        (Step(act=Act.SET, field="count", value="1"), "no line is named"),
        (Step(act=Act.DELETE, lines=(99,)), "there is no line 99 any more"),
        (Step(act=Act.TWIN, lines=(6,), other=99), "there is no line 99 any more"),
        (Step(act=Act.ACCEPT, lines=(1, 2), twins=(0,)), "not as many twins as lines"),
        (Step(act=Act.ACCEPT, lines=(1,), twins=(2,)), "cannot be the twin"),
        (Step(act=Act.MERGE, lines=(1,)), "name two lines or more"),
        (Step(act=Act.SPLIT, lines=(1,), into=("one",)), "two pieces or more"),
        (Step(act=Act.SPLIT, lines=(1,), into=("one", " ")), "a piece has no name"),
        (Step(act=Act.RENAME, name="horn"), "the old name and the new one"),
        (Step(act=Act.RENAME, name="ghost", value="horn"), "no line is called"),
        (Step(act=Act.TORQUE, lines=(2,)), "no value"),
        (Step(act=Act.TORQUE, lines=(2,), value="nine"), "torque: "),
        (Step(act=Act.TORQUE, lines=(1,), value="9 N·m"), "tightens nothing"),
        (Step(act=Act.FIRST, lines=(2,), others=(3,)), "does not come before"),
        (Step(act=Act.ADD, value="gulp", name="horn"), "a verb of the list and a thing"),
        (Step(act=Act.ADD, value="clean"), "a verb of the list and a thing"),
        (Step(act=Act.ADD, value="clean", name="seat", span=(0, 10**6)), "not in the text"),
        (Step(act=Act.ANSWER, kind="no_pre_scan", text="?", value="maybe"), "answer: one of"),
        (Step(act=Act.ANSWER, kind="count_mismatch", text="?", lines=(2,), value="0 is right"), "answer: one of"),
        (Step(act=Act.ANSWER, kind="count_mismatch", text="?", lines=(2,), others=(99,), value="4 is right"), "99"),
        (Step(act=Act.DISMISS), "no words are named"),
        (Step(act=Act.DISMISS, spans=(0, 10**6)), "not in the text"),
        (Step(act=Act.ANSWER, kind="same_as", text="?", lines=(5,), value=SAME), "with which line"),
        (Step(act=Act.HIGH_VOLTAGE, value="perhaps"), "yes or no"),
    ],
)
def test_a_step_that_does_not_fit_is_told_and_changes_nothing(step: Step, words: str) -> None:
    assert words in why_not(review_of(), step)


def test_merging_keeps_the_first_with_what_only_the_other_knows() -> None:
    start = review_of("Remove the tray. Take two 10 mm bolts out. Remove the tray with the pry bar. Fit the tray.")
    first, *_, second = (one.key for one in start.lines if one.said.verb is Verb.REMOVE)
    fitted = key_of(start, "fit", "tray")
    known = replace(line(look(start), second), said=replace(line(look(start), second).said, size="7mm"))
    seen = after(start.changed([known]), Step(act=Act.MERGE, lines=(first, second)))
    assert seen.review.line(second) is None
    assert line(seen, first).said.size == "7mm"
    assert line(seen, fitted).said.twin == first
    assert (line(seen, first).said.start, line(seen, first).said.end) == (
        start.lines[0].said.start,
        known.said.end,
    )


def test_splitting_makes_a_line_of_each_piece_with_its_count() -> None:
    start = review_of()
    before = [one.key for one in start.lines]
    seen = after(start, Step(act=Act.SPLIT, lines=(3,), into=("2 x front tray", "rear tray")))
    keys = [one.key for one in seen.review.lines]
    assert keys == [*before[:3], start.next_key, *before[3:]]
    assert (line(seen, 3).said.object, line(seen, 3).said.count) == ("front tray", 2)
    assert (line(seen, start.next_key).said.object, line(seen, start.next_key).said.count) == ("rear tray", None)


def test_a_twin_that_was_said_stands_and_none_stays_none() -> None:
    start = review_of()
    shroud, cowl, tray = (
        key_of(start, "remove", "shroud"),
        key_of(start, "fit", "cowl"),
        key_of(start, "fit", "tray"),
    )
    seen = after(start, Step(act=Act.TWIN, lines=(cowl,), other=shroud), Step(act=Act.TWIN, lines=(tray,)))
    assert line(seen, cowl).said.twin == shroud
    assert line(seen, tray).said.twin is None
    assert "cannot be the twin" in why_not(start, Step(act=Act.TWIN, lines=(shroud,), other=tray))


def test_renaming_is_everywhere_and_is_remembered() -> None:
    start = review_of()
    seen = after(start, Step(act=Act.RENAME, name="Tray", value="belly pan"))
    assert [one.said.object for one in seen.review.lines].count("belly pan") == 2
    assert "tray" not in [one.said.object for one in seen.review.lines]
    assert seen.review.aliases.named("tray") == "belly pan"


def test_a_torque_is_of_the_line_that_tightens_and_is_never_lost_for_want_of_one() -> None:
    start = review_of()
    (needed,) = look(start).torques_needed()
    seen = after(start, torque_given(needed, "9 N·m", "workshop book page 4"))
    tight = line(seen, key_of(start, "tighten", "tray bolts"))
    assert (tight.said.torque, tight.source, tight.confirmed) == ("9 N·m", "workshop book page 4", "p1")
    assert seen.torques_needed() == ()
    undone = next(one.key for one in start.lines if one.said.verb is Verb.UNDO)
    other = after(start, Step(act=Act.TORQUE, lines=(undone,), value="9 N·m"))
    new = line(other, start.next_key)
    assert (new.said.verb, new.said.twin, new.by_hand, new.said.torque) == (Verb.TIGHTEN, undone, True, "9 N·m")


def test_what_had_to_come_off_first_is_earlier_and_forgotten_with_its_line() -> None:
    start = review_of()
    step = Step(act=Act.FIRST, lines=(3,), others=(1, 2))
    assert line(after(start, step), 3).first == (1, 2)
    assert line(after(start, step, Step(act=Act.DELETE, lines=(1,))), 3).first == (2,)


def test_a_line_is_added_where_its_words_stand_or_at_the_end() -> None:
    start = review_of()
    place = TEXT.index("Remove the tray")
    seen = after(start, Step(act=Act.ADD, value="clean", name="tray seat", span=(place - 2, place - 1)))
    keys = [one.key for one in seen.review.lines]
    assert keys.index(start.next_key) + 1 == keys.index(3)
    assert not line(seen, start.next_key).by_hand
    remembered = after(start, Step(act=Act.ADD, value="clean", name="tray seat")).review.lines[-1]
    assert (remembered.key, remembered.by_hand, remembered.said.seconds) == (start.next_key, True, None)


def test_words_that_a_line_is_made_of_are_no_longer_unused() -> None:
    start = review_of()
    (bracket,) = (one for one in look(start).unused if "13 mm" in TEXT[slice(*one)])
    seen = after(start, Step(act=Act.ADD, value="inspect", name="bracket", span=bracket))
    assert bracket not in seen.unused


@pytest.mark.parametrize(
    ("typed", "thing", "count", "size", "kind"),
    [
        ("four 10 mm pump bolts", "pump bolts", 4, "10mm", "bolt"),
        ("2 T30 screws", "screws", 2, "T30", "screw"),
        ("pump bolts", "pump bolts", None, None, "bolt"),
        ("12 V battery", "12 V battery", None, None, None),
        ("number 2 injector", "number 2 injector", None, None, None),
    ],
)
def test_numbers_typed_with_a_missed_line_are_kept(
    typed: str, thing: str, count: int | None, size: str | None, kind: str | None
) -> None:
    said = after(review_of(), Step(act=Act.ADD, value="undo", name=typed)).review.lines[-1].said
    assert (said.object, said.count, said.size, said.kind) == (thing, count, size, kind)


def test_words_in_which_nothing_was_done_are_asked_no_more_and_come_back_with_undo() -> None:
    start = review_of()
    (bracket,) = (one for one in look(start).unused if "13 mm" in TEXT[slice(*one)])
    assert f"unused {bracket[0]}" in [stop.name for stop in stops(look(start))]
    (step,) = dismissing([bracket])
    seen = after(start, step)
    assert bracket not in seen.unused
    assert seen.dismissed == (bracket,)
    assert f"unused {bracket[0]}" not in [stop.name for stop in stops(seen)]
    assert done_words(step, start) == "nothing was done in “Remember the 13 mm bracket”"
    assert look(folded(start, step, Step(act=Act.UNDO, step="e1")).review).unused == look(start).unused


def test_words_of_one_sentence_are_shown_as_one_unless_a_line_stands_between() -> None:
    text = (
        "The 13 mm bracket, you know, and the 8 mm spacer. A 6 mm sleeve. "
        "The 10 mm shaft, remove the tray, a 12 mm bracket."
    )
    start = review_of(text)
    assert [text[slice(*one)] for one in look(start).unused] == [
        "The 13 mm bracket, you know, and the 8 mm spacer",
        "A 6 mm sleeve",
        "The 10 mm shaft",
        "a 12 mm bracket",
    ]


def test_more_words_than_were_dismissed_are_shown_again() -> None:
    """A later program may leave other words unused: those that nobody has seen are shown."""
    start = review_of()
    (bracket,) = (one for one in look(start).unused if "13 mm" in TEXT[slice(*one)])
    assert after(start, Step(act=Act.DISMISS, spans=(bracket[0], bracket[1] - 3))).unused == look(start).unused
    assert bracket not in after(start, Step(act=Act.DISMISS, spans=(bracket[0] - 3, bracket[1]))).unused


def test_very_many_words_are_dismissed_in_steps_that_can_be_kept() -> None:
    found = dismissing([(n, n + 1) for n in range(0, 4200, 2)])
    assert len(found) == 3
    assert all(isinstance(read_step(step.body()), Step) for step in found)


# questions


def test_done_and_not_said_is_a_line_of_the_person_and_the_row_is_heard() -> None:
    start = review_of()
    horn = key_of(start, "unplug", "horn connector")
    row = row_with(look(start), horn)
    assert row.stand is Stand.NO_WAY_BACK
    (asked,) = row.questions
    seen = after(start, *answering(row, asked, DONE))
    back = line(seen, start.next_key)
    assert (back.said.verb, back.said.twin, back.by_hand) == (Verb.PLUG_IN, horn, True)
    assert row_with(seen, horn).stand is Stand.HEARD
    assert is_looked_at(row_with(seen, horn))
    assert not any(one.line == horn for one in seen.open_questions)


def test_confirming_leaves_the_question_and_not_known_stays_open_in_the_procedure() -> None:
    start = review_of()
    horn = key_of(start, "unplug", "horn connector")
    row = row_with(look(start), horn)
    confirmed = after(start, *accepting(row))
    (still,) = (one for one in confirmed.open_questions if one.line == horn)
    assert line(confirmed, horn).confirmed == "p1"
    assert not is_looked_at(row_with(confirmed, horn))
    unknown = after(start, *accepting(row), *answering(None, still, NOT_KNOWN))
    assert is_looked_at(row_with(unknown, horn))
    asked = procedure_of(unknown, car="Quillet", file="x").questions
    assert [one.answer for one in asked if one.operation == 1] == [None]


def test_accepting_two_names_answers_that_they_are_the_same_and_remembers_it() -> None:
    start = review_of("Disconnect the negative. Remove the pump. Fit the pump. Reconnect the battery.")
    row = row_with(look(start), 4)
    assert [one.kind for one in row.questions] == ["same_as"]
    seen = after(start, *accepting(row))
    assert seen.review.aliases.named("battery") == "negative"
    assert line(seen, 4).said.twin == 1
    assert not any(one.kind == "same_as" for one in seen.open_questions)
    apart = after(start, *answering(row, row.questions[0], NOT_THE_SAME))
    assert line(apart, 4).said.twin is None
    assert apart.review.aliases.named("battery") == "battery"


def test_a_car_with_high_voltage_is_always_asked_of_it() -> None:
    start = review_of()
    asked = after(start, Step(act=Act.HIGH_VOLTAGE, value="yes")).open_questions
    assert sum(one.kind == "always_asked" for one in asked) == 3
    assert not any(
        one.kind == "always_asked" for one in after(start, Step(act=Act.HIGH_VOLTAGE, value="no")).open_questions
    )


def test_what_is_plain_is_confirmed_together() -> None:
    start = review_of()
    plain = look(start).plain
    seen = after(start, *accepting_plain(look(start)))
    assert plain
    assert seen.plain == ()
    keys = {one.key for row in plain for one in row.lines}
    assert {one.key for one in seen.review.lines if one.confirmed} == keys


MISMATCH = (
    "Take four 10 mm bolts off the tray. Remove the tray. Fit the tray. "
    "Start the three 10 mm tray bolts. Tighten the three tray bolts."
)
TWO_SIDES = "Remove five left wheel nuts. Remove five right wheel nuts. Put the nine wheel nuts back on both sides."


@pytest.mark.parametrize(
    ("answer", "counts", "owed"),
    [
        ("4 is right", [4, 4, 4], False),
        ("3 is right", [3, 3, 3], False),
        (BOTH_RIGHT, [4, 3, 3], True),
        (NOT_KNOWN, [4, 3, 3], False),
    ],
)
def test_of_two_numbers_a_person_says_which_is_right(answer: str, counts: list[int], *, owed: bool) -> None:
    start = review_of(MISMATCH)
    undone = next(one.key for one in start.lines if one.said.verb is Verb.UNDO)
    row = row_with(look(start), undone)
    asked = next(one for one in row.questions if one.kind == "count_mismatch")
    assert answers_to(asked) == ("4 is right", "3 is right", NOT_KNOWN, BOTH_RIGHT)
    seen = after(start, *answering(row, asked, answer))
    assert [one.said.count for one in seen.review.lines if one.said.count] == counts
    assert all(one.confirmed for one in row_with(seen, undone).lines)
    assert not any(one.kind == "count_mismatch" for one in seen.open_questions)
    procedure = procedure_of(seen, car="Quillet", file="x")
    kept = [one.answer for one in procedure.questions if one.kind == "count_mismatch"]
    assert kept == [None if answer == NOT_KNOWN else answer]
    assert ("both are right" in open_words(procedure)) is owed


def test_an_answer_is_to_its_numbers_and_to_no_others() -> None:
    start = review_of(MISMATCH)
    undone = next(one.key for one in start.lines if one.said.verb is Verb.UNDO)
    row = row_with(look(start), undone)
    asked = next(one for one in row.questions if one.kind == "count_mismatch")
    seen = after(
        start, *answering(row, asked, BOTH_RIGHT), Step(act=Act.SET, lines=(undone,), field="count", value="5")
    )
    assert [one.text.partition(": ")[2][:10] for one in seen.open_questions if one.kind == "count_mismatch"] == [
        "5 came off"
    ]


def test_which_of_several_lines_said_the_wrong_number_is_not_made_up() -> None:
    off, *back = (
        replace(review_of().lines[1].said, n=n, verb=verb, count=count)
        for n, verb, count in ((1, Verb.UNDO, 4), (2, Verb.START, 2), (3, Verb.START, 1))
    )
    lines = [Reviewed(said=off), *(Reviewed(said=replace(one, twin=1), settled=True) for one in back)]
    start = replace(review_of(), lines=tuple(lines))
    row = row_with(look(start), 1)
    (asked,) = (one for one in row.questions if one.kind == "count_mismatch")
    assert asked.text.partition(": ")[2].startswith("4 came off, 3 heard to go back")
    seen = after(start, *answering(row, asked, "4 is right"))
    assert [one.said.count for one in seen.review.lines] == [4, 2, 1]
    assert not any(one.kind == "count_mismatch" for one in seen.open_questions)


def test_an_answer_to_a_very_long_name_is_found_again() -> None:
    start = review_of(MISMATCH)
    undone = next(one.key for one in start.lines if one.said.verb is Verb.UNDO)
    renamed = after(start, Step(act=Act.SET, lines=(undone,), field="object", value="tray bolts " + "x" * 180))
    row = row_with(renamed, undone)
    asked = next(one for one in row.questions if one.kind == "count_mismatch")
    steps = answering(row, asked, BOTH_RIGHT)
    assert all(isinstance(read_step(step.body()), Step) for step in steps)
    seen = after(renamed.review, *steps)
    assert not any(one.kind == "count_mismatch" for one in seen.open_questions)


@pytest.mark.parametrize(
    ("answer", "renewed", "owed"), [(NEW_FITTED, 1, False), (USED_AGAIN, 0, True), (NOT_KNOWN, 0, False)]
)
def test_whether_a_part_was_used_again_is_answered_in_its_own_words(answer: str, renewed: int, *, owed: bool) -> None:
    start = review_of("Remove the cover. The gasket still looked good, so I reused it. Fit the cover.")
    (asked,) = (one for one in look(start).questions if one.kind == "consumable_reused")
    assert answers_to(asked) == (NEW_FITTED, USED_AGAIN, NOT_KNOWN)
    seen = after(start, *answering(None, asked, answer))
    new = [one for one in seen.review.lines if one.said.verb is Verb.RENEW]
    assert [(one.said.object, one.by_hand, one.confirmed) for one in new] == [("gasket", True, "p1")] * renewed
    assert not any(one.kind == "consumable_reused" for one in seen.open_questions)
    again = after(seen.review, *answering(None, asked, answer))
    assert sum(one.said.verb is Verb.RENEW for one in again.review.lines) == renewed, "one line is enough"
    procedure = procedure_of(seen, car="Quillet", file="x")
    assert ("really used again" in open_words(procedure)) is owed


def open_words(procedure: Procedure) -> str:
    """What the published page says is open."""
    (section,) = (one for one in sections_of(procedure) if one.id == "open")
    return str(section)


@pytest.mark.parametrize("answer", [DONE, NOT_DONE])
def test_a_car_that_was_raised_and_not_heard_lowered_is_asked_once(answer: str) -> None:
    start = review_of("Put the car on the lift. Remove the tray. Lift it a bit higher. Fit the tray.")
    asked = [one for one in look(start).questions if "lowered again?" in one.text]
    assert len(asked) == 1
    row = row_with(look(start), asked[0].line or 0)
    assert row.stand is Stand.NO_WAY_BACK
    seen = after(start, *answering(row, asked[0], answer))
    assert not any("lowered again?" in one.text for one in seen.open_questions)
    assert sum(one.said.verb is Verb.LOWER for one in seen.review.lines) == (answer == DONE)


def test_of_some_that_were_heard_tight_the_answer_is_of_the_others() -> None:
    loose = replace(review_of().lines[1].said, n=1, count=3, slackened=True)
    tight = replace(loose, n=2, verb=Verb.TIGHTEN, count=1, slackened=False, twin=1)
    start = replace(review_of(), lines=(Reviewed(said=loose), Reviewed(said=tight, settled=True)))
    row = row_with(look(start), 1)
    (asked,) = (one for one in row.questions if one.kind == "loosened_never_tightened")
    seen = after(start, *answering(row, asked, DONE))
    assert [(one.said.count, one.by_hand) for one in row_with(seen, 1).way_back] == [(1, False), (2, True)]
    assert not any(one.kind == "loosened_never_tightened" for one in seen.open_questions)


@pytest.mark.parametrize("name", NAMES)
def test_each_text_is_reviewed_to_its_end_by_one_key_after_the_other(name: str) -> None:
    spoken = text_of(name)
    start = begun(spoken, operations(spoken))
    seen, steps = look(start), [Step(act=Act.HIGH_VOLTAGE, value="no")]
    seen = after(start, *steps)
    place = stops(seen)[0]
    for _ in range(4 * len(start.lines)):
        if place.name == WRITE:
            break
        steps += _usual(seen, place.name)
        before, seen = seen, after(start, *steps)
        place = next_stop(stops(before), stops(seen), place.name)
    assert [one.name for one in stops(seen)] == [WRITE]
    assert seen.unconfirmed == 0
    assert seen.open_questions == ()
    assert len({one.key for one in seen.review.lines}) == len(seen.review.lines)


def _usual(seen: Look, name: str) -> tuple[Step, ...]:
    """What a person would press at a place: confirm, say that it was done, give the torques."""
    place = next(one for one in stops(seen) if one.name == name)
    if name == "plain":
        return accepting_plain(seen)
    if name == "torques":
        return tuple(torque_given(one, "9 N·m", "workshop book page 4") for one in place.questions)
    row = place.rows[0] if place.rows else None
    asked = [one for one in place.questions if one.kind not in ("no_torque", "same_as")]
    if asked:
        return answering(row, asked[0], answers_to(asked[0])[0])
    if place.spans:
        return dismissing(place.spans)
    assert row is not None
    return accepting(row)


def test_a_line_is_found_at_its_row() -> None:
    seen = look(review_of())
    for row in seen.rows:
        for one in row.lines:
            place = stop_of_line(seen, one.key)
            assert place is not None
            assert place.rows == (row,)
    assert stop_of_line(seen, 999) is None


def test_what_is_left_at_a_row_is_come_back_to_before_writing() -> None:
    """The fit is deleted, and the only row is open again: it is not passed over for the writing."""
    start = review_of("Remove the tray. Fit the tray.")
    told = [Step(act=Act.HIGH_VOLTAGE, value="no"), *accepting_plain(look(start))]
    answers = [answering(None, one, DONE) for one in look(start).open_questions if one.line is None]
    before = after(start, *told, *(step for steps in answers for step in steps))
    assert [one.name for one in stops(before)] == [WRITE]
    deleted = after(before.review, Step(act=Act.DELETE, lines=(2,)))
    assert next_stop(stops(before), stops(deleted), "row 1").name == "row 1"
    confirmed = after(deleted.review, *accepting(row_with(deleted, 1)))
    assert next_stop(stops(deleted), stops(confirmed), "row 1").name == "row 1"


def test_a_place_is_visited_by_its_name_while_it_is_there() -> None:
    seen = after(review_of(), Step(act=Act.HIGH_VOLTAGE, value="no"))
    assert visited(seen, "high voltage") is not None
    assert visited(seen, "row 1") == stop_of_line(seen, 1)
    unused = visited(seen, "unused")
    assert unused is not None
    assert unused.spans == seen.unused
    assert visited(after(seen.review, *dismissing(seen.unused)), "unused") is None
    assert [visited(seen, name) for name in ("row 999", "plain", "", "nowhere")] == [None] * 4


def test_bolts_that_only_went_in_are_asked_for_their_torque_and_get_it() -> None:
    """Nobody said that they came out, so they have no twin; the torque stands on a line of their own."""
    seen = look(review_of(text="Fit the cover. Start the two duct bolts."))
    asked = [one for one in seen.open_questions if one.kind == "no_torque"]
    assert [one.text for one in asked] == ["duct bolts: tightened to what? not heard"]
    seen = after(seen.review, torque_given(asked[0], "9 N·m", "workshop book page 4"))
    assert [one for one in seen.open_questions if one.kind == "no_torque"] == []
    new = seen.review.lines[-1]
    assert (new.said.verb, new.said.object, new.said.torque, new.said.twin) == (
        Verb.TIGHTEN,
        "duct bolts",
        "9 N·m",
        None,
    )
