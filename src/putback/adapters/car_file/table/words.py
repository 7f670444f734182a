"""One idea: the table of `car/1` is written in a few words of its own."""

from typing import Final

from putback.adapters.car_file.ids import Named
from putback.adapters.car_file.kinds import Kind, Text
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.records import Key
from putback.core.car import END, START


def key(name: str, kind: Kind, meaning: str, example: str) -> Key:
    """A key that may be missing."""
    return Key(name=name, kind=kind, meaning=meaning, example=example)


def required(name: str, kind: Kind, meaning: str, example: str) -> Key:
    """A key that must be there."""
    return Key(name=name, kind=kind, meaning=meaning, example=example, required=True)


def blank(name: str, kind: Kind, meaning: str, example: str) -> Key:
    """A key that may be left without a value: "value needed"."""
    return Key(name=name, kind=kind, meaning=meaning, example=example, blank=True)


ITEM: Final = Named(("items",))
ENERGY: Final = Named(("energies",))
ZONE: Final = Named(("zones",))
SOURCE: Final = Named(("sources",))
ITEM_OR_EDGE: Final = Named(("items",), (START, END))
NAMES: Final = Many(Text())
SOURCE_KEY: Final = blank("source", SOURCE, "where the numbers come from", "my-manual")
