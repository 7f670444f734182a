"""One idea: what can be recorded is one table, `EVENTS`; a kind and a field mean the same for ever.

A later program adds kinds and fields and never changes one. What this program does not know is kept and spoken of
(`strange`), never dropped.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from putback.core.finding import Finding, Kind, Where
from putback.core.record.code_kinds import CODES
from putback.core.record.event import Event
from putback.core.record.intake_kinds import INTAKE
from putback.core.record.review_kinds import REVIEWS
from putback.core.record.shapes import (
    AMOUNT_OF,
    COUNT,
    DATE,
    ID,
    IDS,
    MEDIA,
    MONEY,
    NUMBER,
    PRICED,
    READING,
    SHA256,
    TEXT,
    TEXTS,
    TIME,
    TORQUE,
    VERB,
    EventKind,
    one_of,
)

OPENED = "job opened"
DONE = "operation done"
TAKEN_BACK = "operation taken back"
CLOSED = "job closed"

KEYS_COUNTED = "keys counted"
KEY_MOVED = "key moved"
CHARGE_LEAD_PLUGGED = "charge lead plugged"
BOUNDARY_SET = "boundary set"
GLOVES_CHECKED = "gloves checked"
GRADE_SHOWN = "grade shown"
SECOND_PERSON_NAMED = "second person named"
PERSON_LEFT = "person left"
LIST_TICKED = "list ticked"
READING_TAKEN = "reading taken"
ENERGY_CHECKED = "energy checked"
SHIFT_ENDED = "shift ended"
DEVICE_RESTARTED = "device restarted"
CLOCK_JUMPED = "clock jumped"
DOUBT_RAISED = "doubt raised"
PEOPLE_CLEAR = "people seen clear"
BONDING_CHECKED = "bonding checked"
HOLD_PASSED = "hold passed"
OVERRIDE_GIVEN = "override given"
FINDING_SEEN = "finding seen"
ANSWER_GIVEN = "answer given"
WORK_ADDED = "work added"
PHOTO_TAKEN = "photo taken"

PROVE_BEFORE, TEST, PROVE_AFTER = "prove before", "test", "prove after"
"""The phases of a reading: on a known source, at the car, on the known source again."""

GLOVE_CLASSES = ("00", "0", "1", "2", "3", "4")
"""Classes of insulating gloves, weakest first. Source: 29 CFR 1910.137 (from memory)."""

STEADY_S = "steady_s"
"""Seconds on a device's clock that nobody can set, counted since its page began; `device restarted` begins anew."""

