"""The pages of narrations by what they answer, without a browser. The text and its vehicle are invented."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from httpx import Response

from bay.demo_record import desk
from faces.web.calling import Caller
from putback.adapters.procedure_file import read_procedure_text
from putback.adapters.stores import open_store
from putback.bay import Bay
from putback.bay.reviews import ReviewHere, review_here
from putback.core.finding import faults
from putback.faces.web import make_app
from putback.faces.web.multipart import read_form_with_files
from putback.narrate.text.captions import LONGEST

HOST = "127.0.0.1:8998"
SAID = (
    "Unplug the horn. Undo four 10mm bolts on the bracket. Remove the bracket. Inspect the seal. "
    "Fit the bracket. Start the four bracket bolts and tighten the bracket bolts. Read the codes."
)


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        found = desk(store, tmp_path)
        store.put_person("p1", {"name": "Ilvy Marn"})
        yield found


@pytest.fixture
def web(bay: Bay) -> Caller:
    return Caller(make_app(bay, hosts=[HOST]), HOST)


def taken(web: Caller, **more: str) -> str:
    """The address of a new review."""
    answer = web.post("/narrations", data={"text": SAID, "car-name": "Quillon Pemba", "by": "p1", **more})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"]).partition("?")[0]


def here(bay: Bay, address: str) -> ReviewHere:
    found = review_here(bay, address.rsplit("/", 1)[-1])
    assert isinstance(found, ReviewHere)
    return found


def key_of(bay: Bay, address: str, verb: str, name: str) -> int:
    return next(
        one.key for one in here(bay, address).look.review.lines if (one.said.verb, one.said.object) == (verb, name)
    )


def form_of(page: Response, row: str) -> dict[str, str]:
    """The hidden fields of a row's form, as a browser sends them."""
    text = page.text[page.text.index(f'id="{row}"') :].partition("</article>")[0]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', text))


def answer_button(page: Response, words: str, n: int) -> str:
    """The value of the n-th answer to the question that begins with these words."""
    return str(re.findall(r'value="(answer:\w+:\d)"', page.text[page.text.index(words) :])[n - 1])


def test_a_narration_is_taken_and_listed(web: Caller, bay: Bay) -> None:
    assert "None yet" in web.get("/narrations").text
    address = taken(web)
    listed = web.get("/narrations").text
    assert address in listed
    assert "Quillon Pemba" in listed
    assert taken(web) == address, "the same words on the same car are gone on with"
    assert len(here(bay, address).look.review.lines) == 8, "counted by hand in SAID"


def test_a_file_is_taken_as_a_browser_sends_it(web: Caller, bay: Bay) -> None:
    captions = b"1\n00:00:01,000 --> 00:00:03,000\nunplug the horn\n"
    answer = web.post(
        "/narrations",
        data={"car-name": "Quillon Pemba", "high-voltage": "no"},
        files={"file": ("..\\talk é.srt", captions, "application/x-subrip")},
    )
    found = here(bay, answer.headers["location"])
    assert (found.name, found.look.review.high_voltage) == ("talk é.srt", False)
    assert [str(one.said.verb) for one in found.look.review.lines] == ["unplug"]


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({}, ["words are missing", "car is not said"]),
        ({"text": "unplug the horn", "car-name": "  "}, ["car is not said"]),
        ({"text": " \n", "car-name": "Pemba"}, ["words are missing"]),
        ({"text": "horn", "car-name": "Pemba", "high-voltage": "perhaps"}, ["is not in the list"]),
        ({"text": "horn", "car-name": "Pemba", "by": "p9"}, ["not in the list of people"]),
        ({"text": "horn", "car-name": "n" * 200}, ["longer than 120"]),
    ],
)
def test_what_is_missing_is_said_at_once_beside_what_was_typed(
    web: Caller, fields: dict[str, str], told: list[str]
) -> None:
    answer = web.post("/narrations", data=fields)
    assert answer.status_code == 422
    assert all(words in answer.text for words in told)
    assert fields.get("text", "").strip() in answer.text


def test_a_file_that_is_too_large_is_refused_and_one_that_is_empty_told(web: Caller) -> None:
    large = web.post("/narrations", data={"car-name": "P"}, files={"file": ("a.txt", b"a" * (LONGEST + 70_000))})
    assert large.status_code == 413
    empty = web.post("/narrations", data={"car-name": "P"}, files={"file": ("a.txt", b" ")})
    assert empty.status_code == 422
    assert "there are no words in it" in empty.text


@pytest.mark.parametrize(
    "body", [b"", b"--x", b"--x\r\n\r\n--x--", b"--x\r\nname=a\r\n\r\nb\r\n--x--", b"\xff\x00--x--"]
)
def test_a_torn_body_is_one_fault(body: bytes) -> None:
    form, files = read_form_with_files(body, "multipart/form-data; boundary=x")
    assert not files
    assert [field for field, _ in form.wrong] == ["form"]


