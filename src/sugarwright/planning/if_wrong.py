"""What of a clause of ``--if`` cannot be read: the wrong part by its name, and examples."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches

from sugarwright.errors import InputError, QuantityError
from sugarwright.planning.choices import has_trips
from sugarwright.plant.house import House
from sugarwright.units import parse_clock

_PAST = ("yesterday", "ago", "last")
_CLOCK = re.compile(r"\d{1,2}([:.]\d{2})?([ap]m)?")


def examples(house: House) -> str:
    """Return clauses that can be read, with the names of the house's own people.

    Parameters
    ----------
    house : whose people
    """
    names = [person.name for person in house.people]
    people = ["home 18:00", *(f"{name} away Saturday" for name in names[-1:])]
    gather = "gather 18:00; " if has_trips(house) else ""
    return (
        f"{'; '.join(people)}; membrane (or pump, pan) down till noon; no fire today; light 17:00; "
        f"fire out 20:00; membrane on 06:00; no wash; {gather}set-point 20 gal/h; sap "
        "300 gal; wood 0.5 cord; warmer 2 F; hour $0; syrup $60/gal. Joined by ; they are "
        "supposed together"
    )


def check_words(clause: str, words: Sequence[str]) -> None:
    """Refuse a clause for the one word of it that is wrong, where there is such a word.

    Parameters
    ----------
    clause : as typed
    words : of it, without the days and times that could be read

    Raises
    ------
    InputError : a word is an hour that no day has, or a day that is over
    """
    for word in words:
        if word in _PAST:
            raise InputError(
                "--if", clause, f'"{word}" is over: a plan goes from now on',
                "today, tomorrow, or a day's name",
            )  # fmt: skip
        if _CLOCK.fullmatch(word) and not _is_clock(word):
            raise InputError("--if", clause, f'"{word}" is no hour of a day', "00:00 to 24:00")


def nobody_named(clause: str, name: str, house: House, meant: str = "") -> InputError:
    """Return the refusal of a name that nobody of the house has.

    Parameters
    ----------
    clause : as typed
    name : in lower case
    house : whose people
    meant : what was probably meant instead, if nobody's name is near
    """
    names = [person.name for person in house.people]
    near = get_close_matches(name, [each.lower() for each in names], n=1, cutoff=0.6)
    typed = re.search(re.escape(name), clause, flags=re.IGNORECASE)
    if near and typed is not None:
        person = next(each for each in names if each.lower() == near[0])
        meant = f'Did you mean "{clause.replace(typed[0], person)}"?'
    problem = f'nobody of this house is named "{name if typed is None else typed[0]}"'
    return InputError("--if", clause, problem, ", ".join([*names, "everybody"]), meant)


def _is_clock(word: str) -> bool:
    try:
        parse_clock(word)
    except QuantityError:
        return word.isdigit() and 1 <= int(word) <= 12
    return True
