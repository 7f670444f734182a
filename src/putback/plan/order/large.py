"""One idea: what is too large for plain Python is searched by the same method in machine code, in short slices.

Between two slices the time is looked at, progress is told, and an interruption comes through.
"""

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from putback.plan.order import beam_kernels, kernels
from putback.plan.order.bounds import Bounds
from putback.plan.order.frame import Frame, Tables, frame_of
from putback.plan.order.groups import group
from putback.plan.order.problem import OrderProblem
from putback.plan.order.small import Search
from putback.plan.order.visits import NONE

SLICE = 2_000
"""States expanded between two looks at the clock: about a hundredth of a second."""

MOST_STATES = 4_000_000
"""The store grows to this many states: about a quarter of a gigabyte for a job of 60 groups."""

BUCKETS = 1 << 20
COLUMNS = 512


def words_of(sets: Sequence[int], count: int) -> kernels.Words:
    """Sets given as ints as rows of 64-bit words, for `count` elements."""
    width = max(1, (count + 63) // 64)
    data = b"".join(one.to_bytes(8 * width, "little") for one in sets)
    return np.frombuffer(data, dtype="<u8").astype(np.uint64).reshape(len(sets), width)


def _rows_of(frame: Frame, tables: Tables, sets: list[int]) -> tuple[list[tuple[int, int]], list[list[list[int]]]]:
    """`moves` and `own` of one stage; the sets are added to `sets`."""

    def keep(levels: Sequence[int]) -> tuple[int, int]:
        sets.extend(levels)
        return len(sets) - len(levels), len(sets)

    own: list[list[list[int]]] = [[] for _ in frame.change]
    for view, label in zip(tables.views, (*(part.label for part in frame.parts), frame.spot), strict=True):
        rows = {one: [*keep(levels), *keep(view.inside[one])] for one, levels in view.outside.items()}
        for c, of_class in enumerate(own):
            of_class.append(rows.get(label[c], [0, 0, 0, 0]))
    return [keep(levels) for levels in tables.moves], own


def job_of(frame: Frame, ahead: Sequence[int]) -> kernels.Job:
    """The frame as arrays."""
    sets: list[int] = [0]
    moves, own = zip(*(_rows_of(frame, tables, sets) for tables in frame.tables), strict=True)
    count = len(frame.place)
    nodes = sorted(range(count), key=lambda node: (frame.place[node], node))
    sizes = np.bincount(np.array(frame.place, np.int64), minlength=len(frame.change))
    return kernels.Job(
        before=words_of(frame.before, count),
        stage_mask=words_of([tables.mask for tables in frame.tables], count),
        nodes=np.array(nodes, np.int64),
        nodes_of=np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64),
        lift=np.array(frame.lift, np.int64),
        change=np.array(frame.change, np.int64),
        weight=np.array([part.weight for part in frame.parts], np.int64),
        sets=words_of(sets, count),
        moves=np.array(moves, np.int64),
        own=np.array(own, np.int64),
        worth=np.array([1] * len(frame.change) if frame.exact else frame.entry, np.int64),
        fresh=np.array(Bounds(frame, ahead).fresh, np.int64),
        ahead=np.array(ahead, np.int64),
        rules=np.array([frame.exact, frame.least, frame.lift_cost], np.int64),
    )


def _begin(frame: Frame, store: kernels.Store, start: int, bucket: int, total: int) -> None:
    """Put the first state into the store; no walk from it costs less than `total`."""
    counts = np.zeros(store.counts.shape[1], np.int64)
    _, visits = Bounds(frame, [0] * len(frame.tables)).start(start)
    counts[: len(visits)] = visits
    kernels.begin(store, words_of([start], len(frame.place))[0], bucket, total, counts)


def _store(states: int, shape: tuple[int, int], buckets: int, columns: int, best: int) -> kernels.Store:
    """An empty store for so many states; `shape` = words of a set, counts of a state."""
    words, counts = shape
    table = 1 << (2 * states - 1).bit_length()
    return kernels.Store(
        done=np.empty((states, words), np.uint64),
        at=np.empty(states, np.int32),
        spent=np.empty(states, np.int64),
        total=np.empty(states, np.int64),
        parent=np.empty(states, np.int32),
        link=np.empty(states, np.int32),
        peer=np.empty(states, np.int32),
        counts=np.empty((states, counts), np.int32),
        alive=np.empty(states, np.bool_),
        table=np.full(table, -1, np.int32),
        head=np.full(buckets, -1, np.int32),
        tally=np.zeros((buckets if columns else 0, columns), np.int32),
        cutoff=np.array([[columns - 1, 0]] * (buckets if columns else 0), np.int64).reshape(-1, 2),
        facts=np.array([0, 0, best, -1, 0, 0, 0], np.int64),
    )


