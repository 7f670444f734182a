"""By the keys of the terminal a draft is brought to its labels; the texts are invented, the labels made by hand."""

import pytest

from benchmarks.narrate import HERE, Text, matched, texts
from benchmarks.review import reviewed

TEXTS = texts(HERE / "held_out")


@pytest.mark.parametrize("text", TEXTS, ids=[one.name for one in TEXTS])
def test_a_review_by_keys_ends_at_the_labels(text: Text) -> None:
    person, here = reviewed(text, to_labels=True)
    said = [one.said for one in here.look.review.lines if not one.by_hand]
    lacking = {one["id"] for one in text.gold["ops"]} - matched(text.gold["ops"], said).keys()
    assert lacking == {one["id"] for one in person.want.missing}, "only what stands in no words that are shown in grey"
    assert len(said) - len(matched(text.gold["ops"], said)) == 0, "no line is there that nobody labelled"
    assert here.look.unconfirmed == 0
    assert here.look.open_questions == ()
    assert here.look.unused == ()


@pytest.mark.parametrize("text", TEXTS, ids=[one.name for one in TEXTS])
def test_what_is_right_as_heard_takes_a_key_or_so_at_a_place(text: Text) -> None:
    """Beside the places, a torque and its source are typed once, and `A`, `X`, `T` go before they do."""
    person, here = reviewed(text, to_labels=False)
    assert here.look.unconfirmed == 0
    torques = sum(one.source is not None for one in here.look.review.lines)
    assert person.keys <= person.places + 20 * torques + 4
