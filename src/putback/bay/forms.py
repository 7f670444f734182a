"""One idea: what the page asks for is one table: each kind of event with its words and fields, and what opens a gate.

The page draws every form from it. What it can know itself (who, when, which energy) it fills in and does not ask.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from putback.bay.drawn import VALLEY
from putback.core.car import Car, Energy
from putback.core.gates import AUTHORITY, GateKind
from putback.core.gates.restoring import BOND_CHECK
from putback.core.record import kinds
from putback.core.record.intake_kinds import PARTS_SHELVED
from putback.core.record.kinds import GLOVE_CLASSES

TEXT, WORD, NUMBER, COUNT, DATE, CHOICE = "text", "word", "number", "count", "date", "choice"
ME, OTHER, OWNER, NOW, NEW, BONDED = "me", "person", "owner", "now", "new", "bonded"
"""How a field is asked. `me`: who works here, if not said otherwise; `person`: somebody else; `owner`: who may
sign and answer; `now`: the moment, and `new`: a new id, both not asked; `more`: money that comes on top of the sum
agreed so far; `bonded`: one of the items whose resistance to the body is measured."""

MAY = " (may be left empty)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One field of a form.

    `kept`: the last value is offered again on the same phone; `may`: it may be left empty; `only`: asked only in
    these phases of a reading.
    """

    field: str
    words: str = ""
    how: str = TEXT
    of: tuple[str, ...] = ()
    kept: bool = False
    may: bool = False
    only: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One kind of event as it is asked for. `menu`: it may be said at any time."""

    title: str
    go: str
    asks: tuple[Ask, ...] = ()
    menu: bool = False


_NOTE = Ask(field="note", words="in a few words", may=True)
_PROVING = (kinds.PROVE_BEFORE, kinds.PROVE_AFTER)

FORMS: Mapping[str, Form] = MappingProxyType(
    {
        kinds.GRADE_SHOWN: Form(
            title="Show the grade",
            go="Grade seen",
            asks=(
                Ask(field="grade", words="grade, as on the certificate", how=WORD, kept=True),
                Ask(field="issuer", words="issued by", how=WORD, kept=True),
                Ask(field="expires", words="valid until", how=DATE, kept=True),
            ),
        ),
        kinds.GLOVES_CHECKED: Form(
            title="Check the gloves",
            go="Gloves checked",
            asks=(
                Ask(field="class", words="class on the label", how=CHOICE, of=GLOVE_CLASSES, kept=True),
                Ask(
                    field="basis",
                    words="asked for by",
                    how=CHOICE,
                    of=("maker's class", "common practice class 0"),
                    kept=True,
                ),
                Ask(field="serial", words="serial number", how=WORD, kept=True),
                Ask(field="tested", words="last electrical test", how=DATE, kept=True),
                Ask(field="air_test", words="looked at, blown up: the air", how=CHOICE, of=("held", "failed")),
                Ask(field="air_test_at", how=NOW),
            ),
        ),
        kinds.KEYS_COUNTED: Form(
            title="Count keys and charge lead",
            go="Counted",
            asks=(
                Ask(field="in_box", words="keys in the lock box: fob, spare, phone key", how=COUNT),
                Ask(field="of", words="keys that the car has", how=COUNT, kept=True),
                Ask(field="charge_lead", words="charge lead", how=CHOICE, of=("out", "in")),
                Ask(field="remote_starts", words="remote starts left", how=COUNT),
                Ask(field="memory_savers", words="memory savers left", how=COUNT),
                Ask(field="holder", words="who holds the key of the box", how=ME),
            ),
            menu=True,
        ),
        kinds.SECOND_PERSON_NAMED: Form(
            title="Name the second person",
            go="Stands by",
            asks=(Ask(field="who", words="who stands by", how=OTHER),),
            menu=True,
        ),
        kinds.BOUNDARY_SET: Form(
            title="Set the boundary",
            go="Set and signed",
            asks=(Ask(field="note", words="how it is closed off; no name, no number", how=WORD, kept=True, may=True),),
        ),
        kinds.READING_TAKEN: Form(
            title="Reading",
            go="Take the reading",
            asks=(
                Ask(field="value", words="reading", how=NUMBER),
                Ask(field="instrument", words="instrument and its number", how=WORD, kept=True),
                Ask(field="known_source", words="known source", how=WORD, kept=True, only=_PROVING),
            ),
        ),
        kinds.PEOPLE_CLEAR: Form(title="See everybody clear, counts at zero", go="Seen clear", asks=(_NOTE,)),
        kinds.BONDING_CHECKED: Form(
            title="Measure the bonding",
            go="Measured",
            asks=(
                Ask(field="item", words="of", how=BONDED),
                Ask(field="value", words="reading", how=NUMBER),
                Ask(field="unit", words="unit", how=CHOICE, of=("mΩ", "Ω"), kept=True),
                Ask(field="instrument", words="instrument and its number", how=WORD, kept=True),
            ),
            menu=True,
        ),
        kinds.ANSWER_GIVEN: Form(
            title="Record the answer",
            go="Answer recorded",
            asks=(
                Ask(field="answer", words="the answer", how=CHOICE, of=("yes", "no")),
                Ask(field="who", words="who answered", how=OWNER),
                Ask(field="channel", words="by", how=CHOICE, of=("telephone", "message", "in person"), kept=True),
                Ask(field="amount", words="amount, as agreed", how=WORD, may=True),
                Ask(field="at", how=NOW),
                _NOTE,
            ),
        ),
        kinds.OVERRIDE_GIVEN: Form(
            title="Let it pass, by name",
            go="Let it pass",
            asks=(Ask(field="reason", words="why; it is printed on the record"),),
        ),
        kinds.FINDING_SEEN: Form(
            title="Finding",
            go="Keep the finding",
            asks=(
                Ask(field="note", words="what was found"),
                Ask(field="minutes", words="more minutes of work", how=NUMBER, may=True),
                Ask(field="parts", words="more money for parts, such as 48.00", how=NUMBER, may=True),
                Ask(field="finding", how=NEW),
            ),
        ),
        "not as planned": Form(
            title="Not as planned",
            go="Keep it",
            asks=(
                Ask(
                    field="what",
                    words="the fastener or part is",
                    how=CHOICE,
                    of=("missing", "seized", "different", "one more", "one less", "other"),
                ),
                _NOTE,
            ),
        ),
        "noted": Form(title="Note", go="Keep the note", asks=(Ask(field="note", words="in a few words"),)),
        "person came": Form(title="Who works here?", go="It is me", asks=(Ask(field="who", words="name", how=ME),)),
        kinds.PERSON_LEFT: Form(
            title="Somebody leaves", go="Leaves", asks=(Ask(field="who", words="who", how=ME), _NOTE), menu=True
        ),
        kinds.SHIFT_ENDED: Form(
            title="The shift ends", go="Shift ends", asks=(Ask(field="who", words="whose", how=ME),), menu=True
        ),
        kinds.KEY_MOVED: Form(title="A key was moved", go="A key was moved", asks=(_NOTE,), menu=True),
        kinds.CHARGE_LEAD_PLUGGED: Form(
            title="A charge lead was plugged in", go="Plugged in", asks=(_NOTE,), menu=True
        ),
        kinds.DOUBT_RAISED: Form(
            title="Not sure of something", go="Keep the doubt", asks=(Ask(field="about", words="of what"),), menu=True
        ),
        kinds.CLOSED: Form(title="Close the job", go="Close the job", asks=(_NOTE,), menu=True),
    }
)

OPENS: Mapping[GateKind, tuple[str, ...]] = MappingProxyType(
    {
        GateKind.WHO: (kinds.GRADE_SHOWN,),
        GateKind.GLOVES: (kinds.GLOVES_CHECKED,),
        GateKind.KEYS: (kinds.KEYS_COUNTED,),
        GateKind.SECOND_PERSON: (kinds.SECOND_PERSON_NAMED,),
        GateKind.BOUNDARY: (kinds.BOUNDARY_SET,),
        GateKind.RESTORE: (kinds.PEOPLE_CLEAR,),
        GateKind.CONSENT: (kinds.ANSWER_GIVEN,),
    }
)
"""Which event opens which gate; it says of the gate what it has fields for. A wait opens by time, a proof by readings,
a list and an order by their acts."""


def _letter(price: str) -> str:
    """The message to the owner about a finding that the car file does not know."""
    return "\n".join(
        [
            "With the car apart we found: {note}.",
            price,
            "If you say no: it stays as it is, and that is written on the invoice.",
            "Nothing more is done to it before you answer. Please answer yes or no.",
        ]
    )


SAYS: Mapping[str, str] = MappingProxyType(
    {
        "-1": "one less",
        "1": "one more",
        "shut": "▬ shut",
        "owed": " twins owed",
        "plan": "the plan of this job",
        "other name": "another name",
        "unticked": "not ticked",
        "unsaid": "not said",
        "parts": "parts",
        "lacks": "Still to say: ",
        "no number": " (a number)",
        "pass": "Go on all the same",
        "leave": "Leave it",
        "last look": "Last look",
        "looked": "last look: {names}",
        "length": "wrong length: {said} where {thread} belongs",
        "short": "{short} not back",
        "plugs": "{plugs} still in its port",
        "first": "comes first: {title}",
        "go to": "Go to: {title}",
        "next reading": "Take the next reading",
        "back": "Back to the work",
        "gap": "Put a hand on the last three",
        "since": "nothing was logged since {since}",
        "go on": "Go on",
        "photo": "Photo",
        "walk": "Photo: {view}",
        "taken": "{all} taken of this view",
        "intake": "Intake, with the other views",
        "priced": _letter("The price goes from {before} to {after} {currency}."),
        "unpriced": _letter("Nobody knows the price yet."),
        "share": "Send or copy the message",
        "no photo": "The photo is not kept: {why}. Take it again.",
        "take back": "Take it back",
        "slip": "A slip?",
        "nothing": "Nothing is left to do",
        "clocks": "Clocks",
        "possible": "Also possible now",
        "done last": "Done last",
        "trays": "Off now, by tray",
        "not kept": "Not kept: this phone could not write it ({why}). Nothing was logged; tap again.",
        "full": "its storage is full; make room",
        "not reached": "the server is not reached",
        "refused": "◌ Kept on this phone, not taken: {refused}",
        "open": "◌ {open} kept on this phone; {heard}",
        "on the way": "on the way to the server",
        "gone": "◌ All kept at the server; now {heard}",
        "kept": "● All {all} kept at the server",
        "asking": "● Asking the server …",
        "plain": " · Plain http: keep this page open, this phone cannot load it again.",
        "apart": "The clocks of this phone and of the server are {apart} min apart. Set this phone's right: "
        "till then its waits get longer and its proofs may not count.",
        "rest": "Begun: this much of it is not logged yet.",
        "valley": VALLEY,
    }
)
"""What else the page says, with gaps for facts."""


def forms_of(
    car: Car, parts: Mapping[str, str], found: Iterable[Mapping[str, Any]], *, rate_per_hour: float
) -> dict[str, Any]:
    """The table as the page reads it; what is as usual is left out.

    Args:
        car: the car.
        parts: what must lie on the shelf for this job: names by id.
        found: the findings that may turn up, as the pack has them.
        rate_per_hour: what an hour of work costs.
    """
    adds = {"minutes": rate_per_hour / 60, "parts": 1}
    bonded = [[id, item.name] for id, item in car.items.items() if BOND_CHECK in item.notes]
    shelf = [
        {"key": id, "field": "parts", "how": "tick", "words": name, "into": id, "usual": 0, "want": 1}
        for id, name in parts.items()
    ]
    forms = {kind: _form(form, bonded) for kind, form in FORMS.items()}
    for ask in forms[kinds.FINDING_SEEN]["asks"]:
        if ask["field"] in adds:
            ask["adds"] = adds[ask["field"]]
    del forms[kinds.READING_TAKEN]["asks"]
    forms[kinds.GRADE_SHOWN]["asks"][0]["more"] = f"asked for: {_grades(car)}"
    forms[PARTS_SHELVED] = {"title": "Parts on the shelf", "go": "These are there", "asks": shelf}
    menu = [*(kind for kind, form in FORMS.items() if form.menu), PARTS_SHELVED]
    return {
        "kinds": forms | _lists(forms, menu) | _findings(found),
        "opens": {kind.value: list(events) for kind, events in OPENS.items()},
        "leads": dict(LEADS),
        "authority": AUTHORITY,
    }


def _grades(car: Car) -> str:
    """The grades that the car file asks for, as it names them."""
    return "; ".join(sorted({energy.who for energy in car.energies.values() if energy.who})) or "none, by the car file"


LEADS: Mapping[str, str] = MappingProxyType(
    {
        GateKind.BEFORE_IT.value: "tick",
        GateKind.WAIT.value: "off",
        GateKind.PROOF.value: "prove",
        "on": "off",
        "not isolated": "isolate",
        "first": "prove",
        "not proved": "prove",
    }
)
"""What kind of act opens a gate, by its code, else by its kind: the page leads there, also to do it over again."""


def _lists(forms: Mapping[str, Any], menu: Iterable[str]) -> dict[str, Any]:
    """What can be said at any time, and the pages of the job; what is shown once a finding is kept."""
    pages = {"The car now": "car", "The record": "record", _FINDINGS: "findings", "All jobs": "../.."}
    lines = [{"how": "open", "words": "Somebody else works here", "opens": "person came"}]
    lines += [{"how": "open", "words": forms[kind]["title"], "opens": kind} for kind in menu]
    lines += [{"how": "page", "words": words, "at": at} for words, at in pages.items()]
    found = {"how": "page", "words": _FINDINGS, "at": "findings"}
    kept = [*({"how": how} for how in ("letter", "share", "photo")), found]
    return {
        "menu": {"title": "What happened?", "asks": lines},
        "letter": {
            "title": "The finding is kept",
            "asks": kept,
        },
    }


_FINDINGS = "Findings, message and revised quote"


def _findings(found: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """For each item where the car file knows of findings, the list to choose from: one tap keeps it."""
    lists: dict[str, Any] = {}
    for at, one in enumerate(found):
        item = one["at"]
        lists.setdefault(f"findings {item}", []).append({"how": "found", "words": one["trigger"], "at": at})
    free = {"how": "open", "words": "Something else", "opens": kinds.FINDING_SEEN}
    return {
        name: {"title": "Finding", "asks": [*asks, free | {"given": {"item": name.partition(" ")[2]}}]}
        for name, asks in lists.items()
    }


def readings_of(energy: Energy) -> list[dict[str, Any]]:
    """The readings of prove-test-prove in order: what a gate lacks them as, what they say, how they are asked."""
    proof = energy.proof
    if proof is None or not proof.points or proof.at_most is None:
        return []
    phases = [(kinds.PROVE_BEFORE, None), *((kinds.TEST, pair) for pair in proof.points), (kinds.PROVE_AFTER, None)]
    known = f"On the known source the instrument must show more than {proof.at_most}."
    found = []
    for at, (phase, pair) in enumerate(phases, start=1):
        given = {"energy": energy.id, "phase": phase, "unit": proof.at_most.unit} | ({"points": pair} if pair else {})
        words = f"{pair}: at most {proof.at_most}." if pair else known
        about = f"Reading {at} of {len(phases)}. {words}"
        asks = [_ask(ask, []) for ask in FORMS[kinds.READING_TAKEN].asks if not ask.only or phase in ask.only]
        asks[0]["bold"] = proof.at_most.unit
        for ask in asks:
            if "kept" in ask:
                ask["kept"] += f" {proof.at_most.unit}"
        found.append({"lack": pair or phase, "given": given, "about": about, "asks": asks})
    return found


def _form(form: Form, bonded: list[list[str]]) -> dict[str, Any]:
    return {"title": form.title, "go": form.go, "asks": [_ask(ask, bonded) for ask in form.asks]}


def _ask(ask: Ask, bonded: list[list[str]]) -> dict[str, Any]:
    made: dict[str, Any] = {
        "key": ask.field,
        "field": ask.field,
        "words": ask.words + (MAY if ask.may else "") or None,
        "how": _HOW.get(ask.how, ask.how),
        "of": bonded if ask.how == BONDED else [[one] for one in ask.of] or None,
        "owner": ask.how == OWNER or None,
        "kept": ask.field if ask.kept else None,
        "may": ask.may or None,
        "usual": 0 if ask.how == COUNT else None,
    }
    return {name: value for name, value in made.items() if value is not None}


_HOW: Mapping[str, str] = MappingProxyType({BONDED: CHOICE, OWNER: OTHER})
"""What is drawn as another."""
