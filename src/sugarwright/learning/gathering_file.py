"""Gatherings from a table: a maker's own, or that of one of two published sets of single trees.

Own layout: a column ``time`` or ``date``, one named ``volume`` (its unit in the title or in the
cells), and, where known, ``taps``, ``flags`` (ice, overflow, not emptied) and ``brix``.

Published: Harvard Forest HF285 (date, time, tree, tap, species, sugar, sap.wt) and the ACERnet
release of 2012 to 2017 (Site, Site.ID, Date, Year, Tree, Tap, Species, Sugar, Sap.Wt). There each
row is one tap on one day, its sap weighed in kilograms: taps of a day are added up.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.sheet import Sheet, read_sheet
from sugarwright.physics.solution import density_kg_m3
from sugarwright.units import BRIX, VOLUME, parse
from sugarwright.weather.hours import utc_text
from sugarwright.weather.table import Row

_SAP_C = 4.0
_FLAGS = {"ice": "ice", "overflow": "overflow", "not emptied": "not_emptied"}


@dataclass(frozen=True)
class Came:
    """One gathering as a table states it.

    Parameters
    ----------
    end_s : UTC s
    volume_m3 : gathered
    taps : None where the table does not say
    flags : those of ``Gathering`` that hold
    brix : None where nobody read it
    """

    end_s: float
    volume_m3: float
    taps: float | None
    flags: frozenset[str] = frozenset()
    brix: float | None = None


def read_gatherings(
    path: str | Path, zone: str, clock_h: int = 16, site: str = ""
) -> tuple[Came, ...]:
    """Read gatherings in order of time.

    Parameters
    ----------
    path : of the table
    zone : time zone of its times
    clock_h : local hour of those that state a day only
    site : which one, where the table holds several

    Returns
    -------
    One Came for each gathering

    Raises
    ------
    InputError : names file, line and column of what cannot be used
    """
    sheet = read_sheet(path)
    try:
        if "sap wt" in sheet.columns:
            return _single_trees(sheet, zone, clock_h, site)
        return _own(sheet, zone, clock_h)
    except WeatherFileError:
        raise
    except InputError as error:
        raise error.at(error.field, error.place or str(path)) from None


def with_begins(came: Sequence[Came], tapped_s: float | None, taps: float) -> list[Gathering]:
    """Return the gatherings of one season with their begins.

    Parameters
    ----------
    came : of one season, in order of time
    tapped_s : UTC s; None where unknown: the first gathering then only starts the clock
    taps : where the table does not say
    """
    known = tapped_s is not None and tapped_s < came[0].end_s
    before_s = tapped_s if known else None
    found = []
    for each in came:
        if before_s is not None:
            found.append(
                Gathering(
                    before_s,
                    each.end_s,
                    each.volume_m3,
                    taps if each.taps is None else each.taps,
                    brix=each.brix,
                    **dict.fromkeys(each.flags, True),
                )
            )
        before_s = each.end_s
    return found


def _own(sheet: Sheet, zone: str, clock_h: int) -> tuple[Came, ...]:
    times = sheet.times(zone, clock_h)
    title = sheet.need("volume", "gallons", "liters", "litres", "gal", "l")
    unit = _unit_of(title)
    found = []
    for row, end_s in zip(sheet.rows, times, strict=True):
        cell = sheet.cell(row, title)
        if not cell:
            continue  # nobody gathered on that day
        try:
            volume_m3 = parse(cell, VOLUME, title, unit)
        except InputError as error:
            raise sheet.error(row, title, error.problem, error.allowed, error.fix) from None
        if volume_m3 < 0.0:
            raise sheet.error(row, title, "is less than nothing", "0 or more")
        taps = sheet.number(row, "taps", 1.0, 1e6)
        brix = _brix(sheet, row)
        found.append((row, Came(end_s, volume_m3, taps, _flags(sheet, row), brix)))
    if not found:
        raise sheet.error(None, title, "no row has a volume")
    for (_, before), (row, now) in itertools.pairwise(found):
        if now.end_s <= before.end_s:
            problem = f"is not after the gathering before it ({utc_text(before.end_s)})"
            raise sheet.error(row, sheet.time_title, problem, "", "Sort the rows by time")
    return tuple(each for _, each in found)


def _unit_of(title: str) -> str | None:
    """Return the unit that a title carries: "volume_gal", "volume l", "gallons"."""
    unit = title.removeprefix("volume").removeprefix(" sap").strip()
    return {"us gal": "gal", "m3": "m3"}.get(unit, unit) or None


def _brix(sheet: Sheet, row: Row) -> float | None:
    title = sheet.have("brix", "sugar", "sap brix")
    cell = sheet.cell(row, title) if title else ""
    if not cell:
        return None
    try:
        brix = parse(cell, BRIX, str(title))
    except InputError as error:
        raise sheet.error(row, title, error.problem, error.allowed, error.fix) from None
    if not 0.2 <= brix <= 12.0:
        raise sheet.error(row, title, "is no Brix of sap", "0.2 to 12")
    return brix


def _flags(sheet: Sheet, row: Row) -> frozenset[str]:
    title = sheet.have("flags", "flag")
    texts = re.split(r"[;,/+]", sheet.cell(row, title).lower()) if title else []
    said = [" ".join(re.split(r"[\s_-]+", text.strip())) for text in texts if text.strip()]
    for text in said:
        if text not in _FLAGS:
            raise sheet.error(row, title, f'"{text}" is no flag', ", ".join(_FLAGS))
    return frozenset(_FLAGS[text] for text in said)


def _single_trees(sheet: Sheet, zone: str, clock_h: int, site: str) -> tuple[Came, ...]:
    """Add up the taps of each day; the last hour of a day's rows is the hour of the day."""
    times = sheet.times(zone, clock_h)
    chosen = _of_site(sheet, site)
    date = sheet.need("date")
    days: dict[str, list[tuple[float, float, float | None]]] = {}
    for row, end_s in zip(sheet.rows, times, strict=True):
        weight_kg = sheet.number(row, "sap wt", 0.0, 200.0)
        if weight_kg is not None and row in chosen:
            sugar = sheet.number(row, "sugar", 0.0, 12.0)
            days.setdefault(sheet.cell(row, date), []).append((end_s, weight_kg, sugar))
    if not days:
        raise sheet.error(None, "sap wt", "no row has a weight")
    return tuple(sorted((_day(taps) for taps in days.values()), key=lambda one: one.end_s))


