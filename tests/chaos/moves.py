"""One idea: every kind of move stands in one table: what happens to devices, wire and server, and what fails there."""

import io
import time
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from click.testing import CliRunner
from PIL import Image
from playwright.sync_api import expect

from chaos.device import Device
from chaos.round import Round
from chaos.wire import KILLS, Fault
from faces.web.browser.driving import rest
from putback.faces.cli.record import command

WAIT_SECONDS = 3 * 60
"""Of the invented demo's restraints, from its 12 V negative off."""

FULL = "its storage is full; make room"

SLACK_SECONDS = 15
"""What a slow machine may need between two looks at a clock."""

JUMPS_S = (-86_400, -600, -70, 70, 1_200, 50_400)


def run(round: Round, moves: Sequence[str]) -> None:
    """Make the moves, one after the other; a server that was killed is back after some of them."""
    for move in moves:
        round.moves[move] += 1
        round.at = f"{move}, move {round.moves.total()} of {moves}"
        MOVES[move](round)
        if not round.server.runs and round.rng.random() < 0.5:
            round.server.start()


def _faulty(fault: Fault) -> Callable[[Round], None]:
    """A tap whose call meets a fault of the wire."""

    def move(round: Round) -> None:
        round.up()
        round.wire.faults.append(fault)
        met = round.wire.met[fault]
        device = round.some()
        round.tap(device)
        until = time.monotonic() + 2
        while round.wire.met[fault] == met and time.monotonic() < until:
            device.hurry()
            device.page.wait_for_timeout(20)
        round.wire.faults.clear()
        if fault in KILLS:
            device.page.wait_for_timeout(20)

    return move


def _server_killed(round: Round) -> None:
    round.server.kill()
    round.tap()


def _server_restarted(round: Round) -> None:
    round.server.kill()
    round.server.start()


def _offline_reload(round: Round) -> None:
    device = round.some()
    round.wire.down = True
    if round.rng.random() < 0.5:
        round.tap(device)
    device.page.reload()
    device.settle()
    round.tap(device)
    round.wire.down = round.rng.random() < 0.3


def _browser_killed(round: Round) -> None:
    """SIGKILL a moment after a tap, so soon that it may not be on the disk; or right after the page showed it."""
    device = round.some()
    if round.rng.random() < 0.5:
        round.tap(device)
    else:
        device.begin_act()
        time.sleep(round.rng.choice((0, 0.002, 0.005, 0.01, 0.03)))
    device.kill()
    device.ahead_ms += round.rng.choice((0, 30_000, 600_000))
    device.start()
    device.enter(round.job)
    round.note(device)


def _tab_closed(round: Round) -> None:
    device = round.some()
    device.begin_act() if round.rng.random() < 0.5 else round.tap(device)
    device.close_tab()
    device.settle()
    round.note(device)


def _two_tabs(round: Round) -> None:
    device = round.some()
    if len(device.tabs) < 2:
        device.open_tab()
    round.tap(device)
    device.tabs.reverse()
    device.page.bring_to_front()
    round.tap(device)


def _second_device(round: Round) -> None:
    other = round.devices[1]
    if other not in round.on:
        round.up()
        if not other.runs:
            other.start()
        other.enter(round.job)
        other.ready_for_the_worst()
        round.on.append(other)
        round.note(other)
    round.tap(other)
    round.tap(round.devices[0])


def _clock_jump(round: Round) -> None:
    device = round.some()
    device.set_clock(device.ahead_ms + 1_000 * round.rng.choice(JUMPS_S))
    device.page.wait_for_timeout(1_200)
    round.tap(device)


def _full_storage(round: Round) -> None:
    """A device begins with a full disk: what is tapped cannot be kept, and the page says so."""
    device = round.some()
    before = device.ids()
    round.note(device)
    device.kill()
    device.start(full=True)
    device.enter(round.job)
    if device.act():
        if FULL not in (said := device.told()):
            round.wrong.append(f"storage was full, and the page said {said!r}")
        if own := [row for row in device.disk()["rows"] if row["id"] not in before and not row.get("seq")]:
            round.wrong.append(f"storage was full, and {len(own)} events were logged")
    device.make_room()
    round.tap(device)


