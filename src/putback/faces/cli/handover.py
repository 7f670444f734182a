"""`putback handover`: the papers of a job as PDF, from its record."""

from pathlib import Path

import click

from putback.adapters.stores import StoreFailed, open_store
from putback.adapters.stores.check import no_such_job
from putback.bay import Bay, Closed
from putback.bay.shelf import beside
from putback.faces.cli.job_here import desk
from putback.faces.cli.show import DONE, FAULTS, IMPOSSIBLE, UNREADABLE, print_findings, print_json


@click.command("handover")
@click.argument("store")
@click.option("--job", required=True, help="Whose papers; `putback record show STORE` lists the jobs.")
@click.option(
    "--to",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    show_default="here",
    help="The folder they are written into; made where it is missing.",
)
@click.option(
    "--files",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where car files and plans of jobs are kept. [default: beside the store]",
)
@click.option("--address", default="", help="Of the workshop's own server, for the codes on the labels.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(store: str, job: str, folder: Path, files: Path | None, address: str, as_json: bool) -> int:
    """Write the papers of a job of STORE: the job record with every event attached, the hand-over sheet for the owner,
    the labels of the trays. The same record gives the same files, byte for byte.
    """
    try:
        with open_store(store, read_only=True) as opened:
            if job not in opened.jobs():
                print_findings([no_such_job(opened, job)], err=True)
                return UNREADABLE
            return _write(desk(opened, files or beside(store)), job, folder, address.rstrip("/"), as_json=as_json)
    except (StoreFailed, OSError) as failure:
        click.echo(str(failure), err=True)
        return UNREADABLE


def _write(bay: Bay, job: str, folder: Path, address: str, *, as_json: bool) -> int:
    from putback.faces.pdf import PAPERS, NotSet, paper  # noqa: PLC0415 - the typesetter is loaded when it is used

    view = bay.view(job)
    if isinstance(view, Closed):
        return _closed(view)
    plan = bay.plan(view)
    if isinstance(plan, Closed):
        return _closed(plan)
    folder.mkdir(parents=True, exist_ok=True)
    written: dict[str, Path] = {}
    for name in PAPERS:
        place = folder / f"{name}-{job.replace(':', '-')}.pdf"
        try:
            place.write_bytes(paper(name, bay, view, plan, address=address))
        except NotSet as wrong:
            click.echo(f"the {PAPERS[name].says} cannot be set: {wrong}", err=True)
            return IMPOSSIBLE
        written[name] = place
    print_findings(view.faults, err=True)
    if as_json:
        files = {name: str(place) for name, place in written.items()}
        print_json({"job": job, "head": str(view.head), "files": files, "faults": len(view.faults)})
    else:
        for name, place in written.items():
            click.echo(f"{PAPERS[name].says}: {place}")
        click.echo(f"head {view.head.on_paper()}")
    return FAULTS if view.faults else DONE


def _closed(why: Closed) -> int:
    click.echo(f"{why.what}; {why.mend}", err=True)
    return IMPOSSIBLE
