"""A season's outlook as text of at most 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.cli.output import columns, wrapped
from sugarwright.planning.season_report import SeasonOutlook
from sugarwright.saying.season import (
    drying_rows,
    made_of_text,
    pull_rows,
    tap_rows,
    to_come_rows,
    to_come_texts,
    to_come_title,
    warmth_text,
)


def season_lines(found: SeasonOutlook) -> Iterator[str]:
    """Yield an outlook as lines."""
    now = datetime.fromtimestamp(found.now_s, ZoneInfo(found.timezone))
    yield wrapped(f"{found.house}: the season as seen on {now:%A} {now.day} {now:%B %Y}")
    yield wrapped(made_of_text(found))
    for text in found.notes:
        yield wrapped(text, "  ! ")
    yield "In brackets: one spring in ten stays below, one in ten goes above."
    yield ""
    if found.days:
        yield from _tap_days(found)
    yield to_come_title(found)
    yield from (f"  {line}" for line in columns(to_come_rows(found)))
    yield from (wrapped(text, "  ") for text in to_come_texts(found))
    if found.pulls:
        yield ""
        yield from _pulls(found)
    yield ""
    yield "Warm sums (advice)"
    for each in found.warmth:
        yield wrapped(warmth_text(each, found), "  ", "    ")
        yield wrapped(f"Source: {each.source}.", "    ", "    ")
    yield ""
    for text in found.cautions:
        yield wrapped(text, "! ")


def _tap_days(found: SeasonOutlook) -> Iterator[str]:
    yield f"When to tap ({found.taps} taps)"
    yield from (f"  {line}" for line in columns(tap_rows(found)))
    yield wrapped(
        "best: in so many of the springs this day brings most of those compared; gone: the part of "
        "the season's sap that has run before. Warmth alone closes tap holes here, as it does on "
        "clean tubing. If the calendar does too (half in seven weeks), as it may on open buckets:",
        "  ",
    )
    yield from (f"  {line}" for line in columns(drying_rows(found)))
    yield ""


def _pulls(found: SeasonOutlook) -> Iterator[str]:
    yield "When to pull"
    yield from (f"  {line}" for line in columns(pull_rows(found)))
    yield wrapped(
        "more: than by the line above (the first: from now); buds: in so many of the springs the "
        "warm sum of the first red maple buds is reached by then.",
        "  ",
    )
