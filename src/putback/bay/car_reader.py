"""One idea: a server speaks to one car over one bus, about one thing at a time, in the background.

A read is attached to its job when it ends, also when it was stopped. Clearing has two steps: the modules are asked
again, and what they hold now is kept for a short while; only of that may somebody then say that it be cleared.
"""

import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, Protocol

from putback.adapters.bus.clearing import clear_car
from putback.adapters.bus.discover import SWEPT_11, SWEPT_29, Sweep, discover
from putback.adapters.bus.reading import ReadStep, read_car
from putback.adapters.code_list_writer import list_text
from putback.bay.code_reads import KeptRead, attach, cleared, read_before, reads_of
from putback.bay.desk import Bay, Closed
from putback.core.codes.lists.listing import Stage
from putback.core.codes.talk.car_read import CarRead, How, Pair, unasked
from putback.core.codes.talk.clearing import ModuleCleared, against_clearing
from putback.core.codes.talk.may_send import MaySend, may_send
from putback.core.finding import Finding

if TYPE_CHECKING:
    import can

READY_FOR_S: Final = 120.0
"""How long a clear may rest on what the modules said just before, [s]: common practice, no source."""

_UNREADABLE: Final = "the record holds events that this program cannot read, so what is open is not known"
_NOBODY: Final = "no module answered, and nothing is kept; see that the ignition is on and the plug is home"
_STOPPED: Final = "stopped before any module answered, and nothing is kept"
_BUSY: Final = "the car is being spoken to just now; wait until that has ended, or stop it"
_STANDS: Final = "nobody says that the vehicle stands still; look, and tick it"


