"""One idea: the car file `car/1` is read here, and here alone: table, reader, checks, schema, starter."""

from putback.adapters.car_file.reader import Reading, read_car, read_car_text
from putback.adapters.car_file.samples import demo_path, starter
from putback.adapters.car_file.schema import json_schema

__all__ = ["Reading", "demo_path", "json_schema", "read_car", "read_car_text", "starter"]
