"""The list of rules as a whole: each has a docstring, a row in the document, a case that fires and a silent one."""

import inspect
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core import test_rules_energies, test_rules_guards, test_rules_reach, test_rules_rest, test_rules_tight
from core import test_rules_twins as twins
from core.small import Case
from putback.core.finding import Finding
from putback.core.operations import Operation, Verb
from putback.core.quantity import Torque
from putback.core.rules import RULES, Rule, audit
from random_cars import random_car

CASES: tuple[Case, ...] = (
    *twins.CASES,
    *test_rules_tight.CASES,
    *test_rules_guards.CASES,
    *test_rules_reach.CASES,
    *test_rules_energies.CASES,
    *test_rules_rest.CASES,
)
DOCUMENT = Path(__file__).parents[2] / "docs" / "rules.md"


def rows() -> dict[str, tuple[str, str, str]]:
    """The table of the document: rule to weight, what it sees, why."""
    found = {}
    for line in DOCUMENT.read_text(encoding="utf-8").splitlines():
        match = re.fullmatch(r"\| `(\w+)` \| (.+) \| (.+) \| (.+) \|", line)
        if match:
            found[match[1]] = (match[2], match[3], match[4])
    return found


def says(rule: Rule) -> str:
    """The first paragraph of a rule's docstring, in one line."""
    return (inspect.getdoc(rule) or "").split("\n\n")[0].replace("\n", " ")


def test_no_rule_is_listed_twice() -> None:
    assert len({rule.__name__ for rule in RULES}) == len(RULES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_a_rule_has_a_docstring_and_cases(rule: Rule) -> None:
    assert says(rule).endswith(".")
    mine = [case for case in CASES if case.rule is rule]
    assert any(case.sees for case in mine), "no case in which it fires"
    assert any(not case.sees for case in mine), "no case in which it is silent"


def test_every_case_is_of_a_listed_rule() -> None:
    assert {case.rule.__name__ for case in CASES} == {rule.__name__ for rule in RULES}


def test_the_document_lists_the_rules_in_their_order_and_words() -> None:
    table = rows()
    assert list(table) == [rule.__name__ for rule in RULES]
    assert {name: seen for name, (_, seen, _) in table.items()} == {rule.__name__: says(rule) for rule in RULES}
    assert all(why.endswith(".") for _, _, why in table.values())


def test_the_document_weighs_each_rule_as_its_cases_do() -> None:
    for name, (weight, _, _) in rows().items():
        kinds = {str(case.kind) for case in CASES if case.rule.__name__ == name and case.sees}
        assert kinds == {kind for kind in ("fault", "note") if kind in weight}, name


# any sequence can be audited: unknown ids, missing fields, wrong verbs

SOME_CAR = random_car(3)
IDS = st.sampled_from([None, "no-such-id", "", *SOME_CAR.items, *SOME_CAR.energies, *SOME_CAR.guards, "coolant"])
JOINTS = st.sampled_from([None, "no-joint", *(joint.id for joint in SOME_CAR.joints())])
OPERATIONS = st.builds(
    Operation,
    n=st.integers(min_value=0, max_value=9),
    verb=st.sampled_from(Verb),
    item=IDS,
    joint=JOINTS,
    way=st.sampled_from([None, "front", "below", "no-way"]),
    count=st.sampled_from([None, -1, 0, 1, 4]),
    thread=st.sampled_from([None, "", "M8x40", "clip"]),
    torque=st.sampled_from([None, Torque(value=8.0, unit="N·m"), Torque(value=1.0, unit="kgf·m", angles_deg=(90.0,))]),
    stow=st.sampled_from([None, "tray"]),
    guard=IDS,
    energy=IDS,
    fluid=IDS,
    litres=st.sampled_from([None, 0.0, 6.0]),
    note=st.sampled_from(["", "clock"]),
)


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(OPERATIONS, max_size=25), st.lists(st.sampled_from(["i03", "no-such-id"]), max_size=2))
def test_any_sequence_can_be_audited(operations: list[Operation], targets: list[str]) -> None:
    found = audit(SOME_CAR, operations, targets=targets)
    assert all(isinstance(finding, Finding) and finding.what and finding.mend for finding in found)
    places = [finding.where.line or len(operations) + 1 for finding in found]
    assert places == sorted(places)
    assert all(1 <= place <= len(operations) + 1 for place in places)


def test_an_empty_sequence_has_nothing_wrong() -> None:
    assert audit(SOME_CAR, ()) == ()
