"""One idea: the yard has what all rounds share: two devices, a wire, where servers come from; a seed makes a round."""

import random
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from playwright.sync_api import Error, Playwright

from chaos.count import Count
from chaos.device import Device
from chaos.folding import page_script
from chaos.moves import MOVES, run
from chaos.nursery import Nursery, Server
from chaos.round import Round
from chaos.wire import Fault, Wire
from faces.web.browser.driving import SECOND
from faces.web.browser.workshop import free_port
from putback.adapters.car_file import demo_path, read_car
from putback.adapters.stores import open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.core.car import Car
from putback.core.record import Event

THEMES: tuple[tuple[str, ...], ...] = (
    ("tap", "two devices", str(Fault.CUT_AFTER), "browser killed"),
    ("reboot in a wait", "server restarted"),
    ("older back-up restored", "two tabs", "clock jump"),
    (str(Fault.KILL_BEFORE), "offline reload", "photo"),
    (str(Fault.KILL_AMID), "storage full", "tab closed"),
    (str(Fault.KILL_AFTER), "server killed", "slip", str(Fault.CUT_BEFORE), str(Fault.LATE)),
)
"""What the rounds do in turn, whatever else chance adds: six rounds have every kind of move."""

PLAIN, WAITING = "intake-duct", "impact-plug-left"
BEFORE_THE_LEAD = 6
"""So many operations of the second job come before its 12 V negative lead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one round came to."""

    number: int
    seed: str
    moves: Counter[str]
    taps: int
    events: int
    count: Count
    wrong: tuple[str, ...]
    seconds: float

    @property
    def sound(self) -> bool:
        """Whether nothing was lost, doubled, made up or otherwise wrong."""
        return self.count.sound and not self.wrong

    def line(self) -> str:
        """The round on one line, and what is wrong with it."""
        said = f"round {self.number}: {self.moves.total()} moves, {self.taps} taps, {self.seconds:.1f} s"
        found = [
            *(f"{name} {', '.join(ids)}" for name, ids in asdict(self.count).items() if ids),
            *self.wrong,
        ]
        return f"{said}, {'; '.join(found) or 'sound'}"


@dataclass(slots=True)
class Yard:
    """Everything that runs; a context of its own, which leaves nothing running."""

    playwright: Playwright
    folder: Path
    port: int = field(default_factory=free_port)
    nursery: Nursery = field(default_factory=Nursery)
    script: str = field(default_factory=page_script)
    wire: Wire = field(init=False)
    devices: tuple[Device, Device] = field(init=False)

    def __enter__(self) -> Self:
        self.wire = Wire(self.port)
        first, second = (self.folder / name for name in ("phone", "tablet"))
        self.devices = (
            Device(self.playwright, first, address=self.wire.address),
            Device(self.playwright, second, address=self.wire.address, name=SECOND),
        )
        return self

    def __exit__(
        self, kind: type[BaseException] | None, wrong: BaseException | None, at: TracebackType | None
    ) -> None:
        for device in self.devices:
            device.kill()
        self.wire.kill()
        self.wire.close()
        self.nursery.close()

    def round(
        self,
        number: int,
        *,
        seed: int,
        store: str | None = None,
        moves: Sequence[str] = (),
        spoil: Callable[[Round], None] | None = None,
    ) -> Result:
        """One round, as number and seed give it.

        Args:
            number: from 0; its place among the themes.
            seed: of all rounds.
            store: the name of an empty store; None: a new file.
            moves: these instead of those of the seed.
            spoil: done when all is healed, before it is counted: what the count must find.
        """
        began = time.monotonic()
        rng = random.Random(f"{seed}-{number}")
        theme = THEMES[number % len(THEMES)]
        folder = self.folder / f"round-{number}"
        folder.mkdir()
        server = Server(
            self.nursery, port=self.port, store=store or str(folder / "store.db"), files=self.folder / "files"
        )
        job = self._open(server, WAITING if theme[0] == "reboot in a wait" else PLAIN, f"{seed}-{number}")
        self.wire.kill = server.kill
        server.start()
        reading = read_car(demo_path())
        assert reading.car is not None
        round = Round(
            rng=rng,
            job=job,
            car=reading.car,
            devices=self.devices,
            server=server,
            wire=self.wire,
            folder=folder,
            script=self.script,
        )
        count, events = self._go_through(round, list(moves) or _script(rng, theme), spoil)
        server.kill()
        return Result(
            number=number,
            seed=f"{seed}-{number}",
            moves=round.moves,
            taps=round.taps,
            events=events,
            count=count,
            wrong=tuple(round.wrong),
            seconds=time.monotonic() - began,
        )

    def _go_through(self, round: Round, moves: list[str], spoil: Callable[[Round], None] | None) -> tuple[Count, int]:
        """The moves, the healing and the count. A round that breaks off is wrong, and is not counted."""
        try:
            round.begin()
            run(round, moves)
            round.heal()
            if spoil is not None:
                spoil(round)
            count, events = round.counted(), len(round.record())
            for device in self.devices:
                device.rest()
        except (Error, AssertionError) as broken:
            round.wrong.append(f"broke off at {round.at}: {broken}")
            count, events = Count(), 0
            for device in self.devices:
                device.kill()
                device.ahead_ms = 0
        finally:
            self.wire.faults.clear()
            self.wire.down = False
        return count, events

    def _open(self, server: Server, wanted: str, id: str) -> str:
        """Open a job in the store, before there is a server; the job with a wait stands just before it."""
        ids = iter(range(10**6))
        with open_store(server.store, create=True) as store:
            bay = Bay(
                store=store,
                shelf=Shelf(server.files),
                cars={demo_path().name: demo_path()},
                clock=_now,
                new_id=lambda: f"{id}-{next(ids)}",
            )
            opened = bay.open_job(Opening(car=demo_path().name, wanted=(wanted,)))
            assert isinstance(opened, OpenJob)
            if wanted == WAITING:
                store.append(_done_before(bay, opened.job), received_at=_now().isoformat(timespec="milliseconds"))
        return opened.job


def _now() -> datetime:
    return datetime.now().astimezone()  # noqa: TID251 - the workshop's clock is the machine's


def _done_before(bay: Bay, job: str) -> list[Event]:
    """What somebody did of the job before the round begins."""
    view = bay.view(job)
    car = bay.car(demo_path().name)
    assert isinstance(view, JobView)
    assert isinstance(car, Car)
    names = ("verb", "item", "joint", "guard", "energy", "count")
    keys = {"in_box": 2, "of": 2, "charge_lead": "out", "remote_starts": 0, "memory_savers": 0, "holder": "p-before"}
    facts: list[tuple[str, dict[str, Any]]] = [
        *(
            ("operation done", {"planned": op["n"], **{name: op[name] for name in names if name in op}})
            for op in view.pack["operations"][:BEFORE_THE_LEAD]
        ),
        ("list ticked", {"energy": "lv", "ticked": list(car.energies["lv"].before_it)}),
        ("keys counted", keys),
        ("boundary set", {"who": "p-before"}),
    ]
    at = _now().isoformat(timespec="milliseconds")
    return [
        Event(id=f"before-{n}", job=job, device="bench", at=at, person="p-before", kind=kind, body=body)
        for n, (kind, body) in enumerate(facts)
    ]


def _script(rng: random.Random, theme: tuple[str, ...]) -> list[str]:
    """The moves of a round: its theme in any order, and others between; what must come first stays first."""
    first, *more = theme
    more += rng.choices(sorted(MOVES), k=rng.randint(1, 3))
    rng.shuffle(more)
    return [first, *more]
