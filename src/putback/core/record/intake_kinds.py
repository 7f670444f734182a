"""One idea: what is asked before the work, and what the owner signs, are events like any other.

A plate, a name and a number never stand here: they stand outside the record, under the ids that stand here.
"""

from collections.abc import Mapping
from types import MappingProxyType

from putback.core.record.shapes import (
    AMOUNT_OF,
    COUNT,
    ID,
    MONEY,
    SHA256,
    TEXT,
    TEXTS,
    TIME,
    YES_OR_NO,
    EventKind,
    one_of,
)

CAR_IDENTIFIED = "car identified"
OWNER_NAMED = "owner named"
ODOMETER_READ = "odometer read"
COMPLAINT_TAKEN = "complaint taken"
KEYS_RECEIVED = "keys received"
KEYS_RETURNED = "keys returned"
LAMPS_NOTED = "dash lamps noted"
RECALLS_ASKED = "recalls asked"
OLD_PARTS_ASKED = "old parts asked"
WAIVED = "asked and waived"
SCOPE_SIGNED = "scope signed"
PARTS_SHELVED = "parts shelved"
PARTS_COMPARED = "parts compared"

LIKENESS = ("same", "different", "not looked at")
"""How an old part and the new one are told apart, feature by feature."""

OWNER, MAY_DECIDE = "owner", "may decide"
"""As what a person is named who answers for the car: both may sign and answer."""


_KEYS = {"fobs": COUNT, "spares": COUNT, "phone_keys": COUNT}

INTAKE: Mapping[str, EventKind] = MappingProxyType(
    {
        CAR_IDENTIFIED: EventKind(
            says="the car was identified; its plate and whole number stand outside, under this id",
            must={"car": ID},
            may={"vin_end": TEXT, "note": TEXT},
        ),
        OWNER_NAMED: EventKind(
            says="who may sign and answer for the car, and by which channel they are reached",
            must={"who": ID, "as": one_of(OWNER, MAY_DECIDE), "channel": TEXT},
            may={"note": TEXT},
        ),
        ODOMETER_READ: EventKind(
            says="the odometer was read", must={"value": AMOUNT_OF, "unit": one_of("km", "mi")}, may={"note": TEXT}
        ),
        COMPLAINT_TAKEN: EventKind(
            says="the owner's own words were taken down", must={"words": TEXT}, may={"note": TEXT}
        ),
        KEYS_RECEIVED: EventKind(says="the keys that came with the car were counted", must=_KEYS, may={"note": TEXT}),
        KEYS_RETURNED: EventKind(says="the keys went back to the owner, counted", must=_KEYS, may={"note": TEXT}),
        LAMPS_NOTED: EventKind(
            says="the warning lamps lit on the dash were written down; an empty list is none lit",
            must={"lamps": TEXTS},
            may={"note": TEXT},
        ),
        RECALLS_ASKED: EventKind(
            says="open recalls were asked for",
            must={"open": one_of("yes", "no", "not known")},
            may={"where": TEXT, "note": TEXT},
        ),
        OLD_PARTS_ASKED: EventKind(
            says="the owner was asked whether to see the old parts", must={"see": YES_OR_NO}, may={"note": TEXT}
        ),
        WAIVED: EventKind(
            says="what is missing was asked for, and a named person lets the job go on without it",
            must={"of": one_of("intake", "part"), "what": TEXT, "who": ID, "reason": TEXT},
            may={"note": TEXT},
        ),
        SCOPE_SIGNED: EventKind(
            says="the owner, or who may decide, signed what is done and up to which amount",
            must={
                "who": ID,
                "at": TIME,
                "channel": TEXT,
                "scope_sha256": SHA256,
                "amount": MONEY,
                "limit": MONEY,
                "currency": TEXT,
                "see_old_parts": YES_OR_NO,
            },
            may={"items": TEXTS, "signature": SHA256, "note": TEXT},
        ),
        PARTS_SHELVED: EventKind(
            says="parts were seen on the shelf, new and for this job", must={"parts": TEXTS}, may={"note": TEXT}
        ),
        PARTS_COMPARED: EventKind(
            says="an old part was held against the new one",
            must={"item": TEXT, "same": YES_OR_NO},
            may={
                "old_length_mm": AMOUNT_OF,
                "new_length_mm": AMOUNT_OF,
                "ports": one_of(*LIKENESS),
                "seal": one_of(*LIKENESS),
                "part_number": one_of(*LIKENESS),
                "photos": TEXTS,
                "note": TEXT,
            },
        ),
    }
)
"""What is asked before the work, and what is signed for it."""
