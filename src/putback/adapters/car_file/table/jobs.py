"""One idea: what is sold, what may turn up, what must be taught again and what can be blamed."""

from typing import Final

from putback.adapters.car_file import build
from putback.adapters.car_file.ids import Named
from putback.adapters.car_file.kinds import Flag, Text
from putback.adapters.car_file.limits import (
    CHANCE,
    MINUTES,
    MONEY,
)
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.records import Amounts, Record
from putback.adapters.car_file.table.words import (
    ITEM,
    NAMES,
    key,
    required,
)

RELEARN: Final = Record(
    name="relearn",
    make=build.relearn,
    keys=(
        required("what", Text(), "what is taught again", "steering angle"),
        required("after", Named(("items", "energies")), "the item or energy that was off", "battery"),
        key("codes", NAMES, "codes that stand until it is done", "[C1A90]"),
    ),
)

SERVICE: Final = Record(
    name="service",
    make=build.service,
    keys=(
        required("name", Text(), "what is sold", "renew the pump"),
        required("targets", Many(ITEM, least=1), "the items it is about", "[pump]"),
        key("minutes", Amounts(MINUTES), "minutes beside the work itself, by name", "{road test: 15}"),
        key("parts", Amounts(MONEY), "price of each part", "{pump: 100}"),
        key("consumables", MONEY, "price of small things", "10"),
        key("sublet", Amounts(MONEY), "price of what another shop does", "{aiming: 100}"),
    ),
)

FINDING: Final = Record(
    name="finding",
    make=build.possible_finding,
    keys=(
        required("seen_at", ITEM, "the item at which it turns up", "pipe"),
        required("trigger", Text(), "what is seen", "bore pitted"),
        key("chance", CHANCE, "how likely, 0 to 1", "0.2"),
        key("parts", Amounts(MONEY), "price of each part it adds", "{sleeve: 10}"),
        key("minutes", MINUTES, "minutes it adds", "30"),
        key("hold", ITEM, "the item that does not go back before an answer", "pipe"),
        key("if_declined", Text(), "what is done and written if the customer says no", "note on the invoice"),
        key("stop", Flag(), "the work stops here", "true"),
        key("who", Text(), "who alone may go on", "licensed person"),
        key("sublet", Flag(), "another shop does it", "true"),
    ),
)

CIRCUIT: Final = Record(
    name="circuit",
    make=build.circuit,
    keys=(
        required("items", Many(ITEM, least=1), "items it runs through", "[fan-plug, fan]"),
        key("module", Text(), "the module that would complain", "engine"),
        key("codes", NAMES, "its codes; without failure type they match all of them", "[P0480]"),
    ),
)
