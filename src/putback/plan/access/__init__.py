"""One idea: the least that must come off to reach the targets, over all ways of reaching each joint, proved.

`solve` gives the answer, `alternatives` the next best ones, `closure_many` the work of many targets at once on
cars without ways, `verify` checks an answer from the definition.
"""

from putback.plan.access.alternatives import alternatives
from putback.plan.access.answer import solve
from putback.plan.access.closures import Closures, closure_many
from putback.plan.access.problem import (
    AccessAnswer,
    AccessProblem,
    Alternatives,
    Choice,
    DeadChoice,
    DeadWay,
    Unreachable,
    Way,
    WhyDead,
)
from putback.plan.access.verify import verify

__all__ = [
    "AccessAnswer",
    "AccessProblem",
    "Alternatives",
    "Choice",
    "Closures",
    "DeadChoice",
    "DeadWay",
    "Unreachable",
    "Way",
    "WhyDead",
    "alternatives",
    "closure_many",
    "solve",
    "verify",
]
