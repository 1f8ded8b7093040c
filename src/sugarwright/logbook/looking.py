"""Looking into the book: which lines, and what they replaced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.catalogue import GATHERING, KINDS, place_problem
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.forms import form_of_head
from sugarwright.logbook.lines import Book, line_of, short_keys
from sugarwright.logbook.when import bound_s
from sugarwright.plant.house import House

_ALL = 10**9


def look(
    book: Logbook,
    house: House,
    now_s: float,
    *,
    begin: str | None = None,
    end: str | None = None,
    kinds: Sequence[str] = (),
    places: Sequence[str] = (),
    all_versions: bool = False,
    most: int | None = 40,
) -> Book:
    """Return a part of the book.

    Parameters
    ----------
    begin, end : as typed: days (both included) or moments
    kinds : kinds, or words that such entries begin with
    places : places, or names of gatherings
    all_versions : what was corrected or taken back is shown as well
    most : lines, the newest ones, where no begin is given; None: all

    Raises
    ------
    InputError : no such day, kind or place
    """
    zone = ZoneInfo(house.site.timezone)
    begin_s = None if begin is None else bound_s(begin, zone, now_s, "--from", False)
    end_s = None if end is None else bound_s(end, zone, now_s, "--to", True)
    wanted = [_kind(each) for each in kinds] or None
    where = [_place(each, house) for each in places] or None
    histories = histories_of(book.newest(_ALL))
    found = [
        line
        for versions in histories
        for line in _lines_of(versions, all_versions)
        if _fits(line.entry, begin_s, end_s, wanted, where)
    ]
    found.sort(key=lambda line: line.entry.at_s)
    shown = found if begin is not None or most is None else found[-most:]
    keys = short_keys(each.key for versions in histories for each in versions)
    lines = tuple(
        line_of(each.entry, house, keys[each.entry.key], each.earlier, each.stands)
        for each in shown
    )
    site = house.site
    return Book(lines, len(found) - len(shown), site.timezone, site.units, site.currency)


def histories_of(newest: Sequence[Entry]) -> list[list[Entry]]:
    """Return the versions of each entry, the oldest first.

    Parameters
    ----------
    newest : all entries, the one entered last first
    """
    first: dict[str, str] = {}
    out: dict[str, list[Entry]] = {}
    for entry in reversed(newest):
        first[entry.key] = first.get(entry.replaces or "", entry.key)
        out.setdefault(first[entry.key], []).append(entry)
    return list(out.values())


@dataclass(frozen=True)
class _Line:
    entry: Entry
    earlier: Sequence[Entry]
    stands: bool


def _lines_of(versions: Sequence[Entry], all_versions: bool) -> Iterator[_Line]:
    """Yield the line of an entry: its last version, and those before it."""
    said = [each for each in versions if each.kind != "withdrawn"]
    stands = versions[-1].kind != "withdrawn"
    if said and (stands or all_versions):
        yield _Line(said[-1], said[:-1] if all_versions else said[-2:-1], stands)


def _fits(
    entry: Entry,
    begin_s: float | None,
    end_s: float | None,
    kinds: Sequence[str] | None,
    places: Sequence[str] | None,
) -> bool:
    return (
        (begin_s is None or entry.at_s >= begin_s)
        and (end_s is None or entry.at_s < end_s)
        and (kinds is None or entry.kind in kinds)
        and (places is None or entry.place in places or entry.to_place in places)
    )


def _kind(text: str) -> str:
    """Return the kind that a person means: its own name, or words that such entries begin with."""
    plain = " ".join(text.casefold().replace("_", " ").split())
    named = plain.replace(" ", "_")
    if named in KINDS:
        return named
    form = form_of_head().get(tuple(plain.split()))
    if form is None:
        raise InputError("--kind", text, "is no kind of entry", ", ".join(KINDS))
    return form.kind


def _place(text: str, house: House) -> str:
    names = {each.name.casefold(): each.name for each in house.gathering}
    plain = text.strip().casefold()
    if plain in names:
        return GATHERING + names[plain]
    if problem := place_problem(text.strip()):
        raise InputError("--place", text, problem[0], ", ".join((problem[1], *names.values())))
    return text.strip()
