"""Answers of the finish bench as lines of at most 80 columns."""

from __future__ import annotations

from collections.abc import Iterable

from sugarwright.bench import cautions
from sugarwright.cli.output import columns, wrapped
from sugarwright.saying.bench_told import Rows, Sentence, Told

_MARKS = {"": "  ", "warning": "  ! ", "caution": "  ! "}


def told_lines(told: Told) -> list[str]:
    """Return an answer."""
    lines = [wrapped(told.head)]
    for part in told.parts:
        lines += _sentence(part) if isinstance(part, Sentence) else _rows(part)
    return lines


def law_lines(told: Iterable[Told]) -> list[str]:
    """Return what laws say, and that the authority's own text rules."""
    return [*(line for each in told for line in told_lines(each)), wrapped(cautions.LAW, "! ")]


def _sentence(part: Sentence) -> list[str]:
    return [wrapped(part.text, _MARKS[part.kind])]


def _rows(part: Rows) -> list[str]:
    rows = [part.titles, *part.rows]
    if not part.words_last:
        return [f"  {line}" for line in columns(rows)]
    figures = columns([row[:-1] for row in rows])
    tails = (row[-1] for row in rows)
    return [f"  {row:<30}{tail}".rstrip() for row, tail in zip(figures, tails, strict=True)]
