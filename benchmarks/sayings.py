"""How broadly single sayings are understood: operations, and their numbers, in short sayings that people labelled.

`python -m benchmarks.sayings`. A saying has no places of its labels: an operation is found when one of its group was
heard in the saying, the one whose name is most like the label's first. Most sayings tell of the way back without the
way in; a whole narration is understood better (`benchmarks.narrate`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.narrate import GROUPS, Tally
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.draft import drafted
from putback.narrate.lines.said import Said
from putback.narrate.text.spoken import Spoken

HERE = Path(__file__).parent.parent / "tests" / "narrate" / "sayings"
FILES = ("learned_from", "unread")
STYLES = ("terse", "sentences", "talk")
_FITS_TOO = {"renew": "on", "replace": "on"}
"""A new part in the place of the old may be heard as fitted: the texts label it so where the old one came off."""


@dataclass(frozen=True, slots=True)
class Label:
    """One operation that was said, with the numbers that were said of it; empty where none was."""

    verb: str
    name: str
    count: str
    size: str
    torque: str


@dataclass(slots=True)
class Score:
    """What is counted of some sayings."""

    sayings: int = 0
    clean: int = 0
    operations: Tally = field(default_factory=Tally)
    counts: Tally = field(default_factory=Tally)
    sizes: Tally = field(default_factory=Tally)
    torques: Tally = field(default_factory=Tally)

    def with_saying(self, labels: Sequence[Label], said: Sequence[Said]) -> None:
        """Count one more saying."""
        pairs = list(_pairs(labels, said))
        self.sayings += 1
        self.clean += len(pairs) == len(labels) == len(said)
        self.operations.add(len(pairs), len(said), len(labels))
        for label, one in pairs:
            for tally, told, heard in (
                (self.counts, label.count, str(one.count or "")),
                (self.sizes, label.size, one.size or ""),
                (self.torques, label.torque.partition("+")[0], one.torque or ""),
            ):
                if told or heard:
                    tally.add(told == heard, 1, 1)


def sayings(name: str) -> Iterator[tuple[str, str, list[Label]]]:
    """Style, saying and labels of each line of a file."""
    for line in (HERE / f"{name}.tsv").read_text("utf-8").splitlines():
        style, text, told = line.split("\t")
        yield style, text, [_label(one) for one in told.split(";") if one.strip()]


def _label(told: str) -> Label:
    verb, name, count, size, torque = ([*(part.strip() for part in told.split("|")), "", "", "", ""])[:5]
    return Label(verb, name, count, size, torque)


def _pairs(labels: Sequence[Label], said: Sequence[Said]) -> Iterator[tuple[Label, Said]]:
    """Each label with the operation that was heard for it."""
    left = list(said)
    for label in labels:
        wanted = {_group(label.verb), _FITS_TOO.get(label.verb, "")}
        alike = [one for one in left if _group(one.verb) in wanted or _FITS_TOO.get(one.verb, "-") in wanted]
        if alike:
            best = max(alike, key=lambda one: len(set(words_of_name(label.name)) & set(words_of_name(one.object))))
            left.remove(best)
            yield label, best


def _group(verb: str) -> str:
    return GROUPS.get(verb, verb)


def row(name: str, style: str, score: Score) -> str:
    """One row of the table."""
    one = score.operations
    share = score.clean / max(score.sayings, 1)
    return (
        f"| {name} | {style} | {score.sayings} | {share:.2f} | {one.f1:.3f} | "
        f"{one.precision:.3f} | {one.recall:.3f} | {score.counts.f1:.2f} | {score.sizes.f1:.2f} | "
        f"{score.torques.precision:.2f} |"
    )


def main() -> None:
    """Print the table."""
    print("| sayings | style | number | all right | operations F1 | precision | recall | count | size | torques |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    for name in FILES:
        scores = {style: Score() for style in (*STYLES, "all")}
        for style, text, labels in sayings(name):
            said = drafted(Spoken(text=text)).operations
            scores[style].with_saying(labels, said)
            scores["all"].with_saying(labels, said)
        for style, score in scores.items():
            print(row(name, style, score))


if __name__ == "__main__":
    main()
