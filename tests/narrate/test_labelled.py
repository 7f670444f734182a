"""The labelled texts through the scorer: floors for what was measured; the labels were written before any run.

All texts are invented. `texts` were used while the words were tuned; `held_out` were not.
"""

import pytest

from benchmarks.narrate import HERE, Score, Text, from_labels, texts
from putback.narrate.draft import drafted

HELD_OUT = texts(HERE / "held_out")


@pytest.mark.parametrize("text", HELD_OUT, ids=lambda text: text.name)
def test_corrected_lines_find_their_twins_and_questions(text: Text) -> None:
    score = Score().with_text(text, from_labels(text))
    assert score.links.f1 >= 0.98
    assert score.audit.recall >= 0.98
    assert score.audit.precision >= 0.90


def test_held_out_texts_are_understood_about_as_well_as_measured() -> None:
    score = Score()
    for text in HELD_OUT:
        score.with_text(text, drafted(text.spoken))
    assert score.operations.f1 >= 0.85
    assert score.links.f1 >= 0.68
    assert score.torques.precision == 1.0
