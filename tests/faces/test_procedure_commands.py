"""`merge`, `publish` and `check` on procedure files, as a person calls them. All lines are invented."""

import json
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from putback.adapters.car_file import read_car
from putback.adapters.procedure_file import read_procedure_text, write_procedure
from putback.app import CarFile, car_file
from putback.core.operations import Verb
from putback.core.papers.published import LEFT_OUT, sections_of, without_private
from putback.core.procedure import Line, Procedure, Question
from putback.faces.cli import check, merge, publish
from putback.faces.draw.said import said_valley_svg
from putback.faces.page.procedure import procedure_page

PRIVATE = ("Wilhelmina Quarterstaff", "ZZ99 QQX", "1M8GDM9AXKP042788", "Ingeborg", "0555 0199")
# The vehicle number is the worked example of 49 CFR 565.15 and belongs to no car of ours.
TEXT = """\
putback: procedure/1
car: Invented 1
name: fan out and in, Quarterstaff car
invented: true
high_voltage: true
sources: {book: "invented book, page 1"}
private: {owner: Wilhelmina Quarterstaff, plate: ZZ99 QQX, phone: 0555 0199}
operations:
  - {n: 1, verb: isolate, object: service plug}
  - {n: 2, verb: undo, object: cowl bolts, count: 4, size: 10mm, kind: bolt, confirmed: Ingeborg}
  - {n: 3, verb: remove, object: front cowl of zz99qqx, tray: C}
  - {n: 4, verb: unplug, object: fan connector, first: [3]}
  - {n: 5, verb: remove, object: fan, first: [3, 4], doubts: [1M8GDM9AXKP042788 was said]}
  - {n: 6, verb: fit, object: fan, twin: 5}
  - {n: 7, verb: fit, object: front cowl, twin: 3}
  - {n: 8, verb: start, object: cowl bolts, twin: 2}
  - {n: 9, verb: tighten, object: cowl bolts, torque: 9Nm, twin: 2}
  - {n: 10, verb: tighten, object: strut <b>nut</b>, torque: 11Nm, source: book}
questions:
  - {kind: never_plugged_in, operation: 4, text: "fan connector: plugged back in? not heard"}
"""


@pytest.fixture
def one(tmp_path: Path) -> Path:
    """A procedure file."""
    file = tmp_path / "one.procedure.yaml"
    file.write_text(TEXT, encoding="utf-8")
    return file


def run(command: object, *words: object) -> Result:
    """Call a command; its exit code is its return value."""
    return CliRunner().invoke(command, [str(word) for word in words], standalone_mode=False)  # type: ignore[arg-type]


def test_check_reads_procedures(one: Path) -> None:
    """Notes, no faults; a broken one has faults with their lines."""
    good = run(check.command, one)
    assert good.return_value == 0
    assert "nothing to mend" in good.output
    one.write_text(TEXT.replace("twin: 5", "twin: 50"), encoding="utf-8")
    bad = run(check.command, one)
    assert bad.return_value == 1
    assert ":14: operations.6.twin" in bad.output


def test_nothing_private_is_published(one: Path, tmp_path: Path) -> None:
    """Owner, plate in any spacing, vehicle number and persons: in neither page nor paper nor picture."""
    html, pdf = tmp_path / "one.html", tmp_path / "one.pdf"
    assert run(publish.command, one, "--html", html, "--pdf", pdf).return_value == 0
    pages = import_module("pypdfium2").PdfDocument(pdf)
    paper = "\n".join(page.get_textpage().get_text_range() for page in pages)
    for text in (html.read_text(encoding="utf-8"), paper):
        for secret in (*PRIVATE, "Quarterstaff", "zz99qqx"):
            assert secret.lower() not in text.lower()
        assert LEFT_OUT in text


