"""The server's doors: photos that are none, names, other sites, sizes, paths; each refused in words, nothing lost."""

import itertools
import json
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from struct import pack
from typing import Any

import pytest
from httpx import Response
from PIL import Image

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.photos import LARGEST_PHOTO
from putback.adapters.stores import open_store
from putback.bay import Bay, Opening, OpenJob, Shelf
from putback.faces.web import make_app
from putback.faces.web.guard import LARGEST_BODY, LARGEST_FORM

HOST = "127.0.0.1:8999"
NOW = "2026-03-02T08:00:00+01:00"


@dataclass
class Door:
    bay: Bay
    caller: Caller
    job: str
    folder: Path

    def api(self, path: str, *, content: bytes, media: str = "application/json", **headers: str) -> Response:
        sent = {"origin": f"http://{HOST}", "x-putback": "1", "content-type": media, **headers}
        return self.caller.post(f"/api/{path}", content=content, headers=sent)

    def photo(self, content: bytes, media: str = "image/jpeg") -> Response:
        return self.api(f"jobs/{self.job}/photos", content=content, media=media)

    def person(self, **said: object) -> Response:
        return self.api("people", content=json.dumps(said).encode())

    def event(self, id: str, kind: str, body: Mapping[str, Any]) -> Response:
        event = {"id": id, "job": self.job, "device": "d1", "at": NOW, "person": None, "kind": kind, "body": body}
        return self.api(f"jobs/{self.job}/events", content=json.dumps({"events": [event]}).encode())

    def kept(self) -> tuple[int, int]:
        """How many events and how many files are kept."""
        return len(self.bay.store.read(self.job)), sum(1 for one in self.folder.rglob("*") if one.is_file())


@pytest.fixture
def door(tmp_path: Path) -> Iterator[Door]:
    numbers = itertools.count()
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        bay = Bay(
            store=store,
            shelf=Shelf(tmp_path / "files"),
            cars={demo_path().name: demo_path()},
            clock=lambda: datetime.fromisoformat(NOW),
            new_id=lambda: f"n{next(numbers)}",
        )
        opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        yield Door(bay=bay, caller=Caller(make_app(bay, hosts=[HOST]), HOST), job=opened.job, folder=tmp_path)


def picture(form: str = "JPEG", size: tuple[int, int] = (8, 6)) -> bytes:
    made = BytesIO()
    Image.new("RGB", size, (120, 90, 60)).save(made, form)
    return made.getvalue()


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it is this large and holds next to nothing; chunks as W3C PNG has them."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))

    head = pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_as_it_came_and_given_out_once_the_record_names_it(door: Door, form: str) -> None:
    content = picture(form)
    digest = sha256(content).hexdigest()
    assert door.photo(content).json() == {"sha256": digest}
    again = door.kept()
    assert door.photo(content).json() == {"sha256": digest}
    assert door.kept() == again, "sending it again keeps it once"
    address = f"/api/jobs/{door.job}/photos/{digest}"
    assert door.caller.get(address).status_code == 404, "the record does not name it yet"
    media = f"image/{form.lower()}"
    door.event("e1", "photo taken", {"sha256": digest, "bytes": len(content), "media": media})
    given = door.caller.get(address)
    assert (given.status_code, given.content, given.headers["content-type"]) == (200, content, media)
    assert given.headers["x-content-type-options"] == "nosniff"
    assert "sandbox" in given.headers["content-security-policy"]


HOSTILE = {
    "nothing": b"",
    "a page": b"<html><script>1</script></html>",
    "a drawing with script": b'<svg xmlns="http://www.w3.org/2000/svg" onload="x()"/>',
    "a page behind a JPEG's beginning": b"\xff\xd8\xff<script>1</script>",
    "cut off": picture(size=(400, 300))[:900],
    "too many pixels": png_of(9_000, 9_000),
    "a side too long": png_of(60_000, 1),
    "a size beyond all": png_of(2**31 - 1, 2**31 - 1),
    "another format in front": b"GIF89a" + picture(),
    "a WebP that is none": b"RIFF\xff\xff\xff\xffWEBP" + b"\0" * 64,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_is_refused_in_words_and_not_kept(door: Door, name: str) -> None:
    before = door.kept()
    answer = door.photo(HOSTILE[name])
    assert answer.status_code == 422
    assert set(answer.json()["failed"]) == {"what", "mend"}
    assert door.kept() == before


def test_only_photos_of_the_shelf_are_given_out(door: Door) -> None:
    opened = json.loads(door.bay.store.read(door.job)[0].content)["body"]
    for digest in (opened["car_sha256"], opened["plan_sha256"]):
        door.event(f"e-{digest[:8]}", "photo taken", {"sha256": digest, "bytes": 1, "media": "image/jpeg"})
        answer = door.caller.get(f"/api/jobs/{door.job}/photos/{digest}")
        assert answer.status_code == 404


def test_a_photo_for_no_job_is_refused(door: Door) -> None:
    answer = door.api("jobs/ghost/photos", content=picture(), media="image/jpeg")
    assert answer.status_code == 404
    assert "stays on the device" in answer.json()["failed"]["mend"]


def test_what_is_too_large_is_refused(door: Door) -> None:
    before = door.kept()
    events = f"jobs/{door.job}/events"
    assert door.photo(b"\xff\xd8\xff" + b"\0" * LARGEST_PHOTO).status_code == 413
    assert door.api(events, content=b" " * (LARGEST_BODY + 1)).status_code == 413
    assert door.caller.post("/jobs", content=b"a" * (LARGEST_FORM + 1)).status_code == 413
    assert door.kept() == before


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://elsewhere.invalid"},
        {"origin": "null"},
        {"origin": f"http://{HOST}"},
        {"x-putback": "1", "sec-fetch-site": "cross-site"},
        {"x-putback": "1", "origin": f"http://{HOST}", "content-type": "text/plain"},
    ],
)
def test_another_site_changes_nothing(door: Door, headers: dict[str, str]) -> None:
    before = door.kept()
    body = json.dumps({"id": "p1", "name": "Wim Orvelt"}).encode()
    answer = door.caller.post("/api/people", content=body, headers=headers)
    assert answer.status_code in (403, 415)
    assert door.bay.store.person("p1") is None
    assert door.kept() == before


