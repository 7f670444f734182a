"""Every page of the server, on a phone and a desk, light and dark, by keyboard and on paper, whatever the job holds.

Goals: WCAG rules as axe-core checks them; nothing wider than the screen or the sheet. The addresses are those of the
application's own routes: one that is added later and not named here fails the first test.
"""

import io
import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pikepdf
import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, BrowserContext, Page
from starlette.applications import Starlette
from starlette.routing import Route

from bay.demo_record import Whole, desk, whole
from core.gates.bench import Bench
from faces.web.browser.workshop import free_port
from putback.adapters.stores import open_store
from putback.bay import Bay, Opening, OpenJob
from putback.bay.pairing import Code, Pairing, Way
from putback.bay.reviews import Begun, take_narration
from putback.core.operations import Verb
from putback.faces.web import lan, make_app, phones

LONG = "Everard Quillon-Amberthwaite von und zu Halvorne-" + "w" * 180

PAGES = {
    "/": ("/",),
    "/jobs/new": ("/jobs/new", "/jobs/new?car=none"),
    "/jobs/{job}": ("/jobs/{job}", "/jobs/job-nobody"),
    "/codes": ("/codes",),
    "/jobs/{job}/codes": ("/jobs/{job}/codes",),
    "/drive": ("/drive",),
    "/jobs/{job}/drive": ("/jobs/{job}/drive",),
    "/jobs/{job}/car": ("/jobs/{job}/car",),
    "/jobs/{job}/record": ("/jobs/{job}/record",),
    "/jobs/{job}/intake": ("/jobs/{job}/intake",),
    "/jobs/{job}/shelf": ("/jobs/{job}/shelf",),
    "/jobs/{job}/authorise": ("/jobs/{job}/authorise", "/jobs/{job}/authorise?limit=1500&currency=EUR&see=yes"),
    "/jobs/{job}/findings": ("/jobs/{job}/findings",),
    "/jobs/{job}/{paper}.pdf": ("/jobs/{job}/none.pdf",),
    "/jobs/{job}/leftover": ("/jobs/{job}/leftover", "/jobs/{job}/leftover?thread=M8x40&count=1"),
    "/fasten": ("/fasten",),
    "/fasten/{tool}": (
        "/fasten/wrench",
        "/fasten/preload?thread=M8&torque=24+Nm&surface=dry+steel&mark=8.8",
        "/fasten/order?bolts=rectangle+4+3&torque=12+Nm",
        f"/fasten/thread?thread={'M' * 300}",
        "/fasten/strip?thread=M8&torque=24+Nm&metal=aluminium&surface=dry+steel",
        "/fasten/nothing",
    ),
    "/tools": ("/tools",),
    "/narrations": ("/narrations",),
    "/narrations/{review}": ("/narrations/{review}", "/narrations/talk-none"),
    "/narrations/{review}/line/{key}": (
        "/narrations/{review}/line/1",
        "/narrations/{review}/line/6",
        "/narrations/{review}/line/99999",
    ),
    "/narrations/{review}/words": ("/narrations/{review}/words", "/narrations/{review}/words?start=0&end=9"),
    "/phones": ("/phones",),
    "/pair": ("/pair",),
}
"""What a person reads, each with the addresses to look at; refusals are pages too."""

NO_PAGES = (
    "/bay",  # looked at in every stage by test_bay_look.py
    "/sw.js",
    "/drive/now",  # looked at by test_drive_look.py, with what follows
    "/jobs/{job}/drive/now",
    "/drive/drive.js",
    "/jobs/{job}/codes/list/{digest}",  # a file, not a page
    "/narrations/{review}/procedure.yaml",  # a file, not a page
    "/narrations/{review}/published",  # the page that `putback publish` writes, looked at by test_published_look.py
    "/narrations/{review}/published.pdf",
    "/static/{name}",
    "/pair/pair.css",
    "/pair/workshop.crt",
)

SCREENS = [(390, "light"), (390, "dark"), (1280, "light"), (1280, "dark")]


