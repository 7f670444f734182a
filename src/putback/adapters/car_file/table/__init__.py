"""One idea: this table is the format `car/1`. Reader, schema and documentation are drawn from it.

A format lives for ever: keys may be added, their meaning never changes.
"""

from typing import Final

from putback.adapters.car_file.kinds import Choice, Flag, Text
from putback.adapters.car_file.limits import ARM_MM, CAR_MASS_KG, LENGTH_MM
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.records import Amounts, Record, Section
from putback.adapters.car_file.table.energies import ENERGY_RECORD, FLUID, GUARD, SWING_LIMIT
from putback.adapters.car_file.table.items import ITEM_RECORD, ZONE_RECORD
from putback.adapters.car_file.table.jobs import CIRCUIT, FINDING, RELEARN, SERVICE
from putback.adapters.car_file.table.words import ITEM, key, required

FORMAT: Final = "car/1"

CAR: Final = Record(
    name="car",
    keys=(
        required("putback", Choice((FORMAT,)), "the format of this file, in its first line", "car/1"),
        required("name", Text(), "the vehicle platform", "my platform"),
        key("invented", Flag(), "true: a made-up vehicle", "true"),
        key("layout", Text(), "a sentence on how it is built", "engine across, in front"),
        key("mass_kg", CAR_MASS_KG, "mass in kg", "1585"),
        key("wheelbase_mm", LENGTH_MM, "wheelbase in mm", "2680"),
        key("cg_behind_front_axle_mm", ARM_MM, "centre of gravity in mm, rearward positive", "1150"),
        required("zones", Section("zones", ZONE_RECORD), "places where one stands and works", "{top: top of bay}"),
        key(
            "sources",
            Section("sources", Text()),
            "where numbers come from, by the name used in the file",
            '{my-manual: "title, page"}',
        ),
        required("items", Section("items", ITEM_RECORD, least=1), "things you handle", "see item"),
        key("energies", Section("energies", ENERGY_RECORD), "what can hurt", "see energy"),
        key("guards", Section("guards", GUARD), "temporary covers, plugs and supports", "see guard"),
        key("swing_limits", Amounts(SWING_LIMIT, names=ITEM), "what an item swung aside may bear", "see swing limit"),
        key("fluids", Section("fluids", FLUID), "what is drained and filled", "see fluid"),
        key("relearn", Many(RELEARN), "what must be taught again", "see relearn"),
        key("services", Section("services", SERVICE), "jobs that are sold", "see service"),
        key("findings", Section("findings", FINDING), "what may turn up", "see finding"),
        key("circuits", Section("circuits", CIRCUIT), "what a disturbed item can be blamed for", "see circuit"),
    ),
)
