"""How many keys a review takes: a program at the keys of the terminal, which are those of the page.

`python -m benchmarks.review [FOLDER …]` (default: the held out texts of the tests). Each text is reviewed twice:
*as heard*, where every row is confirmed, and *to its labels*, where each line is deleted, named, joined or added until
it is what the labels say. It is no person: a program reads nothing and never errs. What a person would need is
reckoned, not timed: 0.28 s a key and 1.35 s to decide at each place (keystroke-level model, from memory), 238 words a
minute for the words that are marked at each place and those that were not used (silent reading, from memory).
"""

import io
import re
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from rich.console import Console

from benchmarks.narrate import HERE, Text, matched, texts
from putback.adapters.stores import open_store
from putback.bay.reviews import Begun, ReviewHere, review_here, take_narration
from putback.core.operations import Verb
from putback.faces.cli.job_here import desk
from putback.faces.cli.review_keys import KEYS
from putback.faces.cli.review_session import Session, run
from putback.faces.keyboard import ENTER, letter
from putback.narrate.lines.said import Said
from putback.narrate.review.stops import HIGH_VOLTAGE, PLAIN, TORQUES, UNUSED, WRITE, Stop
from putback.narrate.review.words import answers_to

KEY_S, DECIDING_S, WORDS_A_MINUTE = 0.28, 1.35, 238
MOST_AT_ONE_PLACE: Final = 40
VERBS: Final[Mapping[str, str]] = {
    "loosen": "undo",
    "aside": "swing aside",
    "plug_in": "plug in",
    "torque": "tighten",
    "guard_on": "guard",
    "guard_off": "unguard",
    "scan": "read codes before",
    "verify": "prove dead",
    "replace": "renew",
    "bleed": "fill",
    "clear_codes": "note",
}
"""The verbs of labels by those of the program, where they differ."""


@dataclass(kw_only=True)
class Wanted:
    """What a person wants of each line, from the labels: verb, name, twin, or that it goes; and what is missing."""

    verbs: Mapping[int, str] = field(default_factory=dict)
    names: Mapping[int, str] = field(default_factory=dict)
    twins: Mapping[int, int] = field(default_factory=dict)
    gone: frozenset[int] = frozenset()
    missing: list[dict[str, Any]] = field(default_factory=list)


def wanted(text: Text, said: Sequence[Said]) -> Wanted:
    """What must be done to the lines of a text until they are as its labels say."""
    labels = text.gold["ops"]
    place = {id: said[n].n for id, n in matched(labels, said).items()}
    wrong = {
        one.n: label
        for one in said
        if one.n not in place.values()
        for label in labels
        if label["id"] not in place and one.start <= label["pos"] < one.end
    }
    verbs = {n: _verb(label) for n, label in wrong.items()}
    place |= {label["id"]: n for n, label in wrong.items()}
    names = {
        place[one["id"]]: str(one["object"])
        for one in labels
        if one["id"] in place and one.get("object") and not _share(one["object"], said[place[one["id"]] - 1].object)
    }
    twins = {place[back]: place[off] for back, off in reversed(text.gold["links"]) if back in place and off in place}
    gone = frozenset(one.n for one in said) - frozenset(place.values())
    missing = [one for one in labels if one["id"] not in place]
    return Wanted(verbs=verbs, names=names, twins=twins, gone=gone, missing=missing)


def _verb(label: Mapping[str, Any]) -> str:
    verb = VERBS.get(label["verb"], label["verb"])
    return verb if verb in set(Verb) else "note"


def _share(one: str, other: str) -> bool:
    return bool(set(re.findall(r"\w+", one.lower())) & set(re.findall(r"\w+", other.lower())))


