"""`putback serve`: jobs, their plans and the bay page, on this machine, or for phones in the same network."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from putback.adapters.car_file import demo_path
from putback.adapters.stores import StoreFailed, open_store
from putback.bay import Bay
from putback.bay.shelf import beside
from putback.core.finding import Finding
from putback.faces.cli.job_here import desk
from putback.faces.cli.serve_car import car_side
from putback.faces.cli.show import DONE, UNREADABLE

if TYPE_CHECKING:
    from putback.bay.car_reader import CarReader

HOST = "127.0.0.1"


@click.command("serve")
@click.option("--store", default="putback.db", show_default=True, help="A file, or postgresql://USER@HOST/DATABASE.")
@click.option(
    "--files",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where car files and plans of jobs are kept. [default: beside the store]",
)
@click.option(
    "--car",
    "cars",
    multiple=True,
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A car file or procedure that jobs may be opened on; may be given again. [default: the demo car]",
)
@click.option(
    "--tools",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Your tool list, for the torque card. [default: tools.yaml beside the store, if it is there]",
)
@click.option("--port", type=click.IntRange(1, 65535), default=8070, show_default=True)
@click.option("--lan", is_flag=True, help="Serve phones in the same network too, encrypted; each is paired by a code.")
@click.option("--plain", is_flag=True, help="With --lan: not encrypted; the bay page must stay open on the phone.")
@click.option(
    "--address",
    "addresses",
    multiple=True,
    help="With --lan: an address of this machine to serve at. [default: those it has in local networks]",
)
@click.option("--can", metavar="INTERFACE:CHANNEL[@BITRATE]", help="The bus to the car, such as socketcan:can0.")
@click.option("--virtual-car", is_flag=True, help="A virtual car (simulated) of the first car file, to try it out.")
def command(
    store: str,
    files: Path | None,
    cars: tuple[Path, ...],
    tools: Path | None,
    port: int,
    lan: bool,
    plain: bool,
    addresses: tuple[str, ...],
    **car: Any,
) -> int:
    """Serve the pages of this workshop until Ctrl-C: on this machine alone, or with --lan for paired phones too."""
    if (plain or addresses) and not lan:
        raise click.UsageError("--plain and --address go with --lan; add it")
    if tools is not None and not tools.exists():
        click.echo(f"{tools}: there is no such tool list; check the name, or leave --tools out", err=True)
        return UNREADABLE
    try:
        opened = open_store(store, create=True)
    except StoreFailed as failure:
        click.echo(str(failure), err=True)
        return UNREADABLE
    with opened, car_side(car["can"], cars[0] if cars else None, virtual=car["virtual_car"]) as reader:
        if isinstance(reader, Finding):
            click.echo(str(reader), err=True)
            return UNREADABLE
        bay = desk(
            opened,
            files or beside(store),
            cars={path.name: path for path in cars or (demo_path(),)},
            tools=tools or beside(store).with_name("tools.yaml"),
            drives=(files or beside(store)) / "drives",
            procedures=(files or beside(store)) / "procedures",
        )
        if lan:
            from putback.faces.cli.lan import Wish, serve_lan  # noqa: PLC0415 - loaded when it is used

            folder = beside(store).with_suffix(".phones")
            return serve_lan(bay, Wish(folder=folder, port=port, addresses=addresses, plain=plain, reader=reader))
        return _serve_here(bay, port, reader)


def _serve_here(bay: Bay, port: int, reader: "CarReader | None") -> int:
    import uvicorn  # noqa: PLC0415 - loaded when it is used

    from putback.faces.web import make_app  # noqa: PLC0415 - the same

    click.echo(f"open http://{HOST}:{port}/ (Ctrl-C ends; this machine only)")
    app = make_app(bay, hosts=hosts(port), reader=reader)
    uvicorn.run(app, host=HOST, port=port, log_level="warning", server_header=False)
    return DONE


def hosts(port: int) -> Sequence[str]:
    """The names under which this machine speaks to itself."""
    return (f"{HOST}:{port}", f"localhost:{port}")
