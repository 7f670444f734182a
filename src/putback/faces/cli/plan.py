"""`putback plan`: from a car file and what is to be renewed to a proved plan."""

import math
import os
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from putback.app import OwnTools, Planned, Refused, plan_job
from putback.core.finding import faults
from putback.faces.cli.plan_json import impossible_json, plan_json
from putback.faces.cli.progress import progress
from putback.faces.cli.show import (
    DONE,
    FAULTS,
    IMPOSSIBLE,
    INTERRUPTED,
    UNREADABLE,
    finding_json,
    print_findings,
    print_json,
)
from putback.plan.make import Settings
from putback.plan.plan import Impossible, Plan
from putback.plan.sequence import ChangeCosts

PICTURES = ("both", "valley", "valley-narrow", "in-the-way")


class Number(click.FloatRange):
    """A finite number in a range: what is no number is in no range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read the number, or say what is wrong with it."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value} is not a number.", param, ctx)
        return number


COST = click.IntRange(min=0, max=1_000_000)


@click.command("plan")
@click.argument("car", type=click.Path(path_type=Path))
@click.option("--for", "wanted", required=True, metavar="IDS", help="Item or service ids to renew, with commas.")
@click.option("--without", multiple=True, metavar="TOOL", help="A tool that is not there; may be given again.")
@click.option("--tools", type=click.Path(path_type=Path), help="Your tool list: which wrench does which torque.")
@click.option("--rate", type=Number(min=0, max=1e9), default=96.0, show_default=True, help="Labour rate per hour.")
@click.option("--lift-limit-mm", type=Number(min=0, max=1e6), help="Your limit for the shift of mass on the lift.")
@click.option("--tool-change", type=COST, default=1, show_default=True, help="Cost of another tool.")
@click.option("--zone-change", type=COST, default=2, show_default=True, help="Cost of another zone.")
@click.option("--lift-move", type=COST, default=4, show_default=True, help="Cost of moving the lift.")
@click.option(
    "--seconds", type=Number(min=0.1, max=86_400), default=10.0, show_default=True, help="Time for a search."
)
@click.option("--svg", type=click.Path(path_type=Path, dir_okay=False), help="Write the pictures to this file.")
@click.option("--picture", type=click.Choice(PICTURES), default="both", show_default=True, help="What --svg draws.")
@click.option("--html", type=click.Path(path_type=Path, dir_okay=False), help="Write one page with everything.")
@click.option("--full", is_flag=True, help="Print every list and every operation.")
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
def command(  # noqa: PLR0917 - one parameter for each option
    car: Path,
    wanted: str,
    without: tuple[str, ...],
    tools: Path | None,
    rate: float,
    lift_limit_mm: float | None,
    tool_change: int,
    zone_change: int,
    lift_move: int,
    seconds: float,
    svg: Path | None,
    picture: str,
    html: Path | None,
    full: bool,
    as_json: bool,
) -> int:
    """Plan a job on CAR: the least that must come off, the order, the way back, the price."""
    _own_files(car, tools, svg, html)
    settings = Settings(
        rate_per_hour=rate,
        lift_limit_mm=lift_limit_mm,
        costs=ChangeCosts(tool=tool_change, zone=zone_change, lift=lift_move),
        access_time_s=seconds,
        order_time_s=seconds,
    )
    ids = [id.strip() for id in wanted.split(",") if id.strip()]
    with progress() as line:
        result = plan_job(car, ids, without=without, settings=settings, tools=_own_tools(tools), on_progress=line)
    if isinstance(result, Refused):
        return _refused(result, as_json=as_json)
    if isinstance(result, Impossible):
        return _impossible(result, as_json=as_json)
    wrote = _pictures(result.plan, svg, picture, html)
    if as_json:
        print_json(plan_json(result))
    else:
        _text(result, full=full)
    return wrote or _code(result)


def _own_tools(file: Path | None) -> OwnTools | None:
    """The tool list, on the day of today."""
    today = datetime.now().astimezone().date()  # noqa: TID251 - faces read the clock
    return None if file is None else OwnTools(file=file, day=today)


def _own_files(car: Path, tools: Path | None, svg: Path | None, html: Path | None) -> None:
    """Pictures and page are files of their own: never over what is read, never one over the other.

    Raises:
        click.UsageError: two of them are one file.
    """
    named = [(car, "the car file"), (tools, "the tool list"), (svg, "--svg"), (html, "--html")]
    seen: dict[str, str] = {}
    for file, what in named:
        if file is not None:
            other = seen.setdefault(os.path.realpath(file), what)
            if other != what:
                raise click.UsageError(f"{what} {file} is the same file as {other}; name another.")


def _code(planned: Planned) -> int:
    if planned.plan.interrupted:
        return INTERRUPTED
    return FAULTS if faults(planned.audit) else DONE


def _refused(refused: Refused, *, as_json: bool) -> int:
    if as_json:
        print_json({"findings": [finding_json(finding) for finding in refused.findings]})
    print_findings(refused.findings, err=True)
    return UNREADABLE


def _impossible(impossible: Impossible, *, as_json: bool) -> int:
    if as_json:
        print_json(impossible_json(impossible))
    else:
        from putback.faces.cli.plan_text import console, print_impossible  # noqa: PLC0415 - only where text is asked

        print_impossible(console(), impossible)
    return IMPOSSIBLE


def _text(planned: Planned, *, full: bool) -> None:
    from putback.faces.cli.plan_text import console, print_plan  # noqa: PLC0415 - only where text is asked for

    print_plan(console(), planned, full=full)


def _pictures(plan: Plan, svg: Path | None, picture: str, html: Path | None) -> int:
    """Write what was asked for; the exit code if a file cannot be written."""
    try:
        if svg:
            svg.write_text(_drawn(plan, picture), encoding="utf-8")
            click.echo(f"{svg} written", err=True)
        if html:
            from putback.faces.page import plan_page  # noqa: PLC0415 - the same

            html.write_text(plan_page(plan), encoding="utf-8")
            click.echo(f"{html} written", err=True)
    except OSError as error:
        click.echo(f"{error.filename}: cannot be written: {error.strerror}; name a folder that exists", err=True)
        return UNREADABLE
    return DONE


def _drawn(plan: Plan, picture: str) -> str:
    """One picture as SVG."""
    from putback.faces.draw import in_the_way_svg, plan_svg, valley_svg  # noqa: PLC0415 - loaded when asked for

    if picture == "both":
        return plan_svg(plan)
    if picture == "in-the-way":
        return in_the_way_svg(plan)
    return valley_svg(plan, narrow=picture == "valley-narrow")
