"""``sugarwright weather skill``: how good the kept forecasts were."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import HOUSE_FILE, FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, columns, say, wrapped
from sugarwright.cli.record import record_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sugarwright.planning.sap_skill import SapDaySkill
    from sugarwright.planning.weather_skill import SkillReport
    from sugarwright.units import Kind
    from sugarwright.weather.skill import LeadDaySkill

_TITLES = ["day", "forecasts", "off by", "score", "usual", "same again", "in band", "band"]


def skill(
    folder: FolderArgument = ".",
    days: Annotated[
        int, typer.Option(metavar="DAYS", min=1, max=730, help="How far to look back.")
    ] = 90,
    source: Annotated[
        str, typer.Option(metavar="NAME", help="Whose forecasts. Left out: the newest one's.")
    ] = "",
    json: JsonOption = False,
) -> None:
    """How good were the forecasts here? Judges kept forecasts by the hours that came.

    By day of lead: the forecast's mean error, the score (CRPS, smaller is better) of the weathers
    made of it, beside that of this season's usual days and of yesterday come again; and how often
    the 80 % band held what came. Each is judged as it could have been used on its day. With a
    sugarhouse.toml, also for the day's sap per tap.

    Examples:
      sugarwright weather skill my-sugarhouse
      sugarwright weather skill --days 30 --json
    """
    from sugarwright.planning.weather_skill import weather_skill

    house = house_in(folder) if (Path(folder) / HOUSE_FILE).exists() else None
    now_s = time.time()
    with record_in(folder, make=False) as book:
        forecasts = book.weather.between(now_s - days * 86400.0, now_s)
        report = weather_skill(forecasts, book.weather.observed(), house, source)
    if json:
        say(as_json(report))
        return
    say(*_lines(report))


def _lines(report: SkillReport) -> Iterator[str]:
    """Yield the report as lines of at most 80 columns."""
    from sugarwright.units import TEMPERATURE_DIFFERENCE, VOLUME, show

    system = report.units
    yield f"Forecasts judged: {report.forecasts}" + (f", {report.source}" if report.source else "")
    for text in report.notes:
        yield wrapped(text, "! ")
    if report.forecasts:
        known = report.errors
        bias = show(abs(known.bias_k), TEMPERATURE_DIFFERENCE, system)
        side = "warm" if known.bias_k >= 0.0 else "cold"
        sure = show(known.bias_sd_k, TEMPERATURE_DIFFERENCE, system)
        yield wrapped(f"Learnt: forecasts are {bias} too {side} on average, give or take {sure}.")
    litres = "L" if system == "metric" else "gal"
    for title, rows, kind, unit, shown in (
        ("Air, by the hour", report.temperature, TEMPERATURE_DIFFERENCE, "k", ""),
        ("Sap, per tap and day", report.sap, VOLUME, "m3", litres),
    ):
        if rows:
            yield ""
            yield title
            yield from columns([_TITLES, *(_cells(row, kind, unit, shown, system) for row in rows)])


def _cells(
    row: LeadDaySkill | SapDaySkill, kind: Kind, unit: str, shown: str, system: str
) -> list[str]:
    """Return a row of the table; all volumes in one unit, so that they can be compared."""
    from sugarwright.units import show, to_unit

    names = ("error", "crps", "climatology_crps", "persistence_crps", "band")
    values = [getattr(row, f"{name}_{unit}") for name in names]
    cells = [
        "-"
        if each is None
        else f"{to_unit(each, kind, shown):.2f} {shown}"
        if shown
        else show(each, kind, system)
        for each in values
    ]
    covered = f"{100 * row.coverage_fraction:.0f} %"
    return [str(row.lead_day), str(row.forecasts), *cells[:4], covered, cells[4]]