def test_the_page_shows_sentence_stand_and_questions(web: Caller) -> None:
    text = web.get(taken(web)).text
    assert "Way back not heard" in text
    assert "<mark>Unplug the horn</mark>" in text
    assert "plugged back in? not heard" in text
    assert "Has this car high voltage?" in text
    assert "Torques: 1 needed" in text


def test_confirming_goes_on_to_the_next_place(web: Caller, bay: Bay) -> None:
    address = taken(web)
    page, row = web.get(address), f"row-{key_of(bay, address, 'unplug', 'horn')}"
    answer = web.post(f"{address}?by=p1", data={"do": "accept", **form_of(page, row)})
    assert answer.status_code == 303
    assert f"#{row}" not in answer.headers["location"]
    line = here(bay, address).look.review.lines[0]
    assert line.confirmed == "p1"
    assert "horn: confirmed" in web.get(address).text


def test_an_answer_confirms_its_row_and_writes_the_twin(web: Caller, bay: Bay) -> None:
    address = taken(web)
    page, row = web.get(address), f"row-{key_of(bay, address, 'unplug', 'horn')}"
    web.post(address, data={"do": answer_button(page, "horn: plugged back in", 1), **form_of(page, row)})
    lines = here(bay, address).look.review.lines
    assert lines[0].confirmed
    assert (str(lines[-1].said.verb), lines[-1].said.twin) == ("plug in", lines[0].key)
    assert web.post(address, data={"do": "undo"}).status_code == 303
    web.post(address, data={"do": "undo"})
    assert len(here(bay, address).look.review.lines) == 8
    assert not here(bay, address).standing
    assert web.post(address, data={"do": "undo"}).status_code == 422


def test_a_row_that_changed_meanwhile_is_shown_again(web: Caller, bay: Bay) -> None:
    address = taken(web)
    page, key = web.get(address), key_of(bay, address, "unplug", "horn")
    web.post(f"{address}/line/{key}", data={"do": "delete"})
    stale = web.post(address, data={"do": "accept", **form_of(page, f"row-{key}")})
    assert stale.status_code == 422
    assert "was changed meanwhile" in stale.text
    gone = web.post(address, data={"do": answer_button(page, "horn: plugged back in", 1)})
    assert gone.status_code == 422
    assert "is not asked any more" in gone.text


@pytest.mark.parametrize(
    "do",
    [
        "",
        "eat",
        "delete:9999",
        "delete:x",
        "flip:",
        "merge:1",
        "high-voltage:maybe",
        "answer:0:1",
        "plain",
        "dismiss:1-2",
        "dismiss-all",
    ],
)
def test_a_button_that_nobody_has_changes_nothing(web: Caller, bay: Bay, do: str) -> None:
    address = taken(web)
    answer = web.post(address, data={"do": do})
    assert answer.status_code == 422
    assert "Nothing is kept yet" in answer.text
    assert not here(bay, address).steps


def test_torques_are_given_together_and_the_wrong_one_told_with_all_that_was_typed(web: Caller, bay: Bay) -> None:
    address = taken(web)
    field = re.findall(r'name="(torque-\w+)"', web.get(address).text)[0]
    wrong = web.post(address, data={"do": "torques", field: "24", "source": "invented sheet 4"})
    assert wrong.status_code == 422
    assert 'value="24"' in wrong.text
    assert "invented sheet 4" in wrong.text
    web.post(address, data={"do": "torques", field: "24 N·m", "source": "invented sheet 4"})
    given = [one for one in here(bay, address).look.review.lines if one.said.torque]
    assert [(str(one.said.verb), one.said.torque, one.source) for one in given] == [
        ("tighten", "24 N·m", "invented sheet 4")
    ]
    assert "Torques:" not in web.get(address).text


def test_a_torque_that_nobody_knows_stays_a_value_needed_and_is_asked_no_more(web: Caller, bay: Bay) -> None:
    address = taken(web)
    web.post(address, data={"do": "torques", "rest": "not-known"})
    assert here(bay, address).look.torques_needed() == ()
    assert not any(one.said.torque for one in here(bay, address).look.review.lines)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"do": "set", "object": "", "count": "many"}, ["object is empty", "count", "is not a number"]),
        ({"do": "set", "object": "horn"}, ["changes nothing"]),
        ({"do": "set", "object": "horn", "verb": "eat"}, ["is not in the list"]),
        ({"do": "split", "into": "one"}, ["fewer than two"]),
        ({"do": "rename", "name": ""}, ["is empty"]),
        ({"do": "twin", "twin": "9999"}, ["there is no line 9999"]),
        ({"do": "twin", "twin": "all"}, ["is no line"]),
        ({"do": "merge", "other": ""}, ["is empty"]),
        ({"do": "first", "first": "9999"}, ["there is no line 9999"]),
        ({"do": "torque", "torque": "24 N·m"}, ["tightens nothing"]),
        ({"do": "torque", "torque": "24"}, ["unit"]),
        ({"do": "eat"}, ["changes nothing"]),
    ],
)
def test_a_change_that_cannot_be_is_told_beside_what_was_typed(
    web: Caller, bay: Bay, fields: dict[str, str], told: list[str]
) -> None:
    address = taken(web)
    answer = web.post(f"{address}/line/{key_of(bay, address, 'unplug', 'horn')}", data=fields)
    assert answer.status_code == 422
    assert all(words in answer.text for words in told), re.findall(r"<li>(.*)</li>", answer.text)
    assert not here(bay, address).steps


