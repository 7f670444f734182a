"""One idea: what the bay page must obey without a server is written out from the core as plain tables.

The page folds a job by these tables and by nothing else; a test folds the same histories in the core.
"""

from collections.abc import Mapping
from typing import Any

from putback.bay.order import KEYS
from putback.bay.shapes import written
from putback.core.gates.case import MUST_BE_READ, SAYS_WHAT
from putback.core.job import STEPS, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, TWIN, Verb
from putback.core.record import EVENTS
from putback.core.record.shapes import Shape

_MOVES: Mapping[str, tuple[Verb, ...]] = {
    "item": (*ITEM_OFF, *ITEM_BACK),
    "joint": tuple(JOINT_VERBS),
    "energy": (Verb.ISOLATE, Verb.PROVE_DEAD, Verb.RESTORE),
    "fluid": (Verb.DRAIN, Verb.FILL),
    "guard": (Verb.GUARD, Verb.UNGUARD),
    "wait": (Verb.WAIT,),
    "renew": (Verb.RENEW,),
}

_VOIDS: Mapping[Verb, tuple[Verb, ...]] = {
    Verb.ISOLATE: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.RESTORE: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.WAIT: (Verb.WAIT, Verb.PROVE_DEAD),
    Verb.PROVE_DEAD: (Verb.PROVE_DEAD,),
}


def fold_tables() -> dict[str, Any]:
    """Verbs, seats, steps and event kinds: all that is needed to fold a record.

    `steps` gives the seat after (seat, verb), `results` the seat that a verb says where the pair fits nothing;
    `moves` what a verb moves; `voids` what taking an operation back makes doubtful; `kinds` the fields of each kind;
    `keys` what tells one operation from another; `rest` where a thing stands that nothing was done to; `shapes` what
    each field may hold; an event of the kinds `must_be_read` is a doubt if one of its fields `says_what` is misshapen.
    """
    steps: dict[str, dict[str, str]] = {}
    for (seat, verb), after in STEPS.items():
        steps.setdefault(str(seat), {})[str(verb)] = str(after)
    return {
        "verbs": [str(verb) for verb in Verb],
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
        "twins": {str(verb): str(twin) for verb, twin in TWIN.items()},
        "kinds": {name: [*kind.must, *kind.may] for name, kind in EVENTS.items()},
        "shapes": {name: {"must": _written(kind.must), "may": _written(kind.may)} for name, kind in EVENTS.items()},
        "must_be_read": sorted(MUST_BE_READ),
        "says_what": sorted(SAYS_WHAT),
        "keys": {str(verb): list(key) for verb, key in KEYS.items()},
    }


def _written(fields: Mapping[str, Shape]) -> dict[str, Any]:
    return {name: written(shape) for name, shape in fields.items()}
