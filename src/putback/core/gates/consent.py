"""One idea: what nobody signed for waits for a recorded answer; until then what would cover it stays shut.

A finding is always asked; proposed work only where its new total is above the limit that was signed or agreed. An
answer counts if it is complete, from somebody named as owner or as one who may decide, about this finding, dated
after it, and, for a yes, for at least the amount asked. Taking back a finding, proposed work or a scope never opens
anything.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from functools import partial
from types import MappingProxyType

from putback.core.energy import covers
from putback.core.gates.case import TOUCHING, Case, Fact, Moment, first_places, time_of
from putback.core.gates.gate import Gate, GateKind
from putback.core.operations import ITEM_BACK, Operation, Verb
from putback.core.record.canonical import canonical_bytes
from putback.core.record.intake_kinds import OWNER_NAMED, SCOPE_SIGNED
from putback.core.record.kinds import ANSWER_GIVEN, FINDING_SEEN, WORK_ADDED
from putback.core.record.shapes import MONEY, TEXTS

COVERING = ITEM_BACK | {Verb.START, Verb.TIGHTEN}
LAST = frozenset({Verb.READ_AFTER, Verb.ROAD_TEST})

OPENS = "record the answer: who, when, by which channel, yes or no, the amount"

WHY: Mapping[str, str] = MappingProxyType(
    {
        "answered": "answered",
        "within-limit": "within the limit that was agreed",
        "no-answer": "no answer is recorded",
        "answer-incomplete": "the answer is incomplete or was taken back",
        "answer-no-channel": "the answer names no channel",
        "answer-by-stranger": "the answer is of {who}, who is named neither as owner nor as one who may decide",
        "answer-too-early": "the answer is dated before what it answers",
        "answer-too-late": "the answer is dated later than it was logged",
        "answer-no-amount": "the answer is a yes without an amount",
        "answer-too-low": "the answer was for {amount}, asked was {asked}",
    }
)
"""Why a finding or proposed work lets an operation through, or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A finding or proposed work: the event by which it was last seen or priced, and whether the work is extra."""

    id: str
    last: Fact
    extra: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether something asked may be covered; `code` is a key of `WHY`, `says` "yes", "no" or None."""

    open: bool
    code: str
    facts: Mapping[str, str]
    answer: Fact | None = None
    says: str | None = None

    @property
    def words(self) -> str:
        """Why, in words."""
        return WHY[self.code].format(**self.facts)

    @property
    def why(self) -> str:
        """What it is about, and why."""
        return f"{self.facts['id']}: {self.words}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """The sum up to which work is agreed, and its currency; None: nobody signed."""

    limit: Decimal | None
    currency: str | None


def consent_gates(case: Case, operation: Operation, moment: Moment) -> Iterator[Gate]:
    """The findings and the proposed work that an operation would cover, each with its answer or without."""
    for asked in asked_of(case, moment):
        if not _concerns(case, asked, operation, moment):
            continue
        verdict = verdict_of(case, asked, moment)
        yield Gate(
            kind=GateKind.CONSENT,
            about=asked.id,
            item=operation.item,
            open=verdict.open,
            why=verdict.why,
            opens="" if verdict.open else OPENS,
        )


def asked_of(case: Case, moment: Moment) -> tuple[Asked, ...]:
    """All that was found or proposed, in the order of first mention. Whatever is wrong with the event, it counts."""
    found: dict[tuple[bool, str], Asked] = {}
    for fact in first_places(case.once(("matters",), lambda: tuple(_matters(case))), case.count(moment)):
        extra = fact.kind == WORK_ADDED
        id = _id_of(fact, "extra" if extra else "finding")
        found[extra, id] = Asked(id=id, last=fact, extra=extra)
    return tuple(found.values())


def _id_of(fact: Fact, field: str) -> str:
    """The id that an event gives; one that is no text is spelled as JSON, and so is no other's."""
    said = fact.says(field)
    return said if isinstance(said, str) else "None" if said is None else canonical_bytes(said).decode()


