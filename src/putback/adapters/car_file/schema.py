"""One idea: the JSON Schema of the car file is drawn from the table the reader uses, so editors agree with it.

A schema sees one value and one group at a time. Ids that do not exist, loops and sources that are missing are seen
by the reader alone. Source of the form: JSON Schema, draft 2020-12.
"""

from typing import Any

from putback.adapters.car_file.kinds import Schema
from putback.adapters.car_file.table import CAR, FORMAT


def json_schema() -> dict[str, Any]:
    """The JSON Schema of `car/1`.

    >>> json_schema()["title"]
    'putback car file, car/1'
    """
    defined: dict[str, Schema] = {}
    CAR.schema(defined)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"putback car file, {FORMAT}",
        **defined.pop("car"),
        "$defs": defined,
    }
