"""`putback new`: a small commented car file to start from."""

from pathlib import Path

import click

from putback.adapters.car_file import starter
from putback.faces.cli.show import DONE, UNREADABLE


@click.command("new")
@click.argument("car", type=click.Path(path_type=Path), default=Path("my.car.yaml"))
def command(car: Path) -> int:
    """Write a small commented car file to CAR (my.car.yaml); never over a file that is there."""
    try:
        with car.open("x", encoding="utf-8") as file:
            file.write(starter())
    except FileExistsError:
        click.echo(f"{car}: is there already; name another file", err=True)
        return UNREADABLE
    except OSError as error:
        click.echo(f"{car}: cannot be written: {error.strerror}; name a folder that exists and is yours", err=True)
        return UNREADABLE
    click.echo(f"{car} written. Edit it, then: putback check {car}")
    return DONE
