"""`putback narrate`: what was said while working, as operations with twins, and what was not heard to go back."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import click

from putback.adapters.car_file.text import read_bytes
from putback.core.finding import Finding, faults
from putback.faces.cli.show import DONE, UNREADABLE, print_findings, print_json
from putback.narrate.lines.aliases import NO_ALIASES, Aliases
from putback.narrate.lines.corrected import read_corrected
from putback.narrate.lines.draft import Draft, drafted, of_operations
from putback.narrate.text.captions import read_narration
from putback.narrate.text.spoken import Spoken

_LOW_VOLTS: Final = 60.0
"""Direct voltage up to which a circuit is of class A: ISO 6469-3, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Car:
    """What is known of the car. `high_voltage` None: nobody said."""

    id: str = ""
    aliases: Aliases = NO_ALIASES
    high_voltage: bool | None = None


@click.command("narrate")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--operations", type=click.Path(path_type=Path), help="Operations that a person corrected, as JSON.")
@click.option("--car", type=click.Path(path_type=Path), help="The car file, or a procedure of this car with aliases.")
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Write the draft as a procedure file.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(file: Path | None, operations: Path | None, car: Path | None, to: Path | None, *, as_json: bool) -> int:
    """Draft a procedure from a FILE of captions (SRT, WebVTT) or notes. Nothing in it is firm before a person has
    looked at it: what was not heard is asked, and not heard is not the same as not done.
    """
    if file is None and operations is None:
        raise click.UsageError("name a FILE of captions or notes, or --operations FILE.json, or both.")
    known, notes = _car(car)
    drafting = _draft(file, operations, known)
    if isinstance(drafting, tuple):
        notes = (*notes, *drafting)
    print_findings(notes, err=True)
    if faults(notes) or isinstance(drafting, tuple):
        return UNREADABLE
    if to is not None and not _written(drafting, known, to, (file, operations, car)):
        return UNREADABLE
    if as_json:
        from putback.faces.cli.narrate_json import draft_json  # noqa: PLC0415 - loaded when it is used

        print_json(draft_json(drafting))
    else:
        from putback.faces.cli.narrate_text import print_draft  # noqa: PLC0415 - loaded when it is used
        from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

        print_draft(console(), drafting)
    return DONE


def _draft(file: Path | None, operations: Path | None, car: _Car) -> Draft | tuple[Finding, ...]:
    """The draft; the findings where something cannot be read."""
    spoken, problems = Spoken(text=""), []
    if file is not None:
        data = read_bytes(file)
        heard = data if isinstance(data, Finding) else read_narration(data, str(file))
        if isinstance(heard, Finding):
            problems.append(heard)
        else:
            spoken = heard.spoken
            print_findings(heard.findings, err=True)
    if operations is None:
        return tuple(problems) or drafted(spoken, aliases=car.aliases, high_voltage=car.high_voltage)
    data = read_bytes(operations)
    read = (data,) if isinstance(data, Finding) else read_corrected(data, str(operations))
    if isinstance(read, tuple):
        return (*problems, *read)
    if problems:
        return tuple(problems)
    if file is None:
        spoken = Spoken(text=read.spoken)
    return of_operations(
        read.operations, spoken=spoken, quotes=read.quotes, aliases=car.aliases, high_voltage=car.high_voltage
    )


def _car(path: Path | None) -> tuple[_Car, tuple[Finding, ...]]:
    """What a car file or a procedure says of the car."""
    if path is None:
        return _Car(), ()
    data = read_bytes(path)
    if isinstance(data, Finding):
        return _Car(), (data,)
    from putback.adapters.procedure_file import is_procedure, read_procedure_text  # noqa: PLC0415 - loaded when used

    if is_procedure(data):
        read = read_procedure_text(data, str(path))
        if read.procedure is None:
            return _Car(), read.findings
        earlier = read.procedure
        return _Car(id=earlier.car, aliases=Aliases(earlier.aliases), high_voltage=earlier.high_voltage), ()
    from putback.adapters.car_file import read_car_text  # noqa: PLC0415 - the same

    reading = read_car_text(data, str(path))
    if reading.car is None:
        return _Car(), reading.findings
    energies = reading.car.energies.values()
    high = any("high voltage" in one.kind.lower() or (one.volts or 0) > _LOW_VOLTS for one in energies)
    return _Car(id=reading.car.name, high_voltage=high or None), ()


def _written(draft: Draft, car: _Car, to: Path, read: tuple[Path | None, ...]) -> bool:
    """Write the draft as a procedure file, never over what it was drawn from."""
    from putback.adapters.procedure_file import write_procedure  # noqa: PLC0415 - loaded when it is used
    from putback.narrate.lines.firm import as_procedure  # noqa: PLC0415 - the same

    if any(path is not None and path.exists() and to.exists() and path.samefile(to) for path in read):
        click.echo(f"{to} is what was read; name another file", err=True)
        return False
    procedure = as_procedure(
        draft,
        car=car.id or to.name.split(".", maxsplit=1)[0],
        file=str(to),
        aliases=car.aliases,
        high_voltage=car.high_voltage,
    )
    to.write_text(write_procedure(procedure), encoding="utf-8")
    return True
