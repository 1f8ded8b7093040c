"""On which line of a TOML text each key stands: what the standard parser does not tell.

The text must already have been accepted by ``tomllib``; this scanner only follows its outline
(headers, keys, ends of values) and leaves the reading of a key to ``tomllib`` itself.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

Path = tuple[str | int, ...]
"""Keys from the top of the file; a number picks one of several ``[[...]]``."""

_STRING = r'"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\''
_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)+")
_HEADER = re.compile(rf"\[\[?(?:{_STRING}|[^\]\"'\n])*\]\]?")
_KEY = re.compile(rf"(?:{_STRING}|[^=\"'\n])+(?==)")
_VALUE_PART = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|'
    rf"{_STRING}|#[^\n]*|[\[{{]|[\]}}]|\n|[^\"'#\[\]{{}}\n]+",
    re.DOTALL,
)


def line_of_each_key(text: str) -> dict[Path, int]:
    r"""Return the line (from 1) of every header and key.

    Keys inside an inline table or array share the line of the key that holds it.

    >>> line_of_each_key("[a]\nb = 1\n[[c]]\nd.e = 2\n")
    {('a',): 1, ('a', 'b'): 2, ('c',): 3, ('c', 0): 3, ('c', 0, 'd'): 4, ('c', 0, 'd', 'e'): 4}
    """
    text = text.replace("\r\n", "\n")
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    position, line = 0, 1
    while position < len(text):
        blank = _BLANK.match(text, position)
        header = None if blank else _HEADER.match(text, position)
        key = None if blank or header else _KEY.match(text, position)
        if header:
            table = _header(header[0], counts)
            _remember(lines, table, 0, line)
        elif key:
            _remember(lines, table + _key(key[0] + "= 0"), len(table), line)
        match = blank or header or key
        end = match.end() if match else position + 1
        if key:
            end = _after_value(text, end)
        line += text.count("\n", position, end)
        position = end
    return lines


def line_at(lines: dict[Path, int], path: Path) -> int | None:
    """Return the line of a key, or of the nearest thing around it that has one."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def _remember(lines: dict[Path, int], path: Path, known: int, line: int) -> None:
    """Note the first line on which the path and the tables that it implies stand."""
    for length in range(known + 1, len(path) + 1):
        lines.setdefault(path[:length], line)


def _key(statement: str) -> Path:
    """Return the path of one header or key, as tomllib reads it."""
    path: list[str] = []
    inner: Any = tomllib.loads(statement)
    while isinstance(inner, dict) and inner:
        name = next(iter(inner))
        path.append(name)
        inner = inner[name][0] if isinstance(inner[name], list) else inner[name]
    return tuple(path)


def _header(header: str, counts: dict[Path, int]) -> Path:
    """Return the path of a table, with the number of each ``[[...]]`` that it lies in."""
    names = _key(header)
    path: Path = ()
    for place, name in enumerate(names):
        path = (*path, name)
        if header.startswith("[[") and place == len(names) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _after_value(text: str, position: int) -> int:
    """Return where the value behind a key ends: at the line's end outside brackets and strings."""
    depth = 0
    for part in _VALUE_PART.finditer(text, position):
        if part[0] == "\n" and depth == 0:
            return part.start()
        depth += (part[0] in ("[", "{")) - (part[0] in ("]", "}"))
    return len(text)
