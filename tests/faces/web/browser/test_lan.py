"""`putback serve --lan` as a technician runs it: the real command, and a browser that trusts it as a phone does.

The browser's list of authorities (NSS) gets the certificate that the door hands out, by certutil, and nothing else is
switched off: where the chain does not hold, no page opens.
"""

import json
import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from types import SimpleNamespace
from typing import cast
from urllib.request import Request, urlopen

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, expect, sync_playwright

from faces.web.browser.conftest import LOUD
from faces.web.browser.driving import do, enter, kept, synced, tap, title, until
from faces.web.browser.workshop import Workshop, free_port
from putback.adapters.network import own_addresses

AROUND = "127.0.0.2"
NO_CERTUTIL = "THE WORKSHOP'S CERTIFICATE IS NOT TESTED IN A BROWSER: install Debian's package libnss3-tools"


class Command:
    """The command with its store in a folder; it can be ended and started again on the same port."""

    def __init__(self, folder: Path, *more: str, address: str = AROUND) -> None:
        self.folder, self.more, self.address = folder, more, address
        self.port = free_port()
        self.said = ""
        self.start()

    @property
    def here(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def around(self) -> str:
        return f"http{'' if '--plain' in self.more else 's'}://{self.address}:{self.port}"

    @property
    def door(self) -> str:
        return f"http://{self.address}:{self.port + 1}/"

    def start(self) -> None:
        words = [str(Path(sys.executable).parent / "putback"), "serve", "--store", str(self.folder / "store.db")]
        words += ["--lan", "--port", str(self.port), "--address", self.address, *self.more]
        self._process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        assert self._process.stdout is not None
        said = []
        for line in self._process.stdout:
            said.append(line)
            if "one-time code" in line:
                break
        self.said = "".join(said)
        for port in (self.port, self.port + ("--plain" not in self.more)):
            while not self._answers(port):
                assert self._process.poll() is None, self.said
                time.sleep(0.05)

    def _answers(self, port: int) -> bool:
        try:
            socket.create_connection((self.address, port), timeout=5).close()
            socket.create_connection(("127.0.0.1", self.port), timeout=5).close()
        except ConnectionRefusedError:
            return False
        return True

    def stop(self) -> int:
        """End it as Ctrl-C does; what it gives back."""
        self._process.send_signal(signal.SIGINT)
        self._process.communicate(timeout=30)
        return self._process.returncode

    def close(self) -> None:
        if self._process.poll() is None:
            self._process.kill()
            self._process.communicate(timeout=30)

    def code(self) -> str:
        """The one-time code that the command says when it starts."""
        found = re.search(r"one-time code: (\w{3} \w{3}) ", self.said)
        assert found
        return found[1]

    def open_job(self) -> str:
        body = b"car=quillet.car.yaml&wanted=thermostat-and-pump"
        with urlopen(Request(f"{self.here}/jobs", data=body, headers={"origin": self.here}), timeout=60) as answer:
            found = re.search(r"/jobs/([^/]+)", answer.url)
        assert found
        return found[1]

    def events(self, job: str) -> list[str]:
        with urlopen(f"{self.here}/api/jobs/{job}/events?after=0", timeout=30) as answer:
            return [one["event"]["id"] for one in json.load(answer)["events"]]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Command]:
    command = Command(tmp_path)
    yield command
    command.close()


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


def launch(playwright: Playwright, home: Path, *more: str) -> Browser:
    path = shutil.which("chromium")
    if path is None:
        if os.environ.get("CI") == "true":
            pytest.fail(LOUD)
        pytest.skip(LOUD)
    return playwright.chromium.launch(
        executable_path=path, args=["--no-sandbox", *more], env={**os.environ, "HOME": str(home)}
    )


def trusting(home: Path, certificate: bytes) -> None:
    """Put a certificate (DER) into the list of authorities of the browser whose home this is."""
    command = shutil.which("certutil")
    if command is None:
        if os.environ.get("CI") == "true":
            pytest.fail(NO_CERTUTIL)
        pytest.skip(NO_CERTUTIL)
    file = home / "workshop.pem"
    file.write_bytes(x509.load_der_x509_certificate(certificate).public_bytes(Encoding.PEM))
    for place in (home / ".pki" / "nssdb", home / ".local" / "share" / "pki" / "nssdb"):
        place.mkdir(parents=True)
        base = f"sql:{place}"
        subprocess.run([command, "-N", "-d", base, "--empty-password"], check=True, capture_output=True)
        add = [command, "-A", "-d", base, "-n", "workshop", "-t", "C,,", "-i", str(file)]
        subprocess.run(add, check=True, capture_output=True)