def _grown(store: kernels.Store, states: int) -> kernels.Store:
    """A larger store with the same content."""
    count = int(store.facts[kernels.COUNT])
    larger = _store(states, (store.done.shape[1], store.counts.shape[1]), 0, 0, 0)
    for name in ("done", "at", "spent", "total", "parent", "link", "counts", "alive"):
        getattr(larger, name)[:count] = getattr(store, name)[:count]
    larger = larger._replace(head=store.head, tally=store.tally, cutoff=store.cutoff, facts=store.facts)
    kernels.rehash(larger)
    return larger


def _walk(store: kernels.Store, state: int) -> tuple[int, ...]:
    """The classes visited on the way to a state."""
    classes = []
    while state >= 0:
        if store.at[state] >= 0:
            classes.append(int(store.at[state]) // 3)
        state = int(store.parent[state])
    return tuple(reversed(classes))


def best_first(frame: Frame, start: int, ahead: Sequence[int], search: Search, proceed: Callable[[int], bool]) -> bool:
    """As `small.best_first`; a best walk must be known. Ends also when the store may not grow any further."""
    if search.best is None:
        raise ValueError("a walk has to be known before the large search")
    job = job_of(frame, ahead)
    full = words_of([frame.full], len(frame.place))[0]
    shift = max(0, search.best.bit_length() - BUCKETS.bit_length() + 1)
    store = _store(1 << 14, (len(full), len(frame.parts) + 1), (search.best >> shift) + 2, 0, search.best)
    search.bound = max(search.bound, frame.bound(frame.full & ~start, NONE, 0, ahead))
    _begin(frame, store, start, search.bound >> shift, search.bound)
    store.facts[kernels.BUCKET] = search.bound >> shift
    state = kernels.PAUSED
    while proceed(int(store.facts[kernels.EXPANDED])):
        state = kernels.best_first(job, store, full, shift, SLICE)
        if store.facts[kernels.BEST] < search.best:
            search.best = int(store.facts[kernels.BEST])
            search.classes = _walk(store, int(store.facts[kernels.GOAL]))
        search.bound = max(search.bound, min(search.best, int(store.facts[kernels.BUCKET]) << shift))
        if state == kernels.ENDED:
            search.bound = search.best
            return True
        if state == kernels.FULL:
            if store.done.shape[0] >= MOST_STATES:
                break
            store = _grown(store, 2 * store.done.shape[0])
    return False


def beam(
    frame: Frame,
    start: int,
    ahead: Sequence[int],
    search: Search,
    width: int,
    proceed: Callable[[int], bool],
) -> bool:
    """Look for a better walk among the `width` most promising states for each number of groups done.

    Returns:
        It came to its end, with or without a better walk.
    """
    if search.best is None:
        raise ValueError("a walk has to be known before the large search")
    job = job_of(frame, ahead)
    count = len(frame.place)
    first = start.bit_count()
    shape = job.before.shape[1], len(frame.parts) + 1
    store = _store(max(1 << 12, width * 8), shape, count + 1, COLUMNS, search.best)
    least = frame.bound(frame.full & ~start, NONE, 0, ahead)
    store.facts[kernels.FLOOR] = least
    _begin(frame, store, start, first, least)
    for layer in range(first, count):
        if not proceed(layer):
            return False
        while store.done.shape[0] < int(store.facts[kernels.COUNT]) + width * len(frame.change):
            store = _grown(store, 2 * store.done.shape[0])
        beam_kernels.beam_layer(job, store, layer, width)
    state = int(store.head[count])
    while state >= 0:
        if store.spent[state] < search.best:
            search.best = int(store.spent[state])
            search.classes = _walk(store, state)
        state = int(store.link[state])
    return True


def made_ready() -> Iterator[None]:
    """Make or load all machine code, a piece between two steps: half a compilation cannot be taken up again."""
    yield
    tiny = OrderProblem(place=(0, 1), change=((0, 1), (1, 0)), lift=(0, 0), lift_cost=1, before=())
    frame = frame_of(tiny, group(tiny))
    _grown(_store(4, (1, len(frame.parts) + 1), 4, COLUMNS, 1), 8)
    yield
    beam(frame, 0, [0], Search(best=9), 2, lambda _: True)
    yield
    best_first(frame, 0, [0], Search(best=9), lambda _: True)
