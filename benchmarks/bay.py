"""One idea: on an old phone what counts is when something is seen, and when a tap is safe on the disk.

`python -m benchmarks.bay` prints markdown: bytes of the bay page as sent, first paint, the time from a tap until its
event is on the disk (IndexedDB, durability strict) and what working out the state costs (facts of events seen before
are kept, as on the page), in Chromium with its processor slowed to a quarter; then an append to each store
beside a bare write and fsync. The job holds 600 events already: 300 operations of the plan and 300 notes. `--taps N`
sets how many taps are timed, `--appends N` how many appends.
"""

import argparse
import datetime
import itertools
import re
import shutil
import socket
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from benchmarks.append.server import Server, running
from benchmarks.append.speed import speed
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.core.record import Event
from putback.faces.web import make_app, static

SLOWER = 4
LOADS = 9
SETTLE_MS = 2500
DONE_BEFORE, NOTED_BEFORE = 300, 300
STATES = 200
PAINT_GOAL_MS, DURABLE_GOAL_MS, BYTES_GOAL = 400.0, 20.0, 30_000

WATCH = """
window.kept = [];
let tapped = 0;
addEventListener("click", (event) => { tapped = event.timeStamp; }, true);
const transaction = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, options) {
  const made = transaction.call(this, stores, mode, options);
  if (options?.durability === "strict")
    made.addEventListener("complete", () => window.kept.push(performance.now() - tapped));
  return made;
};
"""
"""Notes when each strict write completed after the last tap."""

DRAWN = """
new MutationObserver(() => {
  if (document.querySelector("main h1")) window.drawn ??= performance.now();
}).observe(document, { childList: true, subtree: true });
"""
"""Notes when the first sheet stands on the page."""

TAP = """async (text) => {
  const button = (name) => [...document.querySelectorAll("button")].find((one) => one.textContent === name);
  const before = window.kept.length;
  button("Note").click();
  const field = document.querySelector("textarea");
  field.value = text;
  field.dispatchEvent(new Event("input"));
  while (document.querySelector(".go").disabled) await new Promise((done) => setTimeout(done, 20));
  document.querySelector(".go").click();
  while (window.kept.length === before) await new Promise((done) => setTimeout(done, 5));
  return window.kept.at(-1);
}"""


@contextmanager
def served() -> Iterator[tuple[str, str]]:
    """A server on a free port with one job of the demo, under way; its address and the job."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder, open_store(str(Path(folder) / "store.db"), create=True) as store:
        ids = itertools.count()
        bay = Bay(
            store=store,
            shelf=Shelf(Path(folder) / "files"),
            cars={demo_path().name: demo_path()},
            clock=_now,
            new_id=lambda: f"b{next(ids)}",
        )
        opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        view = bay.view(opened.job)
        assert isinstance(view, JobView)
        done = [_done(opened.job, op) for op in view.pack["operations"][:DONE_BEFORE]]
        store.append([*done, *(_noted(opened.job, at) for at in range(NOTED_BEFORE))], received_at=_stamp())
        app = make_app(bay, hosts=[f"127.0.0.1:{port}"])
        server = uvicorn.Server(
            uvicorn.Config(app, port=port, log_level="error", lifespan="off", timeout_graceful_shutdown=1)
        )
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{port}", opened.job
        server.should_exit = True  # force_exit would leave sockets open
        thread.join(10)


def _now() -> datetime.datetime:
    return datetime.datetime.fromtimestamp(time.time()).astimezone()


def _stamp() -> str:
    return _now().isoformat(timespec="milliseconds")


def _noted(job: str, at: int) -> Event:
    return Event(
        id=f"n{at}", job=job, device="bench", at=_stamp(), person=None, kind="noted", body={"note": f"line {at}"}
    )


FIELDS = ("verb", "item", "joint", "way", "count", "thread", "guard", "energy", "fluid", "litres", "stow")


def _done(job: str, op: Mapping[str, Any]) -> Event:
    body = {"planned": op["n"], **{name: op[name] for name in FIELDS if name in op}}
    return Event(id=f"o{op['n']}", job=job, device="bench", at=_stamp(), person=None, kind="operation done", body=body)


def slowed(context: BrowserContext) -> Page:
    """A page whose processor is slowed."""
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


def loads(browser: Browser, address: str, job: str, *, watch: str, seen: str) -> list[float]:
    """When something was seen on so many first visits, [ms]; each with a browser that kept nothing."""
    found = []
    for _ in range(LOADS):
        context = browser.new_context(viewport={"width": 390, "height": 844})
        context.add_init_script(watch)
        page = slowed(context)
        page.goto(f"{address}/bay?job={job}")
        page.wait_for_timeout(SETTLE_MS)
        found.append(float(page.evaluate(seen)))
        context.close()
    return found


def taps(browser: Browser, address: str, job: str, count: int) -> list[float]:
    """From a tap until its event is on the disk, [ms]."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.add_init_script(WATCH)
    page = slowed(context)
    page.goto(f"{address}/bay?job={job}")
    page.get_by_label("name").fill("Somebody")
    page.locator(".go").click()
    page.get_by_role("button", name="Note", exact=True).wait_for()
    took = [float(page.evaluate(TAP, f"tap {at}")) for at in range(count)]
    context.close()
    return took


