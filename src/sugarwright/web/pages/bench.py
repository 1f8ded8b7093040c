"""``/bench``: is it syrup, and what to do with it. The same answers as ``sugarwright finish``."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from sugarwright.answering.bench_terms import Terms
from sugarwright.bench.cautions import BOILING, LAW
from sugarwright.errors import InputError
from sugarwright.plant.house import House
from sugarwright.saying.bench_told import Told
from sugarwright.units import TEMPERATURE, to_unit
from sugarwright.web.offline.bench_terms import bench_terms
from sugarwright.web.pages.bench_asks import ASKS, BY_NAME, Ask, said_in
from sugarwright.web.pages.boil import tried_c
from sugarwright.web.rendering import page, shed_of

router = APIRouter()
MOST_LETTERS = 40


@router.get("/bench", include_in_schema=False)
def bench(request: Request, ask: str = "") -> HTMLResponse:
    """Show the questions, and the answer to the one that is asked."""
    house = shed_of(request).house()
    asked = BY_NAME.get(ask)
    system = house.site.units
    values = _values(request, asked) if asked else {}
    told: tuple[Told, ...] = ()
    problem, wrong = "", ""
    if asked is not None and len(values) > 0:
        try:
            told = _answer(asked, values, house)
        except InputError as error:
            problem, wrong = str(error), _field_of(asked, error)
    return page(
        request, "bench.html", 422 if problem else 200,
        asks=ASKS, asked=asked, values=values, told=told, problem=problem, wrong=wrong,
        typed_names=[name for name, text in values.items() if text], terms=bench_terms(house),
        system=system, tried=_tried(request, system), caution=BOILING,
        law=LAW if told and ask == "law" else "",
    )  # fmt: skip


def _values(request: Request, asked: Ask) -> dict[str, str]:
    """Return what was typed into a form; several picks of one field with strokes between."""
    query, found = request.query_params, {}
    for field in asked.fields:
        for name in (field.name, f"{field.name}-unit"):
            if name in query:
                texts = query.getlist(name) if field.many else [query[name]]
                found[name] = "|".join(text[:MOST_LETTERS] for text in texts)
    return found


def _answer(asked: Ask, values: Mapping[str, str], house: House) -> tuple[Told, ...]:
    """Return the answer.

    Raises
    ------
    InputError : told of the field by the name that stands on the page
    """
    terms = Terms(
        house.site.units,
        lambda name: said_in(asked, name),
        house.site.elevation_m,
        house.pan.finish_brix,
    )
    typed = {field.name: field.typed(values, terms.units) for field in asked.fields}
    try:
        return asked.answer(typed, terms)
    except InputError as error:
        raise error.at(terms.named(error.field)) from None


def _field_of(asked: Ask, error: InputError) -> str:
    return next((each.name for each in asked.fields if each.said == error.field), "")


def _tried(request: Request, system: str) -> str:
    """Return what the thermometer showed in boiling water by the boil page's trial, as typed."""
    boils_c = tried_c(request)
    if boils_c is None:
        return ""
    return f"{to_unit(boils_c, TEMPERATURE, '°C' if system == 'metric' else '°F'):.1f}"