@dataclass(frozen=True)
class Shop:
    """A server with three jobs: closed, halfway with a long name and a finding that waits, and new.

    And with two reviews: one of captions that nobody has looked at, one of words as long as they come.
    """

    address: str
    app: Starlette
    jobs: tuple[str, ...]
    reviews: tuple[str, ...]
    lans: tuple[lan.Lan, ...]

    def addresses(self) -> list[str]:
        """Every address to look at."""
        found = [one for many in PAGES.values() for one in many] + ["/nothing-here"]
        of_jobs = [one.replace("{job}", job) for one in found for job in (self.jobs if "{job}" in one else ("",))]
        reviews = {one: self.reviews if "{review}" in one else ("",) for one in of_jobs}
        return [one.replace("{review}", review) for one in of_jobs for review in reviews[one]]


def halfway(store_job: Whole) -> str:
    """A job with the housing off, a finding that waits, and words as long as a record can hold."""
    bench = Bench(device="phone")
    made = Whole(bay=store_job.bay, job=_open(store_job), bench=bench)
    bench.log("owner named", who="long-1", **{"as": "owner"}, channel="telephone")
    bench.reach(next(op for op in made.plan.operations if op.verb is Verb.REMOVE and op.item == "housing"))
    bench.log("noted", note="n" * 400)
    bench.log("not as planned", what="seized", item="undertray", joint="j09", count=1, note=LONG)
    bench.log("finding seen", finding="pitted-bypass", item="bypass-pipe", minutes=55, amount="1572.40", note=LONG)
    made.keep()
    return made.job


def _open(made: Whole) -> str:
    found = made.bay.open_job(
        Opening(car=next(iter(made.bay.cars)), wanted=("thermostat-and-pump",), complaint=f"hums {LONG}")
    )
    assert isinstance(found, OpenJob)
    return found.job


def narrated(bay: Bay) -> tuple[str, ...]:
    """Two narrations that were taken: invented captions, and a long word as a thing and as a car."""
    captions = Path(__file__).parents[3] / "narrate" / "texts" / "oilline.vtt"
    long = f"Unplug the {'w' * 180} connector. Undo two 10mm bolts on the {'v' * 90} bracket.".encode()
    taken = (
        take_narration(bay, captions.read_bytes(), name=captions.name, car="Quillon Pemba", high_voltage=True),
        take_narration(bay, long, name=f"{'n' * 100}.txt", car=LONG[:110], person="long-1"),
    )
    return tuple(one.review for one in taken if isinstance(one, Begun))


def ways(folder: Path, made: Whole) -> tuple[lan.Lan, ...]:
    """The workshop as phones see it, encrypted and plain, with a phone let in and a code that lives."""
    pairing = Pairing(
        place=folder / "paired.json", clock=made.bay.clock, steady=time.monotonic, random=secrets.token_bytes
    )
    first = pairing.new_code()
    assert isinstance(first, Code)
    pairing.pair(code=first.text, name="phone of the wing", way=Way.PLAIN)
    pairing.new_code()
    mark = ":".join(["A5"] * 32)
    there = "http://192.0.2.7:8071/"
    return (
        lan.Lan(pairing=pairing, port=8070, door_port=8071, address=there, authority=b"c", fingerprint=mark),
        lan.Lan(pairing=pairing, port=8070, door_port=None, address=there, authority=None, fingerprint=""),
    )


@contextmanager
def served(bay: Bay) -> Iterator[tuple[str, Starlette]]:
    """A server for a desk on a free port; its address."""
    port = free_port()
    app = make_app(bay, hosts=[f"127.0.0.1:{port}"], more=[*phones.ROUTES, *lan.ROUTES])
    server = uvicorn.Server(
        uvicorn.Config(
            app, host="127.0.0.1", port=port, log_level="error", lifespan="off", timeout_graceful_shutdown=1
        )
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{port}", app
    server.should_exit = True  # force_exit would leave sockets open
    thread.join(10)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("look")
    with open_store(str(folder / "store.db"), create=True) as store:
        done = whole(store, folder)
        store.put_person("long-1", {"name": LONG, "role": "owner"})
        jobs = (done.job, halfway(done), _open(done))
        with served(done.bay) as (address, app):
            lans = ways(folder, done)
            app.state.lan = lans[0]
            yield Shop(address=address, app=app, jobs=jobs, reviews=narrated(done.bay), lans=lans)


def screen(browser: Browser, width: int, scheme: str) -> BrowserContext:
    return browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)  # type: ignore[arg-type]


