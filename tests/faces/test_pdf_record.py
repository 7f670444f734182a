"""The job record as a file: the same bytes twice, PDF/A-3b as far as can be seen from outside, its own proof inside.

Checked with pikepdf, which shares no code with the typesetter. PDF/A-3: ISO 19005-3 (from memory): output intent,
identification in XMP, fonts embedded, attached files with AFRelationship. No validator of the whole standard is here.
"""

import io
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from bay.demo_record import OWNER, PLATE, SECOND, TECHNICIAN, Whole, of_job, opened, whole
from core.gates.bench import Bench
from putback.adapters.record_lines import NotLines, as_lines, read_lines
from putback.adapters.stores import Store, open_store
from putback.bay.papers import JobRecord, job_record, source_of
from putback.core.operations import Operation, Verb
from putback.core.papers import Section
from putback.core.record import KeptHead, verify
from putback.faces.pdf import letters, record_pdf
from putback.faces.pdf.letters import has, shown


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(str(tmp_path_factory.mktemp("papers") / "store.db"), create=True) as made:
        yield made


@pytest.fixture(scope="module")
def demo(store: Store, tmp_path_factory: pytest.TempPathFactory) -> Whole:
    return whole(store, tmp_path_factory.mktemp("files"))


def record_of(made: Whole) -> JobRecord:
    return job_record(source_of(made.bay, made.view, made.plan))


@pytest.fixture(scope="module")
def record(demo: Whole) -> JobRecord:
    return record_of(demo)


@pytest.fixture(scope="module")
def file(record: JobRecord) -> bytes:
    return record_pdf(record)


def other(folder: Path, also: Callable[[Bench, Operation], None]) -> JobRecord:
    """The record of the demo job with more in it."""
    with open_store(str(folder / "store.db"), create=True) as store:
        return record_of(whole(store, folder, also=also))


def section(record: JobRecord, id: str) -> Section:
    return next(one for one in record.sections if one.id == id)


def rows(record: JobRecord, id: str) -> list[tuple[str, ...]]:
    return [row.cells for table in section(record, id).tables for row in table.rows]


def texts(record: JobRecord) -> str:
    facts = [text for fact in record.facts for text in fact]
    return "\n".join([*facts, *(text for one in record.sections for text in one.texts())])


def opened_pdf(content: bytes) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(content))


# --- what it says ---


def test_the_job_is_told_from_opening_to_close(record: JobRecord) -> None:
    facts = dict(record.facts)
    assert facts["plate"].startswith(PLATE)
    assert facts["owner"] == f"{OWNER} (owner, telephone)"
    assert facts["authorised"].startswith(f"{OWNER}, 2026-03-02 07:30 +01:00, in person: total 1435.40 EUR")
    assert facts["complaint"] == "runs hot in traffic"
    assert facts["closed"].startswith("2026-03-02")


def test_only_what_the_car_file_leaves_open_is_open(record: JobRecord) -> None:
    """The demo's drain plug has no sourced torque; nothing else of the whole job is owed."""
    assert rows(record, "open") == [("not recorded", "a torque for drain-plug O-ring radiator, M14 (jdR)")]


def test_proofs_stand_beside_their_limits(record: JobRecord) -> None:
    read = [row for row in rows(record, "energy-hv") if len(row) > 2]
    assert [row[1:6] for row in read] == [
        ("prove before", "proving unit 300 V", "302 V", "–", "meter-3"),
        ("test", "TP1-TP2", "0.3 V", "5 V", "meter-3"),
        ("test", "TP1-body", "0.3 V", "5 V", "meter-3"),
        ("test", "TP2-body", "0.3 V", "5 V", "meter-3"),
        ("prove after", "proving unit 300 V", "301 V", "–", "meter-3"),
    ]
    wait = dict(row for row in rows(record, "energy-hv") if len(row) == 2)["wait"]
    assert "10 min from service disconnect (source made-up)" in wait


def test_a_torque_stands_beside_its_source_and_tool(record: JobRecord) -> None:
    pump = next(row for row in rows(record, "torque") if "(j71)" in row[0])
    assert pump[1:7] == ("3", "3", "12 N·m + 90°", "made-up", "12 N·m + 90°", "wrench 4")


