"""One idea: ten simulated modules answer on one virtual bus, in one loop without threads.

It speaks on python-can's buses between programs only, and refuses any other: nothing of it ever reaches a vehicle.
"""

import heapq
import itertools
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any, Final

import can
from can.interfaces.udp_multicast import UdpMulticastBus
from can.interfaces.virtual import VirtualBus

from putback.adapters.virtual_car.answering import Answering
from putback.adapters.virtual_car.drive import Moment, moment
from putback.adapters.virtual_car.faults import Faults, Switches
from putback.adapters.virtual_car.happened import Happened, changed, names_of, unknown
from putback.adapters.virtual_car.modules import FUNCTIONAL, Manner
from putback.adapters.virtual_car.scene import Scene
from putback.adapters.virtual_car.wire import Wire, single
from putback.core.codes.talk.car_read import Pair

INTERFACES: Final = ("virtual", "udp_multicast")
OFF_BUS: Final = "off_bus_for_s"
OF_MODULES: Final = ("cleared", "driven")
_HEARD_AT_ONCE: Final = 100
_REQUESTS_KEPT: Final = 8
_AFTER_FAILURE_S: Final = 0.005


class VirtualCar:
    """Ten modules on an open bus.

    Args:
        bus: of python-can's interface virtual or udp_multicast.
        scene: the car, and the codes that it had before.
        seed: of all that is left to chance: delays and faults.
        clock: a steady clock, [s].

    Raises:
        ValueError: the bus is of another kind, or something is named that is not there.
    """

    def __init__(
        self,
        bus: can.BusABC,
        scene: Scene,
        *,
        happened: Happened | None = None,
        switches: Switches | None = None,
        seed: int = 1,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if not isinstance(bus, VirtualBus | UdpMulticastBus):
            raise ValueError(f"the virtual car speaks on {' and '.join(INTERFACES)} only: this is another bus")
        self.happened = happened or Happened()
        self._bus = bus
        self._scene = scene
        self._clock = clock
        self._faults = Faults(Switches(), seed=seed)
        self._order = itertools.count()
        self._to_say: list[tuple[float, int, str, bytes]] = []
        self._to_send: list[tuple[float, int, can.Message]] = []
        self._answering = {
            name: Answering(module, seed=seed, clear=self._clear) for name, module in scene.modules.items()
        }
        self._wires = {name: Wire(module, self._out) for name, module in scene.modules.items()}
        self._by_id = {
            (module.pair.request, module.pair.extended): name
            for name, module in scene.modules.items()
            if module.manner is not Manner.SILENT
        }
        self._off_until = self._started = clock()
        self._driving_since: float | None = None
        self._check(self.happened, switches or Switches())
        self._take(self.happened, switches or Switches())

    def change(self, changes: Mapping[str, Any]) -> None:
        """Change what happened or what goes wrong: any field of either by its name, or `off_bus_for_s`.

        `cleared` and `driven` may be true instead: of every module.

        Raises:
            ValueError: something is named that is not there; nothing is changed then.
        """
        changes = {name: self._every(name, new) for name, new in changes.items()}
        of_happened, of_switches = names_of(self.happened), names_of(self._faults.switches)
        strange = sorted({*changes} - {*of_happened, *of_switches, OFF_BUS})
        if strange:
            known = ", ".join((*of_happened, *of_switches, OFF_BUS))
            raise ValueError(f"{', '.join(strange)} cannot be changed; these can: {known}")
        happened = changed(self.happened, {name: new for name, new in changes.items() if name in of_happened})
        happened = changed(happened, {"mended": _mended(self.happened, happened)})
        switches = changed(self._faults.switches, {name: new for name, new in changes.items() if name in of_switches})
        off_bus_s = changes.get(OFF_BUS, 0.0)
        if not isinstance(off_bus_s, int | float) or not 0 <= off_bus_s <= 3600:
            raise ValueError(f"{OFF_BUS} is {off_bus_s!r}, it is seconds, 0 to 3600")
        self._check(happened, switches)
        self._take(happened, switches)
        if "busy" in changes:
            self._make_busy(switches.busy)
        self._off_until = max(self._off_until, self._clock() + off_bus_s)

    @property
    def pairs(self) -> Mapping[str, Pair]:
        """By which ids each module is spoken to."""
        return {name: module.pair for name, module in self._scene.modules.items()}

    def run(self, stop: Callable[[], bool], *, look_s: float = 0.02) -> None:
        """Answer until `stop` says yes; it is asked at least every `look_s` [s]."""
        while not stop():
            self.step(look_s)

    def step(self, timeout_s: float) -> None:
        """Say and send what is due, and take what comes, for no longer than this, [s]."""
        self._say_due()
        self._send_due()
        frame = self._receive(self._until(timeout_s))
        for _ in range(_HEARD_AT_ONCE):
            if frame is None:
                break
            self._hear(frame)
            frame = self._receive(0)
        self._say_due()
        self._send_due()

    # what happened

    def _every(self, name: str, new: Any) -> Any:
        """Every module or none, where that is said with yes or no."""
        if name in OF_MODULES and isinstance(new, bool):
            return sorted(self._scene.modules) if new else []
        return new

    def _check(self, happened: Happened, switches: Switches) -> None:
        wrong = (*unknown(happened, self._scene.car, self._scene.modules), *switches.wrong())
        if wrong:
            raise ValueError("; ".join(wrong))

    def _take(self, happened: Happened, switches: Switches) -> None:
        self.happened = happened
        self._faults.switches = switches
        if not happened.driving:
            self._driving_since = None
        elif self._driving_since is None:
            self._driving_since = self._clock()

    def _make_busy(self, times: int) -> None:
        for answering in self._answering.values():
            answering.busy = times

    def _clear(self, module: str) -> None:
        self.happened = self.happened.cleared_now(module)

    def _now(self) -> Moment:
        now = self._clock()
        driving_s = None if self._driving_since is None else now - self._driving_since
        return moment(run_s=now - self._started, driving_s=driving_s, false_air=self.happened.false_air)

    # what comes in

    def _receive(self, timeout_s: float) -> can.Message | None:
        """The next frame; something on the bus that is no frame counts as none."""
        try:
            return self._bus.recv(timeout_s)
        except (can.CanError, OSError):
            time.sleep(_AFTER_FAILURE_S)
            return None

    def _hear(self, frame: can.Message) -> None:
        off = self._clock() < self._off_until
        if off or frame.is_error_frame or frame.is_remote_frame or frame.is_fd:
            return
        if frame.arbitration_id == FUNCTIONAL[frame.is_extended_id]:
            request = single(frame) if self._faults.lets_in() else None
            for name, module in self._scene.modules.items():
                if request is not None and module.pair.extended == frame.is_extended_id:
                    self._asked(name, request, to_all=True)
            return
        name_or_none = self._by_id.get((frame.arbitration_id, frame.is_extended_id))
        if name_or_none is not None and self._faults.lets_in():
            for request in self._wires[name_or_none].hear(frame):
                self._asked(name_or_none, request, to_all=False)

    def _asked(self, name: str, request: bytes, *, to_all: bool) -> None:
        now = self._clock()
        waiting = [due for due, _, whose, _ in self._to_say if whose == name]
        if len(waiting) >= _REQUESTS_KEPT:
            return
        said = self._answering[name].said(
            request,
            state=self._scene.state(name, self.happened),
            now=self._now(),
            at_s=now,
            to_all=to_all,
            at_once=self._faults.switches.at_once,
        )
        begin = max((now, *waiting))
        for one in said:
            heapq.heappush(self._to_say, (begin + one.after_s, next(self._order), name, one.data))

    # what goes out

    def _say_due(self) -> None:
        now = self._clock()
        while self._to_say and self._to_say[0][0] <= now:
            _, _, name, data = heapq.heappop(self._to_say)
            self._wires[name].say(data)

    def _out(self, frame: can.Message) -> None:
        for due, made in self._faults.out(frame, self._clock()):
            heapq.heappush(self._to_send, (due, next(self._order), made))

    def _send_due(self) -> None:
        now = self._clock()
        while self._to_send and self._to_send[0][0] <= now:
            _, _, frame = heapq.heappop(self._to_send)
            if now >= self._off_until:
                with suppress(can.CanError, OSError):  # then it is lost, as on any bus
                    self._bus.send(frame)

    def _until(self, timeout_s: float) -> float:
        """How long nothing is due, at most `timeout_s`, [s]."""
        now = self._clock()
        due = [now + timeout_s, *(one[0] for one in self._to_say[:1]), *(one[0] for one in self._to_send[:1])]
        delays = [wire.go_on() for wire in self._wires.values()]
        due += [now + delay for delay in delays if delay is not None]
        due += [one[0] for one in self._to_send[:1]]
        return max(0.0, min(due) - now)


def _mended(old: Happened, new: Happened) -> frozenset[str]:
    """The items that were open once and are not any more."""
    return (new.mended | old.left_open) - new.left_open
