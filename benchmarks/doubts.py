"""Which signs of doubt tell wrong lines from right ones: how often each is found, and its share of wrong lines.

`python -m benchmarks.doubts FOLDER …` (folders as of `benchmarks.narrate`). The weights are fitted anew without each
eighth of the texts, and what is then marked and caught of these is added up: so it is on new voices.
"""

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log
from pathlib import Path
from typing import Final

from benchmarks.narrate import HERE, Text, _wrong_lines, matched, texts
from putback.narrate.lines.doubts import shown, signs
from putback.narrate.lines.draft import drafted, heard, links_in
from putback.narrate.lines.signs import TABLE, Sign
from putback.narrate.lines.twins import with_twins
from putback.narrate.phrase.phrases import pieces

ROUNDS: Final = 400
STEP: Final = 2.0
HELD: Final = 2.0
"""So strongly weights are held near nothing, as half of this times their squares."""
ODDS: Final = 0.3
"""Marked from these odds on that a line is wrong: three wrong to ten right."""
PARTS: Final = 8
"""The texts are left out in so many parts."""
GIVEN: Final = frozenset({Sign.TOLD, Sign.NO_UNIT, Sign.NO_NAME, Sign.ONLY_WEIGHED})
"""Always shown, whatever their share."""
MAY_SPEAK_AGAINST: Final = frozenset({Sign.SELDOM_WRONG})


@dataclass(frozen=True, slots=True)
class Line:
    """A line: its text, its signs, whether it is wrong, and whether it is shown as doubtful today."""

    text: str
    style: str
    signs: frozenset[Sign]
    wrong: bool
    marked: bool


def lines(text: Text) -> list[Line]:
    """All lines of a text."""
    said = heard(text.spoken)
    found = links_in(text.spoken, said)
    all_signs = signs(with_twins(said, found), found, pieces(text.spoken.text, text.spoken.breaks))
    draft = drafted(text.spoken)
    wrong = _wrong_lines(text, draft, matched(text.gold["ops"], draft.operations))
    return [
        Line(text.name, text.style, frozenset(sign for sign, _ in each), n in wrong, bool(shown(each)))
        for n, each in enumerate(all_signs)
    ]


def fitted(known: Sequence[Line]) -> tuple[dict[Sign, float], float]:
    """The weight of each sign, never below 0 but for what may speak against, and of a line: logarithms of odds."""
    weight = {sign: 0.0 for sign in Sign if sign not in GIVEN}
    often = {sign: 1 + sum(sign in one.signs for one in known) for sign in weight}
    base = 0.0
    for _ in range(ROUNDS):
        slope, rise = {sign: HELD * weight[sign] for sign in weight}, 0.0
        for one in known:
            mine = one.signs - GIVEN
            error = 1 / (1 + exp(-base - sum(weight[sign] for sign in mine))) - one.wrong
            rise += error
            for sign in mine:
                slope[sign] += error
        base -= STEP * rise / len(known)
        for sign in tuple(weight):
            weight[sign] -= STEP * slope[sign] / (4 * often[sign])
            if sign not in MAY_SPEAK_AGAINST:
                weight[sign] = max(0.0, weight[sign])
    return weight, base


def fitted_without(known: Sequence[Line]) -> dict[str, tuple[dict[Sign, float], float]]:
    """For each text the weights that are fitted without it, and without some others: so many fits take long."""
    names = sorted({one.text for one in known})
    found: dict[str, tuple[dict[Sign, float], float]] = {}
    for part in range(PARTS):
        left_out = set(names[part::PARTS])
        weights = fitted([one for one in known if one.text not in left_out])
        found |= dict.fromkeys(left_out, weights)
    return found


def marked_by(one: Line, weight: dict[Sign, float], base: float) -> bool:
    """Whether a line would be shown as doubtful with these weights."""
    worded = any(TABLE[sign][1] for sign in one.signs)
    return worded and (bool(one.signs & GIVEN) or base + sum(weight[sign] for sign in one.signs - GIVEN) >= log(ODDS))


def counted(known: Sequence[Line], marked: Iterable[bool]) -> str:
    """What is marked, and what of the wrong lines is caught."""
    row = list(zip(known, marked, strict=True))
    caught, wrong = sum(m for one, m in row if one.wrong), sum(one.wrong for one in known)
    return f"{sum(m for _, m in row) / max(len(row), 1):.2f} | {caught / max(wrong, 1):.2f} of {wrong}"


def main() -> None:
    """Print what each sign tells, and what is marked and caught by style."""
    found = [text for folder in sys.argv[1:] or [str(HERE / "texts")] for text in texts(Path(folder))]
    known = [one for text in found for one in lines(text)]
    weight, _ = fitted(known)
    print("| sign | weight | fitted | lines | wrong |\n|---|---|---|---|---|")
    for sign in sorted(Sign, key=lambda each: -TABLE[each][0]):
        with_it = [one for one in known if sign in one.signs]
        share = sum(one.wrong for one in with_it) / len(with_it) if with_it else 0.0
        print(f"| {sign.name} | {TABLE[sign][0]} | {10 * weight.get(sign, 0):.0f} | {len(with_it)} | {share:.2f} |")
    without = fitted_without(known)
    print("\n| style | marked | caught | marked, text left out | caught, text left out |\n|---|---|---|---|---|")
    for style in (*sorted({one.style for one in known}), "all"):
        some = [one for one in known if style in (one.style, "all")]
        left_out = counted(some, [marked_by(one, *without[one.text]) for one in some])
        print(f"| {style} | {counted(some, [one.marked for one in some])} | {left_out} |")


if __name__ == "__main__":
    main()
