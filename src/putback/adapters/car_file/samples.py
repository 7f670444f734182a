"""One idea: two car files come with the program: a small one to start from, and the invented demo car."""

from importlib.resources import files
from pathlib import Path

_STARTER = "starter.car.yaml"
_DEMO = "quillet.car.yaml"


def starter() -> str:
    """A small commented car file to write one's own from; it reads without faults."""
    return (files("putback.adapters.car_file") / _STARTER).read_text(encoding="utf-8")


def demo_path() -> Path:
    """Where the packaged demo car is."""
    return Path(str(files("putback.data") / "demo" / _DEMO))
