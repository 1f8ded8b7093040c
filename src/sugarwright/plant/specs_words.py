"""Specs of keys that hold words, dates and hours."""

# ruff: noqa: D102 - the methods are described once, in Spec

from __future__ import annotations

import datetime
import difflib
import functools
import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sugarwright.plant.specs import Spec, nearest, refuse
from sugarwright.units import parse_clock, parse_span


@functools.cache
def _zones() -> frozenset[str]:
    """Names of all zones: finding them searches folders, so once is enough."""
    return frozenset(zoneinfo.available_timezones())


@dataclass(frozen=True, kw_only=True)
class Text(Spec):
    """A short text."""

    longest: int = 60

    @property
    def sort(self) -> str:
        return "text"

    def read(self, raw: object, field: str, system: str = "us") -> str:
        if not isinstance(raw, str):
            raise refuse(field, raw, "is no text", self.allowed(), "Put it in quotes.")
        if not raw.strip() or len(raw) > self.longest or not raw.isprintable():
            raise refuse(field, raw, "is empty, too long or has odd characters", self.allowed())
        return raw.strip()

    def allowed(self, system: str = "us") -> str:
        return f"one line of 1 to {self.longest} characters"


@dataclass(frozen=True, kw_only=True)
class Choice(Spec):
    """One of a few words."""

    options: tuple[str, ...]
    alike: Mapping[str, str] = field(default_factory=dict)
    """What a person may type instead -> the option meant."""

    @property
    def sort(self) -> str:
        return "choice"

    def read(self, raw: object, field: str, system: str = "us") -> str:
        if not isinstance(raw, str) or raw not in self.options:
            hint = nearest(raw, self.options) if isinstance(raw, str) else ""
            raise refuse(field, raw, "is none of the choices", self.allowed(), hint)
        return raw

    def allowed(self, system: str = "us") -> str:
        return ", ".join(f'"{option}"' for option in self.options)

    def typed(self, text: str) -> Any:
        word = text.strip().lower().removeprefix("by ")
        return self.alike.get(word, word)

    def said(self, system: str = "us") -> str:
        return " or ".join(self.options)


@dataclass(frozen=True, kw_only=True)
class Zone(Spec):
    """A name of the IANA time zone database."""

    @property
    def sort(self) -> str:
        return "time zone"

    def read(self, raw: object, field: str, system: str = "us") -> str:
        if not isinstance(raw, str):
            raise refuse(field, raw, "is no text", self.allowed(), "Put it in quotes.")
        known = _zones()
        if raw not in known:
            by_lower = {name.lower(): name for name in sorted(known)}
            near = difflib.get_close_matches(raw[:60].lower(), by_lower, n=1, cutoff=0.6)
            hint = f'Did you mean "{by_lower[near[0]]}"?' if near else ""
            raise refuse(field, raw, "is no time zone known here", self.allowed(), hint)
        return raw

    def allowed(self, system: str = "us") -> str:
        return 'an IANA name such as "America/New_York" or "America/Toronto"'


@dataclass(frozen=True, kw_only=True)
class YesNo(Spec):
    """``true`` or ``false``."""

    @property
    def sort(self) -> str:
        return "true or false"

    def read(self, raw: object, field: str, system: str = "us") -> bool:
        if not isinstance(raw, bool):
            raise refuse(field, raw, "is neither yes nor no", self.allowed())
        return raw

    def allowed(self, system: str = "us") -> str:
        return "true or false, without quotes"

    def said(self, system: str = "us") -> str:
        return "yes or no"

    def typed(self, text: str) -> Any:
        words = {"y": True, "yes": True, "true": True, "n": False, "no": False, "false": False}
        return words.get(text.strip().lower(), text.strip())


@dataclass(frozen=True, kw_only=True)
class Day(Spec):
    """A local date."""

    @property
    def sort(self) -> str:
        return "date"

    def read(self, raw: object, field: str, system: str = "us") -> datetime.date:
        if not isinstance(raw, datetime.date) or isinstance(raw, datetime.datetime):
            raise refuse(field, raw, "is no date", self.allowed(), "Write 2027-02-27, no quotes.")
        if not 1990 <= raw.year <= 2100:
            raise refuse(field, str(raw), "is no season of ours", self.allowed())
        return raw

    def allowed(self, system: str = "us") -> str:
        return "1990-01-01 to 2100-12-31, without quotes"

    def said(self, system: str = "us") -> str:
        return "year-month-day, as in 2027-02-27"

    def typed(self, text: str) -> Any:
        try:
            return datetime.date.fromisoformat(text.strip())
        except ValueError:
            return text.strip()


@dataclass(frozen=True, kw_only=True)
class Clock(Spec):
    """A time of the day; the plant has it as minutes after midnight."""

    @property
    def sort(self) -> str:
        return "time of day"

    def read(self, raw: object, field: str, system: str = "us") -> int:
        if not isinstance(raw, str):
            raise refuse(field, raw, "is no time of day", self.allowed(), "Put it in quotes.")
        return parse_clock(raw, field)

    def allowed(self, system: str = "us") -> str:
        return '"00:00" to "23:59"'


@dataclass(frozen=True, kw_only=True)
class Spans(Spec):
    """Hours of a day: a list of spans that don't overlap, in order."""

    @property
    def sort(self) -> str:
        return "list of day spans"

    def read(self, raw: object, field: str, system: str = "us") -> tuple[tuple[int, int], ...]:
        if not isinstance(raw, list) or not all(isinstance(item, str) for item in raw):
            raise refuse(field, raw, "is no list of spans", self.allowed())
        if len(raw) > 24:
            raise refuse(field, f"{len(raw)} spans", "are too many", "24 spans")
        spans = tuple(parse_span(item, field) for item in raw)
        free_from = 0
        for (start, end), item in zip(spans, raw, strict=True):
            if end < start:
                raise refuse(
                    field, item, "runs over midnight", fix="Write it as two: to 24:00, from 00:00"
                )
            if start < free_from:
                raise refuse(field, item, "begins before the span in front of it has ended")
            free_from = end
        return spans

    def allowed(self, system: str = "us") -> str:
        return '["06:00-08:00", "17:00-21:30"], from early to late, or []'

    def said(self, system: str = "us") -> str:
        return "06:00-08:00, 17:00-21:30, from early to late, or none"

    def typed(self, text: str) -> Any:
        if text.strip().lower() in ("none", "no", "[]"):
            return []
        return [item.strip() for item in text.split(",") if item.strip()]
