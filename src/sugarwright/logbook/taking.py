"""A file of entries taken into the logbook: all of it or nothing, and twice is once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from sugarwright.errors import InputError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.entry_import import Taking, read_entries
from sugarwright.logbook.paper import is_paper, read_paper
from sugarwright.logbook.sheets import Row, SheetProblemsError, plain_cell, read_sheet
from sugarwright.plant.house import House

_ALL = 10**9


@dataclass(frozen=True)
class TakenIn:
    """What became of a file.

    Parameters
    ----------
    file : its name
    table : "entries", "paper" for daily totals, or the name of a table
    rows : lines in which anything stands
    new : entries (or lines) that were not there before
    repeated : those that were
    written : false for a dry run
    corrected : of the new ones, daily totals that stand for another of the same day from now on
    overruled : of the repeated ones, those that were corrected or taken back since
    """

    file: str
    table: str
    rows: int
    new: int
    repeated: int
    written: bool
    corrected: int = 0
    overruled: int = 0


def take_in(
    path: str | Path,
    house: House,
    now_s: float,
    book: Logbook | None,
    *,
    sure: bool = False,
    dry_run: bool = False,
) -> TakenIn:
    """Take entries or daily totals in from a table.

    Parameters
    ----------
    path : of the table
    house : whose names, units and clock are meant
    now_s : UTC s
    book : to be added to; None where there is none yet and nothing is to be written
    sure : keep values beyond what can be, flagged "doubtful"
    dry_run : look at everything and write nothing

    Raises
    ------
    SheetProblemsError : cells that cannot be used, all at once; nothing was taken in
    InputError : the file or its titles cannot be used
    """
    taking = Taking(read_sheet(path), house, now_s, sure)
    paper = is_paper(taking.sheet)
    found = read_paper(taking) if paper else read_entries(taking)
    there = {} if book is None else {each.key: each for each in book.newest(_ALL)}
    new, repeated = _sorted_out(taking, found, there)
    if taking.problems:
        raise SheetProblemsError(taking.problems)
    standing = () if book is None else book.entries()
    corrected = 0
    if paper:
        told = {entry.key for _, entry in found}
        new, corrected = _as_corrections(new, [each for each in standing if each.key not in told])
    if book is not None and not dry_run:
        book.add(new)
        if new:
            book.renew_backup()
    stands = {each.key for each in standing}
    overruled = {entry.key for _, entry in found if entry.key in there and entry.key not in stands}
    overruled -= {key for key in overruled if there[key].kind == "withdrawn"}
    return TakenIn(
        str(path), "paper" if paper else "entries", len(taking.sheet.rows), len(new), repeated,
        not dry_run, corrected, 0 if "key" in taking.sheet.titles else len(overruled),
    )  # fmt: skip


def _as_corrections(new: Sequence[Entry], standing: Sequence[Entry]) -> tuple[list[Entry], int]:
    """Let a day's total stand for the one of the same day that was there; a day has one of each.

    Otherwise a paper that was mended and taken in again would count that day twice.
    """
    older, newer = _by_total(standing), _by_total(new)
    out, corrected = [], 0
    for entry in new:
        total = _total_of(entry)
        before = older.get(total, [])
        alone = len(before) == len(newer[total]) == 1
        out.append(replace(entry, replaces=before[0].key) if alone else entry)
        corrected += alone
    return out, corrected


_Total = tuple[str, str, float | None, float]


def _total_of(entry: Entry) -> _Total:
    return entry.kind, entry.place, entry.begin_s, entry.at_s


def _by_total(entries: Sequence[Entry]) -> dict[_Total, list[Entry]]:
    found: dict[_Total, list[Entry]] = {}
    for entry in entries:
        found.setdefault(_total_of(entry), []).append(entry)
    return found


def _sorted_out(
    taking: Taking, found: Sequence[tuple[Row, Entry]], there: dict[str, Entry]
) -> tuple[list[Entry], int]:
    """Return what is new, corrections behind what they correct, and how many were there."""
    titles = taking.sheet.titles
    keys_at = titles.index("key") if "key" in titles else len(titles)
    new: dict[str, tuple[Row, Entry]] = {}
    repeated = 0
    for row, entry in found:
        same = there.get(entry.key) or (new[entry.key][1] if entry.key in new else None)
        if same is None:
            new[entry.key] = row, entry
        elif same != entry and plain_cell(taking.sheet.cell(row, keys_at)) == entry.key:
            problem = "is the key of another entry that says something else"
            taking.at(row, None, InputError("key", entry.key, problem, fix="Leave its key empty"))
        else:
            repeated += 1
    return _in_order(taking, new, set(there)), repeated


def _in_order(taking: Taking, new: dict[str, tuple[Row, Entry]], known: set[str]) -> list[Entry]:
    """Return entries as they stand in the table, but each behind the one that it replaces."""
    out: list[Entry] = []
    left = list(new.values())
    while left:
        waiting = []
        for row, entry in left:
            if entry.replaces is None or entry.replaces in known:
                out.append(entry)
                known.add(entry.key)
            else:
                waiting.append((row, entry))
        if len(waiting) == len(left):
            for row, entry in waiting:
                problem = "is the key of no entry in the logbook or in this table"
                taking.at(row, None, InputError("replaces", entry.replaces, problem))
            break
        left = waiting
    return out