def _matters(case: Case) -> Iterator[Fact]:
    return (fact for fact in case.facts if fact.kind in (FINDING_SEEN, WORK_ADDED))


def _concerns(case: Case, asked: Asked, operation: Operation, moment: Moment) -> bool:
    """Whether an operation covers a finding, or is itself work that was only proposed."""
    held = _held(case, asked)
    if not held:
        return operation.verb in LAST
    if covering(case, operation, held):
        return True
    own = _extra_items(case, asked)
    signed = _signed_items(case, moment)
    return operation.verb in TOUCHING and any(item in own and item not in signed for item in case.items_of(operation))


def _held(case: Case, asked: Asked) -> frozenset[str]:
    if not asked.extra:
        return case.once(("held", asked.id), lambda: held_items(case, asked.id))
    named = _extra_items(case, asked)
    return case.once(("covers", asked.last.place), lambda: named | covers(case.car, named, case.ways))


def _extra_items(case: Case, asked: Asked) -> frozenset[str]:
    items = asked.last.says("items") if asked.extra else ()
    return frozenset(items).intersection(case.car.items) if TEXTS.fits(items) else frozenset()


def _signed_items(case: Case, moment: Moment) -> frozenset[str]:
    """The items of the scope that was signed: work on them needs no new word."""
    scope = signed_scope(case, moment)
    items = scope.says("items") if scope else ()
    return frozenset(items) if TEXTS.fits(items) else frozenset()


def held_items(case: Case, finding: str) -> frozenset[str]:
    """The items that may not go back while a finding has no answer: where it was seen, and all that covers that.

    Empty: nobody said where; then it waits before the last read and the road test.
    """
    known = case.car.findings.get(finding)
    seen = [fact.text("item") for fact in case.facts if fact.kind == FINDING_SEEN and fact.says("finding") == finding]
    named = {item for item in seen if item and item in case.car.items}
    if known:
        named |= {known.hold or known.seen_at} & case.car.items.keys()
    return frozenset(named) | covers(case.car, named, case.ways)


def covering(case: Case, operation: Operation, held: frozenset[str]) -> bool:
    """Whether an operation puts back one of some items."""
    return operation.verb in COVERING and bool(held & set(case.items_of(operation)))


def signed_scope(case: Case, moment: Moment) -> Fact | None:
    """The scope that counts: the last one signed, by somebody who may; None where that one does not stand.

    An older scope never comes back by taking the newer one back: it might allow more.
    """
    scopes = case.of_kind(SCOPE_SIGNED, case.count(moment))
    last = scopes[-1] if scopes else None
    if last is None or not last.stands or last.says("who") not in deciders(case, last.place):
        return None
    return last


def agreed(case: Case, moment: Moment) -> Agreed:
    """The limit now: as signed, raised by every later yes that counts."""
    scope = signed_scope(case, moment)
    if scope is None:
        return Agreed(limit=None, currency=None)
    limit, currency = Decimal(str(scope.says("limit"))), str(scope.says("currency"))
    for asked in asked_of(case, moment):
        answer = _answer(case, asked, moment)
        given = answer.answer
        if (
            given is None
            or answer.says != "yes"
            or given.place < scope.place
            or _spoken_since(case, asked, given, moment)
        ):
            continue
        if given.says("currency") in (None, currency):
            limit = max(limit, _money(given) or limit)
    return Agreed(limit=limit, currency=currency)


def _spoken_since(case: Case, asked: Asked, answer: Fact, moment: Moment) -> bool:
    """Whether an answer was followed by another, taken back or not: then it agrees to nothing more."""
    given = case.of_kind(ANSWER_GIVEN, case.count(moment))
    return any(fact.place > answer.place and _id_of(fact, "finding") == asked.id for fact in given)


def deciders(case: Case, place: int) -> frozenset[str]:
    """Who was named, before a place of the record, as owner or as one who may decide."""
    named = case.of_kind(OWNER_NAMED, place - 1)
    return frozenset(str(fact.says("who")) for fact in named if fact.stands)


