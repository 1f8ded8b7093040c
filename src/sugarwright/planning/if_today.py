"""From where the words of ``--if`` are read: the house, now, and its clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from sugarwright.planning.if_time import DAY_WORDS, When
from sugarwright.plant.house import House


@dataclass(frozen=True)
class Today:
    """From where words are read.

    Parameters
    ----------
    house : whose people, units and time zone count
    now_s, end_s : UTC s between which the plan is made
    """

    house: House
    now_s: int
    end_s: int

    def local(self, time_s: float) -> datetime:
        """Return an instant in the house's own time."""
        return datetime.fromtimestamp(time_s, ZoneInfo(self.house.site.timezone))

    def at_s(self, day: int, minute: float) -> int:
        """UTC s of a local minute of a day; 1440 is the next midnight."""
        whole, minute = divmod(int(minute), 1440)
        hour, left = divmod(minute, 60)
        zone = ZoneInfo(self.house.site.timezone)
        moment = datetime.combine(date.fromordinal(day + whole), time(hour, left), zone)
        return int(moment.timestamp())

    @property
    def day(self) -> int:
        """Local day number of now."""
        return self.local(self.now_s).toordinal()

    @property
    def minute(self) -> int:
        """Local minute of now."""
        now = self.local(self.now_s)
        return now.hour * 60 + now.minute

    def named(self, word: str) -> int:
        """Day number of a day's name: the next one of it, today among them."""
        ahead = DAY_WORDS[word]
        if word in ("today", "tonight", "tomorrow"):
            return self.day + ahead
        return self.day + (ahead - date.fromordinal(self.day).weekday()) % 7


def span_of(when: When, day: int, today: Today, *, afternoon: bool) -> tuple[int, int]:
    """Return from when to when: to the day's end from now, or its midnight, if nothing is said.

    Parameters
    ----------
    when : times as said
    day : local day number
    today : from where they are said
    afternoon : whether a bare hour is one of the afternoon
    """
    begin_s = max(today.at_s(day, 0), today.now_s)
    if when.begin is not None:
        begin_s = today.at_s(day, when.minute(when.begin, afternoon=afternoon))
    last = day if when.end_day is None else today.named(when.end_day)
    end_min = 1440
    if when.end is not None:
        end_min = when.minute(when.end, afternoon=afternoon)
    elif when.end_day is not None:  # "till Friday": it is over when Friday begins
        end_min = 0
    end_s = today.at_s(last, end_min)
    if end_s <= begin_s and when.begin is not None:
        end_s = today.at_s(last + 1, end_min)  # by the clock: that night may have 23 hours
    return begin_s, end_s
