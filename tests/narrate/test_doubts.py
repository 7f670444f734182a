"""Lines say what to look at where enough speaks for it that they are wrong. All sentences are invented.

That a sign tells wrong lines from right ones is measured (`python -m benchmarks.doubts`); here, that each is found.
"""

import pytest

from putback.core.operations import Verb
from putback.narrate.hearing.understand import operations
from putback.narrate.lines.doubts import shown, signs, weight
from putback.narrate.lines.draft import drafted
from putback.narrate.lines.said import Said
from putback.narrate.lines.signs import DOUBTFUL, TABLE, Sign
from putback.narrate.lines.twins import links, with_twins
from putback.narrate.phrase.phrases import pieces
from putback.narrate.sense.torques import NO_UNIT
from putback.narrate.text.spoken import Spoken

GOES = "Remove the cover. Unplug the horn. Plug in the horn. Fit the cover."


def found(text: str) -> list[dict[Sign, str]]:
    """The signs of each line, with what their words are about."""
    said = operations(Spoken(text=text))
    twins = links(said)
    return [dict(each) for each in signs(with_twins(said, twins), twins, pieces(text))]


def test_a_job_told_plainly_has_no_doubt() -> None:
    assert not any(one.doubts for one in drafted(Spoken(text=GOES)).operations)


@pytest.mark.parametrize(
    ("text", "line", "sign", "about"),
    [
        ("Remove the cover. Refit the horn.", 2, Sign.NO_TWIN, ""),
        ("Remove the cover. Refit the horn.", 1, Sign.NEXT_HAS_NONE, ""),
        ("Remove the lamp. Remove the lamp cover. Fit the lamp.", 3, Sign.PASSED_OVER, "2"),
        ("Remove the horn. Remove the lamp. Fit the lamp. Remove the fan. Fit the horn.", 4, Sign.TOO_LATE, ""),
        ("Remove the horn. Remove the lamp. Fit the lamp. Remove the fan. Fit the horn.", 4, Sign.NO_WAY_BACK, ""),
        ("Undo the bracket bolts.", 1, Sign.UNDONE_UNCOUNTED, ""),
        ("Undo the bracket bolts.", 1, Sign.NO_SIZE, ""),
        ("Undo two 10 mm bolts. Start the bolts.", 2, Sign.STARTED_UNCOUNTED, ""),
        ("Undo four 10 mm bolts. Start four bolts. Tighten the four bolts to 10 Nm.", 3, Sign.ODD_COUNT, ""),
        ("Undo two 8 mm bolts. Remove the horn. Same again on the other side.", 4, Sign.SAME_WORDS, "3"),
        ("Remove the lamp. Unplug it.", 2, Sign.PRONOUN, ""),
        ("Remove the lamp. Unplug it.", 2, Sign.FAR, ""),
        ("Remove the left lower inner front arch liner panel.", 1, Sign.LONG_NAME, ""),
        ("Remove the tray. Fit a new seal. Fit the tray.", 2, Sign.NEW_PART, ""),
        ("Raise the car.", 1, Sign.SELDOM_WRONG, ""),
        ("Remove the heater hose. Fit the radiator hose.", 2, Sign.UNSURE_TWIN, ""),
    ],
)
def test_each_sign_is_found(text: str, line: int, sign: Sign, about: str) -> None:
    assert found(text)[line - 1].get(sign) == about


def test_a_kind_and_a_number_that_were_not_said_here_are_signs() -> None:
    text = "Take the other two off."
    one = Said(n=1, verb=Verb.UNDO, object="lamp bolts", start=0, end=len(text), count=3, size="8mm", kind="bolt")
    (each,) = signs([one], [], pieces(text))
    assert {Sign.KIND_FROM_BEFORE, Sign.COUNT_FROM_BEFORE} <= dict(each).keys()


def test_a_line_without_its_words_is_looked_at_by_its_lines_alone() -> None:
    one = Said(n=1, verb=Verb.UNDO, object="lamp bolts", start=0, end=0, kind="bolt")
    assert signs([one], [], []) == [[(Sign.UNDONE_UNCOUNTED, ""), (Sign.NO_SIZE, "")]]


def test_a_plain_line_has_no_sign() -> None:
    assert found(GOES) == [{}, {}, {}, {}]


def test_a_weak_sign_alone_is_not_shown_and_two_are() -> None:
    assert weight([(Sign.RIVAL, "3")]) < DOUBTFUL
    assert shown([(Sign.RIVAL, "3")]) == ()
    both = [(Sign.OTHER_NAME, "lid"), (Sign.RIVAL, "3")]
    assert shown(both) == ("its twin was called otherwise: lid", "line 3 fits nearly as well")


def test_what_is_always_shown_is_shown_whatever_speaks_against_it() -> None:
    assert shown([(Sign.SELDOM_WRONG, ""), (Sign.NO_UNIT, NO_UNIT)]) == (NO_UNIT,)
    assert shown([(Sign.SELDOM_WRONG, ""), (Sign.TOLD, "as it came")]) == ("as it came",)


def test_a_sign_found_twice_weighs_once() -> None:
    assert weight([(Sign.TWICE, "1"), (Sign.TWICE, "2")]) == TABLE[Sign.TWICE][0]


def test_a_torque_without_its_unit_is_always_shown() -> None:
    (one,) = drafted(Spoken(text="Tighten the wheel nuts to 110.")).operations
    assert NO_UNIT in one.doubts


def test_every_sign_stands_in_the_table() -> None:
    assert set(TABLE) == set(Sign)
