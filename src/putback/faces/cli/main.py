"""One idea: commands are named here with a line of help each, and loaded only when they are called."""

import sys
from collections.abc import Mapping
from types import MappingProxyType

import click

from putback.faces.cli.lazy import LazyGroup
from putback.faces.cli.signs import like_ascii

COMMANDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "demo": ("demo", "Plan the demo job end to end; asks nothing."),
        "plan": ("plan", "Plan a job: least work, order, put-back, price."),
        "check": ("check", "Read a car file and say everything that is wrong."),
        "audit": ("audit", "Hold a sequence of operations against the rules."),
        "fasten": ("fasten", "How tight, with which wrench, in which order, and what it does."),
        "codes": ("codes", "Read, import and compare trouble codes; rank what did it."),
        "narrate": ("narrate", "Draft a procedure from what was said; ask what was not heard."),
        "review": ("review", "Look a narration over, row by row, until it is a procedure."),
        "merge": ("merge", "Draw one car file from procedures of one car."),
        "publish": ("publish", "Publish a procedure as page and paper, without owner's data."),
        "say": ("say", "Log work by saying it: one line, shown before it counts."),
        "record": ("record", "Check, read, back up, restore and move the records of jobs."),
        "handover": ("handover", "Write the papers of a job as PDF: record, hand-over, labels."),
        "serve": ("serve", "Serve jobs, plans, records and the bay page on this machine."),
        "new": ("new", "Write a small commented car file to start from."),
        "schema": ("schema", "Print the JSON Schema of the car file, for editors."),
    }
)


@click.group(cls=LazyGroup, table=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="putback", message="putback %(version)s")
def cli() -> None:
    """Plan a buried-part job and its way back. A car is a state, a job is a round trip."""


def main() -> None:
    """Run the command line; Ctrl-C outside a search ends with 130."""
    like_ascii(sys.stdout)
    try:
        code = cli.main(standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Abort:
        code = 130
    except click.ClickException as error:
        error.show()
        code = error.exit_code
    except click.exceptions.Exit as leave:
        code = leave.exit_code
    except BrokenPipeError:
        sys.stderr.close()
        code = 0
    except OSError as error:
        click.echo(f"cannot be written: {error.strerror}", err=True)
        code = 2
    sys.exit(code if isinstance(code, int) else 0)
