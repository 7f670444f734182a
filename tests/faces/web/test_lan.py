"""The pages for phones, tried by phones that are not paired, not any more, or paired elsewhere."""

import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest
from httpx import Response
from starlette.applications import Starlette
from starlette.routing import Route

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, Opening, OpenJob, Shelf
from putback.bay.pairing import Code, Pairing, Way
from putback.faces.web import make_app, phones
from putback.faces.web.lan import CERTIFICATE, COOKIES, OPEN, PAIR, ROUTES, STYLE, Lan, gate, make_door

NOW = "2026-03-02T08:00:00+01:00"
HERE, AROUND, DOOR = "127.0.0.1:8999", "192.168.7.20:8999", "192.168.7.20:9000"
SECRETS = ("Quillet", "thermostat", "Wim Orvelt", "putback.db")
"""Words of the job, of people and of files: none of these reaches a stranger."""


@dataclass
class Workshop:
    way: Way
    here: Caller
    around: Caller
    door: Caller
    pairing: Pairing
    app: Starlette
    job: str
    bay: Bay

    @property
    def scheme(self) -> str:
        return "https" if self.way is Way.ENCRYPTED else "http"

    def code(self) -> str:
        made = self.pairing.new_code()
        assert isinstance(made, Code)
        return made.text

    def pair(self, code: str, name: str = "wing", **headers: str) -> Response:
        sent = {"origin": f"{self.scheme}://{AROUND}", **headers}
        return self.around.post(PAIR, data={"code": code, "name": name}, headers=sent)

    def token(self) -> dict[str, str]:
        """The cookie of a phone that was just paired, as it sends it."""
        answer = self.pair(self.code())
        assert answer.status_code == 303
        return {"cookie": answer.headers["set-cookie"].partition(";")[0]}


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Bay, str]]:
    """A desk with one job; no test here adds to it."""
    folder = tmp_path_factory.mktemp("workshop")
    with open_store(str(folder / "putback.db"), create=True) as store:
        bay = Bay(
            store=store,
            shelf=Shelf(folder / "files"),
            cars={demo_path().name: demo_path()},
            clock=lambda: datetime.fromisoformat(NOW),
            new_id=lambda: secrets.token_hex(8),
        )
        opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        store.put_person("p-1", {"name": "Wim Orvelt"})
        yield bay, opened.job


@pytest.fixture(params=list(Way), ids=[one.value for one in Way])
def workshop(request: pytest.FixtureRequest, opened: tuple[Bay, str], tmp_path: Path) -> Workshop:
    way: Way = request.param
    bay, job = opened
    pairing = Pairing(
        place=tmp_path / "paired.json", clock=bay.clock, steady=time.monotonic, random=secrets.token_bytes
    )
    lan = Lan(
        pairing=pairing,
        port=8999,
        door_port=9000 if way is Way.ENCRYPTED else None,
        address="http://192.168.7.20:9000/",
        authority=b"the certificate" if way is Way.ENCRYPTED else None,
        fingerprint="AA:BB" if way is Way.ENCRYPTED else "",
    )
    here = make_app(bay, hosts=[HERE], more=phones.ROUTES)
    around = make_app(bay, hosts=[AROUND], gate=gate(lan), more=ROUTES)
    here.state.lan = around.state.lan = lan
    here.state.phones = phones.PHONES
    return Workshop(
        way=way,
        here=Caller(here, HERE),
        around=Caller(around, AROUND, "https" if way is Way.ENCRYPTED else "http"),
        door=Caller(make_door(lan, hosts=(DOOR,)), DOOR),
        pairing=pairing,
        app=around,
        job=job,
        bay=bay,
    )


def addresses(workshop: Workshop) -> list[tuple[str, str]]:
    """Every method and address of the application, read from its own routes."""
    found = []
    for route in workshop.app.routes:
        assert isinstance(route, Route), "a route of another kind must be tried here too"
        path = route.path
        for name in route.param_convertors:
            filled = {"job": workshop.job, "name": "bay.js", "digest": "0" * 64}.get(name, "1")
            path = path.replace(f"{{{name}}}", filled)
        assert "{" not in path
        found += [(method, path) for method in sorted(route.methods or ())]
    return found