def handheld(browser: Browser) -> BrowserContext:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(15_000)
    return context


@pytest.fixture
def phone(playwright: Playwright, served: Command, tmp_path: Path) -> Iterator[BrowserContext]:
    """A phone that trusts the workshop, as the steps say it is told to."""
    home = tmp_path / "home"
    home.mkdir()
    with urlopen(f"{served.door}pair/workshop.crt", timeout=30) as answer:
        trusting(home, answer.read())
    browser = launch(playwright, home)
    yield handheld(browser)
    browser.close()


def pair(page: Page, code: str, name: str = "wing phone") -> None:
    page.get_by_label("One-time code").fill(code)
    page.get_by_label("Name of this phone").fill(name)
    page.get_by_role("button", name="Pair").click()
    expect(page.locator("h1")).to_have_text("Jobs")


def work_at(page: Page, command: Command, job: str) -> None:
    enter(page, cast("Workshop", SimpleNamespace(address=command.around)), job)


def settled(page: Page) -> None:
    """Wait until the worker that keeps the page stands behind it."""
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    until(page, lambda: page.evaluate("async () => !!(await caches.match('/bay'))"))


def test_from_the_door_to_a_job_that_goes_on_without_the_server(served: Command, phone: BrowserContext) -> None:
    job = served.open_job()
    page = phone.new_page()
    page.goto(served.door)
    expect(page.locator("h1")).to_have_text("Pair this phone")
    page.get_by_role("link", name="To the encrypted page").click()
    assert page.url == f"{served.around}/pair"
    pair(page, served.code().lower())
    (cookie,) = phone.cookies()
    assert (cookie["name"], cookie["httpOnly"], cookie["secure"]) == ("__Host-putback", True, True)
    assert cookie["sameSite"] == "Strict"

    work_at(page, served, job)
    assert page.evaluate("isSecureContext")
    settled(page)
    do(page)
    synced(page)
    assert served.stop() == 0
    page.reload()
    expect(page.locator("h1")).to_be_visible()
    do(page)
    expect(page.get_by_role("status")).not_to_contain_text("All")
    page.reload()
    do(page)
    served.start()
    synced(page)
    here, there = [one["id"] for one in kept(page)], served.events(job)
    assert sorted(here) == sorted(there), "nothing is lost, nothing is there twice"
    assert len(here) >= 4


def test_an_unpaired_phone_loses_access_at_once_and_no_tap(served: Command, phone: BrowserContext) -> None:
    job = served.open_job()
    page = phone.new_page()
    page.goto(f"{served.around}/pair")
    pair(page, served.code())
    work_at(page, served, job)
    settled(page)
    do(page)
    synced(page)

    desk = phone.new_page()
    desk.goto(f"{served.here}/phones")
    expect(desk.locator("#paired")).to_contain_text("wing phone")
    desk.get_by_role("button", name=re.compile("Un-pair.*wing phone")).click()
    expect(desk.locator("#paired")).to_contain_text("None yet")

    before = set(served.events(job))
    do(page)
    expect(page.get_by_role("status")).to_contain_text("not paired")
    page.reload()
    expect(page.get_by_role("status")).to_contain_text("not paired")
    do(page)
    assert set(served.events(job)) == before, "nothing reaches the server"
    open_ids = {one["id"] for one in kept(page)} - before
    assert len(open_ids) >= 2, "and nothing is lost"
    asking = "async (at) => { const answer = await fetch(at); return [answer.status, await answer.text()]; }"
    status, text = page.evaluate(asking, f"/api/jobs/{job}/pack")
    assert (status, "Quillet" in text) == (401, False)

    tap(desk, "A new code")
    code = desk.locator(".code").inner_text()
    other = phone.new_page()
    other.goto(f"{served.around}/jobs/{job}")
    pair(other, code)
    expect(page.get_by_role("status")).to_contain_text("kept at the server")
    assert open_ids <= set(served.events(job))


