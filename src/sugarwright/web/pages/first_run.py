"""The first page of a folder without a description: the questions of ``sugarwright new``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol
from zoneinfo import available_timezones

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sugarwright.answering.beginning import description_from, name_of, write_description
from sugarwright.errors import InputError
from sugarwright.plant.questions import Question, as_typed, is_asked, questions
from sugarwright.plant.read_house import HouseProblemsError
from sugarwright.plant.specs_numbers import Number
from sugarwright.plant.specs_words import Choice, Day, YesNo, Zone
from sugarwright.web.rendering import bare_page

UNITS, SYSTEMS = "site.units", ("us", "metric")
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Where it stands", ("site",)),
    ("Trees and sap", ("gathering", "trees", "tank.sap")),
    ("Membrane", ("membrane", "tank.stock", "tank.permeate")),
    ("The pan", ("pan",)),
    ("Your hours, your syrup", ("people", "prices")),
)
"""Heading -> beginnings of the key paths that stand under it."""
EVERYTHING = {"membrane": True, "gathering.way": "trips"}
LEAVES_OUT: tuple[tuple[str, Any], ...] = (("membrane", False), ("gathering.way", "gravity"))
"""Answers that make other questions mean nothing."""
LONGEST = 200
router = APIRouter(include_in_schema=False)


class Begins(Protocol):
    """What goes over from the questions to the pages."""

    folder: str

    def begin(self) -> bool:
        """Go over, if the folder is described by now."""


@dataclass(frozen=True)
class Field:
    """A question as a form asks it.

    Parameters
    ----------
    path, name : key, and what tells it in the page
    ask, help : the question, and what it means
    kind : "choice", "date", "zone", "whole" or "text"
    options : of a choice: what is sent, and how it is said
    value : what stands in it
    problem : what is wrong with that; else empty
    unless : classes: answers under which it is not asked
    is_needed : there is no default, in any house
    """

    path: str
    name: str
    ask: str
    help: str
    kind: str
    options: tuple[tuple[str, str], ...]
    value: str
    problem: str
    unless: str
    is_needed: bool


@router.get("/")
async def first(request: Request, units: str = "") -> Response:
    """Ask for the units, then for all else."""
    begins = _begins(request)
    if await run_in_threadpool(begins.begin):
        return RedirectResponse("/", 303)
    if units not in SYSTEMS:
        return bare_page(request, "first_units.html", where=_where(begins))
    offered = {"site.name": name_of(begins.folder), UNITS: units}
    return _page(request, offered)


@router.post("/")
async def describe(request: Request) -> Response:
    """Write the description, unless something is wrong with an answer."""
    begins = _begins(request)
    form = await request.form()
    typed = {path: text[:LONGEST].strip() for path, text in form.items() if isinstance(text, str)}
    try:
        text = await run_in_threadpool(description_from, typed)
        await run_in_threadpool(write_description, begins.folder, text)
        await run_in_threadpool(begins.begin)
    except HouseProblemsError as problem:
        return _page(request, typed, problem.problems)
    except InputError as problem:
        return _page(request, typed, (problem,))
    return RedirectResponse("/weather?begun=true", 303)


@router.get("/{path:path}")
async def elsewhere(path: str) -> RedirectResponse:
    """Lead to the questions: there is nothing else yet."""
    return RedirectResponse("/", 303)


def _begins(request: Request) -> Begins:
    begins: Begins = request.app.state.beginning
    return begins


def _where(begins: Begins) -> Path:
    return Path(begins.folder).absolute()


def _page(
    request: Request, typed: Mapping[str, str], problems: Sequence[InputError] = ()
) -> HTMLResponse:
    begins = _begins(request)
    asked = [each for each in questions() if each.path != UNITS]
    told = {problem.field: _told(problem) for problem in problems}
    system = typed.get(UNITS, "")
    if system not in SYSTEMS:
        system = SYSTEMS[0]
    fields = [_field(each, typed, told.get(each.path, ""), system) for each in asked]
    groups = [
        (heading, [each for each in fields if _belongs(each.path, parts)])
        for heading, parts in GROUPS
    ]
    known = {each.path for each in asked}
    return bare_page(
        request, "first_run.html", 422 if problems else 200,
        groups=groups, where=_where(begins), units=system,
        wrong=[each for each in fields if each.problem],
        others=[str(each) for each in problems if each.field not in known],
        zones=sorted(each for each in available_timezones() if each.startswith("America/")),
    )  # fmt: skip


def _belongs(path: str, parts: Sequence[str]) -> bool:
    return any(path == part or path.startswith(f"{part}.") for part in parts)


def _told(problem: InputError) -> str:
    """Say what is wrong beside its field, where its name need not be said again."""
    text = f"{problem.problem}; allowed: {problem.allowed}" if problem.allowed else problem.problem
    return f"{text}. {problem.fix}".strip() if problem.fix else f"{text}."


def _field(question: Question, typed: Mapping[str, str], problem: str, system: str) -> Field:
    spec = question.spec
    default = None if question.default is None else spec.shown(question.default, system)
    offered = "" if default is None else as_typed(default)
    unless = [
        f"unless-{_name(path)}-{as_typed(value)}"
        for path, value in LEAVES_OUT
        if path != question.path and not is_asked(question, {**EVERYTHING, path: value})
    ]
    options: tuple[tuple[str, str], ...] = ()
    if isinstance(spec, YesNo):
        options = (("yes", "Yes"), ("no", "No"))
    elif isinstance(spec, Choice):
        options = tuple((each, each.capitalize()) for each in spec.options)
    return Field(
        question.path, _name(question.path), question.ask, spec.help, _kind(question), options,
        typed.get(question.path, offered), problem, " ".join(unless),
        question.default is None and not unless,
    )  # fmt: skip


def _kind(question: Question) -> str:
    spec = question.spec
    if isinstance(spec, YesNo | Choice):
        return "choice"
    if isinstance(spec, Day):
        return "date"
    if isinstance(spec, Zone):
        return "zone"
    return "whole" if isinstance(spec, Number) and spec.integral else "text"


def _name(path: str) -> str:
    return path.replace(".", "-").replace("_", "-")
