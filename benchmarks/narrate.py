"""How well narrations are understood, against texts that people labelled: every field, each text and each style.

`python -m benchmarks.narrate [FOLDER …]` (default: the invented texts of the tests, or the folder that the variable
PUTBACK_NARRATIONS names). A folder holds NAME.txt|srt|vtt with NAME.gold.json (`ops`, `links`, `audit`). An operation
is found when its span covers the label's place, or begins within 45 signs of it, and its verb is of the same group.
"""

import json
import os
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from putback.core.finding import Finding
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.corrected import Corrected, read_corrected
from putback.narrate.lines.draft import Draft, drafted, of_operations
from putback.narrate.lines.questions import Asked
from putback.narrate.lines.said import Said
from putback.narrate.text.captions import read_narration
from putback.narrate.text.spoken import Spoken

HERE = Path(__file__).parent.parent / "tests" / "narrate"
NEAR = 45
FIELDS = ("count", "size", "kind", "torque")
LEFT_OUT = {"always_asked", "same_as"}
GROUPS: Mapping[str, str] = {
    **dict.fromkeys(("remove", "loosen", "unplug", "undo", "part"), "off"),
    **dict.fromkeys(("fit", "plug_in", "plug in", "start", "join", "swing back", "unfold"), "on"),
    **dict.fromkeys(("aside", "swing aside", "fold"), "aside"),
    **dict.fromkeys(("scan", "read codes before", "read codes after"), "scan"),
    **dict.fromkeys(("verify", "prove dead"), "verify"),
    **dict.fromkeys(("guard_on", "guard"), "guard"),
    **dict.fromkeys(("guard_off", "unguard"), "unguard"),
    **dict.fromkeys(("tighten", "torque"), "tighten"),
    **dict.fromkeys(("replace", "renew"), "renew"),
    **dict.fromkeys(("bleed", "clear_codes", "note"), "note"),
}
STYLES = {"terse": 9.0, "sentences": 26.0}
"""Words to a sentence, at most; what has more is a story told without stops."""


@dataclass(slots=True)
class Tally:
    """Right, given and wanted; F1 of them."""

    right: int = 0
    given: int = 0
    wanted: int = 0

    def add(self, right: int, given: int, wanted: int) -> None:
        """Count one more text."""
        self.right, self.given, self.wanted = self.right + right, self.given + given, self.wanted + wanted

    @property
    def precision(self) -> float:
        """The share of what was given that is right; 1 where nothing was given."""
        return self.right / self.given if self.given else 1.0

    @property
    def recall(self) -> float:
        """The share of what was wanted that was given."""
        return self.right / self.wanted if self.wanted else 1.0

    @property
    def f1(self) -> float:
        """Twice the right ones over all that was given and wanted."""
        return 2 * self.right / (self.given + self.wanted) if self.given + self.wanted else 1.0


@dataclass(slots=True)
class Score:
    """All that is counted of one text, or of several."""

    texts: int = 0
    operations: Tally = field(default_factory=Tally)
    links: Tally = field(default_factory=Tally)
    audit: Tally = field(default_factory=Tally)
    torques: Tally = field(default_factory=Tally)
    fields: dict[str, Tally] = field(default_factory=lambda: {name: Tally() for name in FIELDS})
    caught: Tally = field(default_factory=Tally)
    marked: Tally = field(default_factory=Tally)

    def with_text(self, text: "Text", draft: Draft) -> "Score":
        """Count one more text."""
        place = matched(text.gold["ops"], draft.operations)
        self.texts += 1
        self.operations.add(len(place), len(draft.operations), len(text.gold["ops"]))
        self._links(text, draft, place)
        self._fields(text, draft, place)
        self._doubts(text, draft, place)
        self.audit.add(*_audit(text.gold["audit"], draft))
        return self

    def _links(self, text: "Text", draft: Draft, place: Mapping[str, int]) -> None:
        mine, theirs = _links_given(draft, place), {(back, way_in) for back, way_in in text.gold["links"]}
        self.links.add(len(mine & theirs), len(mine), len(theirs))

    def _fields(self, text: "Text", draft: Draft, place: Mapping[str, int]) -> None:
        for label in text.gold["ops"]:
            said = draft.operations[place[label["id"]]] if label["id"] in place else None
            for name in FIELDS:
                if said is not None and (label[name] is not None or getattr(said, name) is not None):
                    self.fields[name].add(label[name] == getattr(said, name), 1, 1)
        wanted = Counter(label["torque"] for label in text.gold["ops"] if label["torque"])
        given = Counter(one.torque for one in draft.operations if one.torque)
        right = sum(
            label["torque"] is not None and label["torque"] == draft.operations[place[label["id"]]].torque
            for label in text.gold["ops"]
            if label["id"] in place
        )
        self.torques.add(right, given.total(), wanted.total())

    def _doubts(self, text: "Text", draft: Draft, place: Mapping[str, int]) -> None:
        wrong = _wrong_lines(text, draft, place)
        doubted = {n for n, one in enumerate(draft.operations) if one.doubts}
        self.caught.add(len(wrong & doubted), len(wrong), len(wrong))
        self.marked.add(len(doubted), len(draft.operations), len(draft.operations))


