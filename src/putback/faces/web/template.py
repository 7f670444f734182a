"""One idea: a template reads what it is told and nothing else; whatever it is told is text, never markup."""

from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import DictLoader, Environment, StrictUndefined

from putback.faces.keyboard import letter, on_page
from putback.faces.web.words import when

_TEMPLATES = (
    "base",
    "jobs",
    "open",
    "plan",
    "car",
    "record",
    "tables",
    "ask",
    "intake",
    "shelf",
    "authorise",
    "findings",
    "refused",
    "fasten",
    "tool",
    "tools",
    "trust",
    "pair",
    "phones",
    "drive",
    "drive_now",
    "held",
    "codes",
    "codes_two",
    "narrations",
    "review",
    "review_rows",
    "review_line",
    "review_words",
)


@cache
def _surroundings() -> Environment:
    folder = files("putback.faces.web").joinpath("templates")
    texts = {f"{name}.jinja": folder.joinpath(f"{name}.html.jinja").read_text(encoding="utf-8") for name in _TEMPLATES}
    made = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, loader=DictLoader(texts)
    )
    made.filters["when"] = when
    made.globals["letter"] = letter
    made.globals["keys_of_page"] = on_page
    return made


def filled(name: str, **says: Any) -> str:
    """A template with what it says."""
    return _surroundings().get_template(f"{name}.jinja").render(says)
