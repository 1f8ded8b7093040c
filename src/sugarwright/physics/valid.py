"""The range in which a formula holds, written once beside it and checked at its door.

``@valid(brix=(0, 85))`` wraps a formula for callers in Python: a value outside (or a NaN) is a
:class:`~sugarwright.errors.RangeError` that names the parameter, never a silent number. Compiled
callers get the bare formula (``function.core``) through the plant, which keeps its states inside
these ranges itself, so that the check costs nothing there.

A formula that finds no answer (a density that no solution has) returns not-a-number: the one sign
that compiled code can give as well. At the door this too is a :class:`RangeError`.
"""

from __future__ import annotations

import functools
import inspect
import math
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
    RangeError : by the wrapped function, when a value is outside its range or not a number, or when
        the formula has no answer for the values together
    """

    def wrap(formula: F) -> F:
        names = tuple(inspect.signature(formula).parameters)
        position_of = {name: position for position, name in enumerate(names)}
        checks = tuple((position_of[name], name, *bounds) for name, bounds in ranges.items())

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
            answer = formula(*args, **kwargs)
            if isinstance(answer, float) and math.isnan(answer):
                raise RangeError(
                    formula.__name__,
                    answer,
                    f"there is no answer for {_listed(names, args, kwargs)}",
                    fix="Check each value; they do not fit together.",
                )
            return answer

        checked.core = formula  # type: ignore[attr-defined]
        checked.ranges = dict(ranges)  # type: ignore[attr-defined]
        return checked  # type: ignore[return-value]

    return wrap


def _listed(names: tuple[str, ...], args: tuple[Any, ...], kwargs: dict[str, Any]) -> str:
    """Name the values as the caller gave them: "brix = 2, temperature_c = 4"."""
    given = {**dict(zip(names, args, strict=False)), **kwargs}
    numbers = {name: value for name, value in given.items() if isinstance(value, int | float)}
    return ", ".join(f"{name} = {value:g}" for name, value in numbers.items())
