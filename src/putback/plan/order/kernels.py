"""One idea: the search of `small`, in machine code, over sets held as rows of 64-bit words.

States live in one store: a state once reached is found again by its hash. They wait in buckets by cost so far plus
bound.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled, woven

Words = NDArray[np.uint64]
Numbers = NDArray[np.int64]
Short = NDArray[np.int32]

ENDED, PAUSED, FULL = 0, 1, 2
COUNT, BUCKET, BEST, GOAL, EXPANDED, FLOOR = 0, 1, 2, 3, 4, 5


class Job(NamedTuple):
    """The frame as arrays.

    Attributes:
        before, stage_mask: rows of words.
        nodes: all groups, class by class; nodes_of[c] = where class c begins in it.
        lift: of each class; change: between classes.
        weight: of each part.
        sets: all sets that count visits or moves of the lift, one row each.
        moves: moves[stage, lift] = [from, to] among the sets.
        own: own[stage, c, v] = [from, to, from, to] among the sets: those for the label of class c, from outside and
            inside; v stands for the parts, and last for places.
        worth: what a visit to each class counts among places: 1, or the least cost of coming there.
        fresh: fresh[stage, v] = visits of the whole stage, from outside every label.
        ahead: bound on the stages after each stage.
        rules: exact, least weight, cost of a move of the lift.
    """

    before: Words
    stage_mask: Words
    nodes: Numbers
    nodes_of: Numbers
    lift: Numbers
    change: Numbers
    weight: Numbers
    sets: Words
    moves: Numbers
    own: Numbers
    worth: Numbers
    fresh: Numbers
    ahead: Numbers
    rules: Numbers


class Store(NamedTuple):
    """All states reached.

    Attributes:
        done: groups done, one row for each state.
        at: class * 3 + lift; -3 + lift before the first place.
        spent, total, parent: cost so far, with the bound, where it came from (-1: nowhere).
        link: next in its bucket; peer: next with the same groups done; -1 none.
        counts: visits to come, as in `bounds`, of the stage in work.
        alive: no state with the same groups done makes it useless.
        table: hash table of the first peers, -1 empty; its size is a power of two.
        head: first state in each bucket, -1 empty.
        tally: for the beam, numbers of states by layer and total.
        cutoff: for the beam, for each layer the last column still taken, and how many there are up to it.
        facts: COUNT states, BUCKET in work, BEST cost known, GOAL state, EXPANDED states,
            FLOOR: total of the first column of the tally.
    """

    done: Words
    at: Short
    spent: Numbers
    total: Numbers
    parent: Short
    link: Short
    peer: Short
    counts: Short
    alive: NDArray[np.bool_]
    table: Short
    head: Short
    tally: Short
    cutoff: Numbers
    facts: Numbers


@compiled
def _hits(sets: Words, start: int, end: int, left: Words) -> int:
    """How many of the sets, each of which holds the next, have something in common with `left`."""
    for row in range(start, end):
        touched = np.uint64(0)
        for word in range(left.shape[0]):
            touched |= sets[row, word] & left[word]
        if touched == 0:
            return int(row - start)
    return int(end - start)


@compiled
def _remaining(mask: Words, done: Words, left: Words) -> bool:
    """Write what of a stage is not done into `left`; whether that is anything."""
    some = np.uint64(0)
    for word in range(done.shape[0]):
        left[word] = mask[word] & ~done[word]
        some |= left[word]
    return bool(some != 0)


@woven
def _bound(job: Job, store: Store, state: int, at: int, scratch: Words, counts: Numbers) -> int:
    """No way of doing what is left after a visit costs less; the same figure as from `bounds`.

    Args:
        job, store: the search.
        state: where the visit is made from.
        at: the position after the visit.
        scratch: row 0 the groups done after it, rows 1 and 2 free for use.
        counts: becomes the visits to come after it.
    """
    stage, stages, c = 0, job.stage_mask.shape[0], at // 3
    fresh = False
    least = 0
    while stage < stages and not _remaining(job.stage_mask[stage], scratch[0], scratch[2]):
        fresh = fresh or _remaining(job.stage_mask[stage], store.done[state], scratch[1])
        stage += 1
    if stage < stages:
        _remaining(job.stage_mask[stage], store.done[state], scratch[1])
        last = job.weight.shape[0]
        changes = 0
        for v in range(last + 1):
            own = job.own[stage, c, v]
            worth = job.worth[c] if v == last else 1
            still = _hits(job.sets, own[0], own[1], scratch[2])
            count = job.fresh[stage, v] if fresh else store.counts[state, v]
            counts[v] = count + worth * (still - _hits(job.sets, own[0], own[1], scratch[1]))
            here = counts[v] + worth * (_hits(job.sets, own[2], own[3], scratch[2]) - still)
            if v < last:
                least += job.weight[v] * here
                changes += here
            elif job.rules[0]:
                least += job.rules[1] * max(0, here - changes)
            else:
                least = max(least, here)
        moves = job.moves[stage, at % 3]
        least += job.ahead[stage] + job.rules[2] * _hits(job.sets, moves[0], moves[1], scratch[2])
    return int(least)


@compiled
def _ready(before: Words, node: int, done: Words) -> bool:
    """The node is not done, and everything before it is."""
    ready = not (done[node >> 6] >> np.uint64(node & 63)) & np.uint64(1)
    for word in range(done.shape[0]):
        ready = ready and (before[node, word] & ~done[word]) == 0
    return ready


@compiled
def _do_all(before: Words, nodes: Numbers, start: int, end: int, done: Words) -> None:
    """Add to `done` those of the nodes that are available, and what that makes available among them."""
    found = True
    while found:
        found = False
        for at in range(start, end):
            node = nodes[at]
            if _ready(before, node, done):
                done[node >> 6] |= np.uint64(1) << np.uint64(node & 63)
                found = True


@compiled
def slot_of(table: Short, sets: Words, done: Words) -> int:
    """Where states with these groups done are in the hash table, or the empty place where they would be."""
    key = np.uint64(0)
    for word in range(done.shape[0]):
        key = (key ^ done[word]) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(32)
        key *= np.uint64(0xBF58476D1CE4E5B9)
        key ^= key >> np.uint64(29)
    mask = table.shape[0] - 1
    slot = np.int64(key >> np.uint64(1)) & mask
    while table[slot] >= 0:
        state = table[slot]
        same = True
        for word in range(done.shape[0]):
            same = same and sets[state, word] == done[word]
        if same:
            return int(slot)
        slot = (slot + 1) & mask
    return int(slot)


@compiled
def _way(change: Numbers, lift_cost: int, here: int, there: int) -> int:
    """What it costs at most to be in one position when the other one is wanted."""
    cost = change[here // 3, there // 3]
    if here % 3 != 0 and here % 3 != there % 3:
        cost += lift_cost
    return int(cost)


@compiled
def beaten(job: Job, store: Store, slot: int, at: int, spent: int) -> bool:
    """A state with the same groups done can come to this position for no more."""
    state = store.table[slot]
    while state >= 0:
        if store.spent[state] + _way(job.change, job.rules[2], store.at[state], at) <= spent:
            return True
        state = store.peer[state]
    return False


@compiled
def beat(job: Job, store: Store, slot: int, at: int, spent: int) -> None:
    """Take out the states with the same groups done that can be had from this position for no more."""
    before, state = -1, store.table[slot]
    while state >= 0:
        after = store.peer[state]
        if spent + _way(job.change, job.rules[2], at, store.at[state]) <= store.spent[state]:
            store.alive[state] = False
            if before < 0:
                store.table[slot] = after if after >= 0 else state
                before = -1 if after >= 0 else state
            else:
                store.peer[before] = after
        else:
            before = state
        state = after


@woven
def append(store: Store, slot: int, done: Words, at: int, costs: tuple[int, int, int], counts: Numbers) -> int:
    """Write a new state, found by `slot` from now on; `costs` = spent, total, parent."""
    state = store.facts[COUNT]
    store.facts[COUNT] += 1
    for word in range(done.shape[0]):
        store.done[state, word] = done[word]
    store.at[state] = at
    store.spent[state] = costs[0]
    store.total[state] = costs[1]
    store.parent[state] = costs[2]
    store.alive[state] = True
    for v in range(counts.shape[0]):
        store.counts[state, v] = counts[v]
    store.peer[state] = store.table[slot]
    store.table[slot] = state
    return int(state)


@woven
def push(store: Store, state: int, bucket: int) -> None:
    """Put a state first in a bucket."""
    store.link[state] = store.head[bucket]
    store.head[bucket] = state


@compiled
def begin(store: Store, start: Words, bucket: int, total: int, counts: Numbers) -> None:
    """Put the first state into the store and into a bucket; no walk from it costs less than `total`."""
    state = append(store, slot_of(store.table, store.done, start), start, -3, (0, total, -1), counts)
    push(store, state, bucket)


@compiled
def rehash(store: Store) -> None:
    """Fill an empty hash table with the living states of the store."""
    for state in range(store.facts[COUNT]):
        if store.alive[state]:
            slot = slot_of(store.table, store.done, store.done[state])
            store.peer[state] = store.table[slot]
            store.table[slot] = state


@woven
def reach(job: Job, store: Store, state: int, c: int, scratch: Words, counts: Numbers) -> tuple[int, int, int]:
    """Go from a state to class c: position after it, cost so far, with the bound.

    Row 0 of `scratch` becomes what is done then, `counts` the visits to come.
    """
    at = store.at[state]
    done = scratch[0]
    for word in range(done.shape[0]):
        done[word] = store.done[state, word]
    _do_all(job.before, job.nodes, job.nodes_of[c], job.nodes_of[c + 1], done)
    lift = job.lift[c] if job.lift[c] else at % 3
    spent = store.spent[state]
    if at >= 0:
        spent += job.change[at // 3, c]
    if at % 3 and lift != at % 3:
        spent += job.rules[2]
    after = 3 * c + lift
    return after, spent, max(store.total[state], spent + _bound(job, store, state, after, scratch, counts))


@compiled
def open_classes(before: Words, nodes: Numbers, nodes_of: Numbers, done: Words, classes: Numbers) -> int:
    """Write the classes with something available into `classes`; their number."""
    count = 0
    for c in range(nodes_of.shape[0] - 1):
        for at in range(nodes_of[c], nodes_of[c + 1]):
            if _ready(before, nodes[at], done):
                classes[count] = c
                count += 1
                break
    return count


@woven
def _next_state(store: Store, shift: int) -> int:
    """Take the next state of the cheapest bucket; -1 when none can beat the best known."""
    facts = store.facts
    found = -1
    while found < 0 and facts[BUCKET] << shift < facts[BEST]:
        state = store.head[facts[BUCKET]]
        if state < 0:
            facts[BUCKET] += 1
            continue
        store.head[facts[BUCKET]] = store.link[state]
        if store.alive[state]:
            found = state
    return int(found)


@compiled
def _same(one: Words, other: Words) -> bool:
    """The two sets are equal."""
    same = True
    for word in range(one.shape[0]):
        same = same and one[word] == other[word]
    return same


@compiled
def best_first(job: Job, store: Store, full: Words, shift: int, limit: int) -> int:
    """Expand up to `limit` states, cheapest first. Buckets are 2**shift units wide.

    Returns:
        ENDED (the best known cannot be beaten), PAUSED (limit reached) or FULL (the store has to grow).
    """
    facts = store.facts
    scratch = np.empty((3, full.shape[0]), np.uint64)
    done = scratch[0]
    classes, counts = np.empty(job.change.shape[0], np.int64), np.empty(job.weight.shape[0] + 1, np.int64)
    for _ in range(limit):
        if facts[COUNT] + classes.shape[0] > store.done.shape[0]:
            return FULL
        state = _next_state(store, shift)
        if state < 0:
            return ENDED
        facts[EXPANDED] += 1
        for k in range(open_classes(job.before, job.nodes, job.nodes_of, store.done[state], classes)):
            at, spent, total = reach(job, store, state, classes[k], scratch, counts)
            if total >= facts[BEST]:
                continue
            slot = slot_of(store.table, store.done, done)
            if beaten(job, store, slot, at, spent):
                continue
            beat(job, store, slot, at, spent)
            new = append(store, slot, done, at, (spent, total, state), counts)
            if _same(done, full):
                facts[BEST] = spent
                facts[GOAL] = new
            else:
                push(store, new, total >> shift)
    return PAUSED