@pytest.mark.parametrize("host", ["elsewhere.invalid", "127.0.0.1", "localhost:1", f"{HOST}.elsewhere.invalid", ""])
def test_another_name_that_leads_here_is_another_site(door: Door, host: str) -> None:
    for path in ("/", f"/api/jobs/{door.job}/pack", "/bay"):
        answer = door.caller.get(path, headers={"host": host})
        assert answer.status_code == 421
        assert "Quillet" not in answer.text


PATHS = [
    "/static/..%2f..%2fserver.py",
    "/static/%2e%2e/guard.py",
    "/static/bay.js%00.css",
    "/jobs/..%2f..%2fstore.db",
    "/jobs/ghost",
    "/jobs/ghost/record.pdf",
    "/jobs/ghost/handover.pdf",
    "/jobs/%00/record",
    "/api/jobs/ghost/pack",
    "/api/jobs/..%2f..%2fetc/pack",
    f"/api/jobs/ghost/photos/{'0' * 64}",
    "/api/jobs/ghost/photos/..%2f..%2fstore.db",
]


@pytest.mark.parametrize("path", PATHS)
def test_a_path_leads_nowhere_but_here(door: Door, path: str) -> None:
    answer = door.caller.get(path)
    assert answer.status_code in (400, 404)
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(door: Door, method: str) -> None:
    assert door.caller._call(method, "/").status_code == 405


BODIES = [
    b"",
    b"null",
    b"[]",
    b"{",
    b"\xff\xfe",
    b'{"events": 1}',
    b'{"events": []',
    b"[" * 100_000,
    b'{"events": [' + b"9" * 5000 + b"]}",
    b'{"events": [], "events": []}',
]


@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_a_body_that_is_none_is_refused_in_words(door: Door, body: bytes) -> None:
    before = door.kept()
    for path in (f"jobs/{door.job}/events", "people"):
        answer = door.api(path, content=body)
        assert answer.status_code == 400, answer.text
        assert set(answer.json()["failed"]) == {"what", "mend"}
    assert door.kept() == before


def test_one_bad_event_does_not_cost_its_neighbours(door: Door) -> None:
    good = {"id": "g1", "job": door.job, "device": "d1", "at": NOW, "person": None, "kind": "noted"}
    events: list[Any] = [
        7,
        None,
        {},
        {**good, "job": "other", "body": {}},
        {**good, "body": {"note": "kept"}},
        {"id": []},
    ]
    answer = door.api(f"jobs/{door.job}/events", content=json.dumps({"events": events}).encode()).json()
    assert [("seq" in one, "refused" in one) for one in answer["answers"]] == [
        (False, True),
        (False, True),
        (False, True),
        (False, True),
        (True, False),
        (False, True),
    ]


def test_a_replay_is_no_second_event_and_other_content_is_kept_aside(door: Door) -> None:
    first = door.event("r1", "noted", {"note": "one"}).json()["answers"][0]
    count = door.kept()[0]
    again = door.event("r1", "noted", {"note": "one"}).json()["answers"][0]
    assert (again["seq"], again["again"], door.kept()[0]) == (first["seq"], True, count)
    assert "conflict" in door.event("r1", "noted", {"note": "two"}).json()["answers"][0]
    assert door.kept()[0] == count


def test_names_are_met_once_and_nobody_takes_anothers(door: Door) -> None:
    assert door.person(id="p1", name=" Wim Orvelt ").json() == {"id": "p1", "name": "Wim Orvelt"}
    assert door.person(id="p1", name="Wim Orvelt").status_code == 200
    assert door.person(id="p1", name="Odalys Quent").status_code == 422
    assert door.caller.get("/api/people").json() == {"people": [{"id": "p1", "name": "Wim Orvelt"}]}
    door.bay.store.delete_person("p1")
    assert door.person(id="p1", name="Wim Orvelt").status_code == 422
    assert door.caller.get("/api/people").json() == {"people": []}


@pytest.mark.parametrize(
    "said",
    [
        {"id": "p1"},
        {"id": "p1", "name": ""},
        {"id": "p1", "name": "a\nb"},
        {"id": "p1", "name": 7},
        {"id": 7, "name": "Wim"},
        {"id": "a b", "name": "Wim"},
        {"id": "p1", "name": "x" * 201},
        {"id": "p1", "name": "Wim", "role": "owner"},
    ],
)
def test_a_name_that_is_none_is_refused(door: Door, said: dict[str, object]) -> None:
    answer = door.person(**said)
    assert answer.status_code in (400, 422)
    assert door.caller.get("/api/people").json() == {"people": []}


def test_every_answer_keeps_browsers_on_this_machine(door: Door) -> None:
    pages = ["/", "/jobs/new", f"/jobs/{door.job}", f"/jobs/{door.job}/record", "/bay", "/sw.js", "/api/people", "/no"]
    for path in pages:
        policy = door.caller.get(path).headers["content-security-policy"]
        assert policy.startswith("default-src 'self';")
        script = next(part for part in policy.split("; ") if part.startswith("script-src"))
        assert script == "script-src 'self'"
