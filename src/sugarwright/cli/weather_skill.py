"""``sugarwright weather skill``: how good the kept forecasts were."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import HOUSE_FILE, FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, columns, say, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sugarwright.planning.weather_skill import SkillReport

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
    from sugarwright.weather.store import FolderStore

    house = house_in(folder) if (Path(folder) / HOUSE_FILE).exists() else None
    store = FolderStore(folder)
    now_s = time.time()
    forecasts = store.between(now_s - days * 86400.0, now_s)
    report = weather_skill(forecasts, store.observed(), house, source)
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
        bias = show(known.bias_k, TEMPERATURE_DIFFERENCE, system)
        sure = show(known.bias_sd_k, TEMPERATURE_DIFFERENCE, system)
        yield wrapped(f"Learnt: forecasts are {bias} too warm on average, give or take {sure}.")
    for title, rows, kind, unit in (
        ("Air, by the hour", report.temperature, TEMPERATURE_DIFFERENCE, "k"),
        ("Sap, per tap and day", report.sap, VOLUME, "m3"),
    ):
        if not rows:
            continue
        yield ""
        yield title
        table = [_TITLES]
        for row in rows:
            names = ("error", "crps", "climatology_crps", "persistence_crps")
            values = [getattr(row, f"{name}_{unit}") for name in names]
            cells = ["-" if each is None else show(each, kind, system) for each in values]
            width = show(getattr(row, f"band_{unit}"), kind, system)
            covered = f"{100 * row.coverage_fraction:.0f} %"
            table.append([str(row.lead_day), str(row.forecasts), *cells, covered, width])
        yield from columns(table)
