"""One idea: an order of steps is written out as the operations a person does, each with its twin.

What goes along with a step is added beside it: a support before the first joint, a plug as soon as a port opens,
the new part before the old one's place is closed, the last look before what covers it.
"""

from putback.plan.write.run import Written, write
from putback.plan.write.words import proof_text

__all__ = ["Written", "proof_text", "write"]
