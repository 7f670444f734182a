"""Whatever people read calls things by the names of the car file: every page and paper is walked and holds no id."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

from bay.demo_record import PEOPLE, Whole, opened, whole
from core.gates.bench import Bench, operations
from faces.web.calling import Caller
from putback.adapters.stores import open_store
from putback.bay.handover import hand_over
from putback.bay.papers import job_record, source_of
from putback.core.operations import Operation, Verb
from putback.faces.web import make_app

HOST = "127.0.0.1:8999"
PAGES = ("", "/car", "/record", "/intake", "/shelf", "/authorise", "/findings")


class _Text(HTMLParser):
    """The texts of a page; pictures and styles hold ids that nobody reads."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002 - the parser calls it so
        self._silent += tag in ("style", "script")

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in ("style", "script")

    def handle_data(self, data: str) -> None:
        self.found += [] if self._silent else [data]


def texts_of(made: Whole) -> Iterator[tuple[str, str]]:
    """Every text that people read of a job, with where it stands."""
    caller = Caller(make_app(made.bay, hosts=[HOST]), HOST)
    for page in PAGES:
        answer = caller.get(f"/jobs/{made.job}{page}")
        assert answer.status_code == 200, page
        reader = _Text()
        reader.feed(answer.text)
        yield from ((page, text) for text in reader.found)
    source = source_of(made.bay, made.view, made.plan)
    for section in job_record(source).sections:
        yield from ((f"job record, {section.id}", text) for text in section.texts())
    yield from (("job record", text) for pair in job_record(source).facts for text in pair)
    sheet = hand_over(source)
    yield from (("hand-over", text) for _, lines in sheet.blocks for text in lines)
    yield from (("hand-over", text) for pair in sheet.facts for text in pair)


def ids_of(made: Whole) -> frozenset[str]:
    """The ids that have a name, and cannot be taken for words: with a hyphen or a figure in them.

    Joints have no name; their numbers stand beside the item and the fastener.
    """
    car = made.plan.car
    names = [*(one.name for one in car.items.values()), *(one.name for one in car.guards.values())]
    said = [*(one.trigger for one in car.findings.values()), *(op.note or "" for op in operations())]
    words = " ".join([*names, *said])
    ids = {*car.items, *car.guards, *car.findings, *PEOPLE}
    return frozenset(id for id in ids if re.search(r"[-0-9]", id) and id not in words)


def shown(made: Whole) -> set[tuple[str, str, str]]:
    ids = ids_of(made)
    token = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*")
    return {(where, id, text.strip()) for where, text in texts_of(made) for id in token.findall(text) if id in ids}


def test_the_demo_record_is_read_without_ids(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        assert shown(whole(store, tmp_path)) == set()


def test_no_page_of_the_demo_record_counts_one_as_many_or_says_a_word_twice(tmp_path: Path) -> None:
    """A count of one goes with one thing; no word stands twice in a row; nothing is said in the words of a program."""
    raw = re.compile(
        r"\b([A-Za-z]+) \1\b|\b1 (?:event|fault|fastener|item|operation|photo|piece)s\b|\b(?:None|True|False)\b"
    )
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = whole(store, tmp_path)
        found = [(where, text) for where, text in texts_of(made) if raw.search(" ".join(text.split()))]
    assert found == []


def test_a_record_full_of_shut_gates_and_misfits_is_read_without_ids(tmp_path: Path) -> None:
    """Every operation of the plan with nothing of its rites, some twice, some taken back: all gates are printed."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        _break_in(made.bench)
        made.keep()
        assert shown(made) == set()


def _break_in(bench: Bench) -> None:
    bench.log("owner named", who="owner-1", **{"as": "owner"}, channel="telephone")
    bench.log("finding seen", finding="pitted-bypass", item="bypass-pipe", amount="137.00", currency="EUR")
    for op in operations():
        id = bench.do(op)
        if op.n % 9 == 0:
            bench.take_back(id)
            bench.do(op, _person="p3" if op.n % 2 else None)
        for kind, body in _odd(op):
            bench.log(kind, **body)


def _odd(op: Operation) -> Iterator[tuple[str, dict[str, object]]]:
    if op.verb is Verb.ISOLATE:
        yield "key moved", {"who": "p2"}
        yield "doubt raised", {"about": "not sure", "energy": op.energy}
    if op.verb is Verb.RESTORE:
        yield "override given", {"gate": "restore", "energy": op.energy, "who": "p2", "reason": "in a hurry"}
        yield "people seen clear", {"who": "p2"}
    if op.verb is Verb.PROVE_DEAD:
        yield "energy checked", {"energy": op.energy, "who": "p1", "gone": "no"}
        yield "gloves checked", {"who": "p1", "class": "00", "serial": "G-1", "air_test": "failed"}
        yield "grade shown", {"who": "p1", "grade": "driver", "issuer": "an institute", "expires": "2027-01-01"}
    if op.n % 40 == 0:
        answer = {"finding": "pitted-bypass", "who": "p2", "channel": "letter", "answer": "yes", "amount": "1.00"}
        yield "answer given", {**answer, "at": "2026-03-02T09:00:00+01:00"}
        yield "not as planned", {"what": "missing", "item": op.item, "joint": op.joint, "count": 1}
        yield "hold passed", {"gate": "not-compared", "item": op.item}
        yield "person came", {"who": "p3"}
        yield "second person named", {"who": "p1"}


def test_the_walk_sees_an_id(tmp_path: Path) -> None:
    """The walk itself: a name that is an id is found."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        made.bench.log("noted", note="lies on orange-shield")
        made.keep()
        assert {(where, id) for where, id, _ in shown(made)} >= {("/record", "orange-shield")}
