"""``sugarwright ledger season``: the logbook's readings made to agree."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError, RangeError


def season(
    folder: FolderArgument = ".",
    from_: Annotated[
        str | None, typer.Option("--from", metavar="DATE", help="First day; else the first entry.")
    ] = None,
    to: Annotated[
        str | None, typer.Option("--to", metavar="DATE", help="Last day; else the last entry.")
    ] = None,
    json: JsonOption = False,
) -> None:
    """Where did the sugar go? From what is in the logbook.

    Names the readings that can't be right, with what the others say and the likely slip; then what
    flowed, how sure that is, and where all sugar went.

    Examples:
      sugarwright ledger season
      sugarwright ledger --from 2027-03-10 --to 2027-03-20
    """
    house = house_in(folder)
    zone = ZoneInfo(house.site.timezone)
    begin_s = None if from_ is None else _day_s("--from", from_, zone)
    end_s = None if to is None else _day_s("--to", to, zone, after=1)
    if begin_s is not None and end_s is not None and end_s <= begin_s:
        raise RangeError("--to", to, f"is before {from_}")

    from sugarwright.answering.readings import readings
    from sugarwright.cli.learnt import tell_corrections
    from sugarwright.cli.record import record_in
    from sugarwright.ledger.season_ledger import season_ledger

    with record_in(folder, make=False) as book:
        entries = book.entries(begin_s, end_s)
        counted = readings(book)
    tell_corrections(folder, house)
    found = season_ledger(house, counted, begin_s, end_s)
    if json:
        say(as_json(found))
        return

    from sugarwright.cli.ledger_text import ledger_lines

    say(*ledger_lines(found, house, {each.key: each for each in entries}))


def _day_s(option: str, text: str, zone: ZoneInfo, after: int = 0) -> float:
    """Return the midnight that begins a day, or the one so many days later."""
    try:
        day = datetime.fromisoformat(text.strip())
        if day.tzinfo is None and len(text.strip()) > 10:
            after = 0  # a clock time was given: it is meant as it stands
        moment = (day + timedelta(days=after)).replace(tzinfo=day.tzinfo or zone)
        return moment.timestamp()
    except (ValueError, OverflowError):
        raise InputError(option, text, "is no day", "year-month-day, as in 2027-03-19") from None
