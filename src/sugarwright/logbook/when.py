"""When it was: "at 6:30", "yesterday 18:00", "17 March 14:20", "2 h ago", "from 6:00 to 9:30"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError, QuantityError
from sugarwright.logbook.clock import AHEAD_S, ZONE_WORDS, instant_s, local_of
from sugarwright.logbook.days import Day, date_of, take_day
from sugarwright.logbook.tokens import Word
from sugarwright.units import DURATION, KINDS, parse

_HALVES = ("am", "pm", "a.m", "p.m")
_TIME = (
    r"(?P<hour>[0-9]{1,2})(?::(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2}))?)?"
    r"(?P<half>[ap]\.?m\.?)?"
)
_CLOCK = re.compile(_TIME)
_AFTER_AT = re.compile(r"(?P<hour>[0-9]{1,2})h(?P<minute>[0-9]{2})?")
_LATE_HOUR = re.compile(r"00?|1[3-9]|2[0-3]")  # "at 23" is one time, "at 5" one of two
_OFFSET = re.compile(r"(?P<clock>[0-9]{1,2}:[0-9:]+)(?P<offset>z|[+-][0-9]{2}:?[0-9]{2})")
_GLUED_DAY = re.compile(r"(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})t(?P<clock>[0-9].*)")
_GLUED_SPAN = re.compile(r"(?P<begin>[0-9]{1,2}:[0-9]{2}(?:[ap]m)?)-(?P<end>[0-9]{1,2}:.*)")
_MAYBE_CLOCK = re.compile(r"(?P<hour>[0-9]{1,2}?)(?:\.?(?P<minute>[0-9]{2}))?")
_UNTIL = ("to", "until", "till", "-")
_NAMED = {"noon": (12, 0, 0), "midday": (12, 0, 0), "midnight": (0, 0, 0)}
ALLOWED = "6:30, 6:30 pm, yesterday 18:00, 17 March 14:20, 20 min ago, from 6:00 to 9:30"


@dataclass(frozen=True)
class When:
    """An instant, or a span that ends in it, UTC s."""

    at_s: int
    begin_s: int | None = None


@dataclass(frozen=True)
class _Stamp:
    """A time as it was said, not yet an instant."""

    day: Day | None
    clock: tuple[int, int, int]
    typed: str
    offset: timedelta | None
    zone_name: str


@dataclass(frozen=True)
class _Clocks:
    """The clock of the house: its zone, now, and an instant of the day that is meant."""

    zone: ZoneInfo
    now_s: float
    day_s: float


def take_when(
    words: Sequence[Word], zone: ZoneInfo, now_s: float, day_s: float | None = None
) -> tuple[When | None, list[Word]]:
    """Return the time that some words state, and the words without it.

    Parameters
    ----------
    words : as typed
    zone : of the house
    now_s : UTC s; no time is later
    day_s : UTC s in the day that a clock time alone belongs to; today if left out

    Raises
    ------
    InputError : two times are stated, or one that cannot be: in the future, on no day of the
        calendar, skipped or shown twice by the clocks
    """
    words = _unglued(words)
    clocks = _Clocks(zone, now_s, now_s if day_s is None else day_s)
    found: When | None = None
    rest: list[Word] = []
    at = 0
    while at < len(words):
        taken = None if words[at].quoted else _take(words, at, clocks)
        if taken is None:
            rest.append(words[at])
            at += 1
            continue
        when, after = taken
        if found is not None:
            typed = " ".join(word.typed for word in words[at:after])
            raise InputError("time", typed, "is a second time", fix="Say one time for each entry")
        found, at = when, after
    return found, rest


def without_when(words: Sequence[Word]) -> list[Word]:
    """Return some words without those that state a time, whatever time that is."""
    words = _unglued(words)
    rest: list[Word] = []
    at = 0
    while at < len(words):
        joins = words[at].plain in ("from", *_UNTIL)
        taken = None if words[at].quoted else _take_stamp(words, at + joins)
        ago = None if words[at].quoted else _ago(words, at, 0.0)
        if ago is not None:
            at = ago[1]
        elif taken is not None:
            at = taken[1]
        elif words[at].plain == "now":
            at += 1
        else:
            rest.append(words[at])
            at += 1
    return rest


def moment_s(text: str, zone: ZoneInfo, now_s: float, field: str = "time") -> int:
    """Return the UTC s of a text that is one time and nothing else.

    Raises
    ------
    InputError : it is none, or one that cannot be
    """
    words = [Word(each, each.casefold()) for each in text.split()]
    found, rest = take_when(words, zone, now_s) if words else (None, words)
    if found is None or found.begin_s is not None or rest:
        raise InputError(field, text, "is no time", ALLOWED)
    return found.at_s


def bound_s(text: str, zone: ZoneInfo, now_s: float, field: str, last: bool) -> int:
    """Return the UTC s of a text that is a moment, or a day: its begin, or (``last``) its end.

    Raises
    ------
    InputError : it is neither
    """
    words = [Word(each.rstrip(","), each.rstrip(",").casefold()) for each in text.split()]
    taken = take_day(words, 0) if words else None
    if taken is None or taken[1] < len(words):
        return moment_s(text, zone, now_s, field)
    day = date_of(taken[0], local_of(now_s, zone).date()) + timedelta(days=int(last))
    return round(datetime(day.year, day.month, day.day, tzinfo=zone).timestamp())


def _unglued(words: Sequence[Word]) -> list[Word]:
    """Return the words with "6:00-9:30" and "2026-03-17T14:20" taken apart."""
    out: list[Word] = []
    for word in words:
        day, span = _GLUED_DAY.fullmatch(word.plain), _GLUED_SPAN.fullmatch(word.plain)
        after_iso = bool(out) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", out[-1].plain)
        if day is not None and not word.quoted:
            out += [Word(each, each) for each in (day["day"], day["clock"])]
        elif span is not None and not word.quoted and not after_iso:
            out += [Word(each, each) for each in (span["begin"], "to", span["end"])]
        else:
            out.append(word)
    return _from_first(out)


def _from_first(words: list[Word]) -> list[Word]:
    """Return the words with "yesterday from 6:00" as "from yesterday 6:00"."""
    for at in range(1, len(words)):
        if words[at].plain != "from" or words[at].quoted:
            continue
        for begin in range(max(0, at - 3), at):
            taken = None if words[begin].quoted else take_day(words, begin)
            if taken is not None and taken[1] == at and taken[0].surely:
                return [*words[:begin], words[at], *words[begin:at], *words[at + 1 :]]
    return words


def _take(words: Sequence[Word], at: int, clocks: _Clocks) -> tuple[When, int] | None:
    if words[at].plain == "now":
        return When(int(clocks.now_s)), at + 1
    return _ago(words, at, clocks.now_s) or _span(words, at, clocks) or _moment(words, at, clocks)


def _moment(words: Sequence[Word], at: int, clocks: _Clocks) -> tuple[When, int] | None:
    taken = _take_stamp(words, at)
    if taken is None:
        _ask_for_clock(words, at)
        return None
    said, after = taken
    return When(_past_s(said, clocks)), after


def _ask_for_clock(words: Sequence[Word], at: int) -> None:
    """Refuse "at 6": a clock time said so would be taken for a strength."""
    if words[at].plain not in ("at", "@") or at + 1 >= len(words):
        return
    typed = words[at + 1].typed
    found = _MAYBE_CLOCK.fullmatch(typed)
    if found is None or int(found["hour"]) > 23 or int(found["minute"] or 0) > 59:
        return
    behind = words[at + 2] if at + 2 < len(words) else None
    if behind is None and found["minute"] is None:
        fix = f'Write "{typed}:00", or "{typed} am" or "{typed} pm"'
        raise InputError("time", typed, "may be in the morning or in the evening", fix=fix)
    if behind is not None and (
        behind.plain[:1].isdigit() or any(kind.find(behind.typed) for kind in KINDS)
    ):
        return
    clock = f"{int(found['hour'])}:{found['minute'] or '00'}"
    half = f' or "at {clock} pm"' if 1 <= int(found["hour"]) <= 12 else ""
    fix = f'Write "at {clock}"{half} for a time; a value with its unit'
    raise InputError("time", f"at {typed}", "can be a time or a value", fix=fix)


def _span(words: Sequence[Word], at: int, clocks: _Clocks) -> tuple[When, int] | None:
    """Read "from 6:00 to 9:30", also without "from"; the second time may lack its day."""
    first = _take_stamp(words, at + 1 if words[at].plain == "from" else at)
    if first is None or first[1] >= len(words) or words[first[1]].plain not in _UNTIL:
        return None
    last = _take_stamp(words, first[1] + 1)
    if last is None:
        return None
    begin_s, end_s = _ends_s(first[0], last[0], clocks)
    if end_s < begin_s:
        raise InputError("time", last[0].typed, "is before the time it began")
    return When(end_s, begin_s), last[1]


def _ends_s(first: _Stamp, last: _Stamp, clocks: _Clocks) -> tuple[int, int]:
    """Return begin and end; a day said behind the end alone is that of both, or of the end."""
    if first.day is not None or last.day is None:
        begin_s = _past_s(first, clocks)
        return begin_s, _end_s(last, begin_s, clocks)
    end_s = _past_s(last, clocks)
    day = local_of(end_s, clocks.zone).date()
    midnight = datetime(day.year, day.month, day.day)
    begin_s = _on_s(first, midnight, clocks.zone)
    if begin_s > end_s:
        begin_s = _on_s(first, midnight - timedelta(days=1), clocks.zone)
    return begin_s, end_s


def _end_s(said: _Stamp, begin_s: int, clocks: _Clocks) -> int:
    """The end of a span without a day: the first such time from its begin on."""
    if said.day is not None:
        return _past_s(said, clocks)
    day = local_of(begin_s, clocks.zone).date()
    midnight = datetime(day.year, day.month, day.day)
    end_s = _on_s(said, midnight, clocks.zone)
    if end_s < begin_s:
        end_s = _on_s(said, midnight + timedelta(days=1), clocks.zone)
    return _not_ahead(end_s, said, clocks)


def _past_s(said: _Stamp, clocks: _Clocks) -> int:
    """Return the instant of what was said, refused when it is still to come."""
    day = local_of(clocks.day_s, clocks.zone).date()
    if said.day is not None:
        day = date_of(said.day, local_of(clocks.now_s, clocks.zone).date())
    midnight = datetime(day.year, day.month, day.day)
    time_s = _on_s(said, midnight, clocks.zone)
    if said.day is not None and said.day.weekly and time_s > clocks.now_s + AHEAD_S:
        time_s = _on_s(said, midnight - timedelta(days=7), clocks.zone)
    return _not_ahead(time_s, said, clocks)


def _on_s(said: _Stamp, midnight: datetime, zone: ZoneInfo) -> int:
    hour, minute, second = said.clock
    local = midnight.replace(hour=hour, minute=minute, second=second)
    return instant_s(local, zone, said.typed, said.offset, said.zone_name)


def _not_ahead(time_s: int, said: _Stamp, clocks: _Clocks) -> int:
    if time_s <= clocks.now_s + AHEAD_S:
        return time_s
    now = f"{local_of(clocks.now_s, clocks.zone):%A %H:%M}"
    fix = "" if said.day is not None else f'Write "yesterday {said.typed}" if it was then'
    raise InputError("time", said.typed, f"is still to come: it is {now}", fix=fix)


def _ago(words: Sequence[Word], at: int, now_s: float) -> tuple[When, int] | None:
    """Read "20 min ago", "2h ago", "an hour ago"."""
    for after in range(at + 2, min(at + 6, len(words) + 1)):
        if words[after - 1].plain != "ago":
            continue
        said = [word.plain for word in words[at : after - 1]]
        number = {"a": "1", "an": "1", "half": "1/2"}.get(said[0], said[0])
        text = " ".join([number, *(word for word in said[1:] if word not in ("a", "an"))])
        if not number[0].isdigit():
            return None
        try:
            duration_s = parse(text, DURATION, "time")
        except QuantityError:
            return None
        if not 0.0 <= duration_s <= 4e8:
            raise InputError("time", " ".join(said), "is too long ago for a logbook")
        return When(round(now_s - duration_s)), after
    return None


def _take_stamp(words: Sequence[Word], at: int) -> tuple[_Stamp, int] | None:
    """Read an "at", a day and a clock time, as far as they stand there."""
    start = at
    said_at = at < len(words) and words[at].plain in ("at", "@")
    at += said_at
    if at >= len(words):
        return None
    day: Day | None = None
    if taken := take_day(words, at):
        day, at = taken
        at += at < len(words) and words[at].plain in ("at", "@")
    clock = _take_clock(words, at, said_at or day is not None, day is not None and day.iso)
    if clock is None:
        if day is not None and day.certain:
            raise InputError("time", day.typed, "is a day: at what time", ALLOWED)
        if not (said_at and at == len(words) - 1 and _LATE_HOUR.fullmatch(words[at].plain)):
            return None
        clock = (int(words[at].plain), 0, 0), None, at + 1
    parts, offset, after = clock
    name = ""
    if after < len(words) and words[after].plain in ZONE_WORDS:
        name = words[after].typed
        after += 1
    if day is None and (behind := _day_behind(words, after)):
        day, after = behind
    typed = " ".join(word.typed for word in words[start + said_at : after])
    return _Stamp(day, parts, typed, offset, name), after


def _day_behind(words: Sequence[Word], at: int) -> tuple[Day, int] | None:
    """Read the day of "6 pm yesterday", "2:30 on 8 March"."""
    at += at < len(words) and words[at].plain in ("on", "of")
    taken = None if at >= len(words) or words[at].quoted else take_day(words, at)
    if taken is None or not taken[0].surely:
        return None
    clock = _take_clock(words, taken[1], False, taken[0].iso)
    return None if clock is not None else taken


def _take_clock(
    words: Sequence[Word], at: int, surely: bool, with_offset: bool
) -> tuple[tuple[int, int, int], timedelta | None, int] | None:
    if at >= len(words):
        return None
    plain, after = words[at].plain, at + 1
    if plain in _NAMED:
        return _NAMED[plain], None, after
    offset: timedelta | None = None
    if with_offset and (found := _OFFSET.fullmatch(plain)):
        plain, offset = found["clock"], _offset(found["offset"])
    match = _CLOCK.fullmatch(plain) or (_AFTER_AT.fullmatch(plain) if surely else None)
    if match is None:
        return None
    parts = match.groupdict()
    half = parts.get("half") or ""
    if not half and after < len(words) and words[after].plain in _HALVES:
        half, after = words[after].plain, after + 1
    if not half and parts["minute"] is None and not plain.endswith("h"):
        return None
    return _of_day(parts, half, words[at].typed), offset, after


def _of_day(parts: dict[str, str | None], half: str, typed: str) -> tuple[int, int, int]:
    hour, minute = int(parts["hour"] or 0), int(parts["minute"] or 0)
    second = int(parts.get("second") or 0)
    if half:
        hour = hour % 12 + 12 * half.startswith("p") if 1 <= hour <= 12 else 99
    if hour > 23 or minute > 59 or second > 59:
        raise InputError("time", typed, "is no time of day", "00:00 to 23:59")
    return hour, minute, second


def _offset(text: str) -> timedelta:
    if text == "z":
        return timedelta()
    hours, minutes = int(text[1:3]), int(text[-2:])
    if hours > 15 or minutes > 59:
        raise InputError("time", text, "is an offset from UTC that no place has")
    return timedelta(hours=hours, minutes=minutes) * (-1 if text[0] == "-" else 1)
