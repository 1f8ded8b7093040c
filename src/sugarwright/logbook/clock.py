"""Instants from the clock on the wall of the house, and back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError

EARLIEST_YEAR, LATEST_YEAR = 1950, 2200
ZONE_WORDS = frozenset(
    (
        "utc",
        "gmt",
        "nst",
        "ndt",
        "ast",
        "adt",
        "est",
        "edt",
        "cst",
        "cdt",
        "mst",
        "mdt",
        "pst",
        "pdt",
    )
)
"""Abbreviations of zones that may stand behind a clock time."""
AHEAD_S = 60.0
"""A clock on the wall may run ahead of the computer's by the minute that it rounds to."""


def instant_s(
    local: datetime, zone: ZoneInfo, typed: str, offset: timedelta | None = None, name: str = ""
) -> int:
    """Return the UTC s at which the clocks of a zone show a time.

    Parameters
    ----------
    local : what the clock shows, without a zone
    zone : of the house
    typed : as the person wrote it, for the message
    offset : from UTC, where it was written behind the time
    name : abbreviation of the zone written behind the time ("EST"); empty when none was

    Raises
    ------
    InputError : the clocks skip that time, or show it twice and nothing says which is meant; or
        the name is none of the zone's
    """
    if not EARLIEST_YEAR <= local.year <= LATEST_YEAR:
        raise InputError(
            "time", typed, "is in no year of a logbook", f"{EARLIEST_YEAR} to {LATEST_YEAR}"
        )
    if name:
        offset = _offset_of(name, zone, local.year, typed)
    if offset is not None:
        return round(local.replace(tzinfo=timezone(offset)).timestamp())
    early = local.replace(tzinfo=zone)
    late = early.replace(fold=1)
    if early.utcoffset() == late.utcoffset():
        return round(early.timestamp())
    if not _shown(early, zone):
        raise _skipped(early, late, typed)
    raise InputError(
        "time",
        typed,
        "happens twice that day, when clocks go back",
        fix=f'Write which is meant: "{_with_zone(early)}" for the first, "{_with_zone(late)}" for '
        "the second",
    )


def local_of(time_s: float, zone: ZoneInfo) -> datetime:
    """Return what the clocks of a zone show at an instant."""
    return datetime.fromtimestamp(time_s, zone)


def stamp(time_s: float, zone: ZoneInfo) -> str:
    """Return an instant as a date and a clock time that is read back as the same whole second.

    The offset from UTC stands behind it only where the clocks show the time twice.
    """
    moment = local_of(round(time_s), zone)
    shown = f"{moment:%Y-%m-%d %H:%M}" + (f":{moment:%S}" if moment.second else "")
    if moment.utcoffset() != moment.replace(fold=1 - moment.fold).utcoffset():
        shown += offset_text(moment)
    return shown


def clock_text(moment: datetime) -> str:
    """Return a clock time, "01:30"; where clocks show it twice with its zone, "01:30 EST"."""
    twice = moment.utcoffset() != moment.replace(fold=1 - moment.fold).utcoffset()
    return f"{moment:%H:%M} {moment.tzname()}" if twice else f"{moment:%H:%M}"


def offset_text(moment: datetime) -> str:
    """Return the offset from UTC of a moment: "-04:00"."""
    seconds = round((moment.utcoffset() or timedelta()).total_seconds())
    minutes = round(abs(seconds) / 60)
    return f"{'-' if seconds < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


@lru_cache(maxsize=64)
def zone_names(zone: ZoneInfo, year: int) -> dict[str, timedelta]:
    """Return the abbreviations that a zone goes by in a year, folded, with their offsets."""
    names: dict[str, timedelta] = {"utc": timedelta(), "gmt": timedelta()}
    for month in (1, 4, 7, 10):
        moment = datetime(year, month, 1, tzinfo=zone)
        name = moment.tzname() or ""
        if name.isalpha():
            names[name.casefold()] = moment.utcoffset() or timedelta()
    return names


def _offset_of(name: str, zone: ZoneInfo, year: int, typed: str) -> timedelta:
    names = zone_names(zone, year)
    found = names.get(name.casefold())
    if found is None:
        allowed = ", ".join(each.upper() for each in names)
        raise InputError("time", typed, f"{name} is no zone of this house", allowed)
    return found


def _shown(moment: datetime, zone: ZoneInfo) -> bool:
    """Tell whether the clocks ever show a time."""
    back = moment.astimezone(UTC).astimezone(zone)
    return back.replace(tzinfo=None) == moment.replace(tzinfo=None)


def _skipped(early: datetime, late: datetime, typed: str) -> InputError:
    """Return the error about a time that clocks skip: what they showed before, and after."""
    zone = early.tzinfo
    before, after = (each.astimezone(UTC).astimezone(zone) for each in (late, early))
    return InputError(
        "time",
        typed,
        f"does not exist on {early:%Y-%m-%d}, when clocks go forward",
        fix=f'Write "{before:%H:%M}" or "{after:%H:%M}", whichever the clock on the wall showed',
    )


def _with_zone(moment: datetime) -> str:
    name = moment.tzname() or ""
    if name.casefold() in ZONE_WORDS:  # others are no words that are understood
        return f"{moment:%H:%M} {name}"
    return f"{moment:%Y-%m-%d %H:%M}{offset_text(moment)}"
