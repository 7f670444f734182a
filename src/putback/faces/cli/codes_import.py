"""`putback codes import`: a list that any other tool printed, or a log of frames, becomes a code list of ours."""

import sys
from pathlib import Path
from typing import Any, Final

import click

from putback.adapters.code_list_writer import listing_text, may_write, write_list
from putback.core.codes.lists.listing import Stage
from putback.core.codes.lists.pasted import Byte, Corrections, Guess, guess
from putback.core.finding import Finding, Where
from putback.faces.cli.codes_import_asked import STDIN, Asked, pair_of, refuse, wrong_call
from putback.faces.cli.show import DONE, FAULTS, print_findings, print_json

COLUMNS: Final = ("module", "code", "status", "text")


@click.command("import")
@click.argument("source", metavar="FILE|-")
@click.argument("out", type=click.Path(path_type=Path))
@click.option("--stage", required=True, type=click.Choice([str(one) for one in Stage]), help="When the list was read.")
@click.option("--heading", multiple=True, metavar="LINE=NAME", help="This line names a module; of a log: 7E8=engine.")
@click.option("--not-a-heading", multiple=True, type=int, metavar="LINE", help="This line names no module.")
@click.option("--skip", multiple=True, type=int, metavar="LINE", help="This line holds nothing.")
@click.option("--module", default="", metavar="NAME", help="The module of the codes above the first heading.")
@click.option("--byte", type=click.Choice([str(one) for one in Byte]), default="unknown", help="A byte behind a code.")
@click.option("--column", multiple=True, metavar="WHAT=N", help="Column of module, code, status or text; 0: none.")
@click.option("--read", "read_number", type=int, metavar="N", help="Which read of a log that holds several.")
@click.option("--as", "as_what", type=click.Choice(["text", "frames"]), help="What FILE is. [default: by its name]")
@click.option("--yes", is_flag=True, help="The guess was looked at: do not ask.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def import_command(**given: Any) -> int:
    """Make a code list OUT of a text with codes in it, or of a log of frames. What a text says is guessed line by line
    and shown before it is written; a module that is not said to have answered stays unknown. The exit code is 1 while
    a line may hold a code that was not taken.
    """
    asked = Asked(**given)
    refused = may_write(asked.out, force=asked.force)
    if refused is not None:
        return refuse((refused,), asked)
    if not asked.is_log:
        return _text(asked)
    from putback.faces.cli.codes_import_log import import_log  # noqa: PLC0415 - python-can is loaded for logs alone

    return import_log(asked)


# a text


def _text(asked: Asked) -> int:
    from putback.adapters.pasted_codes import read_pasted, text_of  # noqa: PLC0415 - loaded where a text is read

    pasted = (
        text_of(sys.stdin.buffer.read(), "what was pasted")
        if asked.source == STDIN
        else read_pasted(Path(asked.source))
    )
    corrections = _corrections(asked)
    wrong = [one for one in (pasted,) if isinstance(one, Finding)]
    wrong += list(corrections) if isinstance(corrections, tuple) else []
    if wrong or isinstance(pasted, Finding) or isinstance(corrections, tuple):
        return refuse(wrong, asked)
    found = guess(pasted.text, corrections)
    print_findings(pasted.notes, err=True)
    if not asked.as_json:
        from putback.faces.cli.codes_import_text import print_guess  # noqa: PLC0415 - only where text is asked for

        print_guess(found)
    in_the_way = _in_the_way(found, asked)
    if in_the_way:
        return refuse(in_the_way, asked, guess_json(found))
    if not asked.yes and not _confirmed(found, asked):
        return DONE if not found.doubtful else FAULTS
    listing = found.listing(name=asked.source, stage=asked.stage)
    refused = write_list(asked.out, listing_text(listing), force=asked.force)
    if refused is not None:
        return refuse((refused,), asked)
    if asked.as_json:
        print_json({"written": True, "findings": [], **guess_json(found)})
    else:
        click.echo(f"Saved in {asked.out}.")
    return FAULTS if found.partial else DONE


def _corrections(asked: Asked) -> Corrections | tuple[Finding, ...]:
    headings = [pair_of(one, "--heading", "3=engine") for one in asked.heading]
    columns = [pair_of(one, "--column", "module=2") for one in asked.column]
    wrong = [one for one in (*headings, *columns) if isinstance(one, Finding)]
    lines: dict[int, str] = {}
    places: dict[str, int] = {}
    for pair in headings:
        if isinstance(pair, tuple) and pair[0].isdecimal() and pair[1]:
            lines[int(pair[0])] = pair[1]
        elif isinstance(pair, tuple):
            wrong.append(
                wrong_call("--heading", f"{pair[0]!r} is no number of a line", "write such as --heading 3=engine")
            )
    for pair in columns:
        if isinstance(pair, tuple) and pair[0] in COLUMNS and pair[1].isdecimal():
            places[pair[0]] = int(pair[1])
        elif isinstance(pair, tuple):
            mend = f"write one of {', '.join(COLUMNS)} and the number of its column, such as module=2"
            wrong.append(wrong_call("--column", f"{'='.join(pair)!r} names no column", mend))
    if wrong:
        return tuple(wrong)
    return Corrections(
        headings=lines,
        no_headings=frozenset(asked.not_a_heading),
        skip=frozenset(asked.skip),
        module=asked.module,
        byte=Byte(asked.byte),
        columns=places,
    )


def _in_the_way(found: Guess, asked: Asked) -> tuple[Finding, ...]:
    """What must be said before a list can be written."""
    name = "what was pasted" if asked.source == STDIN else asked.source
    wrong = [
        Finding(
            where=Where(file=name, line=line.number),
            what=f"no module is named for {line.text!r:.60}",
            mend="name it: --module NAME, or --heading LINE=NAME for a line above it",
            rule="pasted-codes",
        )
        for line in found.unnamed
    ]
    for module in found.torn:
        what = f"{module} is said not to have answered, and something else is said of it"
        mend = "correct it: --skip LINE for what is not true"
        wrong.append(Finding(where=Where(file=name), what=what, mend=mend, rule="pasted-codes"))
    if not found.codes and not any(str(line.kind) in ("no codes", "no answer") for line in found.lines):
        what, mend = "no code and no module's answer was found in it", "look whether it is the right file"
        wrong.append(Finding(where=Where(file=name), what=what, mend=mend, rule="pasted-codes"))
    if not wrong and not asked.yes and asked.source == STDIN:
        wrong.append(
            wrong_call("--yes", "the text came where your answer would", "look at the guess, then give --yes")
        )
    return tuple(wrong)


def _confirmed(found: Guess, asked: Asked) -> bool:
    if asked.as_json:
        print_json({"written": False, "findings": [], **guess_json(found)})
        return False
    return click.confirm(f"Is that right? Then it is saved in {asked.out}", err=True)


def guess_json(found: Guess) -> dict[str, Any]:
    """A guess as JSON."""
    return {
        "table": found.table.said if found.table else None,
        "partial": sorted(found.partial),
        "cut": found.cut,
        "lines": [
            {
                "line": line.number,
                "text": line.text,
                "kind": str(line.kind),
                "module": line.module,
                "codes": [{"code": one.code, "status": one.status, "text": one.text} for one in line.listed],
                "why": line.why,
                "doubt": line.doubt,
            }
            for line in found.lines
        ],
    }