NOW = """async (times) => {
  const job = new URLSearchParams(location.search).get("job");
  const pack = await (await fetch(`/api/jobs/${job}/pack`)).json();
  const { events } = await (await fetch(`/api/jobs/${job}/events`)).json();
  const all = events.map(({ event, received_at }) => ({ event, received_at }));
  const took = [];
  for (let at = 0; at < times; at++) {
    const records = all.slice(0, all.length - 1 - (at % 5));
    const began = performance.now();
    now(pack, records, Date.now(), { person: "p1", device: "bench" });
    took.push(performance.now() - began);
  }
  return took;
}"""
"""Works out the state of the job again and again, each time of a record with another end."""


def states(browser: Browser, address: str, job: str, count: int) -> list[float]:
    """What the page's `now` takes on the whole record, [ms]: the page's own modules, run beside the page."""
    static_files = files("putback.faces.web").joinpath("static")
    texts = [static_files.joinpath(f"{name}.js").read_text(encoding="utf-8") for name in ("dom", "gates", "reduce")]
    script = re.sub(r"^import [^;]*;\n|^export ", "", "\n".join(texts), flags=re.MULTILINE)
    context = browser.new_context(bypass_csp=True)
    page = slowed(context)
    page.goto(f"{address}/static/icon.svg?job={job}")
    took: list[float] = page.evaluate(f"(times) => {{ {script}\n return ({NOW})(times); }}", count)
    context.close()
    return took


def share(values: Sequence[float], part: float) -> float:
    """The value below which such a part of all lie."""
    return sorted(values)[min(len(values) - 1, int(len(values) * part))]


def sizes() -> None:
    """The bytes of the page's files as they are sent, uncompressed."""
    sent = {name: len(static.content(name)) for name in ("bay.html", "bay.css", "bay.js", "sw.js")}
    print("| file | bytes |\n|---|---|")
    for name, size in sent.items():
        print(f"| {name} | {size:,} |")
    print(f"| all, goal {BYTES_GOAL:,} | {sum(sent.values()):,} |\n", flush=True)


def times(count: int) -> None:
    """What is seen and kept when, on a slowed processor."""
    with sync_playwright() as playwright, served() as (address, job):
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        paint = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
        loads(browser, address, job, watch="", seen=paint)
        paints = loads(browser, address, job, watch="", seen=paint)
        sheets = loads(browser, address, job, watch=DRAWN, seen="window.drawn")
        worked = states(browser, address, job, STATES)
        took = taps(browser, address, job, count)
        browser.close()
    print(f"| at {SLOWER} × slowdown | median ms | 99 % ms | worst ms | goal ms |\n|---|---|---|---|---|")
    for name, values, goal in (
        (f"first paint, {LOADS} first visits", paints, f"{PAINT_GOAL_MS:g} worst"),
        (f"first sheet, {LOADS} first visits", sheets, ""),
        (f"a tap on the disk, {len(took)} taps", took, f"{DURABLE_GOAL_MS:g} at 99 %"),
        (f"the state of {DONE_BEFORE + NOTED_BEFORE} events, {len(worked)} times", worked, ""),
    ):
        points = f"{share(values, 0.5):.1f} | {share(values, 0.99):.1f} | {max(values):.1f}"
        print(f"| {name} | {points} | {goal} |", flush=True)


def appends(count: int) -> None:
    """Each store beside a bare write and fsync; goals: 99 % at most 1.5 times with one writer, 2.5 with eight."""
    print("\nAppend, goals at 99 %: 1.5 x with one writer, 2.5 x with eight\n\n```")
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        server: Server | None = None
        try:
            server = stack.enter_context(running())
        except LookupError as missing:
            print(f"PostgreSQL is not measured: {missing}")
        speed(folder, server, count=count)
    print("```")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.bay", description=__doc__)
    parser.add_argument("--taps", type=int, default=300)
    parser.add_argument("--appends", type=int, default=2000)
    given = parser.parse_args()
    sizes()
    if shutil.which("chromium"):
        times(given.taps)
    else:
        print("THE PAGE IS NOT TIMED: install Debian's package chromium")
    appends(given.appends)


if __name__ == "__main__":
    main()
