"""Tables as Markdown has them."""

from __future__ import annotations

from collections.abc import Iterable


def head(names: list[str]) -> list[str]:
    """The first two lines: a column of words, then columns of figures."""
    return [row(names), row(["---", *["---:"] * (len(names) - 1)])]


def row(cells: Iterable[str]) -> str:
    """One line."""
    return "| " + " | ".join(cells) + " |"
