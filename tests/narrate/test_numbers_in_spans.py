"""No number is made up: count, size and torque of an operation stand in the words of its span.

Words for numbers are read here by a table of this file (English number words), and not by the program.
"""

import itertools
import re
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from putback.core.finding import Finding
from putback.narrate.hearing.understand import operations
from putback.narrate.lines.said import Said
from putback.narrate.text.captions import read_narration
from putback.narrate.text.spoken import Spoken

HERE = Path(__file__).parent
ONES = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen"
TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
WORDS = {word: value for value, word in enumerate(ONES.split(), 1)} | {"eighteen": 18, "nineteen": 19}
WORDS |= {word: 10 * value for value, word in enumerate(TENS.split(), 2)}
WORDS |= {"hundred": 100, "couple": 2, "pair": 2, "both": 2}
WORDS |= {f"{word}s": value for word, value in WORDS.items()} | {"thirties": 30, "twenties": 20}
PARTS = {"half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16}
TEXTS = sorted(path for path in HERE.rglob("*") if path.suffix in {".txt", ".srt", ".vtt"} and path.parent != HERE)


def figures(text: str) -> set[str]:
    """The digits that a stretch of text may stand for, in numerals or in words."""
    found = set(re.findall(r"\d+", text))
    words = re.findall(r"[a-z]+", text.lower())
    values = [WORDS[word] for word in words if word in WORDS]
    found |= {str(value) for value in values}
    found |= {str(one + two) for one, two in itertools.pairwise(values)}
    found |= {str(one * 100 + two) for one, two in itertools.pairwise(values)}
    found |= {str(one * 100) for one, two in itertools.pairwise(values) if two == 100}
    found |= {str(a + b + c) for a, b, c in zip(values, values[1:], values[2:], strict=False) if a == 100}
    found |= {str(a * 100 + b + c) for a, b, c in zip(values, values[1:], values[2:], strict=False)}
    found |= {str(a * 100 + c) for a, b, c in zip(values, values[1:], values[2:], strict=False) if b == 100}
    found |= {str(a * 100 + c + d) for a, b, c, d in zip(values, values[1:], values[2:], values[3:], strict=False)}
    found |= {"5" for before, word in itertools.pairwise(words) if (before, word) == ("a", "half")}
    found |= {str(PARTS[part]) for part in PARTS for word in words if word.startswith(part)}
    return found


def made_up(one: Said, text: str) -> list[str]:
    """The figures of an operation that its words do not have; one is also said by `the bolt`, two by `both`."""
    said = figures(text[one.start : one.end])
    count = [] if one.count in (None, 1) else [str(one.count)]
    wanted = [*count, *re.findall(r"\d+", one.size or ""), *re.findall(r"\d+", one.torque or "")]
    return [figure for figure in wanted if figure not in said and not (figure == "1" and "/" in (one.size or ""))]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_every_number_of_a_narration_stands_in_its_span(path: Path) -> None:
    heard = read_narration(path.read_bytes(), path.name)
    assert not isinstance(heard, Finding)
    text = heard.spoken.text
    assert [(one.verb, one.object, made_up(one, text)) for one in operations(heard.spoken) if made_up(one, text)] == []


ROW = (
    "undo|take|put|torque|the|four|two|ten|mil|thirteen|bolts|bolt|nuts|screws|off|out|back|in|on|to|newton metres|"
    "cover|pump|both|of them|the other two|tens|T30|,|.|and|then|one|twenty|five|x3|8 mm|hose|clamp|all|left|"
    "same on the other side|foot pounds|half inch|with a|socket|hundred"
)
SAID = st.sampled_from(ROW.split("|"))


@settings(max_examples=400, deadline=None)
@example(["four", "hundred", "bolts", "out"])
@example(["hundred", "twenty", "one", "bolts", "out"])
@given(st.lists(SAID, max_size=30))
def test_no_row_of_words_gives_a_number_that_is_not_in_it(words: list[str]) -> None:
    text = " ".join(words)
    assert [(one, made_up(one, text)) for one in operations(Spoken(text=text)) if made_up(one, text)] == []