def well(page: Page) -> list[str]:
    """What axe objects to here, and whether the page is wider than its screen."""
    results = Axe().run(page)
    wide = page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
    found = [f"{page.url}: {results.generate_report()}"] if results.violations_count else []
    return found + ([f"{page.url}: wider than the screen"] if wide else [])


def test_no_page_is_forgotten(shop: Shop) -> None:
    got = set()
    for route in shop.app.routes:
        assert isinstance(route, Route), "a route of another kind must be looked at too"
        if "GET" in (route.methods or ()):
            got.add(route.path)
    known = {*PAGES, *NO_PAGES}
    assert {path for path in got if not path.startswith("/api/")} == known


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_every_page_is_well(browser: Browser, shop: Shop, width: int, scheme: str) -> None:
    context = screen(browser, width, scheme)
    page = context.new_page()
    found = []
    for address in shop.addresses():
        for seen in shop.lans if address in ("/phones", "/pair") else shop.lans[:1]:
            shop.app.state.lan = seen
            page.goto(f"{shop.address}{address}")
            assert page.locator("h1").count() == 1, address
            found += well(page)
            summaries = page.locator("summary")
            if summaries.count():
                page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
                found += well(page)
    context.close()
    assert found == []


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_a_workshop_without_a_job_says_how_one_begins(
    browser: Browser, tmp_path: Path, width: int, scheme: str
) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store, served(desk(store, tmp_path)) as (address, _):
        context = screen(browser, width, scheme)
        page = context.new_page()
        page.goto(address)
        assert "No job yet" in page.inner_text("main")
        assert well(page) == []
        context.close()


CONTROLS = """() => [...document.querySelectorAll(
  "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")]
  .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.matches(".skip"))
  .map((one) => one.outerHTML.slice(0, 120))"""

STOPS_IN_A_TIME = 20
"""A field for day and time has a stop for each of its parts; no page has more than two of them."""

HELD = """() => {
  const one = document.activeElement;
  const { outlineStyle, outlineWidth, outlineColor } = getComputedStyle(one);
  const box = one.getBoundingClientRect();
  return [one.outerHTML.slice(0, 120), one === document.body, outlineStyle, parseFloat(outlineWidth), box.width];
}"""


def test_the_tab_key_reaches_every_control_and_shows_where_it_is(browser: Browser, shop: Shop) -> None:
    """Radio buttons of one name are one stop (HTML standard: the group is one in the order of focus)."""
    context = screen(browser, 1280, "light")
    page = context.new_page()
    for address in shop.addresses():
        page.goto(f"{shop.address}{address}")
        controls = page.evaluate(CONTROLS)
        reached = []
        for _ in range(len(controls) + STOPS_IN_A_TIME):
            page.keyboard.press("Tab")
            told, none, style, thick, wide = page.evaluate(HELD)
            if none:
                break
            assert (style, thick >= 2, wide > 0) == ("solid", True, True), f"{address}: focus is not seen on {told}"
            reached.append(told)
        assert 'class="skip"' in reached[0] or "/pair" in address, f"{address}: nothing leads past the list of pages"
        missed = [one for one in controls if one not in reached and 'type="radio"' not in one]
        assert missed == [], address
    context.close()


SHEET_PX = 718
"""An A4 sheet between its margins: 190 mm at 96 to the inch."""


def test_every_page_prints_on_paper(browser: Browser, shop: Shop) -> None:
    """Without what cannot be pressed on paper, black on white even in the dark, no wider than the sheet."""
    context = screen(browser, SHEET_PX, "dark")
    page = context.new_page()
    page.emulate_media(media="print", color_scheme="dark")
    for address in shop.addresses():
        page.goto(f"{shop.address}{address}")
        assert page.locator("h1").is_visible()
        assert page.locator("button:visible, nav.top:visible").count() == 0, address
        assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), address
        with pikepdf.open(io.BytesIO(page.pdf(prefer_css_page_size=True))) as paper:
            width, height = (float(side) for side in paper.pages[0].mediabox[2:])
        assert (round(width / 72 * 25.4), round(height / 72 * 25.4)) == (210, 297)
    context.close()
