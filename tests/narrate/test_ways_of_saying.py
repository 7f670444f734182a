"""Every usual way of saying that something was done is heard, for parts of every sort of name. All invented.

The ways are those of workshop notes, of reports and of talk: common practice, no source. A part's name may hold a
place, a side, a number, a word that is also a verb (spare, charge, lock, catch) or a word for something else (boot,
lap, case); none of it may hide what was done.
"""

import pytest

from putback.core.operations import Verb
from putback.narrate.lines.draft import drafted
from putback.narrate.text.spoken import Spoken

PARTS = (
    "front bumper", "left rear wheel liner", "upper radiator hose", "cabin filter housing", "wiper cowl",
    "B-pillar trim", "map light", "door latch cable", "drive belt", "passenger seat", "clock spring",
    "brake light switch", "tie rod end", "cover plate", "weather strip", "bonnet stay", "engine mount",
    "tank strap", "lower control arm", "charge port", "charge cable", "inverter", "fuse box", "key cylinder",
    "sun visor", "roof rack", "spare wheel", "tow hook", "air box lid", "oil cooler", "coolant valve",
    "water pump pulley", "steering wheel", "seat belt buckle", "side skirt", "sump guard", "parcel shelf",
    "coil pack", "number plate light", "speaker grille", "fan motor", "undertray", "cross brace",
    "exhaust back box", "boot floor", "shift cable", "prop shaft", "dust shield", "lower grille", "washer jet",
    "rain sensor", "junction box", "pack lid", "cell module", "busbar cover", "expansion valve",
)  # fmt: skip
OFF = (
    "Removed {}.", "Removed the {}.", "{} removed.", "{} off.", "{} out.", "The {} was removed.", "Took the {} off.",
    "Take off the {}.", "I took off the {}.", "I got the {} off.", "{} comes off.", "The {} came out.", "{}: out.",
    "so the {} comes out next", "then we remove the {}",
)  # fmt: skip
IS_OFF = "The {} is off."
"""Of a light it says that it does not shine."""
BACK = (
    "Refitted {}.", "Refitted the {}.", "{} refitted.", "{} back on.", "{} in.", "The {} was refitted.",
    "Put the {} back.", "Put back the {}.", "I put the {} back in.", "{} goes back on.", "The {} went back in.",
    "Reinstalled the {}.", "so the {} goes back in next", "then we fit the {}", "The {} is back on.",
)  # fmt: skip
TAKEN = frozenset({Verb.REMOVE, Verb.UNPLUG, Verb.PART})
PUT = frozenset({Verb.FIT, Verb.PLUG_IN, Verb.JOIN})


def heard(way: str, part: str, before: str = "") -> list[tuple[Verb, str]]:
    """The operations of one way of saying it, with a capital letter where a sentence begins."""
    said = way.format(part)
    said = said[0].upper() + said[1:] if said.endswith(".") else said
    draft = drafted(Spoken(text=before + said))
    return [(one.verb, one.object) for one in draft.operations if one.start >= len(before)]


@pytest.mark.parametrize("way", OFF)
def test_each_part_is_heard_to_come_off(way: str) -> None:
    wrong = {part: heard(way, part) for part in PARTS}
    assert {part: said for part, said in wrong.items() if len(said) != 1 or said[0][0] not in TAKEN} == {}


def test_what_is_off_came_off() -> None:
    wrong = {part: heard(IS_OFF, part) for part in PARTS if not part.endswith("light")}
    assert {part: said for part, said in wrong.items() if len(said) != 1 or said[0][0] not in TAKEN} == {}
    assert heard(IS_OFF, "map light") == []


@pytest.mark.parametrize("way", BACK)
def test_each_part_is_heard_to_go_back(way: str) -> None:
    begun = "{} removed. Towing eye removed. Towing eye back in. "
    wrong = {part: heard(way, part, begun.format(part[0].upper() + part[1:])) for part in PARTS}
    assert {part: said for part, said in wrong.items() if len(said) != 1 or said[0][0] not in PUT} == {}


FASTENERS = (
    "Four 10mm bolts out of the bracket.", "Removed four 10mm bolts from the bracket.",
    "Bracket bolts, four, 10mm, out.", "Undid the four 10 mm bracket bolts.", "Took out the 4 x 10mm bracket bolts.",
    "Four bolts hold the bracket, 10mm, all out.", "There's four tens on the bracket and they're out.",
    "Unscrewed the four bracket bolts with a 10mm socket.", "Bracket: four bolts, 10mm. Out.",
    "so it's four ten mil bolts in the bracket i've got them all out", "got the four ten mils out of the bracket",
    "Had the four ten mil bolts out of the bracket.", "All four bracket bolts out, 10mm.",
)  # fmt: skip


@pytest.mark.parametrize("said", FASTENERS)
def test_how_many_and_how_wide_is_heard_wherever_it_is_said(said: str) -> None:
    bolts = drafted(Spoken(text=said)).operations
    assert [(one.verb, one.count, one.size) for one in bolts] == [(Verb.UNDO, 4, "10mm")]
    assert set(bolts[0].object.split()) >= {"bracket", "bolts"}


TORQUES = (
    "Torqued the bracket bolts to 22 Nm.", "Bracket bolts to 22 Nm.", "Bracket bolts 22 Nm.", "Bracket bolts: 22 Nm.",
    "Tightened the bracket bolts to 22 newton metres.", "Bracket bolts torqued 22Nm.", "22 Nm on the bracket bolts.",
    "Bracket bolts done up to 22 newton metres.", "the bracket bolts get 22 newton metres", "Bracket bolts @ 22 Nm.",
    "Pulled the bracket bolts up to 22 newton metres.", "i took the bracket bolts to 22 newton metres",
    "I gave each one twenty two newton metres.",
)  # fmt: skip


@pytest.mark.parametrize("said", TORQUES)
def test_a_torque_is_heard_as_it_was_said(said: str) -> None:
    before = "Bracket bolts out, four. Bracket off. Bracket on. Bracket bolts in. "
    draft = drafted(Spoken(text=before + said))
    assert [one.torque for one in draft.operations if one.start >= len(before) and one.torque] == ["22Nm"]