EVENTS: Mapping[str, EventKind] = MappingProxyType(
    {
        OPENED: EventKind(
            says="a job began, on this car file and this plan",
            must={"car_file": TEXT, "car_sha256": SHA256, "wanted": TEXTS},
            may={"plan_sha256": SHA256, "complaint": TEXT},
        ),
        DONE: EventKind(
            says="one operation was done",
            must={"verb": VERB},
            may={
                "planned": COUNT,
                "item": TEXT,
                "joint": TEXT,
                "way": TEXT,
                "count": COUNT,
                "thread": TEXT,
                "torque": TORQUE,
                "torque_source": TEXT,
                "tool": TEXT,
                "stow": TEXT,
                "guard": TEXT,
                "energy": TEXT,
                "fluid": TEXT,
                "litres": AMOUNT_OF,
                "reading": READING,
                "note": TEXT,
                "steady_s": AMOUNT_OF,
            },
        ),
        TAKEN_BACK: EventKind(
            says="an operation was logged by a slip and was not done",
            must={"mends": ID},
            may={STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        "not as planned": EventKind(
            says="the car differs from its file",
            must={"what": one_of("missing", "seized", "different", "one more", "one less", "other")},
            may={"item": TEXT, "joint": TEXT, "count": COUNT, "note": TEXT},
        ),
        "noted": EventKind(says="something worth a line", must={"note": TEXT}, may={"item": TEXT, "joint": TEXT}),
        PHOTO_TAKEN: EventKind(
            says="a photo was taken; its bytes are a file of their own",
            must={"sha256": SHA256, "bytes": COUNT, "media": MEDIA},
            may={"item": TEXT, "joint": TEXT, "finding": TEXT, "view": TEXT, "note": TEXT},
        ),
        "person came": EventKind(says="a person began to work on the job", must={"who": ID}, may={"note": TEXT}),
        PERSON_LEFT: EventKind(says="a person stopped working on the job", must={"who": ID}, may={"note": TEXT}),
        "gap ended": EventKind(
            says="work went on after a gap, and the last operations were asked again",
            must={"since": TIME},
            may={"asked": IDS, "note": TEXT},
        ),
        FINDING_SEEN: EventKind(
            says="something was found that may change the job",
            must={"finding": TEXT},
            may={
                "item": TEXT,
                "note": TEXT,
                "photos": TEXTS,
                "minutes": AMOUNT_OF,
                "parts": PRICED,
                "amount": MONEY,
                "currency": TEXT,
            },
        ),
        ANSWER_GIVEN: EventKind(
            says="who may decide answered a finding",
            must={"finding": TEXT, "who": ID, "at": TIME, "channel": TEXT, "answer": one_of("yes", "no")},
            may={"amount": MONEY, "currency": TEXT, "note": TEXT},
        ),
        WORK_ADDED: EventKind(
            says="work was proposed that nobody signed for; the amount is the new total",
            must={"extra": TEXT, "says": TEXT, "amount": MONEY},
            may={"items": TEXTS, "minutes": AMOUNT_OF, "parts": PRICED, "currency": TEXT, "note": TEXT},
        ),
        **INTAKE,
        **CODES,
        **REVIEWS,
        OVERRIDE_GIVEN: EventKind(
            says="a named person let a gate that has an override be passed",
            must={"gate": TEXT, "who": ID, "reason": TEXT},
            may={"energy": TEXT, "item": TEXT, "about": TEXT},
        ),
        KEYS_COUNTED: EventKind(
            says="the keys in the lock box, the charge lead, remote starts and memory savers were counted",
            must={
                "in_box": COUNT,
                "of": COUNT,
                "charge_lead": one_of("in", "out"),
                "remote_starts": COUNT,
                "memory_savers": COUNT,
                "holder": ID,
            },
            may={"note": TEXT},
        ),
        KEY_MOVED: EventKind(says="a key left the lock box, or another one turned up", may={"who": ID, "note": TEXT}),
        CHARGE_LEAD_PLUGGED: EventKind(says="a charge lead was plugged in", may={"who": ID, "note": TEXT}),
        BOUNDARY_SET: EventKind(says="the car was closed off and signed", must={"who": ID}, may={"note": TEXT}),
        GLOVES_CHECKED: EventKind(
            says="a person's insulating gloves were looked at, blown up and found fit or not",
            must={
                "who": ID,
                "class": one_of(*GLOVE_CLASSES),
                "basis": one_of("maker's class", "common practice class 0"),
                "serial": TEXT,
                "tested": DATE,
                "air_test": one_of("held", "failed"),
                "air_test_at": TIME,
            },
            may={"note": TEXT},
        ),
        GRADE_SHOWN: EventKind(
            says="a person showed a grade for work on an energy",
            must={"who": ID, "grade": TEXT, "issuer": TEXT, "expires": DATE},
            may={"note": TEXT},
        ),
        SECOND_PERSON_NAMED: EventKind(says="a second person stands by", must={"who": ID}, may={"note": TEXT}),
        LIST_TICKED: EventKind(
            says="lines of the list before an energy goes off were ticked",
            must={"energy": TEXT, "ticked": TEXTS},
            may={"who": ID, "note": TEXT},
        ),
        READING_TAKEN: EventKind(
            says="an instrument was read, at the car or on a known source",
            must={
                "energy": TEXT,
                "phase": one_of(PROVE_BEFORE, TEST, PROVE_AFTER),
                "value": NUMBER,
                "unit": TEXT,
                "instrument": TEXT,
                "who": ID,
            },
            may={"points": TEXT, "known_source": TEXT, STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        ENERGY_CHECKED: EventKind(
            says="an energy was looked at or tried, without a reading",
            must={"energy": TEXT, "who": ID, "gone": one_of("yes", "no")},
            may={STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        SHIFT_ENDED: EventKind(says="a shift ended, of one person or of all", may={"who": ID, "note": TEXT}),
        DEVICE_RESTARTED: EventKind(
            says="a device started anew; its steady clock began again",
            may={"device": ID, STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        CLOCK_JUMPED: EventKind(
            says="a device's clock and its steady clock, or the server's, ran apart",
            may={"device": ID, "seconds": NUMBER, STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        DOUBT_RAISED: EventKind(
            says="somebody was not sure of something",
            must={"about": TEXT},
            may={"energy": TEXT, STEADY_S: AMOUNT_OF, "note": TEXT},
        ),
        PEOPLE_CLEAR: EventKind(
            says="everybody was seen clear of the car, and the counts were looked at",
            must={"who": ID},
            may={"energy": TEXT, "note": TEXT},
        ),
        BONDING_CHECKED: EventKind(
            says="the resistance of a bonding joint was measured",
            must={"item": TEXT, "value": AMOUNT_OF, "unit": TEXT, "who": ID},
            may={"instrument": TEXT, "note": TEXT},
        ),
        HOLD_PASSED: EventKind(
            says="a question that holds work was asked by name and passed",
            must={"gate": TEXT},
            may={"item": TEXT, "joint": TEXT, "who": ID, "note": TEXT},
        ),
        CLOSED: EventKind(says="the job ended", may={"note": TEXT}),
    }
)


def strange(event: Event) -> Iterator[Finding]:
    """What this program cannot make sense of: unknown kinds and fields are notes, wrong shapes are faults."""
    kind = EVENTS.get(event.kind)
    newer = "a newer program may have written it; it is kept as it is"
    for name in sorted(event.more):
        yield _said(event, name, f"field {name!r} is not known", newer, Kind.NOTE)
    if kind is None:
        yield _said(event, "kind", f"kind {event.kind!r} is not known", newer, Kind.NOTE)
        return
    shapes = {**kind.must, **kind.may}
    for name in kind.must:
        if event.body.get(name) is None:
            yield _said(event, name, f"{event.kind!r} says no {name}", "mend it by a later event", Kind.FAULT)
    for name, value in sorted(event.body.items()):
        if name not in shapes:
            yield _said(event, name, f"field {name!r} of {event.kind!r} is not known", newer, Kind.NOTE)
        elif value is not None and not shapes[name].fits(value):
            what = f"{value!r:.60} is not {shapes[name].says}"
            yield _said(event, name, what, "mend it by a later event", Kind.FAULT)


def _said(event: Event, name: str, what: str, mend: str, kind: Kind) -> Finding:
    where = Where(file=f"record {event.job}", field=f"{event.id}.{name}")
    return Finding(where=where, what=what, mend=mend, rule="event-shape", kind=kind)
