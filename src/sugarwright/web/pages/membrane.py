"""``/membrane``: what its settings give today, how it does, and washing it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from sugarwright.answering.membrane import (
    MembraneToday,
    for_strength,
    membrane_learnt_in,
    membrane_today_in,
)
from sugarwright.answering.quick_log import running_parts
from sugarwright.errors import SugarwrightError
from sugarwright.plant.house import House
from sugarwright.saying.membrane import answer_text, settings_table, warning_texts
from sugarwright.saying.membrane_lesson import (
    LessonWords,
    cleanings_text,
    next_text,
    replacement_text,
    stands_on_text,
    verdict_text,
    wash_text,
)
from sugarwright.saying.wash_steps import wash_steps
from sugarwright.units import BRIX, parse
from sugarwright.web.pages.entering import Key, entering
from sugarwright.web.pages.membrane_view import course_of, course_rows, map_of, setting_texts
from sugarwright.web.rendering import page, shed_of, words_of
from sugarwright.web.shed import Shed

FRESH_S = 600.0
LOOK_BACK_S = 30 * 86400.0
PLACES = ("membrane",)
router = APIRouter()


@router.get("/membrane", include_in_schema=False)
def membrane(
    request: Request,
    brix: Annotated[str, Query(max_length=20)] = "",
    kept: Key = "",
    undone: Key = "",
) -> Response:
    """Show the membrane; ``brix`` is a strength of which the setting is asked."""
    shed = shed_of(request)
    house = shed.house()
    if house.membrane is None:
        return page(request, "membrane_none.html")
    today, now_s = shed.worked_out(membrane_today_in, FRESH_S), shed.now_s()
    with shed.record() as book:
        entries = book.entries(begin_s=now_s - LOOK_BACK_S, end_s=now_s + 1.0)
        forms = entering(shed, book, entries, "/membrane", kept, undone, PLACES)
    wish, problem = "", ""
    if brix.strip() and today.value is not None:
        try:
            wish = _wish(house, today.value, brix)
        except SugarwrightError as error:
            problem = str(error)
    return page(
        request, "membrane.html", 422 if problem else 200,
        today=today, entering=forms, parts=running_parts(house, entries),
        brix=brix, wish=wish, problem=problem,
        **_today(shed, today.value), **_learnt(shed, house), steps=_steps(shed, house),
    )  # fmt: skip


def _wish(house: House, today: MembraneToday, text: str) -> str:
    """Return which setting gives a strength, in words."""
    wanted = text if any(each.isalpha() for each in text) else f"{text.strip()} Brix"
    answer = for_strength(house, today, parse(wanted, BRIX, "Brix wanted"))
    return answer_text(answer, today.report)


def _today(shed: Shed, today: MembraneToday | None) -> dict[str, Any]:
    if today is None:
        return {"map": None}
    titles, *rows = settings_table(today.report)
    return {
        "map": map_of(today),
        "marks": setting_texts(today, words_of(shed)),
        "advice": [answer_text(each, today.report) for each in today.report.answers],
        "titles": titles[:-1],
        "rows": rows,
        "warnings": list(warning_texts(today.report)),
    }


def _learnt(shed: Shed, house: House) -> dict[str, Any]:
    found = shed.worked_out(membrane_learnt_in)
    lesson, words = found.value, LessonWords(house)
    if lesson is None:
        return {"learnt": found, "course": None}
    texts = [verdict_text(lesson), wash_text(lesson, words)]
    if lesson.cleanings:
        texts.append(cleanings_text(lesson.cleanings, words))
    if lesson.next_readings:
        texts.append(next_text(lesson, words))
    texts.append(replacement_text(lesson, words))
    return {
        "learnt": found,
        "course": course_of(lesson, words_of(shed)),
        "course_rows": course_rows(lesson, words_of(shed)),
        "stands_on": stands_on_text(lesson, words),
        "texts": texts,
    }


def _steps(shed: Shed, house: House) -> Any:
    standing, known = shed.standing().value, house.membrane
    assert known is not None  # asked before
    tanks = () if standing is None else standing.tanks
    held = next((each.volume_m3.middle for each in tanks if each.place == "permeate"), None)
    return wash_steps(known, held, words_of(shed))
