"""One idea: what the page says at a gate that is shut stands in one table: why by its code, what opens it by its kind.

The core has words of its own, with every figure; these are short enough to be read at the car.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from putback.core.gates.asking import NOT_COMPARED, PART_MISSING, PARTS_DIFFER, SCOPE_UNSIGNED
from putback.core.gates.gate import VALUE_NEEDED_ASK, GateKind
from putback.core.gates.settings import GateSettings

_MONTHS = GateSettings().glove_test_months

WHY: Mapping[str, str] = MappingProxyType(
    {
        "open": "logged",
        "nobody": "nobody is named",
        "no grade": "no grade was shown; asked is: {grade}",
        "other grade": "another grade was shown than is asked: {grade}",
        "grade over": "the grade is out of date",
        "no gloves": "no gloves were checked",
        "taken back": "it is incomplete or was taken back",
        "class": "the gloves' class is too low for it",
        "old test": f"the gloves' electrical test is {_MONTHS} months old or more, or its date is still to come",
        "air": "the air test failed, or is not of today",
        "no keys": "keys and charge lead were not counted",
        "key count": "not every key is in the lock box, or charge lead, remote start or memory saver is still there",
        "key moved": "a key was moved since",
        "charge lead plugged": "the charge lead was plugged in since",
        "same person": "nobody stands by for themselves",
        "doubt": "a doubt was raised, or the record has a line that cannot be read",
        "shift ended": "the shift ended",
        "person left": "the person left",
        "another day": "it is of another day",
        "gap": "there was a long gap without a line",
        "clock": "the clock of the device jumped, or began anew",
        "behind": "the clock stands before what the record holds: set it right",
        "value": "no source gives its value",
        "not begun": "{minutes} min; the clock starts when the first step is logged",
        "runs": "minute {minute} of {minutes}",
        "reading": "a reading speaks against it: {value} {unit} {points}",
        "other proof": "the proof is somebody else's, and holds for nobody else",
        "no proof": "not proved yet",
        "not isolated": "{energy} is not isolated",
        "switched on": "something was switched on",
        "other person": "somebody else worked with this proof",
        "touched": "what it rests on was touched",
        "on": "{item} is in place",
        "first": "{energy} must be proved gone first",
        "not proved": "{energy} is not proved gone yet",
        "list": "not ticked: {lacks}",
        "restore": "{lacks}",
        "not given back": "{about} is given back first",
        "no answer": "no answer to it is recorded",
        SCOPE_UNSIGNED: "nobody signed for this work",
        PART_MISSING: "{item} is not on the shelf",
        NOT_COMPARED: "{item}: old and new were not compared",
        PARTS_DIFFER: "{item}: old and new differ",
    }
)

OPENS: Mapping[GateKind, str] = MappingProxyType(
    {
        GateKind.WHO: "say who works, and show the grade, with issuer and date",
        GateKind.GLOVES: "check the gloves: class, serial number, electrical test, air test of today",
        GateKind.KEYS: "count: every key in the box, charge lead out, no remote start, no memory saver",
        GateKind.SECOND_PERSON: "name who stands by",
        GateKind.WAIT: "nothing but time",
        GateKind.PROOF: "still to do: {lacks}",
        GateKind.VALUE_NEEDED: VALUE_NEEDED_ASK,
        GateKind.BEFORE_IT: "do these, and tick them",
        GateKind.ORDER: "do that first, and log it",
        GateKind.BOUNDARY: "close the car off, sign it, and log it",
        GateKind.RESTORE: "do these, and log them",
        GateKind.CONSENT: "record the answer: who, when, by which channel, yes or no, the amount",
        GateKind.HELD: "look, then go on by name",
    }
)

LACKS: Mapping[str, str] = MappingProxyType(
    {
        "prove before": "prove the instrument on a known source",
        "prove after": "prove it on the known source again",
        "say so": "log it as proved gone",
        "back": "{} is not back and tight",
        "fill": "{} is not filled",
        "out": "{} still in",
        "bond": "{}: its resistance to the body was not measured",
        "clear": "nobody saw the people clear and the counts at zero",
    }
)
"""What is missing: of a proof, the next steps; of giving back, by the word before the thing."""


def gate_words() -> dict[str, Any]:
    """The words as the pack has them."""
    return {"why": dict(WHY), "opens": {str(kind): text for kind, text in OPENS.items()}, "lacks": dict(LACKS)}