def test_the_declined_finding_is_a_note_for_the_invoice(record: JobRecord) -> None:
    (found,) = rows(record, "findings")
    assert found[2] == "1572.40 EUR"
    assert found[3].startswith(f"no: {OWNER}")
    assert found[4] == "refit with new O-rings, note on invoice, no leak warranty on that joint"


def test_the_override_is_printed_with_who_and_why(record: JobRecord) -> None:
    override = section(record, "passed").tables[0].rows[0].cells
    assert override[1:4] == ("before it: 12 V", SECOND, "parking-brake state seen at the dash")


def test_every_one_time_part_of_the_plan_is_new(record: JobRecord, demo: Whole) -> None:
    new = {row[0] for row in rows(record, "new")}
    assert {line.name for line in demo.plan.parts if line.one_time} <= new


def test_no_verdict_is_printed(record: JobRecord) -> None:
    said = texts(record).lower().replace("made safe", "").replace("make safe", "")
    assert not [word for word in ("compliant", "all clear", " safe", "verified") if word in said]


def test_what_is_owed_stands_out(tmp_path: Path) -> None:
    """A job that stops on the way: what is off, undone, made safe and plugged is owed."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        made.bench.reach(next(op for op in made.plan.operations if op.verb is Verb.REMOVE and op.item == "housing"))
        made.keep()
        record = record_of(made)
    owed = {row.cells[1]: row for row in section(record, "twins").tables[0].rows if row.owed}
    assert owed["front undertray"].cells[2] == "owed, 0 of 4 clip tight, 0 of 10 M6x25 tight"
    assert owed["high voltage"].cells[2] == "owed"
    assert owed["charge-pipe plugs, at cold charge-air pipe"].cells[2] == "2 in"
    assert ("given back", "not recorded: owed") in rows(record, "energy-hv")
    opens = rows(record, "open")
    assert ("open", "the job is not closed") in opens
    assert ("not recorded", "code read after the work: whether the work added a code is unknown") in opens
    assert dict(record.facts)["authorised"] == "not recorded: nobody signed"


def test_a_shut_gate_is_printed_with_its_operation(tmp_path: Path) -> None:
    """A key moves before the orange shield is undone: the line is kept, and stands with the gate."""

    def also(bench: Bench, op: Operation) -> None:
        if op.verb is Verb.UNDO and op.item == "orange-shield":
            bench.log("key moved", who="p2")

    breach = section(other(tmp_path, also), "passed").tables[1].rows[0].cells
    assert breach[1] == "undo orange-cable shield"
    assert "key" in breach[2]


def test_fewer_on_than_off_and_another_torque_stand_out(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        undo, tight = (
            next(op for op in made.plan.operations if op.verb is verb and op.joint == "j73")
            for verb in (Verb.UNDO, Verb.TIGHTEN)
        )
        made.bench.do(undo)
        made.bench.do(tight, count=3, torque={"value": 20, "unit": "N·m"})
        made.keep()
        record = record_of(made)
    (row,) = section(record, "torque").tables[0].rows
    assert row.owed
    assert row.cells[1:3] == ("4", "3")
    assert row.cells[5] == "20 N·m, differs"
    assert ("owed", "thermostat housing: 3 of 4 M8x35 tight") in rows(record, "open")


@pytest.mark.parametrize(
    ("filled", "said"),
    [
        (6.9, None),
        (7.2, ("differs", "engine fluid: out 6.8 l, in 7.2 l")),
        (None, ("not recorded", "engine fluid: litres in")),
    ],
)
def test_litres_are_held_against_the_tolerance(
    filled: float | None, said: tuple[str, str] | None, tmp_path: Path
) -> None:
    """The demo's engine loop: tolerance 0.2 l (invented)."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        made.bench.log("operation done", verb="drain", fluid="engine", litres=6.8)
        made.bench.log("operation done", verb="fill", fluid="engine", litres=filled)
        made.keep()
        lines = [row for row in rows(record_of(made), "open") if "fluid" in row[1]]
    assert lines == ([said] if said else [])


