"""One idea: items, what holds them, and the ways to reach it."""

from typing import Final

from putback.adapters.car_file import build
from putback.adapters.car_file.ids import Named, NewId, RenewedWith
from putback.adapters.car_file.kinds import Choice, Flag, Text
from putback.adapters.car_file.limits import (
    ARM_MM,
    COUNT,
    JOBS,
    MASS_KG,
    MINUTES,
    PEOPLE,
    PERCENT,
)
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.quantities import RecheckText, ThreadText, TorqueText
from putback.adapters.car_file.records import Record
from putback.adapters.car_file.rules import OnlyWhen
from putback.adapters.car_file.table.words import (
    ENERGY,
    ITEM,
    NAMES,
    SOURCE,
    ZONE,
    blank,
    key,
    required,
)
from putback.core.car import Action, Lift, Origin

LINK: Final = Record(
    name="link",
    short="item",
    make=build.link,
    keys=(
        required("item", ITEM, "the item that must be off first", "bumper"),
        key("from", Choice(tuple(map(str, Origin))), "where the link comes from; without it: stated", "seen"),
        key("jobs", JOBS, "in how many recorded jobs it was seen", "3"),
    ),
)
LINKS: Final = Many(LINK)

WAY: Final = Record(
    name="way",
    make=build.way,
    keys=(
        required("id", NewId(), "its id, among the ways of this joint", "below"),
        key("needs_off", LINKS, "items that must be off first if this way is chosen", "[undertray]"),
        key("tools", NAMES, "tools this way needs", "[socket-13, extension-250]"),
        required("minutes", Many(MINUTES, exactly=2), "off and on, added to the item's own", "[2, 3]"),
        key("sight", Text(), "what can be seen of the joint: direct, mirror, blind", "mirror"),
    ),
)

JOINT: Final = Record(
    name="joint",
    keys=(
        required("id", NewId("joints"), "its id, alone in the whole file", "j38"),
        required("count", COUNT, "how many equal fasteners", "4"),
        key("thread", ThreadText(), "nominal size and length", "M6x20"),
        key("kind", Text(), "bolt, nut, clip, band-clamp and so on", "bolt"),
        key("drive", Text(), "what turns or opens it: hex10, T30, clip-tool, hand", "hex10"),
        blank("torque", TorqueText(), "as the source gives it, with its unit; blank: value needed", "<number> N·m"),
        blank("source", SOURCE, "where the torque comes from; a torque without one is value needed", "my-manual"),
        key(
            "pattern",
            Choice(("star", "cross", "spiral", "equal-passes", "as-numbered")),
            "order of tightening",
            "cross",
        ),
        key("passes", Many(PERCENT, least=1), "percent of the torque in each round", "[50, 100]"),
        key(
            "layout",
            Many(Many(ARM_MM, exactly=2), least=1),
            "where each fastener sits, in mm",
            "[[0, 0], [80, 0], [80, 60], [0, 60]]",
        ),
        key("recheck", RecheckText(), "after how many km or min to check again", "<number> km"),
        key("thread_treatment", Text(), "dry, oiled, locking-compound, or as the source says", "oiled"),
        key("one_time", Flag(), "new fasteners on the way back", "true"),
        key(
            "ways",
            Many(WAY, least=1, own_ids=True),
            "manners of reaching it; exactly one is chosen",
            "[{id: below, minutes: [2, 3]}]",
        ),
        key("notes", NAMES, "short reminders", "[clean-threads]"),
    ),
)

ITEM_RECORD: Final = Record(
    name="item",
    keys=(
        required("name", Text(), "what the trade calls it", "fan and cowl"),
        required("zone", ZONE, "where one works on it", "G"),
        required("action", Choice(tuple(map(str, Action))), "what is done to it on the way in", "remove"),
        key("minutes", Many(MINUTES, exactly=2), "off and on; left out: not known, and no plan has a price", "[4, 5]"),
        key(
            "needs_off",
            LINKS,
            "items that must be off, unplugged, parted, aside or folded first",
            "[bumper, fan-plug]",
        ),
        key(
            "links",
            Choice(("complete", "incomplete")),
            "whether needs_off is all there is; without it: complete",
            "incomplete",
        ),
        key("people", PEOPLE, "hands it takes; without it: 1", "2"),
        key("mass_kg", MASS_KG, "mass in kg", "4.1"),
        key("ahead_of_front_axle_mm", ARM_MM, "where its mass sits in mm, rearward negative", "520"),
        key("energy", Many(ENERGY), "energies that must be safe and proven before it is touched", "[hv]"),
        key("one_time", Flag(), "a new one goes in on the way back", "true"),
        key("opens_port", Flag(), "with it off, something can fall in or run out", "true"),
        key(
            "renew_with",
            Many(RenewedWith(), least=1),
            "it is renewed when one of these is in the work or drained",
            "[housing]",
        ),
        key("joint", Named(("joints",)), "the joint whose fasteners it replaces", "j71"),
        key("joints", Many(JOINT), "what holds it", "[{id: j38, count: 4, kind: clip}]"),
        key("notes", NAMES, "short reminders", "[mark-position]"),
    ),
    rules=(
        OnlyWhen(
            key="renew_with",
            other="action",
            value="renew",
            mend="write action: renew, or delete renew_with",
            rule="renew",
        ),
        OnlyWhen(
            key="joint", other="action", value="renew", mend="write action: renew, or delete joint", rule="renew"
        ),
    ),
)

ZONE_RECORD: Final = Record(
    name="zone",
    short="name",
    make=build.zone,
    keys=(
        required("name", Text(), "where it is", "underside"),
        key("lift", Choice(tuple(map(str, Lift))), "where the lift stands for work there; without it: any", "up"),
    ),
)