def test_what_is_published(one: Path, tmp_path: Path) -> None:
    """Hazards before all; value needed where no source is; what was not heard; no markup from a name; no script."""
    html = tmp_path / "one.html"
    assert run(publish.command, one, "--html", html).return_value == 0
    page = html.read_text(encoding="utf-8")
    titles = [page.index(f'id="{id}"') for id in ("hazards", "tools", "parts", "torques", "valley", "twins", "open")]
    assert titles == sorted(titles)
    assert "said as 9Nm, no source" in page
    assert "invented book, page 1" in page
    assert "plug in: not heard" in page
    assert "restore: not heard" in page
    assert "Proved gone?" in page
    assert "&lt;b&gt;nut" in page
    assert "<script" not in page
    assert "http" not in page.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")
    assert "Draft: 9 of 10 operations" in page


def test_published_twice_is_the_same(one: Path, tmp_path: Path) -> None:
    """The same file gives the same bytes."""
    places = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
    for place in places:
        run(publish.command, one, "--pdf", place)
    assert places[0].read_bytes() == places[1].read_bytes()


def test_an_empty_procedure_is_published() -> None:
    """Nothing was said: the page says so."""
    page = procedure_page(Procedure(car="a", file="f"))
    assert "High voltage on the car" in page
    assert "not known: find out" in page
    assert said_valley_svg(Procedure(car="a", file="f"), narrow=True).startswith("<svg")


def test_publish_refuses(one: Path, tmp_path: Path) -> None:
    """No place, the file itself as a place, a file with faults, a folder that is not there."""
    assert run(publish.command, one).exception is not None
    assert run(publish.command, one, "--html", one).exception is not None
    assert one.read_text(encoding="utf-8") == TEXT
    assert run(publish.command, one, "--html", tmp_path / "no" / "a.html").return_value == 2
    one.write_text("putback: procedure/1\n", encoding="utf-8")
    assert run(publish.command, one, "--html", tmp_path / "a.html").return_value == 2


def test_merge_writes_a_car(one: Path, tmp_path: Path) -> None:
    """Two recordings: a car file without faults, links with their jobs, the marks confirmed."""
    other = tmp_path / "two.procedure.yaml"
    other.write_text(TEXT.replace("front cowl of zz99qqx", "front cowl"), encoding="utf-8")
    one.write_text(other.read_text(encoding="utf-8"), encoding="utf-8")
    place = tmp_path / "drawn.car.yaml"
    merged = run(merge.command, one, other, "--to", place, "--for", "fan")
    assert merged.return_value == 0
    car = read_car(place).car
    assert car is not None
    assert {(link.item, str(link.origin), link.jobs) for link in car.items["fan"].needs_off} == {
        ("front-cowl", "confirmed", 2),
        ("fan-connector", "confirmed", 2),
    }
    assert "high-voltage" in car.energies


def test_merge_asks_and_takes_answers(tmp_path: Path) -> None:
    """What was only seen is asked about, once; the answer confirms and drops."""
    file = tmp_path / "one.procedure.yaml"
    unmarked = TEXT.replace(", first: [3, 4]", "").replace(", first: [3]", "").replace(" of zz99qqx", "")
    file.write_text(unmarked, encoding="utf-8")
    asked = json.loads(run(merge.command, file, "--for", "fan", "--json").output)
    (question,) = asked["questions"]
    assert set(question["candidates"]) == {"front cowl", "fan connector"}
    answer = "fan=fan connector"
    after = json.loads(run(merge.command, file, "--for", "fan", "--answer", answer, "--json").output)
    assert after["questions"] == []
    assert [(link["needs_off"], link["from"]) for link in after["links"] if link["thing"] == "fan"] == [
        ("fan connector", "confirmed")
    ]


def test_merge_refuses(one: Path, tmp_path: Path) -> None:
    """Another car, a file twice, a missing file, a name nobody touched, over a recording."""
    other = tmp_path / "other.procedure.yaml"
    other.write_text(TEXT.replace("Invented 1", "Invented 2"), encoding="utf-8")
    for words in ((one, other), (one, one), (one, tmp_path / "none.yaml")):
        assert run(merge.command, *words).return_value == 2
    assert run(merge.command, one, "--for", "gearbox").exception is not None
    assert run(merge.command, one, "--answer", "fan").exception is not None
    assert run(merge.command, one, "--to", one).exception is not None