class Person:
    """Keys, chosen at each place by what is wanted there; every key and every place is counted."""

    session: Session

    def __init__(self, want: Wanted, *, high_voltage: bool, lacking: Sequence[str]) -> None:
        self.want, self.high_voltage, self.lacking = want, high_voltage, lacking
        self.ahead: list[str] = []
        self.typed: list[str] = []
        self.looked: set[int] = set()
        self.read: set[int] = set()
        self.keys = self.places = self.words_read = self.unused_words = 0
        self._was, self._here = "", 0

    def key(self) -> str:
        """The next key."""
        stop = self.session.stop()
        self._arrive(stop)
        self.keys += 1
        return self.ahead.pop(0) if self.ahead else self._choose(stop)

    def words(self, ask: str, now: str = "") -> str:  # noqa: ARG002 - the program knows what is asked
        """A line that is typed, ended with Enter."""
        words = self.typed.pop(0) if self.typed else ""
        self.keys += len(words) + 1
        return words

    def _arrive(self, stop: Stop) -> None:
        self._here = self._here + 1 if stop.name == self._was else 0
        assert self._here < MOST_AT_ONE_PLACE, f"nothing goes on at {stop.name}"
        if self._here:
            return
        self._was = stop.name
        self.places += 1
        text = self.session.look.review.spoken.text
        lines = {one.key: one.said for row in stop.rows for one in row.lines if one.key not in self.read}
        self.read |= lines.keys()
        for said in lines.values():
            self.words_read += len(text[said.start : said.end].split()) + len(said.object.split()) + 1
        self.words_read += sum(len(one.text.split()) for one in stop.questions)
        if not self.unused_words and stop.name.startswith(UNUSED):
            self.unused_words = sum(len(text[slice(*span)].split()) for span in self.session.look.unused)

    def _choose(self, stop: Stop) -> str:
        if stop.name == PLAIN:
            return self._first_wrong(stop) or letter("plain")
        if stop.rows:
            return self._mended(stop) or self._answered(stop) or ENTER
        if stop.spans:
            return self._unused(stop)
        if stop.name == TORQUES:
            self.typed += ["22 N·m", "book page 4"] + ["22 N·m", "="] * (len(stop.questions) - 1)
        of_all = {
            HIGH_VOLTAGE: "1" if self.high_voltage else "2",
            TORQUES: letter("torques"),
            WRITE: letter("leave") if self.session.wrote else letter("write"),
        }
        return of_all.get(stop.name) or ("3" if any(kind in stop.name for kind in self.lacking) else "1")

    def _wrong(self, key: int) -> bool:
        want = self.want
        return key not in self.looked and (key in want.gone or key in want.names or key in want.verbs)

    def _first_wrong(self, stop: Stop) -> str:
        wrong = next((one.key for row in stop.rows for one in row.lines if self._wrong(one.key)), None)
        if wrong is None:
            return ""
        self.typed.append(str(wrong))
        return letter("go")

    def _mended(self, stop: Stop) -> str:
        keys = [one.key for one in stop.rows[0].lines]
        for at, key in enumerate(keys):
            if key in self.looked:
                continue
            self.looked.add(key)
            does = self._does(key, keys)
            if does:
                now = keys.index(self.session.chosen) if self.session.chosen in keys else 0
                self.ahead = [letter("line after")] * ((at - now) % len(keys)) + does
                return self.ahead.pop(0)
        return ""

    def _does(self, key: int, row: Sequence[int]) -> list[str]:
        if key in self.want.gone:
            return [letter("delete")]
        does = []
        if key in self.want.verbs:
            does.append(letter("verb"))
            self.typed.append(self.want.verbs[key])
        if key in self.want.names:
            does.append(letter("object"))
            self.typed.append(self.want.names[key])
        twin = self.want.twins.get(key)
        if twin is not None and twin not in row and self.session.look.review.line(twin) is not None:
            does.append(letter("twin"))
            self.typed.append(str(twin))
        return does

    def _answered(self, stop: Stop) -> str:
        asked = next((one for one in stop.questions if answers_to(one)), None)
        if asked is None:
            return ""
        return "3" if asked.kind in self.lacking else "1"

    def _unused(self, stop: Stop) -> str:
        """Of the words that were not used, each that lacks becomes a line; then nothing was done in the rest."""
        if stop.name != UNUSED:
            return letter("unused")
        places = ((n, label) for label in self.want.missing if (n := _place(label["pos"], stop.spans)))
        number, label = next(places, (0, None))
        if label is None:
            return letter("unused")
        self.want.missing.remove(label)
        self.typed += [str(number)] if len(stop.spans) > 1 else []
        self.typed += [_verb(label), label.get("object") or "thing"]
        return letter("new")


def _place(pos: int, spans: Sequence[tuple[int, int]]) -> int:
    """The number of the stretch in which a place stands; 0 for none."""
    return next((n for n, (start, end) in enumerate(spans, start=1) if start <= pos < end), 0)


def reviewed(text: Text, *, to_labels: bool) -> tuple[Person, ReviewHere]:
    """One text, reviewed to its end and written."""
    with tempfile.TemporaryDirectory() as folder, open_store(f"{folder}/s.db", create=True) as store:
        bay = desk(store, Path(folder))
        taken = take_narration(bay, text.data, name=f"{text.name}.srt", car="invented")
        assert isinstance(taken, Begun), taken
        here = review_here(bay, taken.review)
        assert isinstance(here, ReviewHere)
        want = wanted(text, [one.said for one in here.look.review.lines]) if to_labels else Wanted()
        lacking = tuple(one["type"] for one in text.gold["audit"])
        person = Person(want, high_voltage="no_dead_check" in lacking, lacking=lacking)
        out = Console(file=io.StringIO(), width=100)
        to = Path(folder) / "out.procedure.yaml"
        person.session = Session(bay=bay, here=here, person=None, keys=person, out=out, clears=False, to=to)
        run(person.session, KEYS)
        return person, person.session.here


def seconds(person: Person) -> float:
    """What a person would need, reckoned."""
    reading = (person.words_read + person.unused_words) / WORDS_A_MINUTE * 60
    return person.keys * KEY_S + person.places * DECIDING_S + reading


def row(text: Text) -> str:
    """One text: as heard, and to its labels."""
    cells: list[str] = [text.name, str(len(text.spoken.text.split()))]
    for to_labels in (False, True):
        person, here = reviewed(text, to_labels=to_labels)
        assert here.look.unconfirmed == 0
        cells += [str(person.places), str(person.keys), str(person.words_read), str(person.unused_words)]
        cells.append(f"{seconds(person) / 60:.1f}")
    return f"| {' | '.join(cells)} |"


def main() -> None:
    """Every text of the folders."""
    heads = ("places", "keys", "words", "unused", "min reckoned")
    print(
        f"| text | said | {' | '.join(f'{one}, as heard' for one in heads)} | "
        f"{' | '.join(f'{one}, to labels' for one in heads)} |"
    )
    print("|---" * 12 + "|")
    for folder in [Path(word) for word in sys.argv[1:]] or [HERE / "held_out"]:
        for text in texts(folder):
            print(row(text), flush=True)


if __name__ == "__main__":
    main()
