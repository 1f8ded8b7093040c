"""Paragraphs of a plan in 80 columns, behind a word on the left."""

from __future__ import annotations

import textwrap

from sugarwright.saying.plan_words import PlanWords as Words

__all__ = ["LABEL", "WIDTH", "Words", "entry", "hanging"]

WIDTH = 80
LABEL = 9  # columns of the words on the left


def hanging(start: str, text: str) -> str:
    """Return a paragraph of 80 columns that hangs behind its start."""
    rest = " " * len(start)
    return textwrap.fill(
        text, WIDTH, initial_indent=start, subsequent_indent=rest, break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip


def entry(label: str, text: str) -> str:
    """Return a paragraph behind a word on the left."""
    return hanging(f"{label:<{LABEL}}", text)
