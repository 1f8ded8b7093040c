"""``/weather``: the days that are expected, what the radio tells, and asking a weather service."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sugarwright.answering.weather import WEATHER_FILE, is_of_file
from sugarwright.answering.weather_told import (
    DAY_S,
    asker_of,
    fetch_weather,
    place_of,
    typed_weather,
    weather_ahead,
)
from sugarwright.errors import InputError
from sugarwright.saying.weather import missed_text, stands_on_text
from sugarwright.saying.words import Words
from sugarwright.units import TEMPERATURE
from sugarwright.weather.outlook import Range80, WeatherOutlook
from sugarwright.weather.services.catalogue import Settings, usual_services
from sugarwright.weather.taking_in import take_in
from sugarwright.weather.typed import next_low_s
from sugarwright.web.guard.doors import may_log
from sugarwright.web.pages.house import may_change
from sugarwright.web.rendering import page, shed_of, words_of
from sugarwright.web.shed import Shed

if TYPE_CHECKING:
    from sugarwright.plant.house_site import Site

NIGHTS = 3
DAYS_SHOWN = 4
HIGH_BEHIND_LOW_S = 10 * 3600
MOST_ASKING_S = 12.0  # for one document: somebody waits before the page
TITLES = {"nws": "the US National Weather Service", "met-norway": "MET Norway",
          "open-meteo": "Open-Meteo", "open-meteo-ensemble": "Open-Meteo"}  # fmt: skip
Short = Annotated[str, Form(max_length=100)]
Several = Annotated[list[str], Form(max_length=NIGHTS)]
router = APIRouter()


@dataclass(frozen=True)
class Night:
    """A night and the day behind it, as the form asks for them.

    Parameters
    ----------
    low_label, high_label : when they are
    low, high : as typed before; may be empty
    """

    low_label: str
    high_label: str
    low: str = ""
    high: str = ""


@dataclass(frozen=True)
class Typed:
    """What stood in the forms."""

    lows: Sequence[str] = ()
    highs: Sequence[str] = ()
    now: str = ""
    contact: str = ""


@router.get("/weather", include_in_schema=False)
def weather(request: Request, kept: bool = False, begun: bool = False) -> HTMLResponse:
    """Show what is expected, and how to tell of it."""
    return _page(request, kept=kept, begun=begun)


@router.post("/weather", include_in_schema=False)
@may_log
def keep(request: Request, low: Several, high: Several, now: Short = "") -> Response:
    """Keep lows and highs as the radio tells them."""
    shed = shed_of(request)
    typed = Typed([text.strip() for text in low], [text.strip() for text in high], now.strip())
    house, now_s = shed.house(), int(shed.now_s())
    unit = "C" if house.site.units == "metric" else "F"
    names = ("low", "high", "thermometer now")
    try:
        lows, highs = _in_a_row(typed.lows, "low"), _in_a_row(typed.highs, "high")
        if not lows:
            raise InputError("low", None, "is needed: that of the coming night")
        brought = typed_weather(house, lows, highs, typed.now or None, now_s, names, unit)
        with shed.record(make=True) as book:
            take_in(brought, book.weather)
    except InputError as problem:
        return _page(request, 422, typed=typed, problems=(str(problem),))
    return _taken_in(shed)


@router.post("/weather/fetch", include_in_schema=False)
def fetch(request: Request, contact: Short = "") -> Response:
    """Ask a weather service: only when somebody presses for it."""
    shed = shed_of(request)
    house, now_s = shed.house(), int(shed.now_s())
    typed = Typed(contact=contact.strip())
    try:
        settings = _settings(typed.contact)
        groups = usual_services(place_of(house), settings)
        with asker_of(shed.folder, settings, MOST_ASKING_S) as ask, shed.record(make=True) as book:
            fetched = fetch_weather(house, groups, settings, ask, now_s, book)
    except InputError as problem:
        return _page(request, 422, typed=typed, problems=(str(problem),))
    if not fetched.forecasts:
        return _page(request, 502, typed=typed, problems=fetched.problems, unreached=True)
    return _taken_in(shed)


def _taken_in(shed: Shed) -> Response:
    shed.changed()
    if shed.plan().report is not None:
        shed.plan_again("the weather was told anew")
    return RedirectResponse("/weather?kept=true", 303)


def _in_a_row(typed: Sequence[str], name: str) -> list[str]:
    """Return what is typed, from the first night on.

    Raises
    ------
    InputError : one is left out before another
    """
    filled = [text for text in typed if text]
    if list(typed[: len(filled)]) != filled:
        raise InputError(name, None, "is left out before one that is given", fix="Fill it in")
    return filled


def _settings(contact: str) -> Settings:
    return Settings.from_environment(os.environ, contact=contact or None)


def _page(
    request: Request,
    status: int = 200,
    *,
    typed: Typed | None = None,
    problems: Sequence[str] = (),
    unreached: bool = False,
    kept: bool = False,
    begun: bool = False,
) -> HTMLResponse:
    shed = shed_of(request)
    house, now_s, words = shed.house(), int(shed.now_s()), words_of(shed)
    with shed.record() as book:
        ahead = weather_ahead(shed.folder, house, now_s, DAYS_SHOWN - 1, book)
        is_read = bool(book.newest(1))
    usual = _settings("")
    groups = usual_services(place_of(house), usual)
    return page(
        request, "weather.html", status,
        nights=_nights(now_s, house.site.longitude_deg, words, typed or Typed()),
        typed=typed or Typed(), problems=problems, unreached=unreached, kept=kept, begun=begun,
        ahead=ahead, rows=_rows(ahead, words) if ahead else (),
        stands_on=_stands_on(ahead, house.site) if ahead else "",
        file=WEATHER_FILE if is_of_file(shed.folder) else "", is_read=is_read,
        services=_said(groups), may_fetch=may_change(request),
        contact_needed=groups[0][0] != "nws" and not usual.contact,
    )  # fmt: skip


def _stands_on(ahead: WeatherOutlook, site: Site) -> str:
    text = stands_on_text(ahead.standing, site.timezone)
    missed = missed_text(ahead.standing.missed_k, site.units)
    return f"{text} {missed}." if missed else text


def _said(groups: Sequence[Sequence[str]]) -> str:
    """Say which services are asked; of each group the first that answers is enough."""
    either = (" or else ".join(TITLES[name] for name in group) for group in groups)
    return " and ".join(dict.fromkeys(either))


def _nights(now_s: int, longitude_deg: float, words: Words, typed: Typed) -> list[Night]:
    first_s = next_low_s(now_s, longitude_deg)
    found = []
    for place in range(NIGHTS):
        low_s = first_s + place * DAY_S
        day = words.day(low_s + HIGH_BEHIND_LOW_S)
        low, high = (
            texts[place] if place < len(texts) else "" for texts in (typed.lows, typed.highs)
        )
        found.append(Night(f"Low, {day} dawn", f"High, {day}", low, high))
    return found


def _rows(ahead: WeatherOutlook, words: Words) -> list[tuple[str, ...]]:
    """Return the days as a table: day, low, high, chance of frost and thaw."""
    return [
        (
            f"{words.day(each.begin_s)}{'' if each.hours >= 24 else ', in part'}",
            _range(each.low, words),
            _range(each.high, words),
            f"{100.0 * each.freeze_thaw_fraction:.0f} %",
        )
        for each in ahead.days[:DAYS_SHOWN]
    ]


def _range(found: Range80, words: Words) -> str:
    low, middle, high = (
        words.show(each, TEMPERATURE, 0) for each in (found.p10_c, found.middle_c, found.p90_c)
    )
    return f"{middle} ({low.split(' ')[0]} to {high.split(' ')[0]})"
