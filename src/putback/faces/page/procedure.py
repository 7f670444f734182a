"""One idea: a published procedure is one file that opens anywhere and asks nobody for anything."""

from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from putback.core.papers.published import AUTHORITY, sections_of
from putback.core.procedure import Procedure
from putback.faces.draw.ink import clean_text
from putback.faces.draw.said import said_valley_svg


def procedure_page(procedure: Procedure) -> str:
    """The page of a procedure whose private data are left out already."""
    return _template().render(
        title=title_of(procedure),
        draft=draft_of(procedure),
        procedure=procedure,
        sections=sections_of(procedure),
        valley=Markup(said_valley_svg(procedure)),
        narrow=Markup(said_valley_svg(procedure, narrow=True)),
        authority=AUTHORITY,
        style=Markup(files("putback.faces.page").joinpath("page.css").read_text(encoding="utf-8")),
    )


def title_of(procedure: Procedure) -> str:
    """The name of the job, or that it has none."""
    return procedure.name[:1].upper() + procedure.name[1:] or "A job as it was told"


def draft_of(procedure: Procedure) -> str:
    """What is to be said at the head while a line is confirmed by nobody."""
    open_lines = len(procedure.unconfirmed())
    return f"Draft: {open_lines} of {len(procedure.lines)} operations are confirmed by nobody." if open_lines else ""


@cache
def _template() -> Template:
    text = files("putback.faces.page").joinpath("procedure.html.jinja").read_text(encoding="utf-8")
    surroundings = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_known
    )
    return surroundings.from_string(text)


def _known(value: object) -> object:
    """Text without the signs that neither HTML nor XML knows."""
    return clean_text(value) if type(value) is str else value
