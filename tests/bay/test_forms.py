"""What the page asks for fits what can be recorded: the judge is the table of event kinds."""

import re
from importlib.resources import files

import pytest

from bay.packs import demo_pack, demo_plan
from putback.bay.forms import FORMS, LEADS, NEW, NOW, OPENS, SAYS
from putback.bay.gate_words import WHY
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
        assert ask.words or ask.how in (NOW, NEW)


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
    lines = demo_pack()["forms"]["kinds"]["menu"]["asks"]
    assert [line["opens"] for line in lines if line["how"] == "open"] == [
        "person came",
        *(kind for kind, form in FORMS.items() if form.menu),
        PARTS_SHELVED,
    ]


def test_what_leads_to_an_act_leads_to_one_that_there_is() -> None:
    assert set(LEADS.values()) <= {act["does"] for act in demo_pack()["acts"]}
    assert set(LEADS) <= {kind.value for kind in GateKind} | set(WHY)


def test_what_is_remembered_on_a_phone_is_told_apart_from_what_it_keeps_of_its_own() -> None:
    """Small values of the page's own stand beside them, by these names."""
    acts = [ask for act in demo_pack()["acts"] for ask in act["asks"]]
    forms = [ask for form in demo_pack()["forms"]["kinds"].values() for ask in form.get("asks", ())]
    assert not {ask.get("kept") for ask in acts + forms} & {"me", "crew", "device", "beat", "steady", "open"}


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
    sections = set(re.findall(r'section\("([^"]+)"', script))
    signs = {"-1", "1", "priced", "unpriced"}
    assert said <= set(SAYS)
    assert set(SAYS) <= said | sections | signs


def test_the_grade_that_is_asked_stands_at_its_form() -> None:
    """Somebody who is told that another grade is asked must read which."""
    asked = demo_pack()["forms"]["kinds"]["grade shown"]["asks"][0]["more"]
    assert all(energy.who in asked for energy in demo_plan().car.energies.values() if energy.who)
