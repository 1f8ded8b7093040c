"""Days and clock times within a clause of ``--if``."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.errors import InputError, QuantityError
from sugarwright.units import parse_clock, parse_span


def words_of(text: str) -> frozenset[str]:
    """Return the words of a text."""
    return frozenset(text.split())


DAY_WORDS = {
    "today": 0, "tonight": 0, "tomorrow": 1,
    "monday": 0, "tuesday": 1, "wednesday": 2, "thursday": 3, "friday": 4, "saturday": 5,
    "sunday": 6, "mon": 0, "tue": 1, "wed": 2, "thu": 3, "fri": 4, "sat": 5, "sun": 6,
}  # fmt: skip
"""Days ahead, or days after a Monday."""
_HOURS = "one two three four five six seven eight nine ten eleven twelve"
NUMBERS = {name: hour for hour, name in enumerate(_HOURS.split(), 1)}
_FROM = words_of("from after since between")
_TILL = words_of("till until til to before")
_AFTERNOON_MIN = 12 * 60


@dataclass(frozen=True)
class When:
    """Times as they are said; None where nothing is.

    Parameters
    ----------
    day : word of a day
    at : a clock time alone
    begin, end : of a span
    end_day : word of the day on which it ends, where that is another
    """

    day: str | None = None
    at: str | None = None
    begin: str | None = None
    end: str | None = None
    end_day: str | None = None

    def minute(self, said: str, *, afternoon: bool) -> int:
        """Minute after midnight of a clock time.

        Parameters
        ----------
        said : "18:00", "6 pm", "six"
        afternoon : whether a bare hour up to eleven is one of the afternoon

        Raises
        ------
        QuantityError : it is no time of day, or may be one of two
        """
        hour = _bare(said)
        if hour is None or not afternoon:
            return parse_clock(said if hour is None else str(hour), "--if")
        return hour * 60 if hour >= 12 else hour * 60 + _AFTERNOON_MIN


def take_time(words: list[str]) -> tuple[When, list[str]]:
    """Take days and times out of a clause.

    Parameters
    ----------
    words : of the clause, in lower case

    Returns
    -------
    What they say, and the words that are left.

    Raises
    ------
    InputError : two times, or two days, where one can be meant
    """
    said: dict[str, str] = {}
    left: list[str] = []
    k = 0
    while k < len(words):
        word = words[k]
        taken = _clock_at(words, k + 1) if word in _FROM | _TILL else 0
        if word in _TILL and k + 1 < len(words) and words[k + 1] in DAY_WORDS:
            _say(said, "end_day", words[k + 1])
            taken = _clock_at(words, k + 2)
            if taken:
                _say(said, "end", " ".join(words[k + 2 : k + 2 + taken]))
            k += 2 + taken
        elif taken:
            _say(said, "begin" if word in _FROM else "end", " ".join(words[k + 1 : k + 1 + taken]))
            k += 1 + taken
        elif word in DAY_WORDS:
            if left and left[-1] == "on":
                left.pop()  # "on Saturday"
            _say(said, "day", word)
            k += 1
        elif word == "all" and words[k + 1 : k + 2] == ["day"]:
            k += 2
        elif _is_span(word):
            begin, end = word.replace("\u2013", "-").split("-")
            _say(said, "begin", begin)
            _say(said, "end", end)
            k += 1
        elif taken := _clock_at(words, k):
            _say(said, "at", " ".join(words[k : k + taken]))
            k += taken
        else:
            left.append(word)
            k += 1
    return When(**said), left


def _say(said: dict[str, str], what: str, words: str) -> None:
    if what in said:
        named = "days" if "day" in what else "times"
        raise InputError("--if", f"{said[what]}, {words}", f"are two {named} where one is needed")
    said[what] = words


def _bare(word: str) -> int | None:
    """An hour said without half of the day: "six", "6"."""
    if word in NUMBERS:
        return NUMBERS[word]
    return int(word) if word.isascii() and word.isdigit() and 1 <= int(word[:3]) <= 12 else None


def _clock_at(words: list[str], k: int) -> int:
    """How many words from a place on are a clock time: two, one or none."""
    for count in (2, 1):
        said = " ".join(words[k : k + count])
        if len(words) >= k + count and (_is_clock(said) or (count == 1 and _bare(said))):
            return count
    return 0


def _is_clock(said: str) -> bool:
    try:
        parse_clock(said)
    except QuantityError:
        return said == "24:00"
    return True


def _is_span(word: str) -> bool:
    try:
        parse_span(word)
    except QuantityError:
        return False
    return "-" in word
