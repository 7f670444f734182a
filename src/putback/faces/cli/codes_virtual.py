"""`putback codes virtual-car`: a simulated car to try reading out on; it never touches a real bus."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from putback.core.finding import Finding, Where
from putback.faces.cli.show import DONE, UNREADABLE, print_findings

if TYPE_CHECKING:
    from putback.adapters.virtual_car import Scene

CHANNEL: Final = "239.74.163.2"
"""The group that python-can's own bus between programs has for IPv4."""
PORT: Final = 43113

_CHANCE = click.FloatRange(0, 1)
_LISTS: Final = ("left_open", "mended", "moved", "relearned", "permanent")
_FLAGS: Final = ("power_was_off", "driving", "false_air")
_EVERY: Final = ("cleared", "driven")
_WIRE: Final = ("loss", "twice", "wrong_number", "malformed", "cut_off", "buffer_full", "late_s", "busy", "at_once")


def _options(function: Any) -> Any:
    """What happened to the car, and what goes wrong on its bus."""
    path = click.Path(path_type=Path, dir_okay=False)
    for add in reversed(
        (
            click.argument("car", type=path, required=False),
            click.option(
                "--before", type=path, help="Codes that it had before. [default: the demo's, for the demo car]"
            ),
            click.option("--left-open", multiple=True, metavar="ITEM", help="This plug is not on."),
            click.option("--mended", multiple=True, metavar="ITEM", help="This plug was open, and is on again."),
            click.option("--power-was-off", is_flag=True, help="The 12 V was off."),
            click.option(
                "--moved", multiple=True, metavar="ITEM", help="This item was moved, and must be taught again."
            ),
            click.option(
                "--relearned", multiple=True, metavar="WHAT", help="This was taught again; its words or its code."
            ),
            click.option("--cleared", is_flag=True, help="All codes were cleared."),
            click.option("--driven", is_flag=True, help="A drive was made since then."),
            click.option(
                "--permanent", multiple=True, metavar="CODE", help="The engine keeps this as a permanent code."
            ),
            click.option("--driving", is_flag=True, help="It drives: live values change; else it idles and stands."),
            click.option("--false-air", is_flag=True, help="The engine draws air past its meter."),
            click.option("--loss", type=_CHANCE, default=0.0, help="So many of all frames are lost, 0 to 1."),
            click.option("--twice", type=_CHANCE, default=0.0, help="So many frames come twice."),
            click.option("--wrong-number", type=_CHANCE, default=0.0, help="So many frames have a wrong number."),
            click.option("--malformed", type=_CHANCE, default=0.0, help="So many frames mean nothing."),
            click.option("--cut-off", type=_CHANCE, default=0.0, help="So many long answers stop in their middle."),
            click.option(
                "--buffer-full", type=_CHANCE, default=0.0, help="So many long requests must wait, or are refused."
            ),
            click.option(
                "--late-s", type=click.FloatRange(0, 10), default=0.0, help="Frames come up to so much later, [s]."
            ),
            click.option(
                "--busy", type=click.IntRange(min=0), default=0, help="So many first requests find a module busy."
            ),
            click.option("--at-once", is_flag=True, help="Plain modules answer without delay."),
            click.option("--seed", type=int, default=1, show_default=True, help="Of all that is left to chance."),
            click.option("--channel", default=CHANNEL, show_default=True, help="A multicast address."),
            click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True),
        )
    ):
        function = add(function)
    return function


@click.command("virtual-car")
@_options
def command(car: Path | None, before: Path | None, **given: Any) -> int:
    """Run a SIMULATED, INVENTED car of ten modules until Ctrl-C, for `putback codes read` and the like to be tried on.
    It speaks between programs of this machine only, never on an interface that leads to a vehicle. CAR is a car file;
    left out: the demo car.
    """
    from putback.adapters.virtual_car import read_scene  # noqa: PLC0415 - loaded when it is used

    scene = read_scene(car, before)
    if isinstance(scene, tuple):
        print_findings(scene, err=True)
        return UNREADABLE
    try:
        return _run(scene, given)
    except _WrongCallError as wrong:
        print_findings([wrong.finding], err=True)
        return UNREADABLE


class _WrongCallError(Exception):
    def __init__(self, field: str, what: str, mend: str) -> None:
        super().__init__(what)
        self.finding = Finding(where=Where(file="virtual-car", field=field), what=what, mend=mend, rule="call")


def _run(scene: "Scene", given: Mapping[str, Any]) -> int:
    import can  # noqa: PLC0415 - loaded when it is used

    from putback.adapters.virtual_car import VirtualCar, open_virtual  # noqa: PLC0415 - the same
    from putback.adapters.virtual_car.opening import is_taken  # noqa: PLC0415 - the same
    from putback.adapters.virtual_car.process import INTERFACE, STAYS_HERE  # noqa: PLC0415 - the same

    try:
        bus = open_virtual(INTERFACE, given["channel"], port=given["port"], hop_limit=STAYS_HERE)
    except (ValueError, can.CanError, OSError) as failure:
        mend = "name a multicast address such as 239.74.163.2 and a free port"
        raise _WrongCallError("--channel", f"the bus cannot be opened: {failure}", mend) from failure
    with bus:
        if is_taken(bus):
            raise _WrongCallError("--port", "a virtual car answers there already", "end it, or name another port")
        virtual_car = VirtualCar(bus, scene, seed=given["seed"])
        try:
            virtual_car.change(_changes(given))
        except ValueError as fault:
            raise _WrongCallError("options", str(fault), "putback check CAR says what the car file has") from fault
        _say(scene, given)
        try:
            virtual_car.run(lambda: False)
        except KeyboardInterrupt:
            click.echo("ended")
    return DONE


def _changes(given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: list(given[name]) for name in _LISTS} | {name: given[name] for name in (*_FLAGS, *_EVERY, *_WIRE)}


def _say(scene: "Scene", given: Mapping[str, Any]) -> None:
    from putback.adapters.virtual_car.process import INTERFACE  # noqa: PLC0415 - loaded when it is used

    click.echo(f"{scene.car.name}: SIMULATED. Invented modules; no vehicle is connected. Ctrl-C ends.")
    for module in scene.modules.values():
        click.echo(f"  {module.name:12} {module.pair!s:18} {module.manner}")
    channel = given["channel"] if given["port"] == PORT else f"{given['channel']}:{given['port']}"
    click.echo(f"read it:  putback codes read list.csv --interface {INTERFACE} --channel {channel}")
