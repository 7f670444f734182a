"""One idea: a walk that follows the cheapest few beginnings at a time is found at once, and is often good.

How good depends on the costs that guide it: reduced costs say what an arc costs above a bound for all walks.
"""

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.int64]


def beam(reduced: Numbers, needs: Numbers, width: int, far: int) -> Numbers:
    """A walk by following the `width` most promising beginnings.

    Args:
        reduced: what guides; row n is the start, column n the end. More than `far` counts as `far`.
        needs: needs[i, j] = 1 where i comes before j.
        width: beginnings kept at each place.
        far: the cost of an arc that should not be taken.

    Returns:
        The steps from the start to the end, both of them included as number n.
    """
    size = len(reduced) - 1
    guide = np.minimum(reduced, far)
    names = np.random.default_rng(1).integers(1 << 62, size=size + 1)
    missing = needs[:size, :size].sum(axis=0)[None, :]
    last, spent, name = np.array([size]), np.zeros(1, np.int64), np.zeros(1, np.int64)
    trail: list[tuple[Numbers, Numbers]] = []
    for _ in range(size):
        promise = np.where(missing == 0, spent[:, None] + guide[last, :size], far * (size + 1))
        flat = promise.ravel()
        most = min(4 * width, int((missing == 0).sum()))
        chosen = np.argpartition(flat, most - 1)[:most]
        chosen = chosen[np.lexsort((chosen, flat[chosen]))]
        parent, step = chosen // size, chosen % size
        keys = (name[parent] ^ names[step]) * 1031 + step
        kept = np.sort(np.unique(keys, return_index=True)[1])[:width]
        parent, step = parent[kept], step[kept]
        trail.append((parent, step))
        spent, name, last = promise[parent, step], name[parent] ^ names[step], step
        missing = missing[parent] - needs[step, :size]
        missing[np.arange(len(step)), step] = -size
    at = int(np.argmin(spent))
    walk = [size]
    for parent, step in reversed(trail):
        walk.append(int(step[at]))
        at = int(parent[at])
    walk.append(size)
    return np.array(walk[::-1], np.int64)
