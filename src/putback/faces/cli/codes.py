"""`putback codes`: trouble codes read, brought in, compared, cleared; each command is loaded when it is called."""

from collections.abc import Mapping
from types import MappingProxyType

import click

from putback.faces.cli.lazy import LazyGroup

CODES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "read": ("codes_read:read_command", "Read every module over the bus into a code list."),
        "import": ("codes_import:import_command", "Make a code list of a text, a table or a log of frames."),
        "compare": ("codes_compare:compare_command", "Hold reads before and after against one another."),
        "cause": ("codes_compare:cause_command", "Rank what of the work may have caused the new codes."),
        "attach": ("codes_compare:attach_command", "Keep a code list in the record of its job."),
        "clear": ("codes_clear:clear_command", "Clear codes; needs a saved read and shows what is lost."),
        "watch": ("codes_watch:watch_command", "Log live values on a road test."),
        "drive": ("codes_watch:drive_command", "Compare two drives where their conditions match."),
        "virtual-car": ("codes_virtual:command", "Run a simulated car on a bus, to try all this on."),
    }
)


@click.group("codes", cls=LazyGroup, table=CODES)
def command() -> None:
    """Trouble codes before and after the work: what was there, what the work may have caused, what nobody tested."""
