"""One idea: two drives as one file with everything in it, that opens anywhere and asks nobody for anything."""

from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from putback.core.codes.drive.against import TwoDrives
from putback.faces import drive_words
from putback.faces.draw.two_drives import pictures_of


def drives_page(found: TwoDrives) -> str:
    """The page: pictures, then every bin in words."""
    style = files("putback.faces.page").joinpath("page.css").read_text(encoding="utf-8")
    return _template().render(
        found=found, pictures=[Markup(one) for one in pictures_of(found)], words=drive_words, style=Markup(style)
    )


@cache
def _template() -> Template:
    text = files("putback.faces.web").joinpath("templates", "drives.html.jinja").read_text(encoding="utf-8")
    surroundings = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return surroundings.from_string(text)
