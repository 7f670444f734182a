"""One idea: a round is a script of moves that a seed gives; at its end all is healed, and everything is counted."""

import random
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from click.testing import CliRunner
from playwright.sync_api import expect

from chaos.count import Count, count
from chaos.device import Device
from chaos.folding import folded_by_page, folded_by_server
from chaos.nursery import Server
from chaos.wire import Wire
from putback.adapters.stores import open_store
from putback.bay import Pack, Received, Shelf
from putback.core.car import Car
from putback.core.record import Event, read_event
from putback.faces.cli.record import command

HEAL_SECONDS = 40.0


@dataclass(slots=True, kw_only=True)
class Round:
    """One job, its devices and its server, and what is known of them.

    Args:
        rng: all that is left to chance.
        job: its id, at the server already.
        devices: the first has the job from the beginning; the second may come.
    """

    rng: random.Random
    job: str
    car: Car
    devices: tuple[Device, Device]
    server: Server
    wire: Wire
    folder: Path
    script: str
    on: list[Device] = field(default_factory=list)
    moves: Counter[str] = field(default_factory=Counter)
    confirmed: set[str] = field(default_factory=set)
    photos: set[str] = field(default_factory=set)
    desk: set[str] = field(default_factory=set)
    wrong: list[str] = field(default_factory=list)
    taps: int = 0
    at: str = "the beginning"

    def begin(self) -> None:
        """The first device has the job, kept whole for the time without a server."""
        self.desk = {event.id for event in self.record()}
        self.on = [self.devices[0]]
        first = self.devices[0]
        if not first.runs:
            first.start()
        first.enter(self.job)
        first.ready_for_the_worst()
        self.note(first)

    def some(self) -> Device:
        """One of the devices that have the job."""
        return self.rng.choice(self.on)

    def note(self, device: Device) -> set[str]:
        """What a page shows as logged is confirmed from now on; what came since it was noted last."""
        fresh = device.made() - self.confirmed
        self.confirmed |= fresh
        return fresh

    def tap(self, device: Device | None = None) -> None:
        """An act, as planned: what the page shows afterwards as logged is on the disk."""
        device = device or self.some()
        if not device.act():
            return
        fresh = self.note(device)
        planned = [
            row["event"]["body"].get("planned")
            for row in device.disk()["rows"]
            if row["id"] in fresh and row["event"]["kind"] == "operation done"
        ]
        numbered = [n for n in planned if n is not None]
        if len(set(numbered)) != len(numbered):
            self.wrong.append(f"one tap logged an operation twice: {sorted(numbered)}")
        self.taps += 1

    def record(self) -> list[Event]:
        """The events that the server has, in its order, read from its store."""
        with open_store(self.server.store, read_only=True) as store:
            return [read_event(link.content) for link in store.read(self.job)]

    def up(self) -> None:
        """Server and wire are there."""
        self.wire.down = False
        if not self.server.runs:
            self.server.start()

    def heal(self) -> None:
        """Nothing goes wrong any more, every device is on, and everything has had the time to reach everybody."""
        self.at = "the healing"
        self.wire.faults.clear()
        self.up()
        for device in self.on:
            if not device.runs:
                device.start()
                device.enter(self.job)
            self.note(device)
        until = time.monotonic() + HEAL_SECONDS
        while time.monotonic() < until:
            if not self.server.runs:
                self.server.start()  # a kill that was on its way came late
            there = [event.id for event in self.record()]
            disks = [device.disk()["rows"] for device in self.on]
            if all(self._same(rows, there) for rows in disks):
                return
            for device in self.on:
                device.hurry()
                device.page.wait_for_timeout(60)
        self.wrong.append("a device and the server did not come together")

    def _same(self, rows: list[dict[str, Any]], there: list[str]) -> bool:
        ordered = [row["id"] for row in sorted(rows, key=lambda row: row.get("seq") or 0)]
        return ordered == there and all(row.get("seq") for row in rows)

    def counted(self) -> Count:
        """Everything counted, and everything that must be so looked at."""
        self.at = "the count"
        record = self.record()
        disks = [device.disk() for device in self.on]
        rows = [
            {"id": event.id, "device": event.device, "at": event.at, "kind": event.kind, "body": dict(event.body)}
            for event in record
        ]
        counts = count(
            confirmed=self.confirmed,
            kept=(row["id"] for disk in disks for row in disk["rows"]),
            record=rows,
            desk=self.desk,
        )
        for device, disk in zip(self.on, disks, strict=True):
            self._alike(device, disk, record)
            self._verified(disk)
        for sha256 in self.photos:
            if Shelf(self.server.files).get(sha256) is None:
                self.wrong.append(f"photo {sha256[:8]} is not at the server")
        return counts

    def _alike(self, device: Device, disk: dict[str, Any], record: list[Event]) -> None:
        """The device's fold is the server's fold, and the page shows what it says."""
        pack: Pack = disk["pack"]
        mine = folded_by_page(device.page, self.script, pack, disk["rows"])
        received = [Received(event=event, received_at=None) for event in record]
        at = datetime.now().astimezone()  # noqa: TID251 - a fold does not depend on it
        theirs = folded_by_server(pack, received, car=self.car, at=at)
        if mine != theirs:
            self.wrong.append(f"device and server differ in {[name for name in theirs if mine[name] != theirs[name]]}")
        for page in device.tabs:
            try:
                expect(page.locator("header b")).to_have_text(str(theirs["owed"]))
            except AssertionError:
                shown = page.locator("header").inner_text()
                self.wrong.append(f"a page shows another state: {shown!r}, {theirs['owed']} are owed")

    def _verified(self, disk: dict[str, Any]) -> None:
        if self.verify(f"{disk['seq']}:{disk['hash']}") != 0:
            self.wrong.append("the record does not fit the head that a device keeps")

    def verify(self, head: str) -> object:
        """The exit code of `putback record verify` with a head that was kept."""
        words = ["verify", self.server.store, "--job", self.job, "--head", head]
        return CliRunner().invoke(command, words, standalone_mode=False).return_value
