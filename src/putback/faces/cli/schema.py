"""`putback schema`: the JSON Schema of the car file, so that an editor can help to write one."""

import click

from putback.adapters.car_file import json_schema
from putback.faces.cli.show import DONE, print_json


@click.command("schema")
def command() -> int:
    """Print the JSON Schema of the car file (car/1)."""
    print_json(json_schema())
    return DONE
