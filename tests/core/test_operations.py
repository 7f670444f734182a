"""The table of verbs and twins is closed: each verb has exactly one place in it."""

from collections import Counter
from dataclasses import FrozenInstanceError
from itertools import combinations

import pytest

from putback.core.car import Action
from putback.core.operations import (
    ITEM_BACK,
    ITEM_OFF,
    JOINT_VERBS,
    OFF,
    ON_THE_WAY_BACK,
    ON_THE_WAY_IN,
    PAIRS,
    TWIN,
    WITHOUT_TWIN,
    Operation,
    Verb,
)

STATED_PAIRS = """
remove/fit · raise/lower · undo/start-then-tighten · unplug/plug in · part/join · swing aside/swing back ·
fold/unfold · drain/fill · isolate/restore · guard/unguard · mark/line up · stow/take from stow ·
switch off/switch on · read codes before/read codes after
"""
STATED_ALONE = "renew, clean, inspect, measure, prove dead, wait, relearn, road test, note"
# the closed list of operations as the design states it, word for word


def test_the_pairs_are_those_of_the_design() -> None:
    stated = [tuple(pair.strip().split("/")) for pair in " ".join(STATED_PAIRS.split()).split("·")]
    written = [
        (str(pair.way_in), f"{pair.first}-then-{pair.way_back}" if pair.first else str(pair.way_back))
        for pair in PAIRS
    ]
    assert written == stated
    assert [str(verb) for verb in WITHOUT_TWIN] == STATED_ALONE.split(", ")


def test_every_verb_has_exactly_one_place() -> None:
    places = Counter(
        verb
        for verbs in (
            [pair.way_in for pair in PAIRS],
            [pair.way_back for pair in PAIRS],
            [pair.first for pair in PAIRS if pair.first],
            WITHOUT_TWIN,
        )
        for verb in verbs
    )
    assert places == Counter(dict.fromkeys(Verb, 1))


def test_twins_are_mutual_and_never_of_oneself() -> None:
    for verb, twin in TWIN.items():
        assert TWIN[twin] is verb
        assert twin is not verb
    assert set(TWIN) == ON_THE_WAY_IN | ON_THE_WAY_BACK
    assert not ON_THE_WAY_IN & ON_THE_WAY_BACK
    assert set(Verb) - set(TWIN) == {Verb.START, *WITHOUT_TWIN}


def test_kinds_of_verbs_do_not_overlap() -> None:
    for one, other in combinations((ITEM_OFF, ITEM_BACK, JOINT_VERBS, frozenset(WITHOUT_TWIN)), 2):
        assert not one & other
    assert {TWIN[verb] for verb in ITEM_OFF} == ITEM_BACK
    assert ITEM_OFF <= ON_THE_WAY_IN


def test_every_action_but_renewing_has_a_verb_of_its_own() -> None:
    assert set(OFF) == set(Action) - {Action.RENEW}
    assert len(set(OFF.values())) == len(OFF)


def test_an_operation_is_a_fact() -> None:
    done = Operation(n=1, verb=Verb.REMOVE, item="fan")
    with pytest.raises(FrozenInstanceError):
        done.item = "pump"  # type: ignore[misc]
