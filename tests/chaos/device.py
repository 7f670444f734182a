"""One idea: a device is a browser with a disk of its own; it can be killed at any moment and started again."""

import os
import shutil
import signal
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright, expect

from faces.web.browser.driving import TECHNICIAN, answer, do, is_shut, rest, tap, title
from faces.web.browser.workshop import ZONE

CLOCK = """if (!window.chaos) {
  const Real = Date;
  window.chaos = { ahead: 0 };
  window.Date = class extends Real {
    constructor(...given) { given.length ? super(...given) : super(Real.now() + chaos.ahead); }
    static now() { return Real.now() + chaos.ahead; }
  };
}
chaos.ahead = AHEAD;"""
"""The clock of a device can be set: it then shows another time than before."""

DISK = """async (job) => {
  const open = indexedDB.open("putback", 1);
  const base = await new Promise((done, failed) => {
    open.onsuccess = () => done(open.result);
    open.onerror = () => failed(open.error);
  });
  const ask = (request) => new Promise((done) => { request.onsuccess = () => done(request.result); });
  const rows = await ask(base.transaction("events").objectStore("events").index("job").getAll(job));
  const head = await ask(base.transaction("jobs").objectStore("jobs").get(job));
  base.close();
  return { rows: rows.map(({ file, ...row }) => row), seq: head?.seq, hash: head?.hash, pack: head?.pack };
}"""

GAP = "Put a hand on the last three"
NOTHING = "Nothing is left to do"


