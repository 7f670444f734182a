"""The pages of the tools: the same answer as the command, what was typed kept, every fault at once, and pictures."""

import html
import itertools
import json
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from faces.test_cli_fasten import LINES
from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, Shelf
from putback.faces.cli import fasten
from putback.faces.web import make_app
from putback.tight import TOOLS
from tight.test_tools import EXAMPLES

HOST = "127.0.0.1:8999"
NOW = datetime.fromisoformat("2026-11-26T08:00:00+01:00")
LISTED = (Path(__file__).parents[2] / "samples" / "good.tools.yaml").read_text("utf-8")


@pytest.fixture(scope="module")
def caller(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Caller]:
    folder = tmp_path_factory.mktemp("tight")
    numbers = itertools.count()
    with open_store(str(folder / "store.db"), create=True) as store:
        bay = Bay(
            store=store,
            shelf=Shelf(folder / "files"),
            cars={demo_path().name: demo_path()},
            clock=lambda: NOW,
            new_id=lambda: f"n{next(numbers)}",
        )
        yield Caller(make_app(bay, hosts=[HOST]), HOST)


def answered(caller: Caller, name: str, given: dict[str, str], status: int = 200) -> str:
    """The page of a tool with its fields sent as its own form sends them."""
    fields = {**given, "tools": LISTED} if name == "wrench" else given
    by_post = name == "wrench"
    found = caller.post(f"/fasten/{name}", data=fields) if by_post else caller.get(f"/fasten/{name}", params=fields)
    assert found.status_code == status
    return html.unescape(found.text)


def test_every_tool_is_on_the_list(caller: Caller) -> None:
    page = caller.get("/fasten").text
    for tool in TOOLS.values():
        assert f'href="/fasten/{tool.name}"' in page
        assert tool.title in html.unescape(page)


@pytest.mark.parametrize("name", TOOLS)
def test_a_page_without_an_answer_asks_for_its_fields(caller: Caller, name: str) -> None:
    found = caller.get(f"/fasten/{name}")
    page = html.unescape(found.text)
    assert found.status_code == 200
    assert 'id="told"' not in page
    for one in TOOLS[name].fields:
        assert f'<label for="{one.name}">{one.words}' in page
        assert re.search(rf'<(?:input|select|textarea) id="{one.name}" name="{one.name}"', page)
    assert f'method="{"post" if name == "wrench" else "get"}"' in page


@pytest.mark.parametrize("name", TOOLS)
def test_page_and_command_tell_the_same(caller: Caller, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fasten, "today", NOW.date)
    words = [name, *LINES[name].split(), "--json"]
    said = json.loads(CliRunner().invoke(fasten.command, words, standalone_mode=False).stdout)
    page = answered(caller, name, SAME[name])
    assert said["says"] in page
    for warning in said["warnings"]:
        assert warning in page
    for line in said["lines"]:
        assert line["name"] in page
    assert f"Source: {said['source']}" in page
    assert TOOLS[name].authority in page
    assert not re.search(r"\b(safe|safely|compliant)\b", page, re.IGNORECASE)


SAME = {
    **{name: dict(given) for name, given in EXAMPLES.items()},
    "torque": {"torque": "18 lbf·ft"},
    "strip": {**EXAMPLES["strip"], "strength-source": "p.12", "incomplete": "2,5"},
    "isolation": {"volts": "400", "measured": "400 kohm", "bus": "dc"},
    "preload": {"thread": "M8", "torque": "24 N·m", "surface": "dry steel"},
}


@pytest.mark.parametrize(
    ("name", "pictures"), [("preload", 1), ("order", 1), ("strip", 1), ("plug", 1), ("torque", 0)]
)
def test_bands_and_orders_are_drawn(caller: Caller, name: str, pictures: int) -> None:
    assert answered(caller, name, SAME[name]).count("<svg") == pictures


def test_pictures_bring_the_one_style_that_the_page_allows(caller: Caller) -> None:
    plain, drawn = caller.get("/fasten/preload"), caller.get("/fasten/preload", params=SAME["preload"])
    assert "sha256-" not in plain.headers["content-security-policy"]
    assert "sha256-" in drawn.headers["content-security-policy"]


def test_faults_are_told_at_once_and_what_was_typed_stays(caller: Caller) -> None:
    page = answered(caller, "crowfoot", {"torque": "24", "length": "x", "angle": "200"}, status=422)
    for fault in ("adapter is missing", "'24' has no unit", "length='x' is not a number", "at most 180"):
        assert fault in page
    for kept in ('value="24"', 'value="x"', 'value="200"'):
        assert kept in page
    assert 'role="alert"' in page


def test_a_fault_leads_to_its_field_by_the_words_beside_it(caller: Caller) -> None:
    """WCAG 2.2, 3.3.1 and 3.3.3 (from memory): what is in error is named in text, and the field is marked as such."""
    page = answered(caller, "crowfoot", {"torque": "24 N·m", "length": "-1", "angle": "200"}, status=422)
    assert '<a href="#length">middle of the grip to the drive</a>: length=-1 is too small' in page
    assert '<a href="#adapter">drive to the fastener</a>: adapter is missing' in page
    marked = re.findall(r'<input id="([a-z-]+)"[^>]*aria-invalid="true"', page)
    assert marked == ["length", "adapter", "angle"]
    assert "aria-invalid" not in answered(caller, "crowfoot", SAME["crowfoot"])


def test_a_refusal_says_why_and_what_to_do(caller: Caller) -> None:
    page = answered(caller, "preload", {**SAME["preload"], "kind": "yield"})
    assert "No answer:" in page
    assert "<svg" not in page


def test_faults_of_a_pasted_tool_list_name_line_and_field(caller: Caller) -> None:
    bad = LISTED.replace("kind: click", "kind: clik", 1).replace("\n", "\r\n")
    found = caller.post("/fasten/wrench", data={"torque": "24 N·m", "tools": bad})
    page = html.unescape(found.text)
    assert found.status_code == 422
    assert "tools:5: wrenches.a.kind: 'clik' cannot stand here; did you mean 'click'?" in page
    assert "name: crow-foot 17" in page, "the list that was pasted stays in its field"


def test_what_is_typed_is_text_never_markup(caller: Caller) -> None:
    found = caller.get("/fasten/thread", params={"thread": '"><script>x</script>'})
    assert "<script>x" not in found.text
    found = caller.get("/fasten/isolation", params={**SAME["isolation"], "maker-limit": "1", "source": "<b>x</b>"})
    assert "<b>x" not in found.text


@pytest.mark.parametrize(("path", "status"), [("/fasten/nothing", 404), (f"/fasten/thread?thread={'M' * 9000}", 413)])
def test_what_no_page_answers(caller: Caller, path: str, status: int) -> None:
    assert caller.get(path).status_code == status


def test_a_form_of_another_site_is_refused(caller: Caller) -> None:
    found = caller.post("/fasten/wrench", data={"torque": "24 N·m"}, headers={"origin": "http://elsewhere.example"})
    assert found.status_code == 403
