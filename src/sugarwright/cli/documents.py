"""The JSON documents that no library function returns ready-made.

All others are a library dataclass as it is: ``SeasonSummary`` (simulate), ``PlanReport`` (plan).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sugarwright.errors import InputError, SugarwrightError


@dataclass(frozen=True)
class Problem:
    """One thing that cannot be used.

    Parameters
    ----------
    field : name of the field as the person knows it; empty for a command line that cannot be read
    value : as it was given, as a text; None when nothing was
    problem : why it cannot be
    allowed : what would be accepted; may be empty
    fix : what to do; may be empty
    place : where it stands ("sugarhouse.toml line 14"); may be empty
    """

    field: str
    value: str | None
    problem: str
    allowed: str
    fix: str
    place: str


@dataclass(frozen=True)
class Problems:
    """What every command prints, with exit code 2, when something given to it cannot be used.

    Parameters
    ----------
    error : the first problem
    more : the others, where several were found at once
    """

    error: Problem
    more: tuple[Problem, ...]


@dataclass(frozen=True)
class Written:
    """A new sugarhouse.

    Parameters
    ----------
    file : path of the file written
    warnings : what is possible but odd in it, in sentences
    """

    file: str
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class PassphraseSet:
    """What became of a passphrase; never the passphrase itself.

    Parameters
    ----------
    role : whose it is: "house" (may change the house) or "log" (may write the record)
    done : "set", "removed" or "signed out"
    """

    role: str
    done: str


def problems_of(error: SugarwrightError) -> Problems:
    """Return an error as a document."""
    singles: Iterable[SugarwrightError] = getattr(error, "problems", (error,))
    first, *more = [_problem(each) for each in singles]
    return Problems(first, tuple(more))


def _problem(error: SugarwrightError) -> Problem:
    if not isinstance(error, InputError):
        return Problem("", None, str(error), "", "", "")
    value = None if error.value is None else str(error.value)
    return Problem(error.field, value, error.problem, error.allowed, error.fix, error.place)