class Teller(Protocol):
    """A virtual car that can be told what happened to it."""

    def tell(self, **changes: Any) -> None:
        """Change what happened to the car."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarBus:
    """The way to the car. `virtual`: it leads to a virtual car and to no vehicle."""

    name: str
    open: "Callable[[], can.BusABC | Finding]"
    virtual: Teller | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadWish:
    """What is to be read. `stands_still`: a person says so. `sweep`: also try the ids that nobody knows."""

    stage: Stage
    stands_still: bool
    sweep: bool = False
    since: str = ""
    person: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What is going on. `done` of `total` modules are through; `total` 0: they are still looked for."""

    job: str
    doing: str
    words: str = ""
    done: int = 0
    total: int = 0
    stopping: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How it ended: `said` in words, `good` where it came to what was wanted; `modules` after a clear."""

    said: str
    good: bool
    modules: tuple[ModuleCleared, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyToClear:
    """What the modules hold now, by the saved read `before`; `against` says what forbids a clear."""

    before: KeptRead
    now: CarRead
    against: tuple[str, ...]
    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Modules:
    """Whom to ask, under which names; `unasked` are ids under which somebody answers whose own id is not known."""

    pairs: tuple[Pair, ...]
    names: Mapping[Pair, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    unasked: tuple[str, ...] = ()


@dataclass(slots=True)
class CarReader:
    """The one that speaks to the car.

    Args:
        bus: the way to it.
        clock: a steady clock, [s].
    """

    bus: CarBus
    clock: Callable[[], float] = time.monotonic
    told: dict[str, Any] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _stop: threading.Event = field(default_factory=threading.Event)
    _running: Progress | None = None
    _thread: threading.Thread | None = None
    _ended: dict[str, Ended] = field(default_factory=dict)
    _ready: dict[str, ReadyToClear] = field(default_factory=dict)

    # what a page asks

    @property
    def running(self) -> Progress | None:
        """What is going on just now, in whichever job."""
        with self._lock:
            return self._running

    def ended(self, job: str) -> Ended | None:
        """How the last thing in this job ended."""
        with self._lock:
            return self._ended.get(job)

    def ready(self, job: str) -> ReadyToClear | None:
        """What a clear would rest on, while it is fresh."""
        with self._lock:
            found = self._ready.get(job)
        return found if found is not None and self.clock() - found.at_s <= READY_FOR_S else None

    def stop(self, job: str) -> None:
        """End what is going on in this job; what has come is kept."""
        with self._lock:
            if self._running is not None and self._running.job == job:
                self._running = replace(self._running, stopping=True)
                self._stop.set()

    def wait(self, timeout_s: float) -> bool:
        """Wait until nothing is going on; whether it is so."""
        thread = self._thread
        if thread is not None:
            thread.join(timeout_s)
        return self.running is None

    # what a page starts

    def read(self, bay: Bay, job: str, wish: ReadWish) -> str:
        """Begin a read; why not, else ""."""
        if not wish.stands_still:
            return _STANDS
        return self._begin(job, f"reading codes, {wish.stage}", lambda: self._read(bay, job, wish))

    def ask_before_clear(self, bay: Bay, job: str, *, stands_still: bool) -> str:
        """Begin to ask the modules what they hold now; why not, else ""."""
        if not stands_still:
            return _STANDS
        return self._begin(job, "asking what clearing destroys", lambda: self._ask_before_clear(bay, job))

    def clear(self, bay: Bay, job: str, *, person: str | None) -> str:
        """Begin to clear what `ready` holds, which is used up by it; why not, else ""."""
        ready = self.ready(job)
        if ready is None:
            return "what the modules hold now is not known, or is too old; ask them first"
        begun = self._begin(job, "clearing codes", lambda: self._clear(bay, job, ready, person))
        if not begun:
            self._ready.pop(job, None)
        return begun

    def _begin(self, job: str, doing: str, work: Callable[[], Ended]) -> str:
        with self._lock:
            if self._running is not None:
                return _BUSY
            self._stop.clear()
            self._ended.pop(job, None)
            self._running = Progress(job=job, doing=doing)
            self._thread = threading.Thread(target=self._work, args=(job, work), daemon=True)
        self._thread.start()
        return ""

    def _work(self, job: str, work: Callable[[], Ended]) -> None:
        ended = Ended(said="it ended by a fault of this program; nothing of it is kept", good=False)
        try:
            ended = work()
        except Exception as failure:  # a driver, a disk or a store may fail in any way, and the page must say so
            words = " ".join(str(failure).split())[:200] or type(failure).__name__
            ended = Ended(said=f"it failed: {words}", good=False)
        finally:
            with self._lock:
                self._running = None
                self._ended[job] = ended

    # in the background

    def _tell(self, words: str, *, done: int = 0, total: int = 0) -> None:
        with self._lock:
            if self._running is not None:
                self._running = replace(self._running, words=words, done=done, total=total)

    def _step(self, step: ReadStep) -> None:
        self._tell(f"{step.module}: {step.what}", done=step.done, total=step.total)

    def _read(self, bay: Bay, job: str, wish: ReadWish) -> Ended:
        allowed = allowed_in(bay, job, stands_still=wish.stands_still)
        if isinstance(allowed, str):
            return Ended(said=allowed, good=False)
        bus = self.bus.open()
        if isinstance(bus, Finding):
            return Ended(said=f"{bus.what}; {bus.mend}", good=False)
        with bus:
            them = self._modules(bay, job, bus, wish, allowed)
            read = self._car_read(
                bay, bus, them.pairs, dict(them.names), stage=wish.stage, since=wish.since, allowed=allowed
            )
        read = replace(read, notes=(*them.notes, *read.notes), unasked=them.unasked)
        if not read.modules and not read.unasked:
            return Ended(said=_STOPPED if self._stop.is_set() else _NOBODY, good=False)
        return _keep(bay, job, read, wish.person)

    def _modules(self, bay: Bay, job: str, bus: "can.BusABC", wish: ReadWish, allowed: MaySend) -> _Modules:
        """Those of the first read of this job, so that one that went silent is seen; else those that are found."""
        known = first_read(bay, job)
        if known is not None and known.read is not None and not (wish.sweep and known.read.unasked):
            slowest = sorted(known.read.modules, key=lambda one: -one.took_s)
            names = {one.pair: one.module for one in slowest}
            return _Modules(pairs=tuple(names), names=names, unasked=known.read.unasked)
        self._tell("looking for modules")
        wanted = wish.sweep and allowed.sweep.yes
        sweep = Sweep(stands_still=wish.stands_still, ids=(*SWEPT_11, *SWEPT_29)) if wanted else None
        found = discover(bus, sweep=sweep, on_progress=self._tell, stop=self._stop.is_set)
        slowest_first = sorted(found.modules, key=lambda one: -one.answered_in_s)
        notes = found.notes
        if wish.sweep and not wanted:
            notes = (*notes, f"the sweep was not made: {allowed.sweep.why}")
        return _Modules(pairs=tuple(one.pair for one in slowest_first), notes=notes, unasked=unasked(found.not_paired))

    def _car_read(
        self,
        bay: Bay,
        bus: "can.BusABC",
        pairs: tuple[Pair, ...],
        names: dict[Pair, str],
        *,
        stage: Stage,
        allowed: MaySend,
        since: str = "",
    ) -> CarRead:
        return read_car(
            bus,
            pairs,
            stage=str(stage),
            at=bay.clock().isoformat(timespec="seconds"),
            allowed=allowed,
            bus_name=self.bus.name,
            names=names,
            first=pairs,
            since=since,
            on_progress=self._step,
            stop=self._stop.is_set,
        )

    def _ask_before_clear(self, bay: Bay, job: str) -> Ended:
        before = first_read(bay, job)
        allowed = allowed_in(bay, job, before=before.read if before else None)
        if isinstance(allowed, str):
            return Ended(said=allowed, good=False)
        if before is None or before.read is None or not allowed.clear.yes:
            return Ended(said=f"nothing may be cleared: {allowed.clear.why}", good=False)
        bus = self.bus.open()
        if isinstance(bus, Finding):
            return Ended(said=f"{bus.what}; {bus.mend}", good=False)
        names = {one.pair: one.module for one in before.read.modules}
        with bus:
            now = self._car_read(bay, bus, tuple(names), names, stage=Stage.AFTER_PUT_BACK, allowed=allowed)
        against = against_clearing(before.read, now)
        with self._lock:
            self._ready[job] = ReadyToClear(before=before, now=now, against=against, at_s=self.clock())
        return Ended(said="the modules were asked; nothing was cleared", good=not against)

    def _clear(self, bay: Bay, job: str, ready: ReadyToClear, person: str | None) -> Ended:
        before = ready.before.read
        allowed = allowed_in(bay, job, before=before)
        if isinstance(allowed, str):
            return Ended(said=allowed, good=False)
        if before is None or not allowed.clear.yes or ready.against:
            why = "; ".join(ready.against) or allowed.clear.why
            return Ended(said=f"nothing was cleared: {why}", good=False)
        bus = self.bus.open()
        if isinstance(bus, Finding):
            return Ended(said=f"{bus.what}; {bus.mend}", good=False)
        with bus:
            modules = clear_car(bus, before, ready.now, allowed=allowed, stop=self._stop.is_set)
        sure = [one.module for one in modules if one.cleared]
        rest = [one.module for one in modules if not one.cleared]
        refused = cleared(bay, job, before_sha256=ready.before.sha256, modules=sure, not_cleared=rest, person=person)
        if refused is not None:
            return Ended(said=f"cleared, and not kept in the record: {refused.what}", good=False, modules=modules)
        said = f"{len(sure)} of {len(modules)} modules say that they cleared their codes"
        return Ended(said=said, good=not rest, modules=modules)


def first_read(bay: Bay, job: str) -> KeptRead | None:
    """The whole read from before the work that counts, where it says by which ids its modules were spoken to."""
    view = bay.view(job)
    if isinstance(view, Closed):
        return None
    one = read_before(reads_of(bay, view))
    return one if one is not None and one.read is not None and not one.stopped else None


def allowed_in(bay: Bay, job: str, *, stands_still: bool = True, before: CarRead | None = None) -> MaySend | str:
    """What may be sent as the job stands now; why that is not known."""
    view = bay.view(job)
    if isinstance(view, Closed):
        return f"{view.what}; {view.mend}"
    plan = bay.plan(view)
    if isinstance(plan, Closed):
        return f"{plan.what}; {plan.mend}"
    folded = view.now.folded
    doubt = _UNREADABLE if folded.unknown else ""
    return may_send(plan.car, folded.state, stands_still=stands_still, before=before, doubt=doubt)


def _keep(bay: Bay, job: str, read: CarRead, person: str | None) -> Ended:
    kept = attach(bay, job, list_text(read).encode(), name="the read", person=person)
    if isinstance(kept, Closed):
        return Ended(said=f"read, and not kept: {kept.what}", good=False)
    if isinstance(kept, tuple):
        return Ended(said=f"read, and not kept: {'; '.join(map(str, kept))}", good=False)
    whole = sum(one.how is How.ANSWERED for one in read.modules)
    said = f"{whole} of {whole + len(read.unknown)} modules gave their list; it is attached to the job"
    if read.stopped:
        return Ended(said=f"{said}, marked as not whole: {read.stopped}", good=False)
    if read.unasked:
        said += "; some answer under ids that nobody knows how to ask: a sweep may find them"
    return Ended(said=said, good=not read.unknown)