def test_every_address_is_shut_to_a_stranger_but_the_few_to_pair_at(workshop: Workshop) -> None:
    tried = addresses(workshop)
    assert len(tried) > 40
    for method, path in tried:
        for accept in ("*/*", "text/html"):
            headers = {"origin": f"{workshop.scheme}://{AROUND}", "x-putback": "1", "accept": accept}
            answer = workshop.around._call(method, path, headers=headers | {"content-type": "application/json"})
            if path in OPEN:
                assert answer.status_code in (200, 403, 404), (method, path)
            else:
                assert answer.status_code == 401, (method, path)
            text = answer.text + str(answer.headers)
            assert not [word for word in (*SECRETS, workshop.job) if word in text.replace(PAIR, "")], (method, path)
            assert "script-src 'self'" in answer.headers["content-security-policy"]
            assert "<script" not in text


def test_what_is_open_is_these_three(workshop: Workshop) -> None:
    assert {PAIR, CERTIFICATE, STYLE} == OPEN
    assert {path for _, path in addresses(workshop)} >= OPEN


PATHS = [
    "//",
    "//pair",
    "/pair/",
    "/PAIR",
    "/pair/../",
    "/pair/..%2f",
    "/pair/%2e%2e/bay",
    "/pair%2f..%2fbay",
    "/pair/pair.css/../../bay",
    "/pair/pair.css%00",
    "/pair;/../bay",
    "/bay#/pair",
    "/bay?/pair",
    "/static/bay.js?x=/pair/pair.css",
    "/api/people?job=/pair",
    "/api/pair",
    "/phones",
    "/favicon.ico",
    "/ghost",
]


@pytest.mark.parametrize("path", PATHS)
def test_no_spelling_of_an_address_gets_around_the_gate(workshop: Workshop, path: str) -> None:
    answer = workshop.around.get(path)
    assert answer.status_code == 401
    assert not [word for word in SECRETS if word in answer.text]


def test_a_stranger_is_told_in_words_how_to_come_in(workshop: Workshop) -> None:
    api = workshop.around.get(f"/api/jobs/{workshop.job}/pack")
    assert "not paired" in api.json()["failed"]["what"]
    assert "stays on this phone" in api.json()["failed"]["mend"]
    assert api.headers["www-authenticate"].startswith("Pairing"), "RFC 9110, 15.5.2"
    page = workshop.around.get("/", headers={"accept": "text/html"})
    assert 'name="code"' in page.text
    assert ("not encrypted" in page.text) is (workshop.way is Way.PLAIN)


def test_a_large_body_of_a_stranger_is_not_even_read(workshop: Workshop) -> None:
    read = []

    async def body() -> "object":
        for _ in range(100):
            read.append(1)
            yield b"x" * 65536

    headers = {"origin": f"{workshop.scheme}://{AROUND}", "x-putback": "1", "content-type": "image/jpeg"}
    answer = workshop.around.post(f"/api/jobs/{workshop.job}/photos", content=body(), headers=headers)
    assert answer.status_code == 401
    assert sum(read) <= 1


def test_a_paired_phone_gets_the_pages_and_the_job(workshop: Workshop) -> None:
    token = workshop.token()
    for path in ("/", "/bay", "/static/bay.js", f"/jobs/{workshop.job}", f"/api/jobs/{workshop.job}/pack"):
        assert workshop.around.get(path, headers=token).status_code == 200
    assert "Wim Orvelt" in workshop.around.get("/api/people", headers=token).text
    assert "is paired" in workshop.around.get(PAIR, headers=token).text


def test_the_token_is_a_cookie_that_no_script_and_no_other_site_gets(workshop: Workshop) -> None:
    cookie = workshop.pair(workshop.code()).headers["set-cookie"]
    parts = {one.strip().lower() for one in cookie.split(";")[1:]}
    assert {"httponly", "samesite=strict", "path=/"} <= parts
    assert not any(one.startswith("domain") for one in parts)
    if workshop.way is Way.ENCRYPTED:
        assert cookie.startswith("__Host-"), "browsers refuse it then without Secure, with Domain or another Path"
        assert "secure" in parts