def test_merge_of_nothing(tmp_path: Path) -> None:
    """Nothing came off: there is no car to draw, and none is written."""
    file, place = tmp_path / "one.procedure.yaml", tmp_path / "car.yaml"
    file.write_text("putback: procedure/1\ncar: a\noperations: []\n", encoding="utf-8")
    assert run(merge.command, file, "--to", place).return_value == 3
    assert not place.exists()


def test_private_data_survive_in_the_file_itself() -> None:
    """Only what is published loses them."""
    procedure = read_procedure_text(TEXT.encode(), "f").procedure
    assert procedure is not None
    assert "Wilhelmina" in write_procedure(procedure)
    assert "Wilhelmina" not in write_procedure(without_private(procedure))


def test_the_page_on_paper_has_all_sections(one: Path, tmp_path: Path) -> None:
    """Page and paper say the same: every title of a section stands in both."""
    html, pdf = tmp_path / "one.html", tmp_path / "one.pdf"
    run(publish.command, one, "--html", html, "--pdf", pdf)
    pages = import_module("pypdfium2").PdfDocument(pdf)
    paper = "\n".join(page.get_textpage().get_text_range() for page in pages)
    procedure = read_procedure_text(TEXT.encode(), "f").procedure
    assert procedure is not None
    for section in sections_of(without_private(procedure)):
        assert section.title in paper
        assert section.title in html.read_text(encoding="utf-8")


def sections(text: str) -> dict[str, list[tuple[str, ...]]]:
    """The cells of a published procedure, by section."""
    procedure = read_procedure_text(text.encode(), "f").procedure
    assert procedure is not None
    found = sections_of(without_private(procedure))
    return {one.id: [row.cells for table in one.tables for row in table.rows] for one in found}


def test_isolating_something_else_is_not_isolating_high_voltage() -> None:
    """The negative lead leaves the question open; the service plug answers it."""
    plug = {cells[0]: cells[1] for cells in sections(TEXT)["hazards"]}
    assert plug["High voltage isolated?"] == "heard: service plug; nobody has answered that it was done"
    other = sections(TEXT.replace("object: service plug", "object: negative lead"))
    lead = {cells[0]: cells[1] for cells in other["hazards"]}
    assert lead["High voltage isolated?"] == "not heard"


def test_a_reviewed_procedure_is_no_draft(one: Path, tmp_path: Path) -> None:
    """Each line says whether it is confirmed; when all are, nothing is headed a draft."""
    assert [cells[4] for cells in sections(TEXT)["operations"]] == ["no", "yes", *["no"] * 8]
    lines = TEXT.replace(", confirmed: Ingeborg}", "}").replace("}\n  - {n:", ", confirmed: Ingeborg}\n  - {n:")
    reviewed = lines.replace("source: book}\n", "source: book, confirmed: Ingeborg}\n")
    one.write_text(reviewed, encoding="utf-8")
    html = tmp_path / "one.html"
    assert run(publish.command, one, "--html", html).return_value == 0
    page = html.read_text(encoding="utf-8")
    assert "Draft" not in page
    assert "Ingeborg" not in page
    assert {cells[4] for cells in sections(reviewed)["operations"]} == {"yes"}


def test_what_was_said_for_a_case_that_may_come_is_quoted() -> None:
    """It stands beside its operation, which counts as done like any other."""
    text = TEXT.replace("tray: C}", 'tray: C, condition: "if it sticks, lift the edge"}')
    assert "“if it sticks, lift the edge”" in sections(text)["operations"][2][3]
    assert len(sections(text)["twins"]) == len(sections(TEXT)["twins"])


