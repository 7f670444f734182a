"""What no rule decides is weighed: the sums, what comes of them, and what must never come of them.

The weights in these tests are invented; those of the program are measured (`python -m benchmarks.weigh`).
"""

from collections.abc import Iterator
from math import log

import pytest

from benchmarks import weigh
from putback.core.operations import Verb
from putback.narrate.hearing.understand import operations
from putback.narrate.hearing.unheard import ONLY_WEIGHED
from putback.narrate.lines.draft import Draft, drafted
from putback.narrate.phrase.reading import read
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing import weights
from putback.narrate.weighing.clues import Clues
from putback.narrate.weighing.likeness import GROUPS, LONG_ENOUGH, of_text
from putback.narrate.weighing.weights import Weights

LONG = "We looked around. " * LONG_ENOUGH
UNHEARD = "We waltzed the duct. "
NOTHING = Weights(("done",), (0,), {})


@pytest.fixture(autouse=True)
def invented() -> Iterator[None]:
    """Invented weights: who waltzed took off, who hummed tightened, who danced put on; a zebra is hardly ever off."""
    outcomes = ("off", "on", "tighten")
    of = {"w:waltzed": (2000, 0, 0), "w:hummed": (0, 0, 2000), "w:danced": (0, 2000, 0)}
    weights.use("heard", Weights(outcomes, (-1000, -1000, -1000), of))
    likely = {"off>0": (2000, 0, 0), "on>0": (0, 2000, 0), "tighten>0": (0, 0, 2000)}
    weights.use("unheard", Weights(outcomes, (-1000, -1000, -1000), likely))
    weights.use("done", Weights(("done",), (500,), {"h:zebra": (-2000,)}))
    of_text.cache_clear()
    yield
    _as_measured()
    of_text.cache_clear()


def _as_measured() -> None:
    for name in ("heard", "unheard", "done"):
        weights.use(name, None)


def draft(text: str) -> Draft:
    return drafted(Spoken(text=text))


def test_what_its_words_outweigh_is_written_down_and_marked() -> None:
    (one,) = draft(LONG + UNHEARD).operations
    assert (one.verb, one.object, ONLY_WEIGHED in one.doubts) == (Verb.REMOVE, "duct", True)


def test_nothing_is_weighed_in_a_line_or_two() -> None:
    assert draft(UNHEARD).operations == ()


def test_words_that_gave_an_operation_are_not_weighed() -> None:
    assert [one.verb for one in draft(LONG + "I waltzed and took the duct off.").operations] == [Verb.REMOVE]


def test_a_torque_that_was_weighed_is_the_one_that_was_said() -> None:
    said = draft(LONG + "Remove two 10 mm bolts of the duct. We danced the bolts to 9 newton metres.").operations
    assert [(one.verb, one.torque) for one in said[1:]] == [(Verb.START, None), (Verb.TIGHTEN, "9Nm")]
    text = LONG + "Remove two 10 mm bolts of the duct. We hummed the bolts."
    assert [(one.count, one.size, one.torque) for one in draft(text).operations[1:]] == [(None, None, None)]


def test_what_was_weighed_changes_nothing_that_is_heard_after_it() -> None:
    rest = "Unplug the horn. Four 10 mm bolts out. Plug it in."
    heard = [(one.verb, one.object, one.count) for one in operations(Spoken(text=LONG + rest))]
    with_it = [(one.verb, one.object, one.count) for one in operations(Spoken(text=LONG + UNHEARD + rest))]
    assert with_it == [(Verb.REMOVE, "duct", None), *heard]


def test_what_was_hardly_done_is_left_out_and_stands_in_grey() -> None:
    text = LONG + "Remove the zebra. Remove the duct. Fit the duct."
    found = draft(text)
    assert [(one.n, one.object, one.twin) for one in found.operations] == [(1, "duct", None), (2, "duct", 1)]
    place = text.index("the zebra")
    assert any(start <= place < end for start, end in found.unused)


def test_an_isolation_is_never_left_out() -> None:
    weights.use("done", Weights(("done",), (-9000,), {}))
    found = draft(LONG + "Pull the service plug. Remove the duct. Service plug back in.")
    assert [one.verb for one in found.operations] == [Verb.ISOLATE]
    assert {"no_dead_check", "isolation_never_restored"} <= {one.kind for one in found.questions}


def test_lines_of_a_short_text_are_never_left_out() -> None:
    assert len(draft("Remove the zebra.").operations) == 1


def test_a_clue_counts_once() -> None:
    assert Weights(("off",), (-10,), {"w:out": (25,)}).odds(["w:out", "w:out", "w:unknown"]) == (15,)


def test_clues_of_a_segment_are_its_words_and_those_around_it() -> None:
    known = read("Lift the lid. Horn unplugged. Tape on.")
    clues = set(Clues(known.segments, "Lift the lid. Horn unplugged. Tape on.").of(1))
    assert {"w:unplugged", "h:horn", "<.lid", ">.tape", "m:DONE"} <= clues


def test_what_was_off_and_is_named_again_is_a_clue() -> None:
    text = "Lid off. " + "Look. " * 10 + "Lid on."
    known = read(text)
    clues = set(Clues(known.segments, text).of(len(known.segments) - 1))
    assert {"was:off on", "named:10 late", "opens:stop", "closes:."} <= clues


def test_how_far_the_job_has_come_speaks_for_what_no_rule_hears() -> None:
    """The same words are weighed otherwise once their thing is off."""
    weights.use("unheard", Weights(("on",), (-1000,), {"name:off in": (2000,)}))
    weights.use("heard", Weights(("off", "on", "tighten"), (0, 0, 0), {}))
    of_text.cache_clear()
    off = "Remove the duct. Remove the tray. "
    (one,) = [one for one in draft(LONG + off + UNHEARD).operations if ONLY_WEIGHED in one.doubts]
    assert (one.object, one.verb) == ("duct", Verb.FIT)
    assert not any(ONLY_WEIGHED in one.doubts for one in draft(LONG + UNHEARD).operations)


def test_tables_have_a_column_for_every_group() -> None:
    _as_measured()
    assert set(GROUPS.values()) == set(weights.read("heard").outcomes) == set(weights.read("unheard").outcomes)
    assert weights.read("done").outcomes == ("done",)
    assert len(weights.read("heard").of) > 1000


def test_no_step_of_making_dead_is_ever_weighed() -> None:
    for verb in (Verb.ISOLATE, Verb.PROVE_DEAD, Verb.WAIT, Verb.RESTORE):
        assert verb not in GROUPS


def test_fitted_weights_are_the_logarithms_of_the_odds() -> None:
    """Of one clue alone the likeliest weight is the logarithm of the odds ratio; a definition, no source needed."""
    seen, true = frozenset({"w:out"}), frozenset({"off"})
    none: frozenset[str] = frozenset()
    cases = [(seen, true)] * 30 + [(seen, none)] * 10 + [(none, true)] * 5 + [(none, none)] * 45
    table = weigh.table(weigh.fitted(cases, ("off",), held=1e-9))
    assert table.base[0] == pytest.approx(100 * log(5 / 45), abs=1)
    assert table.of["w:out"][0] == pytest.approx(100 * (log(30 / 10) - log(5 / 45)), abs=1)