def test_a_deleted_name_is_left_out(demo: Whole, tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = whole(store, tmp_path)
        for id in ("p1", "owner-1", "car-1"):
            store.delete_person(id)
        said = texts(record_of(made))
    assert not [name for name in (TECHNICIAN, OWNER, PLATE) if name in said]
    assert "name deleted" in said
    assert SECOND in said


# --- the file ---


def test_the_same_record_gives_the_same_bytes(record: JobRecord, file: bytes, tmp_path: Path) -> None:
    """Twice here, and once more in another process, from the record as another run makes it."""
    assert record_pdf(record) == file
    code = (
        "import sys; sys.path[:0] = sys.argv[2:]\n"
        "from pathlib import Path; from hashlib import sha256\n"
        "from bay.demo_record import whole\n"
        "from faces.test_pdf_record import record_of\n"
        "from putback.adapters.stores import open_store\n"
        "from putback.faces.pdf import record_pdf\n"
        "here = Path(sys.argv[1])\n"
        "with open_store(str(here / 'store.db'), create=True) as store:\n"
        "    print(sha256(record_pdf(record_of(whole(store, here)))).hexdigest())\n"
    )
    tests = str(Path(__file__).parents[1])
    hashes = []
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        command = [sys.executable, "-c", code, str(tmp_path / name), tests]
        done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)
        hashes.append(done.stdout)
    assert hashes[0] == hashes[1]


def test_it_says_that_it_is_pdf_a_3b(file: bytes) -> None:
    with opened_pdf(file) as pdf:
        meta = pdf.open_metadata()
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
        assert len(pdf.Root.OutputIntents) == 1
        assert pdf.Root.OutputIntents[0].S == pikepdf.Name.GTS_PDFA1
        assert "/Encrypt" not in pdf.trailer


def test_every_font_is_inside_and_nothing_is_outside(file: bytes) -> None:
    with opened_pdf(file) as pdf:
        described = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary)]
        fonts = [one for one in described if one.get("/Type") == pikepdf.Name.FontDescriptor]
        assert fonts
        assert all("/FontFile3" in one or "/FontFile2" in one for one in fonts)
        actions = [one for one in described if one.get("/S") in _ACTIONS]
        assert not actions


_ACTIONS = tuple(pikepdf.Name(name) for name in ("/URI", "/Launch", "/JavaScript", "/SubmitForm", "/GoToR"))


def attached(content: bytes) -> bytes:
    with opened_pdf(content) as pdf:
        (name,) = pdf.attachments
        assert name == "record.jsonl"
        spec: Any = pdf.Root.AF[0]
        assert spec.AFRelationship == pikepdf.Name.Data
        return pdf.attachments[name].get_file().read_bytes()


def test_the_events_are_attached_as_they_are_kept(file: bytes, record: JobRecord) -> None:
    links = read_lines(attached(file))
    assert links == record.links
    number, _, hash = record.kept.partition(":")
    assert verify(links, job=record.job, kept=[KeptHead(seq=int(number), hash=hash)]) == ()


def test_the_attached_record_is_verified_by_the_command(file: bytes, record: JobRecord, tmp_path: Path) -> None:
    lines = tmp_path / "record.jsonl"
    lines.write_bytes(attached(file))

    def check(*more: str) -> subprocess.CompletedProcess[str]:
        words = ["-c", "from putback.faces.cli.main import main; main()", "record", "verify", str(lines), *more]
        return subprocess.run([sys.executable, *words], capture_output=True, text=True, check=False, timeout=60)

    good = check("--head", record.head, "--json")
    assert good.returncode == 0, good.stderr
    assert json.loads(good.stdout)["jobs"][0]["events"] == record.events
    content = lines.read_bytes()
    lines.write_bytes(content.replace(b"302", b"299", 1))
    changed = check("--head", record.head)
    assert changed.returncode == 1
    assert "was changed" in changed.stdout
    lines.write_bytes(b"".join(content.splitlines(keepends=True)[:-1]))
    cut = check("--head", record.head)
    assert cut.returncode == 1
    assert "cut off" in cut.stdout
    lines.write_bytes(b'{"seq": 1}\n')
    assert check().returncode == 2


