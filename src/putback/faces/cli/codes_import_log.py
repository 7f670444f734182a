"""One idea: a log of frames becomes a code list, module by module, with how much of it was understood."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

import click
from rich.text import Text

from putback.adapters.code_list_writer import list_text, write_list
from putback.adapters.frame_logs import LogRead, read_frame_log
from putback.core.codes.lists.pasted import module_name
from putback.core.codes.talk.car_read import CarRead, How
from putback.core.codes.talk.replay import Replay, Replayed
from putback.core.finding import Finding, Where, faults
from putback.faces.cli.codes_import_asked import Asked, pair_of, refuse, wrong_call
from putback.faces.cli.codes_read_text import print_read
from putback.faces.cli.plan_text import console
from putback.faces.cli.show import DONE, FAULTS, finding_json, print_findings, print_json

MOST_READS = 40
"""So many reads are listed where one must be named."""


def import_log(asked: Asked) -> int:
    """Read a log and write the read that was asked for; the exit code."""
    names = _names(asked)
    if isinstance(names, tuple):
        return refuse(names, asked)
    replay = Replay(stage=asked.stage, bus=asked.source, names=names)
    read = read_frame_log(Path(asked.source), replay.take_all)
    replayed = replay.end()
    if len(replayed.reads) > 1 and asked.read_number is None:
        return _which(asked, replayed.reads)
    car = _chosen(asked, replayed)
    problems = list(faults(read.findings))
    if isinstance(car, Finding):
        return refuse((*read.findings, car), asked)
    car = replace(car, notes=(*car.notes, *replayed.notes), stopped="; ".join(one.what for one in problems))
    print_findings(read.findings, err=True)
    refused = write_list(asked.out, list_text(car), force=asked.force)
    if refused is not None:
        return refuse((refused,), asked)
    if asked.as_json:
        found = [finding_json(one) for one in read.findings]
        print_json({"written": True, "findings": found, **log_json(car, replayed, read)})
    else:
        print_log(car, replayed, read, str(asked.out))
    return FAULTS if problems or read.bad else DONE


def _chosen(asked: Asked, replayed: Replayed) -> CarRead | Finding:
    """The read of the log that is to be written."""
    if not replayed.reads:
        what = f"no list of codes was asked for or sent in its {replayed.frames:,} frames"
        mend = "look whether it is the right log; a text with codes needs --as text"
        return Finding(where=Where(file=asked.source), what=what, mend=mend, rule="frame-log")
    number = asked.read_number or 1
    if not 1 <= number <= len(replayed.reads):
        return wrong_call("--read", f"there is no read {number}", f"give one of 1 to {len(replayed.reads)}")
    return replayed.reads[number - 1]


def _names(asked: Asked) -> dict[int, str] | tuple[Finding, ...]:
    """Names by the id that answers."""
    names: dict[int, str] = {}
    wrong = []
    for one in asked.heading:
        pair = pair_of(one, "--heading", "7E8=engine")
        try:
            if isinstance(pair, Finding):
                wrong.append(pair)
            else:
                names[int(pair[0], 16)] = module_name(pair[1])
        except ValueError:
            wrong.append(wrong_call("--heading", f"{one!r} names no id", "write such as --heading 7E8=engine"))
    return tuple(wrong) if wrong else names


def _which(asked: Asked, reads: Sequence[CarRead]) -> int:
    """Say which reads there are, and that one must be named."""
    what, mend = f"the log holds {len(reads)} reads", "name one: --read N"
    if not asked.as_json:
        for line in islice(reads_lines(reads), MOST_READS):
            click.echo(f"  {line}", err=True)
    return refuse((wrong_call("--read", what, mend),), asked, {"reads": reads_json(reads)})


def print_log(car: CarRead, replayed: Replayed, read: LogRead, file: str) -> None:
    """What each module of the log answered, and how much of the log was understood."""
    print_read(car, file, swept=False, like=True)
    console().print(Text(_counts(replayed, read)))


def _counts(replayed: Replayed, read: LogRead) -> str:
    lost = f"{replayed.unread:,} of no known kind, {replayed.late:,} that belong to no message"
    return f"{replayed.frames:,} frames: {lost}; {read.bad:,} lines that cannot be read."


def log_json(car: CarRead, replayed: Replayed, read: LogRead) -> dict[str, Any]:
    """What came of a log, as JSON."""
    return {
        "frames": replayed.frames,
        "unread": replayed.unread,
        "late": replayed.late,
        "bad_lines": read.bad,
        "stopped": car.stopped,
        "modules": [
            {
                "module": one.module,
                "ids": str(one.pair),
                "answer": str(one.how),
                "codes": [{"code": line.code, "status": line.status} for line in one.listed],
                "said": list(one.said),
                "notes": list(one.notes),
            }
            for one in car.modules
        ],
        "notes": list(car.notes),
    }


def reads_lines(reads: Sequence[CarRead]) -> Iterator[str]:
    """One line for each read of a log."""
    for number, read in enumerate(reads, start=1):
        heard = sum(one.how in (How.ANSWERED, How.PARTIAL) for one in read.modules)
        codes = sum(len(one.listed) for one in read.modules)
        since = f", {read.since} before it" if read.since else ""
        at = read.at or read.notes[-1]
        yield f"read {number}: {at}, {heard} of {len(read.modules)} modules, {codes} codes{since}"


def reads_json(reads: Sequence[CarRead]) -> list[dict[str, Any]]:
    """The reads of a log, as JSON."""
    return [
        {
            "read": number,
            "at": read.at,
            "modules": len(read.modules),
            "codes": sum(len(m.listed) for m in read.modules),
        }
        for number, read in enumerate(reads, start=1)
    ]
