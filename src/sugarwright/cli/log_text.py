"""The logbook in words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.cli.output import wrapped
from sugarwright.cli.program import program

if TYPE_CHECKING:
    from sugarwright.logbook.lines import Book, BookLine, Logged, Undone
    from sugarwright.plant.house import House


def logged_lines(logged: Logged, house: House, now_s: float) -> Iterator[str]:
    """Yield what was understood, and the way back."""
    for line in logged.entries:
        yield wrapped(f"{_when(line, house, now_s)}{line.told}", f"{line.short_key}  ")
        for earlier in line.earlier:
            yield wrapped(f"was: {earlier}", "      ")
    for hint in logged.hints:
        yield wrapped(hint, "      ")
    key = logged.entries[-1].short_key
    yield f"      Not so? `{program()} log undo` or `{program()} log correct {key} ...`"


def taken_back_lines(taken: Undone, house: House, now_s: float) -> Iterator[str]:
    """Yield what no longer stands."""
    for line in taken.entries:
        yield wrapped(f"taken back: {_when(line, house, now_s)}{line.told}", f"{line.short_key}  ")
    for line in taken.stands_again:
        yield wrapped(f"stands again: {_when(line, house, now_s)}{line.told}", "      ")


def book_lines(book: Book, house: House) -> Iterator[str]:
    """Yield the book, day by day."""
    if book.older:
        yield f"{book.older} older entries are not shown; --from shows them."
    day = ""
    width = max((len(line.short_key) for line in book.lines), default=0)
    times = max((len(line.when) for line in book.lines), default=0)
    for line in book.lines:
        if (on := _day(line, house)) != day:
            day = on
            yield day
        first = f"  {line.short_key:{width}}  {line.when:{times}}  "
        yield wrapped(line.told + _marks(line), first)
        for earlier in line.earlier:
            yield wrapped(f"was: {earlier}", " " * len(first))
    if not book.lines:
        yield "Nothing is written there."


def _marks(line: BookLine) -> str:
    marks = [] if line.stands else ["no longer stands"]
    marks += ["corrected"] if line.stands and line.replaces else []
    marks += [f"by {line.who}"] if line.who else []
    return f" ({', '.join(marks)})" if marks else ""


def _day(line: BookLine, house: House) -> str:
    local = datetime.fromtimestamp(line.at_s, ZoneInfo(house.site.timezone))
    return f"{local:%A} {local.day} {local:%B %Y}"


def _when(line: BookLine, house: House, now_s: float) -> str:
    """Say when, unless it is now."""
    if line.begin_s is None and abs(now_s - line.at_s) < 60.0:
        return ""
    zone = ZoneInfo(house.site.timezone)
    local, now = (datetime.fromtimestamp(each, zone) for each in (line.at_s, now_s))
    day = "" if local.date() == now.date() else f"{local:%A} {local.day} {local:%B} "
    day += f"{local.year} " if local.year != now.year else ""
    begun = local if line.begin_s is None else datetime.fromtimestamp(line.begin_s, zone)
    if begun.date() != local.date():  # its day stands in front of its begin
        return f"{line.when.replace(' to ', f' to {day}')}  "
    return f"{day}{line.when}  "
