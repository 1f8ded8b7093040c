"""``sugarwright weather show``: the coming days, and what they stand on."""

from __future__ import annotations

import time
from typing import Annotated

import typer

from sugarwright.cli.charts_option import HERE, ChartOption, check_chart, draw_chart
from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, say


def show(
    folder: FolderArgument = ".",
    days: Annotated[int, typer.Option(min=1, max=10, help="How many days ahead.")] = 5,
    chart: ChartOption = HERE,
    json: JsonOption = False,
) -> None:
    """What weather is expected, how sure is that, and where is it from?

    Shows lows and highs of the coming days with the range that holds four of five outcomes, how
    likely a freeze and a thaw are, and the course of the temperature. Needs no network.

    Examples:
      sugarwright weather show my-sugarhouse
      sugarwright weather show --days 7 --chart week.png
    """
    house = house_in(folder)
    name = None if json and chart == HERE else chart
    check_chart(name, as_document=json)

    from sugarwright.cli.weather_options import stored_footing
    from sugarwright.weather.outlook import outlook

    site, now_s = house.site, int(time.time())
    footing = stored_footing(folder, now_s, now_s + days * 86400, site.timezone)
    found = outlook(footing, now_s, site.name, site.timezone, site.units, site.longitude_deg)
    if json:
        say(as_json(found))
    else:
        from sugarwright.cli.weather_text import outlook_lines

        say(*outlook_lines(found))

    from sugarwright.cli.weather_chart import outlook_chart

    draw_chart(name, lambda: outlook_chart(found))