@dataclass(frozen=True, slots=True)
class Text:
    """One text with its labels."""

    name: str
    data: bytes
    spoken: Spoken
    gold: dict[str, Any]

    @property
    def style(self) -> str:
        """How it is told, by the words to a sentence."""
        given = self.gold.get("style")
        if given:
            return str(given)
        stops = len(re.findall(r"[.!?](?=\s|$)", self.spoken.text)) or 1
        words = len(self.spoken.text.split()) / stops
        return next((style for style, most in STYLES.items() if words <= most), "story")


def matched(labels: Sequence[Mapping[str, Any]], said: Sequence[Said]) -> dict[str, int]:
    """For each label that was found, the place of its operation: the nearest pairs of the same group, each once.

    Of several on one place ("the same on the right") each goes to the one whose name is most like its own.
    """
    pairs = sorted(
        (_far(one, label["pos"]), abs(one.start - label["pos"]), -_like(one, label), k, n)
        for k, label in enumerate(labels)
        for n, one in enumerate(said)
        if _group(one.verb) == _group(label["verb"]) and _far(one, label["pos"]) <= NEAR
    )
    place: dict[str, int] = {}
    for *_, k, n in pairs:
        if labels[k]["id"] not in place and n not in place.values():
            place[labels[k]["id"]] = n
    return place


def _like(one: Said, label: Mapping[str, Any]) -> int:
    """How many words two names share."""
    return len(set(words_of_name(one.object)) & set(words_of_name(label["object"])))


def _far(one: Said, place: int) -> int:
    """How far an operation begins from a place, in signs; 0 where its span covers it."""
    return 0 if one.start <= place < max(one.end, one.start + 1) else abs(one.start - place)


def _group(verb: str) -> str:
    return GROUPS.get(verb, verb)


def _links_given(draft: Draft, place: Mapping[str, int]) -> set[tuple[str, str]]:
    label = {n: id for id, n in place.items()}
    at = {one.n: n for n, one in enumerate(draft.operations)}
    return {
        (label.get(n, f"line {one.n}"), label.get(at[twin], f"line {twin}"))
        for n, one in enumerate(draft.operations)
        if one.twin is not None
        for twin in (one.twin, *one.also)
    }


def _wrong_lines(text: Text, draft: Draft, place: Mapping[str, int]) -> set[int]:
    """Lines that are no labelled operation, or have a field or a twin other than the label."""
    label = {n: next(one for one in text.gold["ops"] if one["id"] == id) for id, n in place.items()}
    theirs = {(back, way_in) for back, way_in in text.gold["links"]}
    linked = {back for back, _ in theirs}
    given = dict(sorted(_links_given(draft, place)))
    wrong = set()
    for n, one in enumerate(draft.operations):
        known = label.get(n)
        if known is None or any(known[name] != getattr(one, name) for name in FIELDS):
            wrong.add(n)
            continue
        way_in = given.get(known["id"])
        if (known["id"], way_in) not in theirs and (way_in is not None or known["id"] in linked):
            wrong.add(n)
    return wrong


def _audit(labels: Sequence[Mapping[str, str]], draft: Draft) -> tuple[int, int, int]:
    asked = [question for question in draft.questions if question.kind not in LEFT_OUT]
    left = list(asked)
    right = 0
    for label in labels:
        hit = next((one for one in left if one.kind == label["type"] and _about(one, draft, label["object"])), None)
        if hit is not None:
            left.remove(hit)
            right += 1
    return right, len(asked), len(labels)


