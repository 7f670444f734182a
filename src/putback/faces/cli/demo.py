"""`putback demo`: the main job on the demo car, end to end, no questions asked."""

import shutil
import sys
from pathlib import Path

import click
from rich.console import Console

from putback.adapters.car_file import demo_path
from putback.adapters.code_lists import read_code_list
from putback.app import Planned, plan_job
from putback.bay.code_compare import held_against
from putback.bay.code_job import Job
from putback.core.codes.causes.cause import Access
from putback.core.codes.verdicts.expected import disturbed_by_items
from putback.core.finding import faults
from putback.faces.cli import codes_text
from putback.faces.cli.plan_text import console, print_plan
from putback.faces.cli.progress import progress
from putback.faces.cli.show import DONE, FAULTS, INTERRUPTED
from putback.plan.make import Settings
from putback.plan.plan import Plan

JOB = "thermostat-and-pump"


@click.command("demo")
@click.option("--full", is_flag=True, help="Print every list and every operation.")
def command(full: bool) -> int:
    """Plan the demo job: a coolant pump and a thermostat, deep behind the nose of an invented hybrid."""
    car = _near(demo_path())
    with progress() as line:
        result = plan_job(car, [JOB], settings=Settings(), on_progress=line)
    if not isinstance(result, Planned):
        raise AssertionError(result)
    out = console()
    print_plan(out, result, full=full)
    _codes(out, result.plan)
    out.print()
    for text in _next(str(car)):
        out.print(text, markup=False, soft_wrap=True)
    if result.plan.interrupted:
        return INTERRUPTED
    return FAULTS if faults(result.audit) else DONE


def _codes(out: Console, plan: Plan) -> None:
    """The demo's two code reads around this job, held against one another."""
    lists = [read_code_list(demo_path().with_name(f"quillet.{which}.csv")).listing for which in ("before", "after")]
    job = Job(
        car=plan.car,
        disturbed=disturbed_by_items(plan.car, plan.items),
        access=Access(ways=plan.ways, in_work=plan.items),
    )
    held = held_against([one for one in lists if one is not None], job=job)
    out.print()
    out.print("Codes read before the work and after it (invented, as all of the demo)", style="bold")
    codes_text.print_comparison(out, held.comparison)
    codes_text.print_first_cause(out, job.car, held)


def _next(car: str) -> list[str]:
    here = Path(sys.executable).parent / "putback"
    putback = "putback" if shutil.which("putback") or not here.exists() else str(_near(here))
    tries = (
        (f"plan {car} --for {JOB} --html job.html", "the same with its pictures, on one page"),
        (f"plan {car} --for {JOB} --without ratcheting-ring-13", "a tool is missing: what changes"),
        (
            "codes read before.csv --stage before --virtual-car --sweep 11 --stationary",
            "read the codes of a simulated car over its bus",
        ),
        (f"plan {car} --for pump --full", "another job, with every list and operation"),
        ("new my.car.yaml", "a small car file of your own"),
    )
    return ["What to try next", *(f"  {text}:\n    {putback} {words}" for words, text in tries)]


def _near(path: Path) -> Path:
    """The path as seen from here, where it lies below."""
    here = Path.cwd()
    return path.relative_to(here) if path.is_relative_to(here) else path
