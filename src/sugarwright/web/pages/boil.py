"""``/boil``: the fire, the heat to draw at, the next draw, and what was drawn."""

from __future__ import annotations

import math
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from sugarwright.answering.bench_terms import WATER_BOILS_C
from sugarwright.answering.boil import LOOK_BACK_S, boil_of, draw_heat, said_out
from sugarwright.bench.cautions import BOILING
from sugarwright.errors import InputError, RangeError
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.plant.house import House
from sugarwright.saying.boil import (
    brix_a_degree_text,
    draw_row,
    drawn_text,
    heat_sure_text,
    heat_text,
    next_draw_text,
)
from sugarwright.saying.fire import fire_alarm, last_wood_text, lit_text
from sugarwright.units import TEMPERATURE, parse, show
from sugarwright.web.pages.entering import Key, entering
from sugarwright.web.rendering import page, shed_of, words_of

COOKIE = "sugarwright-water-boils"
TRIED_TODAY_S = 12 * 3600
"""So long a trial of the thermometer serves: the air's pressure moves in a day."""
PLACES = ("pan",)
router = APIRouter()


@router.get("/boil", include_in_schema=False)
def boil(
    request: Request,
    water: Annotated[str | None, Query(max_length=40)] = None,
    kept: Key = "",
    undone: Key = "",
) -> Response:
    """Show the boil; ``water`` is what the thermometer showed in boiling water."""
    shed, problem, typed = shed_of(request), "", ""
    house = shed.house()
    if water is not None:
        try:
            return _tried(water, house)
        except InputError as error:
            problem, typed = str(error), water
    standing, now_s = shed.standing(), shed.now_s()
    with shed.record() as book:
        entries = book.entries(begin_s=now_s - LOOK_BACK_S, end_s=now_s + 1.0)
        forms = entering(shed, book, entries, "/boil", kept, undone, PLACES)
    found, words = boil_of(house, entries, standing.value), words_of(shed)
    report = standing.value
    is_out = report is not None and said_out(entries, report)
    heat, pan = (
        draw_heat(house, tried_c(request)),
        None if report is None else report.pan,
    )
    return page(
        request, "boil.html", 422 if problem else 200,
        boil=found, entering=forms,
        alarm=None if report is None or is_out else fire_alarm(report),
        last_wood="" if report is None else last_wood_text(report),
        unsaid="" if report is None else lit_text(report),
        heat=heat_text(heat, words.units), heat_sure=heat_sure_text(heat, words.units),
        degree=brix_a_degree_text(heat, words.units), tried=heat.water.same_thermometer,
        next_draw=None if pan is None else next_draw_text(pan.next_draw, words, now_s),
        drawn=drawn_text(found, words), rows=[draw_row(each, words) for each in found.draws],
        fire_caution=CAUTIONS["fire"], syrup_caution=BOILING,
        problem=problem, typed=typed, unit="°C" if words.units == "metric" else "°F",
    )  # fmt: skip


def _tried(water: str, house: House) -> Response:
    """Keep on this phone, for the day, where water boils by its thermometer; nothing: forget it.

    Raises
    ------
    InputError : no temperature, or one at which water boils nowhere
    """
    answer = RedirectResponse("/boil", 303)
    text = water.strip()
    if not text:
        answer.delete_cookie(COOKIE)
        return answer
    unit = "°C" if house.site.units == "metric" else "°F"
    boils_c = parse(text, TEMPERATURE, "water boils at", unit)
    least_c, most_c = WATER_BOILS_C
    if not least_c <= boils_c <= most_c:
        ends = " to ".join(show(c, TEMPERATURE, house.site.units, 0) for c in WATER_BOILS_C)
        raise RangeError(
            "water boils at", water, "is no heat at which water boils where syrup is made", ends
        )
    answer.set_cookie(
        COOKIE, f"{boils_c:.2f}", max_age=TRIED_TODAY_S, httponly=True, samesite="strict"
    )
    return answer


def tried_c(request: Request) -> float | None:
    """Return where water boils by the trial on this phone; None without one."""
    try:
        boils_c = float(request.cookies.get(COOKIE, "nan"))
    except ValueError:
        boils_c = math.nan
    least_c, most_c = WATER_BOILS_C
    return boils_c if least_c <= boils_c <= most_c else None
