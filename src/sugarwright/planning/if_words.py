"""The small grammar of ``--if``: what a person supposes, in plain words, into values.

One clause supposes one thing ("Ann away Saturday"); clauses joined by ";" or "and" are supposed
together. Little words don't count ("the", "is"); a day stands anywhere, today where none does.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.planning.if_contradictions import Said, check_together
from sugarwright.planning.if_quantities import read_quantity
from sugarwright.planning.if_time import DAY_WORDS, NUMBERS, When, take_time, words_of
from sugarwright.planning.suppositions import Forced, Supposition, check_house
from sugarwright.plant.house import House, Person
from sugarwright.plant.special_hours import Outage, Presence

ALLOWED = (
    "home 18:00; Ann away Saturday; membrane (or pump, pan) down till noon; no fire today; "
    "light 17:00; fire out 20:00; membrane on 06:00; no wash; set-point 20 gal/h; sap 300 gal; "
    "wood 0.5 cord; warmer 2 F; hour $0; syrup $60/gal. Joined by ; they are supposed together"
)
MOST_LETTERS = 200
LATE_MIN = 21 * 60  # who comes later stays till midnight (judgement)
_JOINTS = re.compile(r"\s*;\s*|\s+and\s+")
_FILLERS = words_of("the a an at is are am be if i we it its of my our by worth only just about")
_MACHINES = {"membrane": "membrane", "ro": "membrane", "pump": "pump", "pumps": "pump",
             "pan": "pan", "evaporator": "pan", "fire": "pan"}  # fmt: skip
_DOWN = words_of("down out broken off frozen stuck")
_HOME = words_of("home there in back")
_AWAY = words_of("away gone absent out")
_VOCABULARY = sorted(
    {*_MACHINES, *_DOWN, *_HOME, *_AWAY, *DAY_WORDS, *NUMBERS, *_FILLERS}
    | words_of("no not light on off start stop wash leave overnight night till until from all day "
          "noon midnight home warmer colder sap stock permeate wood condition brix set-point "
          "setting set hour syrup somebody everybody nobody cord cords gal gallons let go keep")
)  # fmt: skip


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


def read_if(text: str, today: Today) -> tuple[Supposition, ...]:
    """Read what is supposed.

    Parameters
    ----------
    text : one clause, or several to be supposed together
    today : from where it is said

    Returns
    -------
    One or more suppositions for each clause.

    Raises
    ------
    InputError : a clause is not understood, speaks of what the house has not, or of a day beyond
        the plan; or two of them cannot both be
    """
    if len(text) > MOST_LETTERS:
        raise InputError("--if", text[:40] + " ...", "is too long", f"{MOST_LETTERS} letters")
    found: list[Supposition] = []
    said: list[Said] = []
    for clause in _JOINTS.split(text.strip()):
        things = _clause(clause, today)
        if not things:
            raise InputError("--if", clause, "is not understood", ALLOWED, _meant(clause, today))
        for thing in things:
            check_house(today.house, thing, clause)
            _within_plan(thing, today, clause)
        found += things
        said.append((clause, things))
    check_together(said, today.at_s)
    return tuple(found)


def _clause(clause: str, today: Today) -> list[Supposition]:
    quantity = read_quantity(clause, today.house, today.named, today.day)
    if quantity is not None:
        return [quantity]
    words = re.sub(r"[,.!?'\u2019](?!\d)", " ", clause.lower()).split()
    when, left = take_time(words)
    plain = [word for word in left if word not in _FILLERS]
    day = today.day if when.day is None else today.named(when.day)
    for read in (_no, _acts, _machine, _people):
        found = read(plain, when, day, today)
        if found:
            return found
    return []


def _meant(clause: str, today: Today) -> str:
    """Put the nearest known word for each unknown one; ask back if that can be read."""
    known = [*_VOCABULARY, *(person.name.lower() for person in today.house.people)]
    words = []
    for word in clause.split():
        near = get_close_matches(word.lower()[:40], known, n=1, cutoff=0.6)
        keeps = word.lower() in known or any(c.isdigit() for c in word) or not near
        words.append(word if keeps else near[0])
    guess = " ".join(words)
    try:
        understood = guess != clause and bool(_clause(guess, today))
    except InputError:
        return ""
    return f'Did you mean "{guess}"?' if understood else ""


def _within_plan(thing: Supposition, today: Today, clause: str) -> None:
    begin_s = getattr(thing, "begin_s", None)
    if isinstance(thing, Forced):
        begin_s = today.at_s(thing.day, max(0.0, thing.value) if thing.value >= 1.0 else 0.0)
        if thing.day == today.day and 1.0 <= thing.value < today.minute:
            now = today.local(today.now_s).strftime("%H:%M")
            raise InputError("--if", clause, f"is over: the plan begins at {now}")
    end_s = getattr(thing, "end_s", None)
    if end_s is not None and end_s <= today.now_s:
        now = today.local(today.now_s).strftime("%H:%M")
        raise InputError("--if", clause, f"is over: the plan begins at {now}")
    if begin_s is not None and begin_s >= today.end_s:
        last = today.local(today.end_s).strftime("%A %H:%M")
        raise InputError("--if", clause, f"lies beyond the plan, which ends on {last}")


# --- clauses of words and times ------------------------------------------------------------------


def _no(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """No fire, no membrane, no wash; nobody."""
    if len(words) == 2 and words[0] in ("no", "without"):
        if words[1] in ("wash", "washing"):
            return [Forced("wash", day, -1.0)]
        if words[1] in _MACHINES:
            return _outage(_MACHINES[words[1]], when, day, today)
    return []


def _machine(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    if len(words) == 2 and words[0] in _MACHINES and words[1] in _DOWN:
        return _outage(_MACHINES[words[0]], when, day, today)
    return []


def _outage(machine: str, when: When, day: int, today: Today) -> list[Supposition]:
    begin_s, end_s = _span(when, day, today, afternoon=False)
    return [Outage(machine, begin_s, end_s)]


def _acts(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """An action at a clock time; and the membrane not overnight."""
    said = " ".join(words)
    if said in ("not overnight", "membrane not overnight", "no night", "not at night"):
        return [Forced("night", day, 0.0)]
    what = _ACTS.get(said)
    if what is None or when.at is None:
        return []
    return [Forced(what, day, float(when.minute(when.at, afternoon=True)))]


_ACTS = {
    said: what
    for what, each in {
        "light": "light, light fire, fire, fire on, fire lit, light up, keep fire",
        "let go": "fire out, let fire go, let go, fire off, stop fire",
        "membrane on": "membrane on, membrane, start membrane, ro on, ro, start ro, membrane start",
        "membrane off": "membrane off, stop membrane, ro off, stop ro, membrane out",
        "wash": "wash, wash membrane",
    }.items()
    for said in each.split(", ")
}


def _people(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """Somebody home or away for some hours of a day."""
    if not words:
        return []
    *who, verb = words
    people = _who(who, today.house, day)
    if not people or verb not in _HOME | _AWAY | {"leave", "leaves", "go", "goes"}:
        return []
    if verb in _HOME:
        return [thing for person in people for thing in _home(person, when, day, today)]
    if verb not in _AWAY or (when.at is not None):  # from then on
        when = When(when.day, None, when.at or when.begin, when.end, when.end_day)
    begin_s, end_s = _span(when, day, today, afternoon=True)
    return [Presence(person.name, begin_s, end_s, there=False) for person in people]


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
        begin_s, end_s = _span(when, day, today, afternoon=True)
        return [Presence(name, begin_s, end_s, there=True)]
    begin_s = today.at_s(day, 0 if begin is None else when.minute(begin, afternoon=True))
    if begin is None:  # "home till noon": the usual hours until then
        until_s = today.at_s(day, when.minute(end or "", afternoon=True))
        return [Presence(name, until_s, today.at_s(day, 1440), there=False)]
    minute = when.minute(begin, afternoon=True)
    until = _until(person, day, minute) if end is None else when.minute(end, afternoon=True)
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
    that_day = [end for _, end in _hours(person, day) if end > minute]
    others = [end if end > begin else 1440 for begin, end in person.weekdays + person.weekends]
    return max(that_day or others, default=LATE_MIN) if minute < LATE_MIN else 1440


def _span(when: When, day: int, today: Today, *, afternoon: bool) -> tuple[int, int]:
    """From when to when: now, or the day's midnight, to the day's end where nothing is said."""
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
