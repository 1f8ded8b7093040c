"""Clauses of ``--if`` about people: who is home or away, from when till when."""

from __future__ import annotations

from datetime import date

from sugarwright.errors import InputError
from sugarwright.planning.if_time import When, words_of
from sugarwright.planning.if_today import Today, span_of
from sugarwright.planning.suppositions import Supposition
from sugarwright.plant.house import House, Person
from sugarwright.plant.special_hours import Presence

LATE_MIN = 21 * 60  # who comes later stays till midnight (judgement)
HOME = words_of("home there in back")
AWAY = words_of("away gone absent out")
LEAVE = words_of("leave leaves go goes")


def read_people(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """Return what a clause supposes of people; nothing where it is about something else.

    Parameters
    ----------
    words : of the clause, without its times
    when : its times
    day : local day number that it speaks of
    today : from where it is said

    Raises
    ------
    InputError : it would change nothing
    """
    if not words:
        return []
    *who, verb = words
    if who == ["nobody"] and verb in HOME:
        who, verb = [], "away"
    people = _who(who, today.house, day)
    if not people or verb not in HOME | AWAY | LEAVE:
        return []
    if verb in HOME:
        return _all_home(people, when, day, today)
    if verb not in AWAY or (when.at is not None):  # from then on
        when = When(when.day, None, when.at or when.begin, when.end, when.end_day)
    begin_s, end_s = span_of(when, day, today, afternoon=True)
    return [Presence(person.name, begin_s, end_s, there=False) for person in people]


def _all_home(people: list[Person], when: When, day: int, today: Today) -> list[Supposition]:
    """Suppose people home; refuse it where nobody's hours would be otherwise.

    Raises
    ------
    InputError : all of them leave by then
    """
    found = [thing for person in people for thing in _home(person, when, day, today)]
    if not found:
        names = " and ".join(person.name for person in people)
        said = when.at or when.begin or ""
        problem = f"changes nothing: by the usual hours {names} {_leaves(people)} by then"
        fix = f'Say until when, as in "{people[0].name} home {said} till 21:00"'
        raise InputError("--if", f"home {said}", problem, fix=fix)
    return found


def _leaves(people: list[Person]) -> str:
    return "leaves" if len(people) == 1 else "leave"


def _who(words: list[str], house: House, day: int) -> list[Person]:
    """The people named; where nobody is, all of them who give hours that day, if anybody does."""
    if not words:
        usual = [person for person in house.people if _hours(person, day)]
        return usual or list(house.people)
    if words in (["everybody"], ["all"]):
        return list(house.people)
    name = " ".join(words)
    return [person for person in house.people if person.name.lower() == name]


def _home(person: Person, when: When, day: int, today: Today) -> list[Supposition]:
    """At home in a span, from a time on, or until one.

    "Home at six" takes away what of that stretch of the usual hours lies before six: who is there
    in the morning as well still is.
    """
    name = person.name
    begin, end = when.at or when.begin, when.end
    if begin is None and end is None:
        begin_s, end_s = span_of(when, day, today, afternoon=True)
        return [Presence(name, begin_s, end_s, there=True)]
    begin_s = today.at_s(day, 0 if begin is None else when.minute(begin, afternoon=True))
    if begin is None:  # "home till noon": the usual hours until then
        until_s = today.at_s(day, when.minute(end or "", afternoon=True))
        return [Presence(name, until_s, today.at_s(day, 1440), there=False)]
    minute = when.minute(begin, afternoon=True)
    until = _until(person, day, minute) if end is None else when.minute(end, afternoon=True)
    if end is not None and until <= minute:
        until += 1440  # past midnight
    if until <= minute:
        return []  # the usual hours are over by then: nothing changes
    found: list[Supposition] = [Presence(name, begin_s, today.at_s(day, until), there=True)]
    usual_s = [
        today.at_s(day, first) for first, last in _hours(person, day) if first < minute < last
    ]
    away_s = max(today.now_s, *usual_s) if usual_s else begin_s
    if away_s < begin_s:
        found.insert(0, Presence(name, away_s, begin_s, there=False))
    return found


def _hours(person: Person, day: int) -> list[tuple[int, int]]:
    """The usual hours of a day; those past midnight end there."""
    weekend = date.fromordinal(day).weekday() >= 5
    spans = person.weekends if weekend else person.weekdays
    return [(begin, end if end > begin else 1440) for begin, end in spans]


def _until(person: Person, day: int, minute: int) -> int:
    """Minute until which somebody stays who comes at one: as usual that day, or on the others."""
    if minute >= LATE_MIN:
        return 1440
    that_day = [end for _, end in _hours(person, day)]
    others = [end if end > begin else 1440 for begin, end in person.weekdays + person.weekends]
    return max(that_day or [end for end in others if end > minute], default=LATE_MIN)