@pytest.mark.parametrize(
    ("line", "what"),
    [
        (b"no json", "is no JSON"),
        (b"[]", "is no mapping"),
        (b'{"job":"j"}', "has no number"),
        (b'{"seq":true}', "has no number"),
        (b'{"seq":1,"job":"j","id":"e","received_at":"t","hash":"h"}', "has no content"),
        (b'{"seq":1,"job":"j","id":3,"received_at":"t","hash":"h"}', "has no id"),
        (b'{"seq":1,"job":"j","id":"e","received_at":"t","hash":"h","content_base64":"!"}', "cannot be read"),
    ],
)
def test_lines_that_are_no_record_are_named(line: bytes, what: str) -> None:
    with pytest.raises(NotLines, match=what) as found:
        read_lines(b"\n" + line)
    assert found.value.line == 2


def test_bytes_that_are_no_utf_8_are_carried_too(record: JobRecord) -> None:
    odd = replace(record.links[0], content=b"\xff\xfe")
    assert read_lines(as_lines([odd])) == (odd,)


# --- hostile text ---

HOSTILE = (
    '#read("/etc/passwd")',
    "$ x $ _a_ *b* `c` <d> @e = f \\ \\u{41} // g /* h */ #{",
    "w" * 3000,
    "שלום עולם, مرحبا بالعالم",
    "emoji 😀👩‍🔧, 漢字, e" + "\u0301" * 40,
    "controls \x01\x02\x1b[31m\x7f\x85 \u202eturned\u202c \ufeff\u200b",
    "line\nline\r\n\tline\u2028line",
    "\U0010ffff \ue000 \ufdd0",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_any_kind_is_only_text(text: str, tmp_path: Path) -> None:
    """As note, complaint, name and tool. What the typefaces lack is written as its code; the attachment has it all."""

    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        bench = made.bench
        bench.log("noted", note=text)
        bench.log("not as planned", what="other", item=text, joint=text, note=text)
        bench.log("complaint taken", words=text)
        bench.log("operation done", verb="tighten", joint=text, tool=text, stow=text)
        bench.log("override given", gate=text, who="p2", reason=text)
        made.keep()
        store.put_person("p1", {"name": text})
        record = record_of(made)
    content = record_pdf(record)
    assert read_lines(attached(content)) == record.links
    assert b"root:" not in content


def test_every_letter_that_is_said_to_be_there_is_there(record: JobRecord) -> None:
    """A sample of the table, set in one go: the typesetter refuses PDF/A where a typeface lacks a sign."""
    signs = [chr(code) for code in range(0x20, 0x10000) if not 0xD800 <= code < 0xE000 and has(chr(code))]
    signs = [sign for sign in signs if not sign.isspace()]
    assert len(signs) > 5000
    lines = tuple(("a", " ".join(signs[at : at + 40])) for at in range(0, len(signs), 40))
    content = record_pdf(replace(record, facts=lines, sections=()))
    with opened_pdf(content) as pdf:
        fonts = {str(one.get("/FontName")) for one in pdf.objects if isinstance(one, pikepdf.Dictionary)}
    assert any("Libertinus" in name for name in fonts)
    assert any("NewCM" in name for name in fonts), "everything was written as codes"
    assert all(shown(sign) == sign for sign in signs)


def test_a_sign_that_the_typesetter_refuses_all_the_same_is_written_as_its_code(
    record: JobRecord, monkeypatch: pytest.MonkeyPatch
) -> None:
    odd = replace(record, facts=(("note", "漢 Ω"),), sections=())
    monkeypatch.setattr(letters, "has", lambda _: True)
    with opened_pdf(record_pdf(odd)) as pdf:
        assert len(pdf.pages) >= 1


def test_ten_thousand_events_make_a_record(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        for at in range(10_000):
            made.bench.log("noted", note=f"line {at}")
        last = made.bench.entries[-1].received_at
        assert last is not None
        events = [entry.event for entry in made.bench.entries]
        made.bench.entries.clear()
        store.append([of_job(event, made.job) for event in events], received_at=last)
        record = record_of(made)
    assert len(rows(record, "differs")) == 10_000
    content = record_pdf(record)
    assert len(read_lines(attached(content))) == 10_001
    with opened_pdf(content) as pdf:
        assert len(pdf.pages) > 100
