"""What one key of ``sugarhouse.toml`` may hold: read, allowed range, default, example.

A spec turns the *raw* value that TOML holds into the value that the plant uses, or raises an
:class:`~sugarwright.errors.InputError` that says what is allowed. ``typed`` makes the raw value
from what a person types at a question.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from sugarwright.errors import HouseFileError

REQUIRED: Final = object()
"""The default of a key that has none: it must be in the file."""


MOST_INTEGER: Final = 2**63 - 1
"""The largest integer that TOML asks a reader to take."""


def refuse(
    field: str, raw: object, problem: str, allowed: str = "", fix: str = ""
) -> HouseFileError:
    """Return the error about one key; the reader adds the line."""
    return HouseFileError(field, plain(raw), problem, allowed, fix)


@dataclass(frozen=True)
class AsWritten:
    """A value that is no text, as the file has it: quoted in messages without more quotes."""

    text: str

    def __repr__(self) -> str:
        return self.text


def plain(raw: object) -> object:
    """Return a value fit to be quoted in one line of a message."""
    if raw is None:
        return None
    return one_line(raw) if isinstance(raw, str) else AsWritten(one_line(toml(raw)))


def one_line(text: str) -> str:
    """Return a text with everything that cannot be printed escaped."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def nearest(word: str, words: Sequence[str]) -> str:
    """Return 'did you mean "..."?' for the likeliest of ``words``, or nothing."""
    near = difflib.get_close_matches(word[:60].lower(), words, n=1, cutoff=0.6)
    return f'Did you mean "{near[0]}"?' if near else ""


def toml(raw: object, depth: int = 8) -> str:
    """Write a raw value as TOML does; what is nested deeper than ``depth`` as ``...``."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return f'"{_escaped(raw)}"'
    if isinstance(raw, list | tuple | dict) and depth == 0:
        return "..."
    if isinstance(raw, list | tuple):
        return "[" + ", ".join(toml(item, depth - 1) for item in raw) + "]"
    if isinstance(raw, dict):
        pairs = (f"{toml(key)} = {toml(item, depth - 1)}" for key, item in raw.items())
        return "{" + ", ".join(pairs) + "}"
    # Python refuses to print integers of thousands of digits.
    return hex(raw)[:40] if isinstance(raw, int) and abs(raw) > MOST_INTEGER else str(raw)


def _escaped(text: str) -> str:
    def one(c: str) -> str:
        if c in '"\\':
            return "\\" + c
        return c if c.isprintable() else f"\\U{ord(c):08x}"

    return "".join(one(c) for c in text)


@dataclass(frozen=True, kw_only=True)
class Spec:
    """Everything known of one key."""

    help: str = ""
    default: Any = REQUIRED
    example: Any = None
    source: str = ""
    ask: str = ""
    key: str = ""

    @property
    def suffix(self) -> str:
        """End of the attribute's name that states its unit; no part of the key."""
        return ""

    @property
    def sort(self) -> str:
        """What the key holds, in a word or two, for the reference page."""
        raise NotImplementedError

    def read(self, raw: object, field: str, system: str = "us") -> Any:
        """Return the value for the plant; raise an InputError when ``raw`` cannot be it."""
        raise NotImplementedError

    def allowed(self, system: str = "us") -> str:
        """What may stand here, in the person's units."""
        raise NotImplementedError

    def said(self, system: str = "us") -> str:
        """What may be typed at a question, where no quotes or brackets are needed."""
        return self.allowed(system)

    def typed(self, text: str) -> Any:
        """Return the raw value meant by an answer typed at a question."""
        return text.strip()

    def shown(self, raw: Any, system: str) -> Any:
        """Return ``raw`` (a default) in the person's units."""
        return raw
