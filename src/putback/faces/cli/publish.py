"""`putback publish`: a procedure as one page and one paper, without the owner's data."""

import os
from pathlib import Path

import click

from putback.core.finding import faults
from putback.core.papers.published import without_private
from putback.core.procedure import Procedure
from putback.faces.cli.show import DONE, IMPOSSIBLE, UNREADABLE, print_findings, print_json


@click.command("publish")
@click.argument("procedure", type=click.Path(path_type=Path))
@click.option("--html", type=click.Path(path_type=Path, dir_okay=False), help="Write one page with everything.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write the same as PDF.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(procedure: Path, html: Path | None, pdf: Path | None, as_json: bool) -> int:
    """Publish a PROCEDURE: hazards first, tools, parts, torques with their sources, the valley. The owner's data,
    plates and names of persons are left out; what is not known is shown as not known.
    """
    places = [place for place in (html, pdf) if place is not None]
    if not places:
        raise click.UsageError("name what is to be written: --html FILE, --pdf FILE, or both.")
    if len({os.path.realpath(place) for place in (procedure, *places)}) <= len(places):
        raise click.UsageError("two of the files are one and the same; name another.")
    from putback.adapters.procedure_file import read_procedure  # noqa: PLC0415 - loaded when it is used

    read = read_procedure(procedure)
    if read.procedure is None:
        print_findings(faults(read.findings), err=True)
        return UNREADABLE
    print_findings(read.findings, err=True)
    public = without_private(read.procedure)
    wrote = _write(public, html, pdf)
    if wrote == DONE and as_json:
        unconfirmed, owed = len(public.unconfirmed()), len(public.owed())
        print_json({"written": [str(place) for place in places], "unconfirmed": unconfirmed, "not_heard_back": owed})
    elif wrote == DONE:
        for place in places:
            click.echo(f"{place} written")
    return wrote


def _write(public: Procedure, html: Path | None, pdf: Path | None) -> int:
    """Write what was asked for; the exit code."""
    from putback.faces.page.procedure import procedure_page  # noqa: PLC0415 - loaded when it is used

    try:
        if html is not None:
            html.write_text(procedure_page(public), encoding="utf-8")
        if pdf is not None:
            from putback.faces.pdf.procedure import procedure_pdf  # noqa: PLC0415 - the typesetter is loaded late
            from putback.faces.pdf.setting import NotSet  # noqa: PLC0415 - the same

            try:
                pdf.write_bytes(procedure_pdf(public))
            except NotSet as wrong:
                click.echo(f"the PDF cannot be set: {wrong}", err=True)
                return IMPOSSIBLE
    except OSError as error:
        click.echo(f"{error.filename}: cannot be written: {error.strerror}; name a folder that exists", err=True)
        return UNREADABLE
    return DONE