def test_every_field_of_a_line_can_be_changed_at_once(web: Caller, bay: Bay) -> None:
    address = taken(web)
    key = key_of(bay, address, "remove", "bracket")
    new = {"object": "upper bracket", "count": "2", "size": "M6", "zone": "front", "tool": "socket", "tray": "C"}
    web.post(f"{address}/line/{key}?by=p1", data={"do": "set", "verb": "swing aside", "slackened": "yes", **new})
    line = here(bay, address).look.review.line(key)
    assert line is not None
    assert line.confirmed == "p1"
    assert line.said.slackened
    assert [str(getattr(line.said, name)) for name in ("verb", *new)] == ["swing aside", *new.values()]


def test_twin_merge_split_first_and_rename(web: Caller, bay: Bay) -> None:
    address = taken(web)
    off, back = key_of(bay, address, "remove", "bracket"), key_of(bay, address, "fit", "bracket")
    horn = key_of(bay, address, "unplug", "horn")

    def line(key: int, **fields: str) -> None:
        answer = web.post(f"{address}/line/{key}", data=fields)
        assert answer.status_code == 303, re.findall(r"<li>(.*)</li>", answer.text)

    def twin() -> int | None:
        found = here(bay, address).look.review.line(back)
        assert found is not None
        return found.said.twin

    assert twin() == off
    line(off, do="twin", twin="none")
    assert twin() is None
    line(off, do="twin", twin=f"of {back}")
    assert twin() == off
    line(back, do="first", first=str(off))
    line(horn, do="rename", name="low horn")
    line(horn, do="split", into="2 low horn\nhigh horn")
    found = here(bay, address)
    names = [(one.said.object, one.said.count) for one in found.look.review.lines if str(one.said.verb) == "unplug"]
    assert names == [("low horn", 2), ("high horn", None)]
    assert found.look.review.aliases.named("horn") == "low horn"
    assert "is called" not in web.get(f"{address}/line/{off}").text
    second = key_of(bay, address, "unplug", "high horn")
    line(horn, do="merge", other=str(second))
    assert here(bay, address).look.review.line(second) is None


def test_unused_words_and_what_nobody_said_become_lines(web: Caller, bay: Bay) -> None:
    address = taken(web)
    assert "nobody said it" in web.get(f"{address}/words").text.lower()
    start = SAID.index("Inspect")
    assert "<mark>Inspect the seal</mark>" in web.get(f"{address}/words?start={start}&end={start + 16}").text
    made = {"verb": "clean", "object": "seal"}
    web.post(f"{address}/words", data={**made, "start": str(start), "end": str(start + 16)})
    web.post(f"{address}/words", data={"verb": "renew", "object": "seal"})
    new = [one for one in here(bay, address).look.review.lines if str(one.said.verb) in ("clean", "renew")]
    assert [(str(one.said.verb), one.by_hand) for one in new] == [("clean", False), ("renew", True)]
    wrong = web.post(f"{address}/words", data={"verb": "", "object": ""})
    assert wrong.status_code == 422
    assert "the thing is empty" in wrong.text
    far = web.post(f"{address}/words", data={**made, "start": "1", "end": "99999"})
    assert far.status_code == 422
    assert "not in the text" in far.text


def test_words_in_which_nothing_was_done_are_dismissed_without_a_script(web: Caller, bay: Bay) -> None:
    said = f"{SAID} Remember the 13 mm bracket. That is the 8 mm spacer. Then the 6 mm sleeve."
    address = taken(web, text=said)
    first, *_ = here(bay, address).look.unused
    button = f"dismiss:{first[0]}-{first[1]}"
    assert f'value="{button}"' in web.get(address).text
    answer = web.post(address, data={"do": button, "at": f"unused-{first[0]}"})
    assert answer.headers["location"].endswith(f"#unused-{here(bay, address).look.unused[0][0]}")
    assert web.post(address, data={"do": button}).status_code == 422, "they are not asked any more"
    stale = web.post(address, data={"do": "dismiss-all", "seen": "1-2"})
    assert stale.status_code == 422
    assert "were changed meanwhile" in stale.text
    page = web.get(address).text
    seen = re.findall(r'name="seen" value="([^"]*)">\s*<input type="hidden" name="at" value="unused"', page)[0]
    web.post(address, data={"do": "dismiss-all", "seen": seen})
    assert here(bay, address).look.unused == ()
    after = web.get(address).text
    assert "Nothing done in: 3" in after
    assert "make a line of it after all" in after


