"""The labelled narrations of this folder, all invented, and how the operations of one are matched with its labels.

An operation is found when its span covers the label's place (or begins within 45 signs of it) and its verb is of the
same group. Labels were written before the texts were first read by the program.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from putback.narrate.hearing.understand import operations
from putback.narrate.lines.said import Said
from putback.narrate.text.captions import Heard, read_narration
from putback.narrate.text.spoken import Spoken

TEXTS = Path(__file__).with_name("texts")
NEAR = 45
GROUPS: Mapping[str, str] = {
    **dict.fromkeys(["remove", "loosen", "unplug", "undo", "part"], "off"),
    **dict.fromkeys(["fit", "plug_in", "plug in", "start", "join", "swing back"], "on"),
    **dict.fromkeys(["aside", "swing aside"], "aside"),
    **dict.fromkeys(["scan", "read codes before", "read codes after"], "scan"),
    **dict.fromkeys(["guard", "guard_on"], "guard"),
    **dict.fromkeys(["unguard", "guard_off"], "unguard"),
    **dict.fromkeys(["tighten", "torque"], "tighten"),
    **dict.fromkeys(["renew", "replace"], "renew"),
    **dict.fromkeys(["note", "bleed", "clear_codes"], "note"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How many labels there are, how many operations were heard, and the pairs that match."""

    labels: int
    heard: int
    pairs: tuple[tuple[Mapping[str, Any], Said], ...]

    @property
    def f1(self) -> float:
        """Harmonic mean of precision and recall of the operations."""
        return 2 * len(self.pairs) / (self.labels + self.heard)


def text_of(name: str) -> Spoken:
    """A narration of this folder as spoken text."""
    file = next(path for path in TEXTS.glob(f"{name}.*") if path.suffix != ".json")
    heard = read_narration(file.read_bytes(), file.name)
    assert isinstance(heard, Heard)
    return heard.spoken


def scored(name: str) -> Score:
    """How the operations of a narration match its labels."""
    labels = json.loads((TEXTS / f"{name}.gold.json").read_text(encoding="utf-8"))["ops"]
    said = operations(text_of(name))
    return Score(labels=len(labels), heard=len(said), pairs=tuple(_matched(labels, said)))


def _matched(labels: Sequence[Mapping[str, Any]], said: Sequence[Said]) -> Iterator[tuple[Mapping[str, Any], Said]]:
    left = list(said)
    for label in labels:
        near = [(_distance(one, label), k) for k, one in enumerate(left) if _group(one.verb) == _group(label["verb"])]
        best = min(near, default=(NEAR + 1, 0))
        if best[0] <= NEAR:
            yield label, left.pop(best[1])


def _distance(one: Said, label: Mapping[str, Any]) -> int:
    place = int(label["pos"])
    return 0 if one.start <= place < one.end else abs(one.start - place)


def _group(verb: str) -> str:
    return GROUPS.get(verb, verb)
