"""A season on paper: one line a day with its totals, typed into a table afterwards."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.clock import local_of
from sugarwright.logbook.columns import split_title
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.entry_import import Taking, content_key
from sugarwright.logbook.possible import DoubtError, doubt_of
from sugarwright.logbook.sheet_times import Dates, day_first
from sugarwright.logbook.sheets import Row, Sheet, column_letter, plain_cell, safe_cell
from sugarwright.logbook.vocabulary import kind_of_quantity
from sugarwright.plant.house import House
from sugarwright.units import BRIX, parse

DAYS = 60
_CLOCK_HOURS = re.compile(r"\s*([0-9]{1,2}):([0-5][0-9])\s*")
_SURE = "If it is so, import with --sure"
_FORMS = (
    (r"(?:sap )?brix|sugar", "brix"),
    (r"(?:sap(?: gathered)?|gathered)(?: (?:from|at))?", "sap"),
    (r"syrup(?: made)?", "syrup"),
    (r"wood(?: burnt| burned| used)?", "wood"),
    (r"hours(?: of fire| boiled| of boiling)?|fire|boiling", "hours"),
    (r"notes?|remarks|comments?", "note"),
    (r"by|who|person", "who"),
    (r"date|day", "date"),
)
_QUANTITY = {
    "sap": "volume",
    "brix": "brix",
    "syrup": "volume",
    "wood": "wood",
    "hours": "duration",
}


@dataclass(frozen=True)
class _Column:
    """A column of the table: which total, of which gathering, in which unit."""

    at: int
    what: str
    gathering: str = ""
    unit: str | None = None


def is_paper(sheet: Sheet) -> bool:
    """Tell whether a table holds daily totals: a date, a total, and no kinds of entries."""
    whats = {_what(split_title(title)[0])[0] for title in sheet.titles}
    names = {split_title(title)[0] for title in sheet.titles}
    return (
        "date" in whats
        and bool(whats & {"sap", "syrup", "wood", "hours"})
        and not names & {"kind", "what", "entry", "words", "text"}
    )


def template(house: House) -> tuple[list[str], Iterator[list[str]]]:
    """Return titles and rows of an empty table: sixty days from tapping, the house's gatherings."""
    metric = house.site.units == "metric"
    volume, wood = ("L", "stere") if metric else ("gal", "cord")
    titles = [
        "date",
        *(safe_cell(f"sap gathered {each.name} ({volume})") for each in house.gathering),
    ]
    titles += ["sap Brix", f"syrup made ({volume})", f"wood burnt ({wood})", "hours of fire (h)"]
    titles += ["by", "notes"]
    first = house.trees.tapped
    blank = [""] * (len(titles) - 1)
    rows = ([(first + timedelta(days=day)).isoformat(), *blank] for day in range(DAYS))
    return titles, rows


def read_paper(taking: Taking) -> list[tuple[Row, Entry]]:
    """Return the entries of a table of daily totals: spans from the begin of a day to its end.

    Raises
    ------
    InputError : a title means nothing here
    """
    sheet = taking.sheet
    columns = [
        _column(at, title, taking.house, sheet) for at, title in enumerate(sheet.titles) if title
    ]
    dated = next(each for each in columns if each.what == "date")
    dates = Dates(
        ZoneInfo(taking.house.site.timezone),
        day_first(sheet.cell(row, dated.at).strip() for row in sheet.rows),
    )
    seen: dict[str, int] = {}
    out = []
    for row in sheet.rows:
        for entry in _Day(taking, row, columns, dates).entries():
            out.append((row, replace(entry, key=content_key(entry, seen))))
    return out


