"""The job state: the table of seats and verbs as a full product, and any sequence folds."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.core.job import STEPS, JobState, Seat, fold, states, step
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Operation, Verb

ITEM_SEATS = (Seat.IN_PLACE, Seat.OFF, Seat.UNPLUGGED, Seat.PARTED, Seat.ASIDE, Seat.FOLDED)
JOINT_SEATS = (Seat.TIGHT, Seat.UNDONE, Seat.STARTED)
ENERGY_SEATS = (Seat.LIVE, Seat.ISOLATED, Seat.PROVEN)
FLUID_SEATS = (Seat.FULL, Seat.DRAINED)

KINDS = [
    # field of the state, field of the operation, seats, verbs
    ("items", "item", ITEM_SEATS, ITEM_OFF | ITEM_BACK),
    ("joints", "joint", JOINT_SEATS, JOINT_VERBS),
    ("energies", "energy", ENERGY_SEATS, {Verb.ISOLATE, Verb.PROVE_DEAD, Verb.RESTORE}),
    ("fluids", "fluid", FLUID_SEATS, {Verb.DRAIN, Verb.FILL}),
]
MOVING = frozenset(verb for *_, verbs in KINDS for verb in verbs)
PRODUCT = [
    (states_of, named, seat, verb)
    for states_of, named, seats, verbs in KINDS
    for seat, verb in product(seats, sorted(verbs))
]

# what fits what, written here a second time from the words of the design
FITS = {
    Verb.REMOVE: ({Seat.IN_PLACE}, Seat.OFF),
    Verb.FIT: ({Seat.OFF}, Seat.IN_PLACE),
    Verb.UNPLUG: ({Seat.IN_PLACE}, Seat.UNPLUGGED),
    Verb.PLUG_IN: ({Seat.UNPLUGGED}, Seat.IN_PLACE),
    Verb.PART: ({Seat.IN_PLACE}, Seat.PARTED),
    Verb.JOIN: ({Seat.PARTED}, Seat.IN_PLACE),
    Verb.SWING_ASIDE: ({Seat.IN_PLACE}, Seat.ASIDE),
    Verb.SWING_BACK: ({Seat.ASIDE}, Seat.IN_PLACE),
    Verb.FOLD: ({Seat.IN_PLACE}, Seat.FOLDED),
    Verb.UNFOLD: ({Seat.FOLDED}, Seat.IN_PLACE),
    Verb.UNDO: ({Seat.TIGHT}, Seat.UNDONE),
    Verb.START: ({Seat.UNDONE}, Seat.STARTED),
    Verb.TIGHTEN: ({Seat.STARTED}, Seat.TIGHT),
    Verb.ISOLATE: ({Seat.LIVE}, Seat.ISOLATED),
    Verb.PROVE_DEAD: ({Seat.ISOLATED, Seat.PROVEN}, Seat.PROVEN),
    Verb.RESTORE: ({Seat.ISOLATED, Seat.PROVEN}, Seat.LIVE),
    Verb.DRAIN: ({Seat.FULL, Seat.DRAINED}, Seat.DRAINED),
    Verb.FILL: ({Seat.DRAINED, Seat.FULL}, Seat.FULL),
}


def test_the_kinds_cover_every_seat_and_every_moving_verb() -> None:
    assert {seat for _, _, seats, _ in KINDS for seat in seats} == set(Seat)
    assert {verb for _, verb in STEPS} == MOVING == set(FITS)


@pytest.mark.parametrize(("kind", "named", "seat", "verb"), PRODUCT)
def test_each_seat_meets_each_verb(kind: str, named: str, seat: Seat, verb: Verb) -> None:
    """A pair is in the table, or is kept as a misfit; either way the state takes what was said."""
    operation = Operation(n=1, verb=verb, **{named: "thing"})  # type: ignore[arg-type]
    after = step(JobState(**{kind: {"thing": seat}}), operation)  # type: ignore[arg-type]
    fitting, result = FITS[verb]
    assert getattr(after, kind)["thing"] is result
    assert ((seat, verb) in STEPS) == (seat in fitting)
    if seat in fitting:
        assert STEPS[seat, verb] is result
        assert after.misfits == ()
    else:
        (misfit,) = after.misfits
        assert (misfit.operation, misfit.thing, misfit.seat) == (operation, "thing", str(seat))


def test_seats_and_verbs_of_different_kinds_never_meet() -> None:
    for (seat, verb), result in STEPS.items():
        (kind,) = [one for one in KINDS if verb in one[3]]
        assert seat in kind[2]
        assert result in kind[2]


SOME = st.sampled_from([None, "a", "b"])
OPERATIONS = st.builds(
    Operation,
    n=st.just(0),
    verb=st.sampled_from(Verb),
    item=SOME,
    joint=SOME,
    energy=SOME,
    guard=SOME,
    fluid=SOME,
    count=st.sampled_from([None, 0, 1, 3]),
    litres=st.sampled_from([None, 0.0, 2.5]),
)


@settings(deadline=None)
@given(st.lists(OPERATIONS, max_size=40))
def test_any_sequence_folds(operations: list[Operation]) -> None:
    walked = list(states(operations))
    assert len(walked) == len(operations) + 1
    assert walked[-1] == fold(operations)
    for before, after, operation in zip(walked, walked[1:], operations, strict=False):
        assert after == step(before, operation)
        assert after.misfits[: len(before.misfits)] == before.misfits
        assert len(after.misfits) - len(before.misfits) in (0, 1)
        if operation.verb not in MOVING | {Verb.GUARD, Verb.UNGUARD}:
            assert (after.items, after.joints, after.energies) == (before.items, before.joints, before.energies)


@given(st.lists(OPERATIONS, max_size=25))
def test_litres_and_pieces_are_plain_sums(operations: list[Operation]) -> None:
    end = fold(operations)
    for id in ("a", "b"):
        mine = [op for op in operations if op.fluid == id]
        out = sum(op.litres or 0.0 for op in mine if op.verb is Verb.DRAIN)
        back = sum(op.litres or 0.0 for op in mine if op.verb is Verb.FILL)
        assert end.litres_out.get(id, 0.0) == pytest.approx(out - back)
        pieces = 0
        for op in operations:
            if op.guard == id and op.item == "a" and op.verb in (Verb.GUARD, Verb.UNGUARD):
                pieces += (1 if op.verb is Verb.GUARD else -1) * (1 if op.count is None else op.count)
        assert end.guards.get((id, "a"), 0) == pieces


def test_a_wait_lasts_until_the_energy_is_given_back() -> None:
    wait = Operation(n=1, verb=Verb.WAIT, energy="hv")
    restore = Operation(n=2, verb=Verb.RESTORE, energy="hv")
    assert fold([wait]).waited == {"hv"}
    assert fold([wait, restore]).waited == frozenset()


def test_new_fasteners_are_old_again_once_undone() -> None:
    new = Operation(n=1, verb=Verb.RENEW, item="pump", joint="j")
    assert fold([new]).renewed == {"pump", "j"}
    assert "j" not in fold([new, Operation(n=2, verb=Verb.UNDO, item="pump", joint="j")]).renewed


def test_what_is_not_named_is_as_the_car_came_in() -> None:
    state = JobState()
    assert (state.item("x"), state.joint("x"), state.energy("x")) == (Seat.IN_PLACE, Seat.TIGHT, Seat.LIVE)
