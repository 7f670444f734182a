"""`putback say`: one line, shown as what it would count, and counted when it is confirmed."""

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from putback.adapters.stores import StoreFailed
from putback.bay import Closed, JobView, now_of
from putback.bay.named import names_of
from putback.bay.quick import Chip, Understood, understand
from putback.bay.quick_log import Loggable, loggable, stand_of
from putback.core.gates import Moment
from putback.core.record.kinds import HOLD_PASSED
from putback.faces.cli.job_here import JobHere, job_here
from putback.faces.cli.show import DONE, FAULTS, UNREADABLE, print_findings, print_json


@click.command("say")
@click.argument("store")
@click.argument("line", nargs=-1)
@click.option("--job", required=True, help="Whose work; `putback record show STORE` lists the jobs.")
@click.option("--who", help="Who works, by name or id, as the bay page knows them.")
@click.option(
    "--files",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where car files and plans of jobs are kept. [default: beside the store]",
)
@click.option("--yes", is_flag=True, help="Count what nothing speaks against, without asking.")
@click.option("--json", "as_json", is_flag=True, help="Print each answer as JSON.")
def command(
    store: str, line: tuple[str, ...], job: str, who: str | None, files: Path | None, *, yes: bool, as_json: bool
) -> int:
    """Log work of a job of STORE by saying it: "four ten-mil off, front cowl, tray C".

    LINE is what was done; without it each line of standard input is one. What it would count is shown first. The gates
    are those of the bay page: what is shut stays shut, and what asks more than a line can say is for that page.
    """
    with job_here(store, job, files=files, read_only=False) as here:
        if not isinstance(here, JobHere):
            print_findings(here, err=True)
            return UNREADABLE
        person = _person(here, who)
        if person is None and who is not None:
            return UNREADABLE
        saying = _Saying(here=here, person=person, yes=yes, as_json=as_json)
        try:
            wrong = [not saying.say(one) for one in ([" ".join(line)] if line else _typed(as_json=as_json))]
        except (StoreFailed, OSError) as failure:
            click.echo(f"nothing more was logged: {failure}", err=True)
            return UNREADABLE
    return FAULTS if any(wrong) else DONE


def _typed(*, as_json: bool) -> Iterator[str]:
    """Lines as they come, until the end of input; empty ones say nothing."""
    asks = sys.stdin.isatty() and not as_json
    while True:
        if asks:
            click.echo("> ", nl=False, err=True)
        line = sys.stdin.readline()
        if not line:
            return
        if line.strip():
            yield line.strip()


def _person(here: JobHere, who: str | None) -> str | None:
    """The id of who works; says who is known, where nobody or more than one is of that name."""
    names = {id: name for id, (name, _) in names_of(here.bay.store).items()}
    found = [id for id, name in names.items() if who in (id, name)]
    if who is not None and len(found) != 1:
        known = ", ".join(sorted(f"{name} ({id})" for id, name in names.items()))
        wrong = "more than one" if found else "not known"
        mend = f"known: {known}" if known else "nobody is known yet: say who works on the bay page"
        click.echo(f"--who: {who!r:.60} is {wrong}; {mend}", err=True)
        return None
    return found[0] if found else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Saying:
    """A job that lines are said to."""

    here: JobHere
    person: str | None
    yes: bool
    as_json: bool

    def say(self, line: str) -> bool:
        """One line: shown, asked, counted or kept as a note; whether it did what it says."""
        view = self._view()
        heard = understand(view.pack, stand_of(view.now, view.pack), line)
        chosen = self._chosen(heard)
        if chosen is None:
            return self._not_counted(view, line, heard)
        would = loggable(view.pack, view.now, chosen)
        counted = not would.refused and self._passed(would, chosen)
        if counted:
            holds = [(HOLD_PASSED, {**hold} | ({"who": self.person} if self.person else {})) for hold in would.holds]
            self.here.bay.log(view.job, [*holds, *would.facts], person=self.person)
        self._told(line, heard, counted=counted, why=would.refused)
        return counted

    def _view(self) -> JobView:
        """The job now, as this person meets it."""
        view = self.here.bay.view(self.here.view.job)
        if isinstance(view, Closed):
            raise StoreFailed(self.here.view.job, view.what, view.mend)
        moment = Moment(at=self.here.bay.clock(), person=self.person)
        now = now_of(view.pack, view.received, car=self.here.plan.car, moment=moment, case=view.case)
        return replace(view, now=now)

    def _asks(self) -> bool:
        return sys.stdin.isatty() and not self.yes and not self.as_json

    def _chosen(self, heard: Understood) -> Chip | None:
        """The one that is meant: the only one, or the one that is picked."""
        if not self.as_json:
            for n, chip in enumerate(heard.chips, start=1):
                click.echo(f"  {n}  {chip.text}" + "".join(f"\n     {one}" for one in chip.against))
        if len(heard.chips) < 2 or not self._asks():
            return heard.chips[0] if len(heard.chips) == 1 else None
        picked: int = click.prompt("  which (0: none)", type=click.IntRange(0, len(heard.chips)), default=0)
        return heard.chips[picked - 1] if picked else None

    def _passed(self, would: Loggable, chip: Chip) -> bool:
        """Whether it may count: asked at a terminal; elsewhere only where nothing is held or speaks against it."""
        if not self._asks():
            return self.yes and not would.holds and chip.open
        for hold in would.holds:
            click.echo(f"     asked by name: {hold['note']}")
        return click.confirm(
            "  count it" + (" all the same" if would.holds or not chip.open else ""), default=chip.open
        )

    def _not_counted(self, view: JobView, line: str, heard: Understood) -> bool:
        may = self._asks() and not heard.chips
        kept = may and click.confirm(f"  {heard.says}. Keep it as a note", default=False)
        if kept:
            self.here.bay.log(view.job, [("noted", {"note": line})], person=self.person)
        self._told(line, heard, counted=False, why="kept as a note" if kept else heard.says or "more than one fits")
        return kept

    def _told(self, line: str, heard: Understood, *, counted: bool, why: str) -> None:
        if self.as_json:
            chips = [_chip_json(one) for one in heard.chips]
            print_json({"line": line, "counted": counted, "why": why, "chips": chips})
        else:
            click.echo("  counted" if counted else f"  not counted{f': {why}' if why else ''}")


def _chip_json(chip: Chip) -> dict[str, Any]:
    return {"operations": list(chip.operations), "text": chip.text, "against": list(chip.against), "open": chip.open}
