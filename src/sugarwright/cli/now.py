"""``sugarwright now``: where the tanks stand, by the log."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.plan import last_plan, why_plan_again
from sugarwright.answering.standing import standing_of
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.record import record_in

if TYPE_CHECKING:
    from sugarwright.plant.house import House
    from sugarwright.twin.now import Progress

TOLD_EVERY = 20  # entries


def now(
    folder: FolderArgument = ".",
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Local time to tell of: "14:30" of today, or "2026-03-19 14:30"; entries after '
            "it are left out. Left out: this very moment.",
        ),
    ] = None,
    again: Annotated[
        bool,
        typer.Option("--again", help="Follow the whole log anew, whatever was kept of it."),
    ] = False,
    json: JsonOption = False,
) -> None:
    """Where do tanks, membrane and pan stand now, and how sure is that?

    Your house is run forward from what you logged, many times with a little chance in it, and
    corrected by each reading. A reading that cannot be is told, and not believed at once.

    Examples:
      sugarwright now
      sugarwright now my-sugarhouse --at 16:30 --json
    """
    house = house_as_learnt(folder)
    now_s = moment_s(house, at)
    with record_in(folder, make=False) as book:
        report = standing_of(
            folder, house, now_s, book, again=again, progress=_progress(again), tell=note
        )
        why = why_plan_again(house, report, last_plan(book, int(now_s)), now_s)
    if json:
        say(as_json(report))
        return
    from sugarwright.cli.now_text import now_lines

    say(*now_lines(report, why))


def moment_s(house: House, text: str | None) -> float:
    """Return the UTC s that is meant; now where nothing was typed."""
    if text is None:
        return time.time()
    return read_moment_s("--at", text, house.site.timezone, time.time())


def _progress(again: bool) -> Progress | None:
    """Return what tells how far a long way through the log has come; on a terminal alone."""
    if not (again or sys.stderr.isatty()):
        return None

    def tell(done: int, of: int) -> None:
        if done % TOLD_EVERY == 0:
            note(f"followed {done} of {of} entries")

    return tell