def _slip(round: Round) -> None:
    """Take back what was done last, in two taps."""
    device = round.some()
    round.tap(device)
    slip = device.page.locator("p.line button")
    if slip.count():
        slip.first.click()
        slip.first.click()
        rest(device.page)
        round.note(device)


def _photo(round: Round) -> None:
    device = round.some()
    picture = io.BytesIO()
    Image.effect_noise((64, 48), round.rng.randint(20, 90)).save(picture, "JPEG")
    before = device.ids()
    file: Any = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture.getvalue()}
    device.page.locator("input[type=file]").first.set_input_files(file)
    for _ in range(100):
        taken = [
            row["event"]
            for row in device.disk()["rows"]
            if row["id"] not in before and row["event"]["kind"] == "photo taken"
        ]
        if taken:
            break
        device.page.wait_for_timeout(30)
    round.photos |= {event["body"]["sha256"] for event in taken}
    if not taken:
        round.wrong.append("a photo was not logged")
    rest(device.page)
    round.note(device)


def _restored(round: Round) -> None:
    """An older back-up comes in the place of the store, as a file: what the devices have since is offered again."""
    round.up()
    run = CliRunner()
    copy, anew = (round.folder / f"{name}-{sum(round.moves.values())}.db" for name in ("copy", "anew"))
    made = run.invoke(command, ["backup", round.server.store, str(copy)], standalone_mode=False)
    device = round.some()
    round.tap(device)
    device.hurry()
    device.page.wait_for_timeout(100)
    head = device.disk()
    round.server.kill()
    back = run.invoke(command, ["restore", str(copy), str(anew)], standalone_mode=False)
    if (made.return_value, back.return_value) != (0, 0):
        round.wrong.append(f"no back-up: {made.output} {back.output}")
    round.server.store = str(anew)
    told = round.verify(f"{head['seq']}:{head['hash']}")
    if told != int(head["seq"] > len(round.record())):
        round.wrong.append("verify did not tell honestly whether the restored record has a device's head")
    round.server.start()


def _reboot_in_a_wait(round: Round) -> None:
    """A wait that runs is not shorter after a reboot or with another clock. In other jobs there is none: a tap.

    A device that forgot its name in the kill is another device to the record: the wait goes on by the server's times.
    """
    device = round.devices[0]
    round.tap(device)
    if "srs" not in device.disk()["pack"]["energies"]:
        return
    before = _left(device)
    if before < WAIT_SECONDS - SLACK_SECONDS:
        round.wrong.append(f"a wait began with {before:g} s")
    device.set_clock(device.ahead_ms + 1_000 * round.rng.choice(JUMPS_S))
    device.page.wait_for_timeout(1_200)
    device.settle()
    if (left := _left(device)) < before - SLACK_SECONDS:
        round.wrong.append(f"a clock jump made a wait shorter: {before:g} s, then {left:g} s")
    called = device.called
    device.kill()
    device.ahead_ms += 600_000
    device.start()
    device.enter(round.job)
    round.note(device)
    left = _left(device)
    if device.called == called and left < WAIT_SECONDS - SLACK_SECONDS:
        round.wrong.append(f"a reboot did not restart a wait: {left:g} s are left")


def _left(device: Device) -> float:
    """How long the wait of the restraints still runs, as the page says it [s]; only a shut gate has a clock."""
    device.settle()
    clock = device.page.locator("p.line", has_text="restraints").locator("b").first
    expect(clock).to_be_visible()
    minutes, seconds = clock.inner_text().split(":")[-2:]
    return int(minutes) * 60 + int(seconds)


MOVES: Mapping[str, Callable[[Round], None]] = MappingProxyType(
    {
        "tap": Round.tap,
        "slip": _slip,
        "photo": _photo,
        "tab closed": _tab_closed,
        "two tabs": _two_tabs,
        "two devices": _second_device,
        "browser killed": _browser_killed,
        "server killed": _server_killed,
        "server restarted": _server_restarted,
        "offline reload": _offline_reload,
        "clock jump": _clock_jump,
        "storage full": _full_storage,
        "older back-up restored": _restored,
        "reboot in a wait": _reboot_in_a_wait,
        **{str(fault): _faulty(fault) for fault in Fault},
    }
)
"""Every kind of move; the first ones are also those that fill a round up."""
