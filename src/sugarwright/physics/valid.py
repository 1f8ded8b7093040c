"""The range in which a formula holds, written once beside it and checked at its door.

``@valid(brix=(0, 85))`` wraps a formula for callers in Python: a value outside (or a NaN) is a
:class:`~sugarwright.errors.RangeError` that names the parameter, never a silent number. Compiled
callers get the bare formula (``function.core``) through the plant, which keeps its states inside
these ranges itself, so that the check costs nothing there.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any, TypeVar

from sugarwright.errors import RangeError

F = TypeVar("F", bound=Callable[..., Any])


def valid(**ranges: tuple[float, float]) -> Callable[[F], F]:
    """Check parameters against closed ranges before the formula runs.

    Parameters
    ----------
    **ranges : parameter name -> (least, greatest), in the unit that the name states

    Returns
    -------
    A decorator. The wrapped function carries ``core`` (the bare formula) and ``ranges``.

    Raises
    ------
    RangeError : by the wrapped function, when a value is outside its range or not a number
    """

    def wrap(formula: F) -> F:
        names = tuple(inspect.signature(formula).parameters)
        checks = tuple((names.index(name), name, *bounds) for name, bounds in ranges.items())

        @functools.wraps(formula)
        def checked(*args: Any, **kwargs: Any) -> Any:
            for position, name, least, greatest in checks:
                if position < len(args):
                    value = args[position]
                elif name in kwargs:
                    value = kwargs[name]
                else:
                    continue
                if not least <= value <= greatest:
                    raise RangeError(
                        name,
                        value,
                        f"{formula.__name__} does not hold there",
                        f"{least:g} to {greatest:g}",
                    )
            return formula(*args, **kwargs)

        checked.core = formula  # type: ignore[attr-defined]
        checked.ranges = dict(ranges)  # type: ignore[attr-defined]
        return checked  # type: ignore[return-value]

    return wrap
