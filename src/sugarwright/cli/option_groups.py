"""Options that several commands share, declared once.

A group is a dataclass whose attributes are options. A command takes a group as one parameter, and
:func:`with_groups` spreads it into its options for the command line.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from typing import Any, get_type_hints


def with_groups(command: Callable[..., None]) -> Callable[..., None]:
    """Return a command whose groups of options stand in its signature one by one.

    Parameters
    ----------
    command : a function whose parameters are options, arguments, or groups of options
    """
    hints = get_type_hints(command, include_extras=True)
    groups: dict[str, type] = {}
    spread: list[inspect.Parameter] = []
    for parameter in inspect.signature(command).parameters.values():
        kind = hints[parameter.name]
        if is_dataclass(kind) and isinstance(kind, type):
            groups[parameter.name] = kind
            spread += _options(kind)
        else:
            spread.append(parameter.replace(annotation=kind, kind=inspect.Parameter.KEYWORD_ONLY))

    @functools.wraps(command)
    def on_the_command_line(**given: Any) -> None:
        made = {
            name: kind(**{each: given.pop(each) for each in _names(kind) & given.keys()})
            for name, kind in groups.items()
        }
        command(**given, **made)

    del on_the_command_line.__wrapped__  # whose signature is not the one to show
    on_the_command_line.__signature__ = inspect.Signature(spread)  # type: ignore[attr-defined]
    on_the_command_line.__annotations__ = {each.name: each.annotation for each in spread}
    return on_the_command_line


def _names(group: type) -> set[str]:
    return {field.name for field in fields(group)}


def _options(group: type) -> list[inspect.Parameter]:
    hints = get_type_hints(group, include_extras=True)
    return [
        inspect.Parameter(
            field.name,
            inspect.Parameter.KEYWORD_ONLY,
            default=field.default,
            annotation=hints[field.name],
        )
        for field in fields(group)
    ]