def test_one_line_that_undoes_two(one: Path, tmp_path: Path) -> None:
    """ "Both connectors back in": heard for each of the two; the JSON counts neither as owed."""
    text = TEXT.replace(
        "- {n: 6, verb: fit, object: fan, twin: 5}", "- {n: 6, verb: fit, object: fan, twin: 5, also: [4]}"
    )
    one.write_text(text, encoding="utf-8")
    answer = json.loads(run(publish.command, one, "--html", tmp_path / "one.html", "--json").stdout)
    before = read_procedure_text(TEXT.encode(), "f").procedure
    assert before is not None
    assert answer["not_heard_back"] == len(before.owed()) - 1


def test_nothing_private_enters_a_car(one: Path, tmp_path: Path) -> None:
    """A plate that was said with a thing is in no car file and so in no record of a job."""
    place = tmp_path / "car.yaml"
    assert run(merge.command, one, "--to", place).return_value == 0
    drawn = car_file(one)
    assert isinstance(drawn, CarFile)
    for text in (place.read_text(encoding="utf-8"), drawn.content.decode()):
        for secret in (*PRIVATE, "zz99qqx"):
            assert secret.lower() not in text.lower()
        assert "left-out" in text


def _asked(answers: Mapping[str, str | None]) -> Procedure:
    """A car with high voltage whose three steps of making dead were heard, and answered so."""
    words = {
        Verb.ISOLATE: "high voltage: isolated, and locked against being put back, by a licensed person? heard: it",
        Verb.WAIT: "high voltage: waited as long as the maker's publication for this vehicle says? heard: it",
        Verb.PROVE_DEAD: "high voltage: proved dead at the points that the maker names? heard: it",
    }
    lines = [
        Line(n=1, verb=Verb.ISOLATE, object="service plug", confirmed="a person"),
        Line(n=2, verb=Verb.WAIT, object="10 minutes", confirmed="a person"),
        Line(n=3, verb=Verb.PROVE_DEAD, object="inverter", confirmed="a person"),
    ]
    questions = [
        Question(kind="always_asked", text=words[line.verb], operation=line.n, answer=answers.get(str(line.verb)))
        for line in lines
    ]
    return Procedure(car="a", file="f", high_voltage=True, lines=tuple(lines), questions=tuple(questions))


def test_a_step_of_making_dead_that_was_not_done_is_published_so() -> None:
    """A person answered "not done" for the proof and nothing for the wait: neither reads as done."""
    found = _asked({"isolate": "done, not said", "prove dead": "not done"})
    hazards, *_ = sections_of(found)
    rows = {row.cells[0]: row for row in hazards.tables[0].rows}
    assert rows["High voltage isolated?"].cells[1] == "service plug"
    assert rows["Waited?"].cells[1] == "heard: 10 minutes; nobody has answered that it was done"
    assert rows["Proved gone?"].cells[1] == "NOT DONE, as a person answered; heard: inverter"
    assert rows["Waited?"].owed
    assert rows["Proved gone?"].owed
    operations = next(section for section in sections_of(found) if section.id == "operations")
    assert [row.cells[4] for row in operations.tables[0].rows] == ["yes", "yes", "NOT DONE"]


def test_what_is_only_slackened_is_published_so_and_bolts_without_a_torque_stand_on_the_card() -> None:
    """Who reads "undo tensioner" takes it off; bolts that went in and were tightened to nothing need a value."""
    lines = (
        Line(n=1, verb=Verb.UNDO, object="tensioner", slackened=True),
        Line(n=2, verb=Verb.START, object="air duct bolts", kind="bolt", count=2),
    )
    found = {section.id: section for section in sections_of(Procedure(car="a", file="f", lines=lines))}
    assert found["operations"].tables[0].rows[0].cells[1] == "undo (slackened only) tensioner"
    assert ["air duct bolts" in row.cells[0] for row in found["torques"].tables[0].rows] == [False, True]
