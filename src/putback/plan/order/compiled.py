"""One idea: machine code is made from Python when it is first needed, and kept beside the package if it can be.

Where neither the package folder nor the user's cache folder can be written, it is made again in every process.
"""

from collections.abc import Callable
from typing import TypeVar, cast

from numba import njit

Function = TypeVar("Function", bound=Callable[..., object])


def compiled(function: Function) -> Function:
    """The function as machine code, compiled at its first call."""
    try:
        return cast("Function", njit(cache=True)(function))
    except RuntimeError:  # no folder in which the code could be kept
        return cast("Function", njit(function))


def woven(function: Function) -> Function:
    """The same for a function that is written into each of its callers: for those that are handed many arrays."""
    try:
        return cast("Function", njit(cache=True, inline="always")(function))
    except RuntimeError:  # no folder in which the code could be kept
        return cast("Function", njit(inline="always")(function))
