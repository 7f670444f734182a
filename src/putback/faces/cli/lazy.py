"""One idea: a group of commands names them with a line of help each, and loads one only when it is called."""

import importlib
from collections.abc import Mapping
from typing import Any

import click


class LazyGroup(click.Group):
    """A group whose commands are imported when called, so that help is there at once.

    Args:
        table: for each command where it stands ("module" or "module:name", beside this one) and its line of help.
    """

    def __init__(self, *args: Any, table: Mapping[str, tuple[str, str]], **more: Any) -> None:
        super().__init__(*args, **more)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The commands, in the order in which one meets them."""
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Load one command."""
        if cmd_name not in self.table:
            return None
        module, _, name = self.table[cmd_name][0].partition(":")
        command: click.Command = getattr(importlib.import_module(f"putback.faces.cli.{module}"), name or "command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Print the list without loading anything."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in self.table.items()])