@dataclass
class _Day:
    """One line of the paper."""

    taking: Taking
    row: Row
    columns: Sequence[_Column]
    dates: Dates

    def entries(self) -> list[Entry]:
        """Return what the day says; nothing when any cell of it cannot be used."""
        told = [each for each in self.columns if each.what != "date" and self._cell(each)]
        if not told:
            return []
        before = len(self.taking.problems)
        span = self._span()
        measures = {each.at: self._measure(each) for each in told if each.what in _QUANTITY}
        if span is None or len(self.taking.problems) > before:
            return []
        found = [*self._gathered(span, measures), *self._made(span, measures)]
        return found if len(self.taking.problems) == before else []

    def _span(self) -> tuple[float, float] | None:
        column = next(each for each in self.columns if each.what == "date")
        try:
            day = self.dates.day(self._cell(column))
            if day > local_of(self.taking.now_s, self.dates.zone).date():
                raise InputError("date", None, "is still to come")
        except InputError as error:
            self._problem(column, error)
            return None
        return _whole_day(day, self.dates.zone)

    def _measure(self, column: _Column) -> Measure | None:
        quantity = _QUANTITY[column.what]
        kind = kind_of_quantity(quantity)
        cell = plain_cell(self._cell(column))
        clock = _CLOCK_HOURS.fullmatch(cell) if column.what == "hours" else None
        text = f"{clock[1]} h {clock[2]} min" if clock else cell
        try:
            assert kind is not None
            value = parse(text, kind, column.what, column.unit)
            if value < 0.0:
                raise InputError("", cell, "is less than nothing", "0 or more")
        except InputError as error:
            self._problem(column, error)
            return None
        unit = "Brix" if kind is BRIX else column.unit
        bare = unit and re.fullmatch(r"[0-9.,/\s]+", cell)
        return Measure(quantity, value, None, f"{cell} {unit}" if bare else text)

    def _gathered(
        self, span: tuple[float, float], measures: dict[int, Measure | None]
    ) -> Iterator[Entry]:
        """Yield what was gathered; a Brix that names no gathering is that of all."""
        strengths = {
            each.gathering: measures[each.at]
            for each in self.columns
            if each.what == "brix" and measures.get(each.at)
        }
        for column in self.columns:
            volume = measures.get(column.at)
            if column.what == "sap" and volume is not None:
                brix = strengths.get(column.gathering) or strengths.get("")
                both = (volume,) if brix is None else (volume, brix)
                place = GATHERING + column.gathering if column.gathering else "sap"
                yield from self._entry("gather", place, both, span, column)

    def _made(
        self, span: tuple[float, float], measures: dict[int, Measure | None]
    ) -> Iterator[Entry]:
        for column in self.columns:
            measure = measures.get(column.at)
            if column.what == "syrup" and measure is not None:
                yield from self._entry("syrup", "syrup", (measure,), span, column)
        burnt = [
            (each, measure)
            for each in self.columns
            if each.what in ("wood", "hours") and (measure := measures.get(each.at)) is not None
        ]
        if burnt:
            both = tuple(measure for _, measure in burnt)
            yield from self._entry("stoke", "pan", both, span, burnt[0][0])
        for column in self.columns:
            if column.what == "note" and self._cell(column):
                words = {"note": plain_cell(self._cell(column))}
                yield from self._entry("note", "", (), span, column, words)

    def _entry(
        self,
        kind: str,
        place: str,
        measures: tuple[Measure, ...],
        span: tuple[float, float],
        column: _Column,
        words: dict[str, str] | None = None,
    ) -> Iterator[Entry]:
        flags: tuple[str, ...] = ()
        for measure in measures:
            doubt = doubt_of(self.taking.house, kind, place, "", measure)
            if doubt is not None and not self.taking.sure:
                self._problem(column, DoubtError(doubt, place, _SURE))
            flags = ("doubtful",) if doubt is not None else flags
        who = next((self._cell(each) for each in self.columns if each.what == "who"), "")
        yield Entry(
            "k", kind, span[1], self.taking.now_s, span[0], place, "", measures, words or {}, flags,
            plain_cell(who), "import",
        )  # fmt: skip

    def _cell(self, column: _Column) -> str:
        cell = self.taking.sheet.cell(self.row, column.at).strip()
        return "" if cell in ("-", "–", "—") else cell

    def _problem(self, column: _Column, error: InputError) -> None:
        self.taking.problems.append(self.taking.sheet.problem(self.row, column.at, error))


def _whole_day(day: date, zone: ZoneInfo) -> tuple[float, float]:
    """Return the UTC s at which a day begins and at which its last minute does."""
    begin = datetime(day.year, day.month, day.day, tzinfo=zone)
    return begin.timestamp(), begin.replace(hour=23, minute=59).timestamp()


def _what(name: str) -> tuple[str, str]:
    """Return which total a title names, and what of it is left: a gathering, or a unit."""
    for form, what in _FORMS:
        if match := re.fullmatch(rf"(?:{form})(?P<rest>(?: .*)?)", name):
            return what, match["rest"].strip()
    return "", name


def _column(at: int, title: str, house: House, sheet: Sheet) -> _Column:
    name, unit = split_title(plain_cell(title))
    what, rest = _what(name)
    names = {each.name.casefold(): each.name for each in house.gathering}
    gathering = names.get(rest, "")
    kind = kind_of_quantity(_QUANTITY[what]) if what in _QUANTITY else None
    if not what and any(name.startswith(each) for each in names):  # "north brix"
        own = next(each for each in names if name.startswith(each))
        what, gathering, rest = _what(name.removeprefix(own).strip())[0] or "sap", names[own], own
        kind = kind_of_quantity(_QUANTITY[what]) if what in _QUANTITY else None
    if rest and not gathering and not unit and kind is not None and kind.find(rest):
        unit, rest = rest, ""
    place = f"{sheet.name}, column {column_letter(at)}"
    if not what or (rest and not gathering):
        allowed = (
            "date, sap gathered NAME, sap Brix, syrup made, wood burnt, hours of fire, by, notes"
        )
        raise InputError("title", title, "means nothing here", allowed, place=place)
    if kind is not None and unit and kind.find(unit) is None:
        raise InputError("title", title, f"{unit} is no unit of a {kind.name}", place=place)
    if what == "sap" and not gathering and len(names) == 1:
        gathering = next(iter(names.values()))
    usual = "h" if what == "hours" else None
    return _Column(at, what, gathering, unit or usual if kind is not BRIX else None)
