"""Arrays that compiled code may use without counting references."""

from __future__ import annotations

from typing import Any, TypeVar

from numpy.typing import NDArray

Array = TypeVar("Array", bound=NDArray[Any])


def unowned(array: Array) -> Array:
    """Return a view that the kernel may slice and pass on freely; the caller keeps the array alive.

    As plain Python it is the array itself. Compiled, it drops the owner (``plant/jit.py``): every
    slice would otherwise count references with an atomic operation, and two cores that do so on the
    same array are slower than one (measured: a fivefold slow-down of the search).
    """
    return array