def test_a_code_pairs_once(workshop: Workshop) -> None:
    code = workshop.code()
    assert workshop.pair(code).status_code == 303
    again = workshop.pair(code)
    assert again.status_code == 403
    assert "set-cookie" not in again.headers
    assert len(workshop.pairing.devices()) == 1


def test_guessing_shuts_pairing(workshop: Workshop) -> None:
    code = workshop.code()
    wrong = code[::-1] if code[::-1] != code else "ACDEFH"
    answers = [workshop.pair(wrong) for _ in range(5)]
    assert [one.status_code for one in answers] == [403] * 5
    assert "4 more" in answers[0].text
    last = workshop.pair(code)
    assert last.status_code == 403
    assert "pairing is shut" in last.text
    shut = workshop.here.post("/phones/code")
    assert shut.status_code == 409
    assert "pairing is shut" in shut.text


@pytest.mark.parametrize("origin", ["https://elsewhere.invalid", "null", "http://127.0.0.1:8999"])
def test_another_site_cannot_pair_a_phone(workshop: Workshop, origin: str) -> None:
    assert workshop.pair(workshop.code(), origin=origin).status_code == 403
    assert workshop.pairing.devices() == ()


def test_the_same_name_on_the_other_scheme_is_another_site(workshop: Workshop) -> None:
    other = "http" if workshop.scheme == "https" else "https"
    assert workshop.pair(workshop.code(), origin=f"{other}://{AROUND}").status_code == 403


def test_another_name_that_leads_here_is_another_site(workshop: Workshop) -> None:
    for host in ("elsewhere.invalid", "192.168.7.20", "192.168.7.21:8999", HERE, ""):
        answer = workshop.around.get(PAIR, headers={**workshop.token(), "host": host})
        assert answer.status_code == 421
        assert workshop.door.get("/", headers={"host": host}).status_code == 421


def test_a_stolen_token_ends_with_the_phone_it_was_stolen_from(workshop: Workshop) -> None:
    token = workshop.token()
    (phone,) = workshop.pairing.devices()
    assert workshop.around.get("/bay", headers=token).status_code == 200
    assert workshop.here.post("/phones/unpair", data={"phone": phone.id}).status_code == 303
    for method, path in addresses(workshop):
        if path not in OPEN:
            headers = {"origin": f"{workshop.scheme}://{AROUND}", "x-putback": "1", **token}
            assert workshop.around._call(method, path, headers=headers).status_code == 401


@pytest.mark.parametrize("cookie", ["", "x", "0" * 64, "%00", "a" * 9000, '"', "é"])
def test_another_token_is_a_stranger(workshop: Workshop, cookie: str) -> None:
    workshop.token()
    sent = f"{COOKIES[workshop.way]}={cookie}".encode()
    answer = workshop.around.get("/bay", headers={"cookie": sent})
    assert answer.status_code == 401


def test_a_token_under_the_other_cookie_is_none(workshop: Workshop) -> None:
    value = workshop.token()["cookie"].partition("=")[2]
    (other,) = set(COOKIES.values()) - {COOKIES[workshop.way]}
    assert workshop.around.get("/bay", headers={"cookie": f"{other}={value}"}).status_code == 401


def test_phones_are_managed_on_this_machine_alone(workshop: Workshop) -> None:
    token = workshop.token()
    (phone,) = workshop.pairing.devices()
    headers = {"origin": f"{workshop.scheme}://{AROUND}", **token}
    assert workshop.around.get("/phones", headers=token).status_code == 404
    assert workshop.around.post("/phones/code", headers=headers).status_code == 404
    answer = workshop.around.post("/phones/unpair", data={"phone": phone.id}, headers=headers)
    assert answer.status_code == 404
    assert workshop.pairing.devices() == workshop.pairing.devices()
    assert len(workshop.pairing.devices()) == 1


def test_no_other_site_makes_a_code_or_unpairs(workshop: Workshop) -> None:
    workshop.token()
    (phone,) = workshop.pairing.devices()
    headers = {"origin": "https://elsewhere.invalid"}
    assert workshop.here.post("/phones/code", headers=headers).status_code == 403
    assert workshop.here.post("/phones/unpair", data={"phone": phone.id}, headers=headers).status_code == 403
    assert workshop.pairing.code() is None
    assert len(workshop.pairing.devices()) == 1


