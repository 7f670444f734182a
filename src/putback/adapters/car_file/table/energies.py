"""One idea: what can hurt, how it is made safe and proven, and what is put in place meanwhile."""

from dataclasses import replace
from typing import Final

from putback.adapters.car_file import build
from putback.adapters.car_file.ids import Named
from putback.adapters.car_file.kinds import Fact, Flag, Text
from putback.adapters.car_file.limits import (
    ARM_MM,
    LITRES,
    MASS_KG,
    MINUTES,
    PIECES,
    VOLTS,
)
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.quantities import LimitText
from putback.adapters.car_file.records import Amounts, Record
from putback.adapters.car_file.rules import AtLeastOne, ExactlyOne, NotWith
from putback.adapters.car_file.table.words import (
    ENERGY,
    ITEM,
    ITEM_OR_EDGE,
    NAMES,
    SOURCE,
    SOURCE_KEY,
    ZONE,
    blank,
    key,
    required,
)

WAIT: Final = Record(
    name="wait",
    keys=(
        replace(blank("minutes", MINUTES, "how long; blank: value needed", "<number>"), required=True),
        required("from", ITEM, "the item whose operation starts the clock", "service-disconnect"),
        SOURCE_KEY,
    ),
)

PROOF: Final = Record(
    name="proof",
    keys=(
        key("measure", Text(), "what is measured; goes with at_most", "coolant temperature"),
        key("check", Text(), "what is looked at or tried", "rock test"),
        key(
            "prove_test_prove",
            Many(Text(), least=1),
            "points measured between two proofs of the meter",
            "[TP1-TP2, TP1-body, TP2-body]",
        ),
        blank("at_most", LimitText(), "the reading that must not be exceeded; blank: value needed", "<number> V"),
        blank("within_minutes", MINUTES, "how long the whole prove-test-prove may take", "<number>"),
        key("reach", Many(ITEM), "items off to get at the points, exempt from this proof only", "[undertray]"),
        SOURCE_KEY,
    ),
    rules=(
        ExactlyOne(
            keys=("measure", "check", "prove_test_prove"),
            mend="write one of measure, check and prove_test_prove",
            rule="proof",
        ),
        NotWith(key="check", others=("at_most", "within_minutes"), mend="a check has no reading", rule="proof"),
        NotWith(key="measure", others=("within_minutes",), mend="it belongs to prove_test_prove", rule="proof"),
    ),
)

ENERGY_RECORD: Final = Record(
    name="energy",
    keys=(
        required("kind", Text(), "what can hurt", "high voltage"),
        key("item", ITEM, "the thing that is operated to make it safe", "service-disconnect"),
        key("make_safe", Text(), "what is done to make it safe", "left to cool, cap closed"),
        key(
            "proof",
            PROOF,
            "how it is shown to be gone; without it the work is blocked",
            "{check: rock test, source: my-manual}",
        ),
        key("wait", WAIT, "minutes that must pass first", "{minutes: , from: negative-lead}"),
        key("volts", VOLTS, "voltage", "318"),
        key("near", Many(ZONE), "zones in which every touched item needs it safe", "[H]"),
        key("after", Many(ENERGY), "energies that are made safe first, and join the work", "[battery]"),
        key("with", Many(ENERGY), "energies that join the work too, in no order of their own", "[battery]"),
        key("before", Many(ENERGY), "if both are needed, this one comes first", "[battery]"),
        key("before_it", NAMES, "list to tick before its item is operated", "[codes saved]"),
        key("restore_after", Many(ENERGY), "energies restored first; without it: reverse of making safe", "[battery]"),
        key("forbid", NAMES, "what must not be used while it matters", "[memory saver]"),
        key("lock", Text(), "what is locked away meanwhile", "keys in the lock box"),
        key("who", Text(), "who alone may do it", "high-voltage person"),
        key("attended", Flag(), "a second person stands by", "true"),
        key("expected_codes", NAMES, "codes that making it safe leaves behind", "[U1C33]"),
        blank(
            "source", SOURCE, "where its wait and proof come from, if they name no source of their own", "my-manual"
        ),
    ),
    rules=(
        AtLeastOne(
            keys=("item", "make_safe", "proof"),
            mend="say what is operated (item), what is done (make_safe) or how it is proven (proof)",
            rule="energy-without-means",
        ),
    ),
)

GUARD: Final = Record(
    name="guard",
    make=build.guard,
    keys=(
        required("name", Text(), "what it is", "port plugs"),
        required("zone", ZONE, "where it goes", "K"),
        key("closes", Amounts(PIECES, names=ITEM), "opened items, and how many pieces close each", "{housing: 1}"),
        key("pieces", PIECES, "how many, for a guard that closes no port; 1 if left out", "2"),
        key("in_after", ITEM_OR_EDGE, "it goes in after this item is off; at the start if left out", "start"),
        key("out_before", ITEM_OR_EDGE, "it comes out before this item goes back (or at the end)", "end"),
        key("support_for", ITEM, "it carries this item, from before its first joint is undone", "compressor"),
    ),
    rules=(
        AtLeastOne(
            keys=("closes", "in_after", "out_before", "support_for"),
            mend="say what it closes, when it goes in and out, or what it supports",
            rule="guard-without-place",
        ),
        NotWith(
            key="closes",
            others=("pieces", "in_after", "out_before", "support_for"),
            mend="closes counts the pieces and says when; make two guards of it",
            rule="guard-in-two-places",
        ),
    ),
)

SWING_LIMIT: Final = Record(name="swing_limit", keys=(SOURCE_KEY,), rest=Fact())

DRAIN: Final = Record(
    name="drain",
    keys=(
        key("joint", Named(("joints",)), "the drain plug", "j-drain"),
        key("item", ITEM, "the item that is opened to drain", "lower-hose"),
    ),
    rules=(ExactlyOne(keys=("joint", "item"), mend="name one of the two", rule="drain"),),
)

FLUID: Final = Record(
    name="fluid",
    make=build.fluid,
    keys=(
        key("energy", ENERGY, "the energy that must be safe before it is drained", "hot"),
        blank("litres", LITRES, "how much; blank: value needed", "<number>"),
        blank("tolerance_l", LITRES, "by how much in and out may differ, in litres", "<number>"),
        key("drain", DRAIN, "where it runs out", "{joint: j-drain}"),
        key("opened_by", Many(ITEM), "it is drained before the first of these is opened", "[upper-hose, housing]"),
        key("fill", Text(), "how it is filled", "vacuum"),
        key("bleed", Text(), "how air is got out", "as the manual says"),
        key("mass_kg", MASS_KG, "its mass in kg", "7.2"),
        key("ahead_of_front_axle_mm", ARM_MM, "where its mass sits in mm, rearward negative", "400"),
        SOURCE_KEY,
    ),
)