def verdict_of(case: Case, asked: Asked, moment: Moment) -> Verdict:
    """Whether what was asked may be covered, and why."""
    answer = _answer(case, asked, moment)
    if answer.open or not asked.extra:
        return answer
    now, total = agreed(case, moment), _money(asked.last)
    same = asked.last.says("currency") in (None, now.currency)
    if asked.last.stands and now.limit is not None and total is not None and same and total <= now.limit:
        return Verdict(open=True, code="within-limit", facts={"id": matter_name(case, asked.id)})
    return answer


def _answer(case: Case, asked: Asked, moment: Moment) -> Verdict:
    """The last answer that counts; where none does, what is wrong with the last one given."""
    found = Verdict(open=False, code="no-answer", facts={"id": matter_name(case, asked.id)})
    for fact in case.of_kind(ANSWER_GIVEN, case.count(moment)):
        if fact.place <= asked.last.place or _id_of(fact, "finding") != asked.id:
            continue
        code = case.once(("answer", asked.last.place, fact.place), partial(_wrong, case, asked, fact))
        if code is None:
            facts = {"id": matter_name(case, asked.id)}
            found = Verdict(open=True, code="answered", facts=facts, answer=fact, says=str(fact.says("answer")))
        elif not found.open:
            found = Verdict(open=False, code=code, facts=_facts(case, asked, fact), answer=fact)
    return found


def _facts(case: Case, asked: Asked, answer: Fact) -> Mapping[str, str]:
    return {
        "id": matter_name(case, asked.id),
        "who": case.who(answer.says("who")),
        "amount": _priced(answer),
        "asked": _priced(asked.last),
    }


def matter_name(case: Case, id: str) -> str:
    """A finding as the car file calls it, proposed work as it was written down; else the id."""
    if id in case.car.findings:
        return case.car.findings[id].trigger
    for kind, about, words in ((FINDING_SEEN, "finding", "note"), (WORK_ADDED, "extra", "says")):
        for fact in reversed(case.by_kind.get(kind, ())):
            if fact.says(about) == id and fact.text(words):
                return str(fact.says(words))
    return id


def _priced(fact: Fact) -> str:
    return f"{fact.says('amount') or 'no amount'} {fact.says('currency') or ''}".strip()


def _wrong(case: Case, asked: Asked, answer: Fact) -> str | None:
    """Why an answer does not count: a key of `WHY`."""
    if not answer.stands:
        return "answer-incomplete"
    if not str(answer.says("channel")).strip():
        return "answer-no-channel"
    if answer.says("who") not in deciders(case, answer.place):
        return "answer-by-stranger"
    given, slack = time_of(str(answer.says("at"))), timedelta(seconds=case.settings.clock_seconds)
    if given < asked.last.at - slack:
        return "answer-too-early"
    if given > answer.at + slack:
        return "answer-too-late"
    return _wrong_price(case, asked, answer) if answer.says("answer") == "yes" else None


def _wrong_price(case: Case, asked: Asked, answer: Fact) -> str | None:
    """Whether a yes is for what was asked; what costs something needs its amount said, at least once."""
    price, said = _money(asked.last), _money(answer)
    if price is None and said is None:
        return "answer-no-amount" if _costs(case, asked) else None
    if price is None or said is None:
        return None
    same = answer.says("currency") in (None, asked.last.says("currency")) or asked.last.says("currency") is None
    return None if same and said >= price else "answer-too-low"


def _costs(case: Case, asked: Asked) -> bool:
    """Whether it adds minutes or parts, as logged or by the car file."""
    known = None if asked.extra else case.car.findings.get(asked.id)
    by_file = known is not None and bool(known.minutes or known.parts)
    return asked.extra or by_file or bool(asked.last.says("minutes") or asked.last.says("parts"))


def _money(fact: Fact) -> Decimal | None:
    amount = fact.says("amount")
    return Decimal(str(amount)) if MONEY.fits(amount) else None