def test_the_workshops_own_page_shows_the_code_and_the_phones(workshop: Workshop) -> None:
    assert "No code is live" in workshop.here.get("/phones").text
    assert workshop.here.post("/phones/code").headers["location"] == "/phones"
    code = workshop.pairing.code()
    assert code is not None
    assert code.spaced in workshop.here.get("/phones").text
    workshop.pair(code.text, name="<b>wing</b>")
    page = workshop.here.get("/phones").text
    assert "&lt;b&gt;wing&lt;/b&gt;" in page
    assert code.spaced not in page
    assert workshop.here.post("/phones/unpair", data={"phone": "ghost"}).status_code == 404
    assert workshop.here.post("/phones/unpair", content=b"\xff").status_code == 404


def test_only_this_machine_is_led_to_that_page(workshop: Workshop) -> None:
    assert 'href="/phones"' in workshop.here.get("/").text
    assert 'href="/phones"' not in workshop.around.get("/", headers=workshop.token()).text


def test_a_wrong_code_costs_no_typing(workshop: Workshop) -> None:
    workshop.code()
    assert 'value="left &#34;bay&#34;"' in workshop.pair("ACDACD", name='left "bay"').text


def test_without_lan_there_is_no_page_for_phones(workshop: Workshop) -> None:
    alone = Caller(make_app(workshop.bay, hosts=[HERE]), HERE)
    for path in (PAIR, CERTIFICATE, "/phones"):
        assert alone.get(path).status_code == 404


def test_the_door_has_steps_and_certificate_and_nothing_else(workshop: Workshop) -> None:
    if workshop.way is Way.PLAIN:
        assert workshop.around.get(CERTIFICATE).status_code == 404
        return
    page = workshop.door.get("/").text
    assert f"https://{AROUND}{PAIR}" in page
    assert "AA:BB" in page
    assert 'name="code"' not in page, "a code is never typed over plain http into an encrypted workshop"
    for caller in (workshop.door, workshop.around):
        given = caller.get(CERTIFICATE)
        assert (given.content, given.headers["content-type"]) == (b"the certificate", "application/x-x509-ca-cert")
    for path in ("/bay", PAIR, "/phones", "/static/bay.js", f"/api/jobs/{workshop.job}/pack"):
        answer = workshop.door.get(path)
        assert answer.status_code == 404
        assert not [word for word in SECRETS if word in answer.text]
    assert workshop.door.post("/", data={"code": workshop.code(), "name": "wing"}).status_code == 404
    assert workshop.pairing.devices() == ()


def test_labels_printed_at_this_machine_lead_phones_to_where_they_reach_it(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = []

    def paper(name: str, *_: object, address: str) -> bytes:
        told.append((name, address))
        return b"%PDF"

    monkeypatch.setattr("putback.faces.pdf.paper", paper)
    path = f"/jobs/{workshop.job}/labels.pdf"
    workshop.here.app.state.address = "https://192.168.7.20:8999"  # type: ignore[attr-defined]
    assert workshop.here.get(path).status_code == 200
    assert workshop.around.get(path, headers=workshop.token()).status_code == 200
    assert told == [("labels", "https://192.168.7.20:8999"), ("labels", f"{workshop.scheme}://{AROUND}")]


def test_a_full_disk_pairs_nobody(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> bool:
        raise OSError(28, "No space left on device")

    code = workshop.code()
    with monkeypatch.context() as patch:
        patch.setattr("putback.bay.pairing.write_whole", refuse)
        answer = workshop.pair(code)
        assert answer.status_code == 503
        assert "set-cookie" not in answer.headers
    token = {"cookie": workshop.pair(code).headers["set-cookie"].partition(";")[0]}
    (phone,) = workshop.pairing.devices()
    monkeypatch.setattr("putback.bay.pairing.write_whole", refuse)
    said = workshop.here.post("/phones/unpair", data={"phone": phone.id})
    assert said.status_code == 503
    assert "only until the next start" in said.text
    assert workshop.around.get("/bay", headers=token).status_code == 401