def _day(taps: list[tuple[float, float, float | None]]) -> Came:
    total_kg = sum(weight_kg for _, weight_kg, _ in taps)
    read = [(weight_kg, sugar) for _, weight_kg, sugar in taps if sugar and weight_kg > 0.0]
    read_kg = sum(weight_kg for weight_kg, _ in read)
    brix = sum(weight_kg * sugar for weight_kg, sugar in read) / read_kg if read_kg else math.nan
    believed = brix if 0.2 <= brix <= 12.0 else None
    volume_m3 = total_kg / density_kg_m3(believed or 2.0, _SAP_C)
    return Came(max(end_s for end_s, _, _ in taps), volume_m3, float(len(taps)), brix=believed)


def _of_site(sheet: Sheet, site: str) -> list[Row]:
    title = sheet.have("site", "site id")
    if title is None:
        if site:
            raise sheet.error(None, None, f'has no column of sites to find "{site}" in')
        return sheet.rows
    names = sorted({sheet.cell(row, title) for row in sheet.rows})
    wanted = site or (names[0] if len(names) == 1 else "")
    if wanted not in names:
        problem = f'there is no site "{site}"' if site else "the file holds several sites"
        raise sheet.error(None, title, problem, ", ".join(names[:12]), "Choose one with --site")
    return [row for row in sheet.rows if sheet.cell(row, title) == wanted]
