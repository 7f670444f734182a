"""One idea: what the bay page must obey without a server is written out from the core as plain tables.

The page folds a job by these tables and by nothing else; a test folds the same histories in the core.
"""

from collections.abc import Mapping
from typing import Any

from putback.bay.order import KEYS
from putback.bay.shapes import written
from putback.core.gates.case import MUST_BE_READ, SAYS_WHAT
from putback.core.job import STEPS, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Verb
from putback.core.record import EVENTS
from putback.core.record.event import FIELDS
from putback.core.record.shapes import EventKind

_MOVES: Mapping[str, tuple[Verb, ...]] = {
    "item": (*ITEM_OFF, *ITEM_BACK),
    "joint": tuple(JOINT_VERBS),
    "energy": (Verb.ISOLATE, Verb.PROVE_DEAD, Verb.RESTORE),
    "fluid": (Verb.DRAIN, Verb.FILL),
    "guard": (Verb.GUARD, Verb.UNGUARD),
    "wait": (Verb.WAIT,),
    "renew": (Verb.RENEW,),
}

_SIGNS: Mapping[Verb, int] = {Verb.DRAIN: 1, Verb.FILL: -1, Verb.GUARD: 1, Verb.UNGUARD: -1}

_OPERATION = ("verb", "item", "joint", "way", "guard", "energy", "fluid", "count", "litres")
"""What the page asks of an operation."""

_VOIDS: Mapping[Verb, tuple[Verb, ...]] = {
    Verb.ISOLATE: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.RESTORE: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.WAIT: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.PROVE_DEAD: (Verb.PROVE_DEAD,),
}


def fold_tables() -> dict[str, Any]:
    """Verbs, seats, steps and event kinds: all that is needed to fold a record.

    `steps` gives the seat after (seat, verb), `results` the seat that a verb says where the pair fits nothing;
    `moves` what a verb moves, `signs` whether it adds to what is out or takes from it; `voids` what taking an
    operation back makes doubtful; `kinds` the fields of each kind; `keys` what tells one operation from another;
    `rest` where a thing stands that nothing was done to; `fields` are those of an event, `op` those of an operation;
    `shapes` what each field may hold; an event is a doubt if one of the fields that its kind `says_what` is misshapen.
    """
    steps: dict[str, dict[str, str]] = {}
    for (seat, verb), after in STEPS.items():
        steps.setdefault(str(seat), {})[str(verb)] = str(after)
    return {
        "moves": {str(verb): kind for kind, verbs in _MOVES.items() for verb in sorted(verbs)},
        "steps": steps,
        "results": {str(verb): str(after) for (_, verb), after in STEPS.items()},
        "rest": {
            "item": str(Seat.IN_PLACE),
            "joint": str(Seat.TIGHT),
            "energy": str(Seat.LIVE),
            "fluid": str(Seat.FULL),
        },
        "voids": {str(verb): [str(one) for one in voided] for verb, voided in _VOIDS.items()},
        "kinds": {name: [*kind.must, *kind.may] for name, kind in EVENTS.items()},
        "signs": {str(verb): sign for verb, sign in _SIGNS.items()},
        "fields": list(FIELDS),
        "op": list(_OPERATION),
        "shapes": {name: _written(kind) for name, kind in EVENTS.items()},
        "says_what": {name: sorted(SAYS_WHAT) for name in sorted(MUST_BE_READ)},
        "keys": {str(verb): list(key) for verb, key in KEYS.items()},
    }


def _written(kind: EventKind) -> dict[str, str]:
    must = {name: written(shape) for name, shape in kind.must.items()}
    return must | {name: written(shape, may=True) for name, shape in kind.may.items()}
