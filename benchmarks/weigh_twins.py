"""How much the clues of twins weigh: of all that a line may undo, or nothing, the labelled one is made likeliest.

`python -m benchmarks.weigh_twins [FOLDER …]` (folders as of `benchmarks.narrate`; default: the texts that are learned
from) writes `putback/narrate/weighing/twins.csv` (docs/decisions/0014-twins.md). Lines are taken as they are heard,
and once more as they are labelled. `--apart` writes nothing: it says how well links are found in each fifth of the
texts with weights that were fitted without it.
"""

import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from benchmarks.narrate import HERE, Score, Text, from_labels, labelled, matched, texts
from benchmarks.weigh import write_table
from putback.narrate.lines.aliases import NO_ALIASES
from putback.narrate.lines.around import Around, around
from putback.narrate.lines.draft import drafted, heard
from putback.narrate.lines.said import Said
from putback.narrate.lines.twin_clues import Line, of_none
from putback.narrate.lines.twins import Candidate, Choice, TwinSearch
from putback.narrate.phrase.reading import read
from putback.narrate.weighing import weights
from putback.narrate.weighing.weights import Weights

SELDOM: Final = 10
"""A clue of fewer pairs than this is no clue."""
HELD: Final = 1.0
"""So strongly weights are held near nothing, as half of this times their squares."""
LEAST: Final = 15
"""Weights below this, in hundredths, are left out of the table."""
FOLDS: Final = 5

Case = tuple[tuple[tuple[str, ...], bool], ...]
"""The clues of each line that one may undo and, last, of none; and whether it is the labelled one."""


class LabelledSearch(TwinSearch):
    """Chooses what the labels say, and keeps the cases that it saw."""

    def __init__(self, said: Sequence[Said], there: Around, twins: Mapping[int, frozenset[int]]) -> None:
        super().__init__(said, NO_ALIASES, there)
        self.twins = twins
        self.cases: list[Case] = []

    def choose(self, back: Line, tried: Sequence[Candidate]) -> Choice | None:
        right = self.twins[back.said.n]
        row = [(each.clues, each.line.said.n in right) for each in tried]
        found = [each for each in tried if each.line.said.n in right]
        self.cases.append((*row, (tuple(of_none(back.said, back.words)), not found)))
        return Choice(best=found[0], row=[(0, each) for each in tried], none=0) if found else None


def cases(text: Text, said: Sequence[Said]) -> list[Case]:
    """All cases of a text, by the labels that were matched with its lines."""
    place = matched(text.gold["ops"], said)
    number = {id: said[n].n for id, n in place.items()}
    twins: dict[int, frozenset[int]] = {one.n: frozenset() for one in said}
    for back, way_in in text.gold["links"]:
        if back in number and way_in in number:
            twins[number[back]] |= {number[way_in]}
    row = read(text.spoken.text, text.spoken.breaks).segments
    search = LabelledSearch(said, around(said, row), twins)
    search.search()
    return search.cases


def fitted(known: Sequence[Case]) -> Weights:
    """The weights that make what is labelled the likeliest of what each line may undo, held near nothing."""
    often = Counter(clue for case in known for clues, _ in case for clue in clues)
    kept = sorted(clue for clue, pairs in often.items() if pairs >= SELDOM)
    place = {clue: n for n, clue in enumerate(kept)}
    rows = [(n, clues, right) for n, case in enumerate(known) for clues, right in case]
    at = [(n, place[clue]) for n, (_, clues, _) in enumerate(rows) for clue in set(clues) if clue in place]
    row, column = zip(*at, strict=True)
    matrix = csr_matrix((np.ones(len(at)), (row, column)), shape=(len(rows), len(kept)))
    of = np.array([n for n, _, _ in rows])
    right = np.array([right for _, _, right in rows], dtype=float)
    found = np.rint(_fit(matrix, of, right) * weights.HUNDREDTHS).astype(int).tolist()
    return Weights(("twin",), (0,), {clue: (one,) for clue, one in zip(kept, found, strict=True) if abs(one) >= LEAST})


def _fit(matrix: Any, of: Any, right: Any) -> Any:
    several = of[-1] + 1

    def loss(weight: Any) -> tuple[float, Any]:
        odds = matrix @ weight
        most = np.full(several, -np.inf)
        np.maximum.at(most, of, odds)
        share = np.exp(odds - most[of])
        whole = np.bincount(of, share, several)
        labelled = np.bincount(of, share * right, several)
        error = share / whole[of] - share * right / labelled[of]
        return (
            float((np.log(whole) - np.log(labelled)).sum() + HELD * (weight @ weight) / 2),
            matrix.T @ error + HELD * weight,
        )

    return minimize(loss, np.zeros(matrix.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x


def links_of(found: Sequence[Text], table: Weights) -> dict[str, Score]:
    """How well links are found with a table of weights, by style, and where the labels are fed in."""
    weights.use("twins", table)
    scores: dict[str, Score] = {}
    for text in found:
        draft = drafted(text.spoken)
        for name in (text.style, "all"):
            scores.setdefault(name, Score()).with_text(text, draft)
        scores.setdefault("labels fed in", Score()).with_text(text, from_labels(text))
    weights.use("twins", None)
    return scores


def main() -> None:
    """Write the table, or say how well links are found in texts that were left out."""
    apart = "--apart" in sys.argv[1:]
    folders = [Path(one) for one in sys.argv[1:] if one != "--apart"] or [HERE / "texts"]
    found = [text for folder in folders for text in texts(folder)]
    known = [[*cases(text, heard(text.spoken)), *cases(text, labelled(text))] for text in found]
    if not apart:
        write_table(fitted([case for each in known for case in each]), "twins")
        return
    for fold in range(FOLDS):
        others = [case for n, each in enumerate(known) if n % FOLDS != fold for case in each]
        scores = links_of([text for n, text in enumerate(found) if n % FOLDS == fold], fitted(others))
        print(fold, {name: round(score.links.f1, 3) for name, score in sorted(scores.items())})


if __name__ == "__main__":
    main()
