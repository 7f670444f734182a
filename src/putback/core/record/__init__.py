"""One idea: the record of a job is a list of events that only grows, chained by hash and folded into the state.

Nothing edits or deletes; a mistake is mended by a later event, and an event that does not fit is kept and becomes
a finding. People's data stands outside, under ids.
"""

from putback.core.record.canonical import Json, NotCanonical, canonical_bytes, read_json
from putback.core.record.chain import Head, KeptHead, Link, NotAHead, follows, genesis, head_of, link_hash, read_head
from putback.core.record.event import Event, NotAnEvent, is_id, is_time, read_event
from putback.core.record.fold import Folded, fold, operation_of
from putback.core.record.grow import Ack, Answer, Arrival, Conflict, Grown, grow
from putback.core.record.kinds import EVENTS, strange
from putback.core.record.shapes import EventKind
from putback.core.record.verify import verify

__all__ = [
    "EVENTS",
    "Ack",
    "Answer",
    "Arrival",
    "Conflict",
    "Event",
    "EventKind",
    "Folded",
    "Grown",
    "Head",
    "Json",
    "KeptHead",
    "Link",
    "NotAHead",
    "NotAnEvent",
    "NotCanonical",
    "canonical_bytes",
    "fold",
    "follows",
    "genesis",
    "grow",
    "head_of",
    "is_id",
    "is_time",
    "link_hash",
    "operation_of",
    "read_event",
    "read_head",
    "read_json",
    "strange",
    "verify",
]
