"""Entries out of a table that a person, a spreadsheet or this program made.

All cells that cannot be used are told at once, and then nothing is taken in. A row without a key
gets one made of what it says, so that the same file taken in twice adds nothing.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TypeVar
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import FLAGS, GATHERING, KINDS, QUANTITIES
from sugarwright.logbook.clock import AHEAD_S
from sugarwright.logbook.columns import Column, kind_and_unit, understand_titles
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.entry_sheet import PARTS, WORD
from sugarwright.logbook.forms import form_of_head
from sugarwright.logbook.possible import DoubtError, doubt_of
from sugarwright.logbook.sheet_times import Dates, day_first
from sugarwright.logbook.sheets import Row, Sheet, plain_cell
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.units import parse

T = TypeVar("T")
_NAMESPACE = uuid.UUID("5f0c6d1e-7e55-4c2f-9a36-3f6f0b1d8a11")
_SURE = "If it is so, import with --sure"
_GROUPED = re.compile(r"\s*[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")


@dataclass
class Taking:
    """What is known while a table is taken in.

    Parameters
    ----------
    sheet, house : the table, and whose it is
    now_s : UTC s; nothing is later
    sure : values beyond what can be are kept, flagged
    problems : what cannot be used, each with its place
    """

    sheet: Sheet
    house: House
    now_s: float
    sure: bool = False
    problems: list[InputError] = field(default_factory=list)

    def cell(self, row: Row, column: Column | None) -> str:
        """Return a cell without white space around it; empty where there is no such column."""
        return "" if column is None else self.sheet.cell(row, column.at).strip()

    def at(self, row: Row, column: Column | None, error: InputError) -> None:
        """Note a problem of a cell, or of a row as a whole."""
        self.problems.append(self.sheet.problem(row, None if column is None else column.at, error))


def content_key(entry: Entry, seen: dict[str, int]) -> str:
    """Return a key made of what an entry says; rows that say the same are counted."""
    said = replace(entry, key="k", made_s=0.0, typed="", source="import", replaces=None)
    text = repr((said.kind, said.at_s, said.begin_s, said.place, said.to_place, said.measures,
                 sorted(said.words.items()), said.flags, said.who, entry.replaces))  # fmt: skip
    seen[text] = seen.get(text, 0) + 1
    return uuid.uuid5(_NAMESPACE, f"{text}#{seen[text]}").hex


def read_entries(taking: Taking) -> list[tuple[Row, Entry]]:
    """Return the entries of a table with the rows that state them; problems go to ``taking``.

    Raises
    ------
    InputError : the titles cannot be used
    """
    columns = understand_titles(taking.sheet)
    if "kind" not in columns and "entry" not in columns:
        raise InputError(
            "titles",
            ", ".join(taking.sheet.titles)[:70],
            "name no column of what happened",
            "kind, or what (in words)",
            "`sugarwright log paper` prints a table of daily totals to fill in",
            taking.sheet.name,
        )
    texts = [
        taking.cell(row, columns.get(name))
        for name in ("date", "time", "begin")
        for row in taking.sheet.rows
    ]
    dates = Dates(ZoneInfo(taking.house.site.timezone), day_first(texts))
    reader = _RowReader(taking, columns, dates)
    return [(row, entry) for row in taking.sheet.rows for entry in reader.read(row)]


@dataclass
class _RowReader:
    taking: Taking
    columns: dict[str, Column]
    dates: Dates
    seen: dict[str, int] = field(default_factory=dict)

    def read(self, row: Row) -> list[Entry]:
        """Return the entries of a row; none when anything in it cannot be used."""
        before = len(self.taking.problems)
        at_s = self._try(row, "time" if "time" in self.columns else "date", self._at_s)
        if at_s is not None and at_s > self.taking.now_s + AHEAD_S:
            error = InputError("time", None, "is still to come")
            self.taking.at(row, self.columns.get("time") or self.columns.get("date"), error)
        if "kind" not in self.columns:
            return self._in_words(row, at_s) if at_s is not None else []
        begin_s = self._try(row, "begin", self._begin_s)
        kind, place = self._try(row, "kind", self._kind_and_place) or ("", "")
        where = self._try(row, "place", self._place)
        to_place = self._try(row, "to_place", lambda row: self._place(row, "to_place"))
        measures = self._measures(row)
        flags = self._try(row, "flags", self._flags)
        made_s = self._try(row, "entered", self._made_s)
        if len(self.taking.problems) > before or at_s is None:
            return []
        try:
            entry = Entry(
                key=plain_cell(self._cell(row, "key")) or "k",
                kind=kind,
                at_s=at_s,
                made_s=self.taking.now_s if made_s is None else made_s,
                begin_s=begin_s,
                place=where or place,
                to_place=to_place or "",
                measures=measures,
                words=self._words(row),
                flags=flags or (),
                who=plain_cell(self._cell(row, "who")),
                source=self._cell(row, "source") or "import",
                typed=plain_cell(self._raw(row, "typed")),
                replaces=plain_cell(self._cell(row, "replaces")) or None,
            )
        except InputError as error:
            self.taking.at(row, None, error)
            return []
        if self._cell(row, "key"):
            return [entry]
        return self._checked(row, replace(entry, key=content_key(entry, self.seen)))

    def _checked(self, row: Row, entry: Entry) -> list[Entry]:
        """Question what cannot be, in a row that a person wrote."""
        allowed = KINDS[entry.kind].quantities
        for measure in entry.measures:
            column = self.columns.get(measure.quantity)
            if measure.quantity not in allowed and entry.kind != "note":
                problem = f"is no part of the kind {entry.kind}"
                self.taking.at(row, column, InputError("", None, problem, ", ".join(allowed)))
                return []
            if measure.value < 0.0 and measure.quantity != "temperature":
                self.taking.at(row, column, InputError("", None, "is less than nothing"))
                return []
            doubt = doubt_of(self.taking.house, entry.kind, entry.place, entry.to_place, measure)
            if doubt is not None and not self.taking.sure:
                self.taking.at(row, column, DoubtError(doubt, entry.place, _SURE))
                return []
            if doubt is not None and "doubtful" not in entry.flags:
                entry = replace(entry, flags=(*entry.flags, "doubtful"))
        return [entry]

    def _in_words(self, row: Row, at_s: float) -> list[Entry]:
        """Read a row whose cell says it in the words of `sugarwright log`."""
        column = self.columns["entry"]
        text = plain_cell(self.taking.cell(row, column))
        who = plain_cell(self._cell(row, "who"))
        try:
            said = understand(
                text, self.taking.house, self.taking.now_s, who=who, sure=self.taking.sure,
                sure_hint=_SURE,
            )  # fmt: skip
        except InputError as error:
            self.taking.at(row, column, error)
            return []
        entries = [replace(each, source="import") for each in said.entries]
        if not said.own_time:
            entries = [replace(each, at_s=at_s) for each in entries]
        return self._kept_in(row, entries)

    def _kept_in(self, row: Row, entries: list[Entry]) -> list[Entry]:
        """Give entries told in words what other columns say: when entered, key, what is replaced.

        A key or a correction is of one thing: the words of its row must say one.
        """
        before = len(self.taking.problems)
        made_s = self._try(row, "entered", self._made_s)
        key, replaces = (plain_cell(self._cell(row, name)) for name in ("key", "replaces"))
        if (key or replaces) and len(entries) > 1:
            problem = f"says {len(entries)} things, and a key or a correction is of one"
            fix = "Give each a line of its own"
            self.taking.at(row, self.columns["entry"], InputError("", None, problem, fix=fix))
        if len(self.taking.problems) > before:
            return []
        if made_s is not None:
            entries = [replace(each, made_s=made_s) for each in entries]
        entries = [replace(each, replaces=replaces or None) for each in entries]
        keys = [key or content_key(each, self.seen) for each in entries]
        return [replace(each, key=key) for each, key in zip(entries, keys, strict=True)]

    def _try(self, row: Row, name: str, read: Callable[[Row], T]) -> T | None:
        """Return what a cell says; None, and the problem noted, when it cannot be used."""
        try:
            return read(row)
        except InputError as error:
            self.taking.at(row, self.columns.get(name), error)
        except ValueError as error:
            self.taking.at(
                row, self.columns.get(name), InputError("", None, f"no number ({error})")
            )
        return None

    def _cell(self, row: Row, name: str) -> str:
        return self.taking.cell(row, self.columns.get(name))

    def _raw(self, row: Row, name: str) -> str:
        column = self.columns.get(name)
        return "" if column is None else self.taking.sheet.cell(row, column.at)

    def _at_s(self, row: Row) -> float:
        clock = self._cell(row, "clock")
        if "date" in self.columns:
            return self.dates.instant_s(self._cell(row, "date"), clock or self._cell(row, "time"))
        return self.dates.instant_s(self._cell(row, "time"), clock)

    def _begin_s(self, row: Row) -> float | None:
        cell = self._cell(row, "begin")
        if cell and "date" in self.columns and len(cell) <= 8:  # a clock time of that date
            return self.dates.instant_s(self._cell(row, "date"), cell)
        return self.dates.instant_s(cell) if cell else None

    def _made_s(self, row: Row) -> float | None:
        cell = self._cell(row, "entered")
        return self.dates.instant_s(cell) if cell else None

    def _kind_and_place(self, row: Row) -> tuple[str, str]:
        """Return a kind by its name, or by the words that such an entry begins with."""
        cell = self._cell(row, "kind")
        if cell in KINDS and self._cell(row, "key"):
            return cell, ""  # of an export, which says the place itself
        plain = " ".join(cell.casefold().replace("_", " ").split())
        form = form_of_head().get(tuple(plain.split()))
        if form is not None:
            return form.kind, form.place
        if plain.replace(" ", "_") in KINDS:
            return plain.replace(" ", "_"), ""
        raise InputError("kind", cell, "is no kind of entry", ", ".join(KINDS))

    def _place(self, row: Row, name: str = "place") -> str:
        cell = plain_cell(self._cell(row, name))
        own = {each.name.casefold(): each.name for each in self.taking.house.gathering}
        found = own.get(cell.casefold())
        return cell if found is None else GATHERING + found

    def _measures(self, row: Row) -> tuple[Measure, ...]:
        found = {}
        for quantity in QUANTITIES:
            column = self.columns.get(quantity)
            if column is not None and self.taking.cell(row, column):
                measure = self._try(row, quantity, partial(self._measure, column))
                if measure is not None:
                    found[quantity] = measure
        order = [each.strip() for each in self._cell(row, "measured").split(";")]
        names = [name for name in order if name in found]
        return tuple(
            found[name] for name in [*names, *(each for each in found if each not in names)]
        )

    def _measure(self, column: Column, row: Row) -> Measure:
        cell = plain_cell(self.taking.cell(row, column))
        value, typed = self._value(cell, column)
        parts = {part: plain_cell(self._raw(row, column.name + part)) for part in PARTS}
        sd = float(parts["sd"]) if parts["sd"].strip() else None
        return Measure(column.name, value, sd, parts["typed"] or typed, parts["instrument"])

    def _value(self, cell: str, column: Column) -> tuple[float, str]:
        if column.unit == "SI":
            try:
                return float(cell), ""
            except ValueError:
                column = replace(column, unit="")
        grouped = _GROUPED.match(cell) if self.taking.sheet.decimal_comma else None
        if grouped is not None:
            bare = grouped[0].strip()
            fix = f"Write {bare.replace(',', '.')} or {bare.replace(',', '')}"
            raise InputError("", cell, "can be a thousand times smaller or greater", fix=fix)
        kind, unit = kind_and_unit(column)
        if kind is None:
            return _number(cell), cell
        value = parse(cell, kind, column.name, unit)
        has_unit = not re.fullmatch(r"[0-9.,/\s+-]+", cell)
        return value, cell if has_unit or not unit else f"{cell} {unit}"

    def _flags(self, row: Row) -> tuple[str, ...]:
        named = {each.replace("_", " "): each for each in FLAGS}
        flags = []
        for text in re.split("[;,]", self._cell(row, "flags")):
            plain = " ".join(text.replace("_", " ").casefold().split())
            if plain and plain not in named:
                raise InputError("flags", text.strip(), "is no flag", ", ".join(named))
            flags += [named[plain]] if plain else []
        return tuple(dict.fromkeys(flags))

    def _words(self, row: Row) -> dict[str, str]:
        words = {}
        for column in self.columns.values():
            cell = self.taking.sheet.cell(row, column.at)
            if column.name.startswith(WORD) and cell:
                words[column.name.removeprefix(WORD)] = "" if cell == "'" else plain_cell(cell)
        return words


def _number(cell: str) -> float:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        raise InputError("", cell, "is no number") from None