def test_a_phone_that_does_not_trust_the_workshop_is_warned(
    served: Command, playwright: Playwright, tmp_path: Path
) -> None:
    home = tmp_path / "stranger"
    home.mkdir()
    browser = launch(playwright, home)
    page = handheld(browser).new_page()
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"{served.around}/pair")
    browser.close()


def stolen(folder: Path, name: str, file: Path) -> None:
    """A server's file for another site, made with the keys of a workshop."""
    content = (folder / "authority.pem").read_bytes()
    key = load_pem_private_key(content, password=None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    own = x509.load_pem_x509_certificate((folder / "server.pem").read_bytes())
    others = [one for one in own.extensions if not isinstance(one.value, x509.SubjectAlternativeName)]
    made = (
        x509.CertificateBuilder(
            issuer_name=x509.load_pem_x509_certificate(content).subject,
            subject_name=own.subject,
            public_key=own.public_key(),
            serial_number=7,
            not_valid_before=own.not_valid_before_utc,
            not_valid_after=own.not_valid_after_utc,
            extensions=others,
        )
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=False)
        .sign(key, hashes.SHA256())
    )
    server_key = (folder / "server.pem").read_bytes().partition(b"-----BEGIN CERT")[0]
    file.write_bytes(server_key + made.public_bytes(Encoding.PEM))


@pytest.mark.parametrize(("name", "shows"), [("other.local", True), ("bank.invalid", False)])
def test_a_stolen_authority_plays_no_other_site_to_a_phone(
    served: Command, playwright: Playwright, tmp_path: Path, name: str, shows: bool
) -> None:
    stolen(served.folder / "store.db.phones", name, tmp_path / "stolen.pem")
    with urlopen(f"{served.door}pair/workshop.crt", timeout=30) as answer:
        trusting(tmp_path, answer.read())
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(tmp_path / "stolen.pem")
    server = HTTPServer(("127.0.0.1", 0), BaseHTTPRequestHandler)
    server.socket = context.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    browser = launch(playwright, tmp_path, f"--host-resolver-rules=MAP {name} 127.0.0.1")
    try:
        page = browser.new_page()
        if shows:
            answered = page.goto(f"https://{name}:{server.server_port}/")
            assert answered is not None
            assert answered.status == 501, "that server knows no GET"
        else:
            with pytest.raises(Error, match="ERR_CERT"):
                page.goto(f"https://{name}:{server.server_port}/")
    finally:
        browser.close()
        server.shutdown()
        server.server_close()


def test_in_plain_http_the_page_says_that_it_must_stay_open(playwright: Playwright, tmp_path: Path) -> None:
    """At an address of the network: for browsers, that of the machine itself is a secure place even in plain http."""
    found = own_addresses()
    if not found:
        pytest.skip("this machine has no address in a local network")
    command = Command(tmp_path, "--plain", address=str(found[0]))
    browser = launch(playwright, tmp_path)
    try:
        assert not (tmp_path / "store.db.phones" / "authority.pem").exists()
        job = command.open_job()
        page = handheld(browser).new_page()
        page.goto(f"{command.around}/bay?job={job}")
        expect(page.locator("main")).to_contain_text("not encrypted")
        pair(page, command.code())
        work_at(page, command, job)
        assert not page.evaluate("isSecureContext")
        assert page.evaluate("navigator.serviceWorker === undefined")
        expect(page.get_by_role("status")).to_contain_text("keep this page open")
        do(page)
        until(page, lambda: {one["id"] for one in kept(page)} <= set(command.events(job)))
        assert command.stop() == 0
        done = title(page)
        do(page)
        assert title(page) != done, "it goes on while it is open"
        command.start()
        until(page, lambda: {one["id"] for one in kept(page)} <= set(command.events(job)))
    finally:
        browser.close()
        command.close()


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_every_page_of_pairing_can_be_used_by_everybody(
    served: Command, playwright: Playwright, tmp_path: Path, colours: str, width: int
) -> None:
    browser = launch(playwright, tmp_path)
    context = browser.new_context(
        viewport={"width": width, "height": 844}, color_scheme="dark" if colours == "dark" else "light"
    )
    page = context.new_page()
    for address in (served.door, f"{served.here}/phones"):
        page.goto(address)
        found = Axe().run(page).response["violations"]
        assert found == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    browser.close()
