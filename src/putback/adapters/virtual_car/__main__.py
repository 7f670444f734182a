"""The process of a virtual car: the first line says what to start with, each further line what to change."""

import json
import queue
import signal
import sys
import threading
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

import can

from putback.adapters.virtual_car.car import VirtualCar
from putback.adapters.virtual_car.faults import Switches
from putback.adapters.virtual_car.happened import Happened, changed
from putback.adapters.virtual_car.opening import open_virtual, read_scene
from putback.adapters.virtual_car.process import INTERFACE, STAYS_HERE


def _answer(wrong: str, pairs: Mapping[str, str] = MappingProxyType({})) -> None:
    print(json.dumps({"wrong": wrong, "pairs": {**pairs}}), flush=True)


def _lines() -> "queue.SimpleQueue[str]":
    """The lines that come in; an empty one when nobody is there any more. A thread waits, the car does not."""
    lines: queue.SimpleQueue[str] = queue.SimpleQueue()

    def take() -> None:
        for line in sys.stdin:
            lines.put(line)
        lines.put("")

    threading.Thread(target=take, daemon=True).start()
    return lines


def _car(bus: can.BusABC, asked: Mapping[str, Any]) -> VirtualCar:
    paths = [None if asked[name] is None else Path(asked[name]) for name in ("car", "before")]
    scene = read_scene(*paths)
    if isinstance(scene, tuple):
        raise ValueError("\n".join(str(finding) for finding in scene))
    happened, switches = changed(Happened(), asked["happened"]), changed(Switches(), asked["switches"])
    return VirtualCar(bus, scene, happened=happened, switches=switches, seed=asked["seed"])


def main() -> None:
    """Run until standard input ends; Ctrl-C is for whoever started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    lines = _lines()
    asked = json.loads(lines.get() or "null")
    if asked is None:
        return
    try:
        bus = open_virtual(INTERFACE, asked["channel"], port=asked["port"], hop_limit=STAYS_HERE)
    except (ValueError, can.CanError, OSError) as failure:
        _answer(f"the bus cannot be opened: {failure}")
        return
    with bus:
        try:
            car = _car(bus, asked)
        except ValueError as fault:
            _answer(str(fault))
            return
        _answer("", {name: str(pair) for name, pair in car.pairs.items()})
        car.run(lambda: _told(car, lines))


def _told(car: VirtualCar, lines: "queue.SimpleQueue[str]") -> bool:
    """Take one line if there is one; whether it is time to end."""
    try:
        line = lines.get_nowait()
    except queue.Empty:
        return False
    if not line:
        return True
    try:
        car.change(json.loads(line))
    except ValueError as fault:
        _answer(str(fault))
    else:
        _answer("")
    return False


if __name__ == "__main__":
    main()
