"""``/season``: what the season came to, where its sugar went, and what it may still bring."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from sugarwright.answering.ledger import ledger_in
from sugarwright.answering.season import season_in
from sugarwright.answering.season_totals import SeasonTotals, season_log_in, season_totals
from sugarwright.saying.forecast_skill import skill_texts
from sugarwright.saying.ledger import ratio_text, sugar_rows
from sugarwright.saying.season import (
    made_of_text,
    pull_rows,
    tap_rows,
    to_come_rows,
    to_come_texts,
    to_come_title,
    warmth_text,
)
from sugarwright.units import DURATION, VOLUME, WOOD, show
from sugarwright.web.pages.season_view import day_bars, day_rows, sugar_picture
from sugarwright.web.rendering import page, shed_of, words_of
from sugarwright.web.shed import Shed, both

FRESH_S = 6 * 3600.0
router = APIRouter()


@router.get("/season", include_in_schema=False)
def season(request: Request) -> Response:
    """Show the season so far, and the rest of it."""
    shed = shed_of(request)
    log, ledger = shed.worked_out(season_log_in, FRESH_S), shed.worked_out(ledger_in)
    outlook = shed.worked_out(season_in, FRESH_S)
    totals = both(season_totals, log, ledger)
    units = shed.house().site.units
    return page(
        request, "season.html",
        totals=totals, outlook=outlook,
        **_so_far(shed, totals.value, units), **_ahead(outlook.value),
    )  # fmt: skip


def _so_far(shed: Shed, found: SeasonTotals | None, units: str) -> dict[str, Any]:
    if found is None:
        return {"figures": (), "picture": None, "bars": None, "skill": ()}
    standing, words = shed.standing().value, words_of(shed)
    figures = []
    if found.sap_m3 is not None and found.syrup_m3 is not None:
        for name, total in (("Sap", found.sap_m3), ("Syrup", found.syrup_m3)):
            unit = VOLUME.display_unit(0.1, units)
            sure = show(1.96 * total.sd, VOLUME, units, unit=unit)
            figures.append(
                (name, show(total.value, VOLUME, units, unit=unit), f"give or take {sure}")
            )
    if found.fires:
        fires = "1 fire" if found.fires == 1 else f"{found.fires} fires"
        figures.append(("At the fire", show(found.fire_s, DURATION), fires))
    if standing is not None or found.burnt_m3 is not None:
        left = "" if standing is None else f"{words.about(standing.wood_m3, WOOD)} left"
        burnt = "not known" if found.burnt_m3 is None else show(found.burnt_m3, WOOD, units)
        figures.append(("Wood burnt", burnt, left))
    account = found.account
    return {
        "figures": figures,
        "since": "" if found.begin_s is None else words.date(found.begin_s),
        "ratio": "" if account is None else ratio_text(account.ratio),
        "picture": None if account is None else sugar_picture(account, units),
        "went": () if account is None else tuple(sugar_rows(account.went, units, "all that went")),
        "bars": day_bars(found.days, units),
        "day_rows": day_rows(found.days, units),
        "skill": tuple(skill_texts(found.skill)),
    }


def _ahead(found: Any) -> dict[str, Any]:
    if found is None:
        return {"come_title": ""}
    return {
        "come_title": to_come_title(found),
        "come_rows": to_come_rows(found),
        "come_texts": to_come_texts(found),
        "tap_rows": tap_rows(found) if found.days else (),
        "pull_rows": pull_rows(found) if found.pulls else (),
        "warmth": [warmth_text(each, found) for each in found.warmth],
        "made_of": made_of_text(found),
    }
