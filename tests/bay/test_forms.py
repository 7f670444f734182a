"""What the page asks for fits what can be recorded: the judge is the table of event kinds."""

import re
from importlib.resources import files

import pytest

from bay.packs import demo_pack
from putback.bay.forms import FORMS, NOW, OPENS, SAYS
from putback.core.gates import GateKind
from putback.core.record import EVENTS
from putback.core.record.intake_kinds import PARTS_SHELVED

FILLED_IN = {"energy", "item", "finding", "phase", "unit", "points", "gate", "who"}
"""What the page fills in from the gate or the act that asks, or from who works."""


@pytest.mark.parametrize("kind", FORMS)
def test_a_form_asks_for_all_that_must_be_said_and_nothing_unheard_of(kind: str) -> None:
    asked = {ask.field for ask in FORMS[kind].asks}
    assert asked <= set(EVENTS[kind].must) | set(EVENTS[kind].may)
    assert set(EVENTS[kind].must) <= asked | FILLED_IN


@pytest.mark.parametrize("kind", FORMS)
def test_every_choice_fits_its_field(kind: str) -> None:
    shapes = {**EVENTS[kind].must, **EVENTS[kind].may}
    for ask in FORMS[kind].asks:
        assert all(shapes[ask.field].fits(choice) for choice in ask.of)
        assert ask.words or ask.how == NOW


def test_every_gate_that_evidence_opens_has_its_form() -> None:
    """A wait opens by time, a proof by readings, a list and an order by their acts, a held question by a tap."""
    otherwise = {
        GateKind.WAIT,
        GateKind.PROOF,
        GateKind.VALUE_NEEDED,
        GateKind.ORDER,
        GateKind.BEFORE_IT,
        GateKind.HELD,
    }
    assert set(OPENS) == set(GateKind) - otherwise
    assert {kind for kinds in OPENS.values() for kind in kinds} <= set(FORMS)


def test_the_menu_keeps_its_order() -> None:
    assert demo_pack()["forms"]["menu"] == [*(kind for kind, form in FORMS.items() if form.menu), PARTS_SHELVED]


def test_every_part_for_the_shelf_is_ticked_by_itself() -> None:
    pack = demo_pack()
    asks = pack["forms"]["kinds"][PARTS_SHELVED]["asks"]
    assert {ask["into"]: ask["words"] for ask in asks} == pack["before"]["parts"]


def test_the_bonded_items_are_offered() -> None:
    asks = demo_pack()["forms"]["kinds"]["bonding checked"]["asks"]
    assert asks[0]["of"] == [["bonding-strap", "compressor bonding strap"]]


def test_the_page_says_nothing_that_is_not_in_the_table_and_the_table_nothing_unused() -> None:
    folder = files("putback.faces.web").joinpath("static")
    script = "".join(folder.joinpath(f"{name}.js").read_text("utf-8") for name in ("here", "ask", "act", "bay"))
    calls = re.findall(r"(?=\bsay\(([^()]*))", script)
    said = {word for call in calls for word in re.findall(r'"([^"]+)"', call)}
    sections = set(re.findall(r'(?:section|list|away)\("([^"]+)"', script))
    pages = {"car", "record", "findings"}
    signs = {"-1", "1"}
    assert said <= set(SAYS)
    assert set(SAYS) <= said | sections | pages | signs
