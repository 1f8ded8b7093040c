"""What commands print: plain lines of at most 80 columns, or one JSON document.

Nothing here depends on a terminal: without one, and where colours are not wanted (NO_COLOR, a
plain terminal, a pipe), the same words and columns appear, only without bold headings.
"""

from __future__ import annotations

import dataclasses
import datetime
import json
import os
import re
import sys
import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

WIDTH = 80

_QUOTED = re.compile(r"\"[^\"]*\"|`[^`]*`")
_BEFORE_SIGN = re.compile(r"(?<=[0-9]) (?=[%°])")
_NO_BREAK = "\ue000"  # of the letters that no text uses: stands for a space at which no line ends


def say(*lines: str) -> None:
    """Print lines as they are."""
    for line in lines:
        print(line)


def note(text: str) -> None:
    """Tell something about the work itself; on stderr, since stdout belongs to the result."""
    print(wrapped(text), file=sys.stderr, flush=True)


def heading(text: str) -> None:
    """Print a line that opens a part, bold where that can be seen."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        print(text)  # and nothing need be loaded to find that out
        return
    from rich.console import Console
    from rich.text import Text

    Console(highlight=False, soft_wrap=True).print(Text(text, style="bold"))


def wrapped(text: str, first: str = "", rest: str | None = None) -> str:
    """Return a paragraph broken at 80 columns; ``first`` stands before it, ``rest`` below that."""
    filled = textwrap.fill(
        _BEFORE_SIGN.sub(_NO_BREAK, text),  # a number and its sign stay together
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return filled.replace(_NO_BREAK, " ")


def told(text: str) -> str:
    """Return a message of one or more lines, each broken at 80 columns and hung in below its start.

    What stands in quotes is never broken, so that a path or a command can be copied.
    """
    whole = _QUOTED.sub(lambda found: found[0].replace(" ", _NO_BREAK), text)
    return "\n".join(wrapped(line, rest="  ") for line in whole.splitlines())


def columns(rows: Iterable[Sequence[str]], left: int = 1, gap: int = 2) -> list[str]:
    """Return rows as aligned lines: the first ``left`` columns flush left, the others right."""
    table = [list(row) for row in rows]
    widths = [max(map(len, cells)) for cells in zip(*table, strict=True)]
    lines = []
    for row in table:
        cells = [
            cell.ljust(width) if place < left else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((" " * gap).join(cells).rstrip())
    return lines


def as_json(document: Any) -> str:
    """Return a dataclass as the JSON document that ``--json`` prints: its own names, SI values."""
    return json.dumps(
        dataclasses.asdict(document), indent=2, ensure_ascii=False, allow_nan=False, default=_plain
    )


def _plain(value: Any) -> Any:
    """Return what JSON can hold of a date."""
    if isinstance(value, datetime.date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")