def test_questions_have_the_answers_of_their_kind(web: Caller, bay: Bay) -> None:
    said = (
        "Take four 10 mm bolts off the tray. Remove the tray. The gasket looked good, so I reused it. Fit the tray. "
        "Start the three 10 mm tray bolts. Tighten the three tray bolts."
    )
    address = taken(web, text=said)
    page = web.get(address)
    assert all(words in page.text for words in ("4 is right", "3 is right", "both are right", "a new one was fitted"))
    web.post(address, data={"do": answer_button(page, "gasket: used again", 1)})
    row = f"row-{key_of(bay, address, 'undo', 'tray bolts')}"
    page = web.get(address)
    web.post(address, data={"do": answer_button(page, "4 came off, 3 heard", 1), **form_of(page, row)})
    lines = here(bay, address).look.review.lines
    assert [one.said.count for one in lines if one.said.count] == [4, 4, 4]
    assert [(str(one.said.verb), one.said.object) for one in lines if one.by_hand] == [("renew", "gasket")]


def test_high_voltage_can_be_said_anew(web: Caller, bay: Bay) -> None:
    address = taken(web, **{"high-voltage": "no"})
    assert "Has this car high voltage? <b>no</b>" in web.get(address).text
    web.post(address, data={"do": "high-voltage:yes"})
    assert here(bay, address).look.review.high_voltage is True


def test_the_procedure_is_written_and_all_its_papers_are_of_that_one(web: Caller, bay: Bay) -> None:
    address = taken(web)
    for paper in ("procedure.yaml", "published", "published.pdf"):
        assert web.get(f"{address}/{paper}").status_code == 404
    assert web.post(f"{address}/write?by=p1").status_code == 303
    file = web.get(f"{address}/procedure.yaml")
    read = read_procedure_text(file.content, "notes.procedure.yaml")
    assert read.procedure is not None
    assert not faults(read.findings)
    assert len(read.procedure.unconfirmed()) == 8
    page = web.get(f"{address}/published")
    assert "Draft: 8 of 8" in page.text
    assert "unsafe-inline" not in page.headers["content-security-policy"]
    assert web.get(f"{address}/published.pdf").content.startswith(b"%PDF")
    assert "something was changed since" not in web.get(address).text
    web.post(address, data={"do": "high-voltage:no"})
    assert "something was changed since" in web.get(address).text


def test_a_job_is_opened_on_a_written_procedure(web: Caller, bay: Bay, tmp_path: Path) -> None:
    address = taken(web)
    assert "open a job on it" not in web.get(address).text
    bay.procedures = tmp_path / "procedures"
    assert "open a job on it" in web.get(address).text
    answer = web.post(f"{address}/write", data={"do": "job"})
    assert answer.headers["location"] == "/jobs/new?car=notes.procedure.yaml"
    assert web.get(answer.headers["location"]).status_code == 200


def test_who_looks_is_said_by_name(web: Caller, bay: Bay) -> None:
    address = taken(web)
    answer = web.post(f"{address}/who", data={"by-name": "Rosko Tael"})
    web.post(answer.headers["location"], data={"do": "high-voltage:no"})
    assert bay.names()[here(bay, address).standing[-1].who] == "Rosko Tael"
    assert "Looked over by Rosko Tael" in web.get(address).text
    assert web.post(f"{address}/who", data={}).status_code == 422


@pytest.mark.parametrize("path", ["talk-none", "a%2Fb", "talk-none/line/1", "talk-none/words", "talk-none/published"])
def test_what_is_not_here_is_told(web: Caller, path: str) -> None:
    assert web.get(f"/narrations/{path}").status_code == 404
    assert web.post(f"/narrations/{path}", data={"do": "undo"}).status_code in (404, 405)


def test_markup_in_a_narration_stays_text(web: Caller) -> None:
    answer = web.post("/narrations", data={"text": "Unplug the <script>alert(1)</script> horn.", "car-name": "<b>x"})
    text = web.get(answer.headers["location"]).text
    assert "<script>alert" not in text
    assert "<b>x" not in text


def test_a_form_of_another_site_is_refused(web: Caller, bay: Bay) -> None:
    address = taken(web)
    answer = web.post(address, data={"do": "high-voltage:no"}, headers={"origin": "http://example.com"})
    assert answer.status_code == 403
    assert not here(bay, address).steps
