"""What can't be right, in words: what the others say, the likely slip, the way to put it right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from sugarwright.cli.output import wrapped
from sugarwright.cli.program import program
from sugarwright.saying.ledger_doubts import check_text, correction_of, slip_text, suspect_text

if TYPE_CHECKING:
    from sugarwright.ledger.doubts import Doubt, Suspect
    from sugarwright.logbook.entry import Entry
    from sugarwright.plant.house import House

_SHORT = 6


def doubt_lines(
    doubts: Sequence[Doubt], house: House, entries: Mapping[str, Entry]
) -> Iterator[str]:
    """Yield each thing that can't be right."""
    many = f"{len(doubts)} things do" if len(doubts) > 1 else "One thing does"
    yield f"{many} not fit the rest:"
    for number, doubt in enumerate(doubts, start=1):
        first = f"{number}  "
        for suspect in doubt.suspects[:4]:
            yield wrapped(suspect_text(suspect, house, entries), first, "   ")
            if suspect.slip is not None and suspect.slip_key in entries:
                yield wrapped(
                    slip_text(suspect.slip, suspect, house.site.units), "   likely: ", "           "
                )
                command = correction(suspect, house, entries)
                if command:
                    yield wrapped(command, "   then:   ", "           ")
            first = "or "
        if len(doubt.suspects) > 4:
            yield f"   or one of {len(doubt.suspects) - 4} others; --json has all"
        if len(doubt.suspects) > 1:
            yield wrapped("The readings there are can't tell which of these it is.", "   ")
        yield wrapped(check_text(doubt.suspects[0], entries), "   check:  ", "           ")


def correction(suspect: Suspect, house: House, entries: Mapping[str, Entry]) -> str:
    """Return the command that sets a slip right; empty where none can be written."""
    found = correction_of(suspect, house, entries)
    if found is None:
        return ""
    start = f"{program()} log correct {_short(found.key, entries)}"
    return f"`{start} {found.words}`" if found.words else f"`{start} ...` with {found.meant}"


def _short(key: str, entries: Mapping[str, Entry]) -> str:
    """Return as much of a key as names the entry."""
    for length in range(_SHORT, len(key)):
        if sum(each.startswith(key[:length]) for each in entries) == 1:
            return key[:length]
    return key
