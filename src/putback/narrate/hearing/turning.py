"""One idea: who tells a job says where the way back begins: `so going back together`, `put it back together`."""

import re
from typing import Final

ENOUGH_OFF: Final = 3
"""So many things are off before the way back can begin."""
_LEADS: Final = r"(?:(?:so|right|now|okay|then|and|we're|we are|all|let's|it's time to|time to|i|we|get to),? )*"
_GOES_BACK: Final = (
    r"(?:going|coming|go) back"
    r"(?: (?:now|together|in|in reverse|the other way|then|so)\b|[.,\n]| (?=(?:the|new|in|its|with)\b))"
)
_TOGETHER: Final = (
    r"(?:put|putting) (?:it|her|him|everything|this|the lot|it all) (?:all )?back together|"
    r"back together\b|back we go\b|(?:the )?other way a?round\b|"
    r"reassembly\b|everything (?:is going|goes) (?:back )?in reverse|building up\b"
)
_TURNS_ROUND: Final = re.compile(f"{_LEADS}(?:{_GOES_BACK}|{_TOGETHER})")


def turns_round(low_text: str, start: int) -> bool:
    """Whether the words at a place of a text in small letters say that the way back begins."""
    return _TURNS_ROUND.match(low_text, start) is not None
