"""One idea: the gate of a proof says in plain words whose proof stands, or what is still missing of one."""

from bisect import bisect_right
from datetime import timedelta
from functools import partial

from putback.core.car import Energy, Proof
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.clocks import earliest
from putback.core.gates.gate import VALUE_NEEDED_ASK, Clock, Gate, GateKind
from putback.core.gates.people import is_personal
from putback.core.gates.proofs import Proved, begun, proofs, read_against, standing, void, why_not
from putback.core.gates.readings import values_needed
from putback.core.operations import Verb

PROVE_FIRST = "prove the instrument on a known source"
PROVE_AGAIN = "prove the instrument on the known source again"
SAY_SO = "log it as proved gone"


def proof_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """Whether the person at work has a proof of an energy that stands."""
    return case.once_at(moment, ("proof", energy.id), lambda: _proof_gate(case, energy, moment))


def _proof_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    kind, proof = GateKind.PROOF, energy.proof
    if proof is None or "proof" in values_needed(energy):
        why = f"no source gives how {case.name(energy.id)} is proved gone, or its limit"
        return Gate(
            kind=GateKind.VALUE_NEEDED,
            energy=energy.id,
            open=False,
            why=why,
            opens=VALUE_NEEDED_ASK,
            lacks=("proof",),
        )
    made = standing(case, energy, moment)
    if made and (made.person == moment.person or not is_personal(case, energy)):
        why = f"{case.who(made.person)} proved it at {made.said.at:%H:%M}: {proof_words(proof)} ({proof.source})"
        return Gate(kind=kind, energy=energy.id, open=True, why=why, clock=_window(proof, made.first))
    lacks, clock = _missing(case, energy, proof, moment)
    why = _why_shut(case, energy, made, moment) or "not proved yet"
    opens = f"{proof_words(proof)}: {', '.join(lacks)}"
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=opens, lacks=lacks, clock=clock)


def proof_words(proof: Proof) -> str:
    """How an energy is proved, in words."""
    if proof.points:
        return f"prove, test {', '.join(proof.points)} at most {proof.at_most}, prove again"
    return f"{proof.measure} at most {proof.at_most}" if proof.measure else proof.check or ""


def _window(proof: Proof, first: Fact) -> Clock | None:
    if proof.within_minutes is None:
        return None
    began = earliest(first)
    return Clock(started=began, ends=began + timedelta(minutes=proof.within_minutes))


def _why_shut(case: Case, energy: Energy, made: Proved | None, moment: Moment) -> str | None:
    """The plainest reason: whose proof it is, what a reading said, what voided the last one, what was missing."""
    upto = case.count(moment)
    if made:
        return f"the proof is {case.who(made.person)}'s, and holds for nobody else"
    against = _spoken_against(case, energy, upto)
    had = proofs(case, energy, upto)
    if against and (not had or against[0].place > had[0].said.place):
        return against[1]
    if had:
        return f"the proof of {case.who(had[0].person)} is void: {void(case, energy, had[0], moment)}"
    for fact in reversed(case.says_of(Verb.PROVE_DEAD, energy.id, upto)):
        why = case.once(("why not", energy.id, fact.place), partial(why_not, case, energy, fact))
        if why:
            return why
    return None


def _spoken_against(case: Case, energy: Energy, upto: int) -> tuple[Fact, str] | None:
    """The last reading or check up to a place that speaks against a proof, and its words."""
    every = case.once(
        ("against", energy.id),
        lambda: tuple((fact, why) for fact in case.facts if (why := read_against(energy, fact))),
    )
    found = bisect_right(every, upto, key=lambda pair: pair[0].place)
    return every[found - 1] if found else None


def _missing(case: Case, energy: Energy, proof: Proof, moment: Moment) -> tuple[tuple[str, ...], Clock | None]:
    """What the person at work still has to do for a proof, and the window that runs meanwhile."""
    if not proof.points:
        return (proof_words(proof), SAY_SO), None
    made = begun(case, energy, proof, moment)
    if made is None:
        return (PROVE_FIRST, *(f"test {pair}" for pair in proof.points), PROVE_AGAIN, SAY_SO), None
    lacks = [f"test {pair}" for pair in proof.points if pair not in made.tested]
    return (*lacks, *(() if made.again else (PROVE_AGAIN,)), SAY_SO), _window(proof, made.first)
