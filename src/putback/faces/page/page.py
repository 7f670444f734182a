"""One idea: one file with everything in it, that opens anywhere and asks nobody for anything.

No script, no font and no picture from elsewhere; the policy in its head forbids them. Whatever a car file says is
escaped by the template.
"""

from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from putback.faces.draw import in_the_way_svg, valley_svg
from putback.faces.draw.ink import clean_text
from putback.faces.draw.valley.words import INVENTED, heading
from putback.faces.names import blocked
from putback.faces.page import view
from putback.faces.page.lists import TABLES
from putback.plan.plan import Plan

_LONGEST_WORD = 24


def plan_page(plan: Plan) -> str:
    """The page of a plan: both pictures and every list."""
    words = heading(plan)
    tables = [table(plan) for table in TABLES]
    return _template().render(
        title=words.title,
        car=plan.car,
        invented=INVENTED if plan.car.invented else "",
        blocked=blocked(plan),
        plan=plan,
        figures=view.figures(plan),
        valley=Markup(valley_svg(plan, titled=False)),
        narrow=Markup(valley_svg(plan, narrow=True, titled=False)),
        in_the_way=Markup(in_the_way_svg(plan)),
        energies=view.energy_cards(plan),
        twins=view.twin_rows(plan),
        mass=view.mass(plan),
        tables=[table for table in [*tables, view.quote(plan), view.operations(plan)] if table.rows],
        style=Markup(_style()),
    )


@cache
def _template() -> Template:
    text = files("putback.faces.page").joinpath("plan.html.jinja").read_text(encoding="utf-8")
    surroundings = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_known
    )
    surroundings.tests["long"] = _long
    return surroundings.from_string(text)


def _known(value: object) -> object:
    """Text without the signs that neither HTML nor XML knows."""
    return clean_text(value) if type(value) is str else value


def _long(words: str) -> bool:
    """Whether a text has a word so long that it must be broken anywhere to fit a column."""
    return any(len(word) > _LONGEST_WORD for word in words.split())


@cache
def _style() -> str:
    return files("putback.faces.page").joinpath("page.css").read_text(encoding="utf-8")
