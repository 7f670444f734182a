"""One idea: a group that was read keeps its place and its good values, and remembers which keys stood there."""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A group that was read at this field: good values only; `given` names every key that stood there."""

    at: str
    line: int
    values: dict[str, Any]
    given: frozenset[str]
    rest: dict[str, Any] = field(default_factory=dict)

    def get(self, key: str, otherwise: Any = None) -> Any:
        """The value of a key, or `otherwise` where it is missing or could not be read."""
        return self.values.get(key, otherwise)