def _about(question: Asked, draft: Draft, thing: str) -> bool:
    """Whether a question is about a thing: its operation, or what it names before its colon, shares a word with it."""
    if not thing:
        return True
    of_it = next((one.object for one in draft.operations if one.n == question.operation), question.text)
    named = f"{of_it} {question.text.partition(':')[0]}"
    return bool(set(words_of_name(thing)) & set(words_of_name(re.sub(r"[^\w\s]", " ", named))))


def texts(folder: Path) -> list[Text]:
    """Every labelled text of a folder."""
    found = []
    for gold in sorted(folder.glob("*.gold.json")):
        name = gold.name.removesuffix(".gold.json")
        path = next(folder / f"{name}{end}" for end in (".txt", ".srt", ".vtt") if (folder / f"{name}{end}").exists())
        heard = read_narration(path.read_bytes(), path.name)
        if isinstance(heard, Finding):
            raise SystemExit(str(heard))
        labels = json.loads(gold.read_text("utf-8"))
        for label in labels["ops"]:
            for key in FIELDS:
                label.setdefault(key, None)
        found.append(Text(name, path.read_bytes(), heard.spoken, labels))
    return found


def from_labels(text: Text) -> Draft:
    """The draft that comes of the labels themselves, as if a person had corrected every line."""
    return of_operations(labelled(text), spoken=text.spoken)


def labelled(text: Text) -> tuple[Said, ...]:
    """The labels as operations, without twins."""
    read = read_corrected(json.dumps(text.gold["ops"]).encode(), text.name)
    assert isinstance(read, Corrected), read
    return read.operations


def row(name: str, score: Score) -> str:
    """One line of the table."""
    cells = [
        f"{score.operations.f1:.3f}",
        f"{score.links.f1:.3f}",
        *(f"{score.fields[name].recall:.3f}" for name in FIELDS),
        f"{score.torques.precision:.2f} / {score.torques.recall:.2f}",
        f"{score.audit.recall:.2f} / {score.audit.precision:.2f}",
        f"{score.caught.recall:.2f} of {score.caught.wanted}",
        f"{score.marked.recall:.2f}",
    ]
    return f"| {name} | " + " | ".join(cells) + " |"


def table(found: Sequence[Text], draft_of: Any) -> list[str]:
    """A table of all texts, each style and all together."""
    rows = [
        "| text | operations F1 | links F1 | count | size | kind | torque | torque prec. / rec. "
        "| audit rec. / prec. | wrong lines caught | lines marked |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    drafts = [(text, draft_of(text)) for text in found]
    rows += [row(f"{text.name} ({text.style})", Score().with_text(text, draft)) for text, draft in drafts]
    for style in sorted({text.style for text in found}):
        rows.append(row(f"**{style}**", _pooled((t, d) for t, d in drafts if t.style == style)))
    rows.append(row("**all**", _pooled(drafts)))
    return rows


def _pooled(drafts: Iterable[tuple[Text, Draft]]) -> Score:
    score = Score()
    for text, draft in drafts:
        score.with_text(text, draft)
    return score


def words_a_second(found: Sequence[Text]) -> float:
    """How fast texts are drafted: all of them one after another as one text, for about 30,000 words."""
    whole = "\n".join(text.spoken.text for text in found)
    whole = "\n".join([whole] * max(1, 30_000 // max(len(whole.split()), 1)))
    begun = time.perf_counter()
    drafted(Spoken(text=whole))
    return len(whole.split()) / (time.perf_counter() - begun)


def main() -> None:
    """Print the tables of every folder that is named."""
    named = sys.argv[1:] or [os.environ.get("PUTBACK_NARRATIONS", "")]
    folders = [Path(one) for one in named if one] or [HERE / "texts", HERE / "held_out", HERE / "unseen"]
    for folder in folders:
        found = texts(folder)
        if not found:
            print(f"no NAME.gold.json in {folder}")
            raise SystemExit(2)
        print(f"\n{folder.name}: as heard\n")
        print("\n".join(table(found, lambda text: drafted(text.spoken))))
        print(f"\n{folder.name}: the labels fed in, as after a person's review\n")
        print("\n".join(table(found, from_labels)))
        print(f"\n{words_a_second(found):,.0f} words/s")


if __name__ == "__main__":
    main()