class Device:
    """A phone. `ahead_ms` is by how much its clock is wrong."""

    def __init__(self, playwright: Playwright, folder: Path, *, address: str, name: str = TECHNICIAN) -> None:
        self._playwright, self._folder, self._address, self._name = playwright, folder, address, name
        self._on: BrowserContext | None = None
        self.ahead_ms = 0
        self.job = ""
        self.tabs: list[Page] = []
        self._names: set[str] = set()

    @property
    def page(self) -> Page:
        """The tab in front."""
        return self.tabs[-1]

    @property
    def runs(self) -> bool:
        """Whether it is on."""
        return self._on is not None

    def start(self, *, full: bool = False) -> None:
        """Switch it on. What was on its disk is there; on a full one nothing more can be kept."""
        self._on = self._playwright.chromium.launch_persistent_context(
            self._folder,
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            env={**os.environ, "TZ": ZONE},
            viewport={"width": 390, "height": 844},
            has_touch=True,
        )
        self._on.set_default_timeout(30_000)
        self._on.add_init_script(CLOCK.replace("AHEAD", str(self.ahead_ms)))
        self.tabs = [self._on.pages[0]]
        if full:
            self._quota(quotaSize=1)

    def make_room(self) -> None:
        """Its disk is not full any more."""
        self._quota()

    def _quota(self, **size: int) -> None:
        assert self._on is not None
        session = self._on.new_cdp_session(self.page)
        session.send("Storage.overrideQuotaForOrigin", {"origin": self._address, **size})

    def enter(self, job: str) -> None:
        """Open the bay page of a job in the tab in front."""
        self.job = job
        self.page.goto(f"{self._address}/bay?job={job}")
        self.settle()

    def settle(self) -> None:
        """Wait until an act is shown: say who works here, and put a hand on the last three, where that is asked."""
        page = self.page
        expect(page.locator("main h1").first).to_be_visible()
        if title(page) == "Who works here?":
            page.get_by_label("name").fill(self._name)
            tap(page, "It is me")
            expect(page.locator("main h1")).not_to_have_text("Who works here?")
            rest(page)
        if title(page) == GAP:
            self._do()

    def ready_for_the_worst(self) -> None:
        """Wait until the page is kept whole for the time without a server."""
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        self.page.wait_for_function("() => !!navigator.serviceWorker.controller")

    def open_tab(self) -> None:
        """The same job in one more tab."""
        assert self._on is not None
        self.tabs.append(self._on.new_page())
        self.enter(self.job)

    def close_tab(self) -> None:
        """The tab in front is closed; one that shows the job is opened where it was the last."""
        assert self._on is not None
        closing = self.tabs.pop()
        if not self.tabs:
            self.tabs.append(self._on.new_page())
        closing.close()
        self.page.bring_to_front()
        if self.page.url == "about:blank":
            self.enter(self.job)

    def kill(self) -> None:
        """SIGKILL to every process of the browser; nothing is said to the page before."""
        for process in _tree(str(self._folder)):
            try:
                os.kill(process, signal.SIGKILL)
            except ProcessLookupError:
                continue
        if self._on is not None:
            with suppress(Error):  # it is gone already
                self._on.close()
        self._on, self.tabs = None, []

    def rest(self) -> None:
        """After a round: one tab with nothing in it, and a clock that is right."""
        if self._on is None:
            return
        for page in self.tabs[1:]:
            page.close()
        self.tabs = self.tabs[:1]
        self.page.goto("about:blank")
        self.set_clock(0)

    def set_clock(self, ahead_ms: int) -> None:
        """Its clock shows another time from now on, after a reload and a new start too."""
        assert self._on is not None
        self.ahead_ms = ahead_ms
        self._on.add_init_script(CLOCK.replace("AHEAD", str(ahead_ms)))
        for page in self.tabs:
            page.evaluate(f"chaos.ahead = {ahead_ms}")

    def disk(self) -> dict[str, Any]:
        """What its disk has of the job: rows, and the head that it keeps."""
        disk: dict[str, Any] = self.page.evaluate(DISK, self.job)
        return disk

    def ids(self) -> set[str]:
        """The ids of the events on its disk."""
        return {row["id"] for row in self.disk()["rows"]}

    @property
    def called(self) -> str:
        """Its name in the record, which it gave itself; a kill in its first seconds makes it forget it."""
        return str(self.page.evaluate("localStorage.device"))

    def made(self) -> set[str]:
        """The ids of the events on its disk that it made itself, under any name that it gave itself."""
        self._names.add(self.called)
        return {row["id"] for row in self.disk()["rows"] if row["event"]["device"] in self._names}

    def can_act(self) -> bool:
        """Bring an act to the front that is not shut; whether there is one."""
        self.settle()
        if is_shut(self.page):
            open_rows = self.page.locator("button.row").filter(has_not_text="shut")
            if open_rows.count():
                open_rows.first.click()
                rest(self.page)
        return title(self.page) != NOTHING and self.page.locator(".go").count() > 0

    def act(self) -> bool:
        """Do what is shown, as planned. False: nothing could be done."""
        if not self.can_act():
            return False
        self._do()
        return True

    def _do(self) -> None:
        """Do what is shown; what others did meanwhile may take it away before it is done."""
        shown = title(self.page)
        try:
            do(self.page)
        except (Error, AssertionError):
            if title(self.page) == shown:
                raise

    def begin_act(self) -> None:
        """Fill in what is asked, and touch the button without waiting for what follows."""
        if self.can_act():
            answer(self.page)
            self.page.locator(".go").click(no_wait_after=True)

    def told(self) -> str:
        """What the page says went wrong."""
        return " ".join(self.page.locator("main > .held").all_inner_texts())

    def hurry(self) -> None:
        """The network is back, as the browser tells its pages."""
        for page in self.tabs:
            page.evaluate("dispatchEvent(new Event('online'))")


def _tree(folder: str) -> list[int]:
    """The processes of the browser whose disk this is, and all that they started; the first ones first."""
    parents: dict[int, int] = {}
    found: list[int] = []
    for place in Path("/proc").iterdir():
        if not place.name.isdecimal():
            continue
        try:
            parents[int(place.name)] = int((place / "stat").read_text().rpartition(")")[2].split()[1])
            if f"--user-data-dir={folder}".encode() in (place / "cmdline").read_bytes().split(b"\0"):
                found.append(int(place.name))
        except (OSError, ValueError):
            continue
    found.sort()
    for child in sorted(parents):
        if child not in found and parents[child] in found:
            found.append(child)
    return found
