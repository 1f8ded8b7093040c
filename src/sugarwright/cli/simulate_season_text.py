"""Many generated seasons as text: the middle of each figure, and where eight in ten lie."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sugarwright.cli.output import columns, heading, say, wrapped
from sugarwright.plant.seasons import SeasonsSummary, Spread
from sugarwright.units import (
    BRIX,
    DURATION,
    ENERGY,
    MONEY,
    VOLUME,
    WOOD,
    Kind,
    show,
)

#: Figure, what a person calls it, its kind, and the unit in the two systems (empty: the usual).
LINES: tuple[tuple[str, str, Kind, str, str, int | None], ...] = (
    ("sap_m3", "sap", VOLUME, "gal", "L", 0),
    ("sap_brix", "its strength", BRIX, "", "", 1),
    ("syrup_m3", "syrup", VOLUME, "gal", "L", 1),
    ("spilled_m3", "spilled", VOLUME, "gal", "L", 0),
    ("dumped_m3", "dumped as spoiled", VOLUME, "gal", "L", 0),
    ("membrane_s", "membrane", DURATION, "h", "h", 0),
    ("fire_s", "at the fire", DURATION, "h", "h", 0),
    ("work_s", "your hours, all", DURATION, "h", "h", 0),
    ("wood_m3", "wood", WOOD, "", "", None),
    ("energy_j", "electricity", ENERGY, "kWh", "kWh", 0),
)


def show_seasons(found: SeasonsSummary) -> None:
    """Print the spread of a house's seasons."""
    zone = ZoneInfo(found.timezone)
    first = datetime.fromtimestamp(found.begin_s, UTC).astimezone(zone)
    last = datetime.fromtimestamp(found.end_s - 1, UTC).astimezone(zone)
    heading(f"{found.house}: {found.count} springs made up, as you work today")
    say(f"{first.day} {first:%B} to {last.day} {last:%B}")
    say(wrapped(f"weather: {found.weather_source}"))
    for text in found.notes:
        say(wrapped(text, "  ! "))
    say("")
    rows = [_row(found, *line) for line in LINES]
    net = ["net worth", *_texts(found.net_money, MONEY, found, "", 0)]
    titles = ["", "middle", "1 in 10 below", "1 in 10 above"]
    say(*columns([titles, *rows, net]))
    say("")
    say(
        wrapped(
            "Each run of sap is scattered about the trees' model as gatherings have been. How your "
            "own trees differ from others is not in the spread: yield_factor in sugarhouse.toml."
        )
    )


def _row(
    found: SeasonsSummary, name: str, words: str, kind: Kind, us: str, metric: str,
    digits: int | None,
) -> list[str]:  # fmt: skip
    unit = metric if found.units == "metric" else us
    return [words, *_texts(found.spread[name], kind, found, unit, digits)]


def _texts(
    spread: Spread, kind: Kind, found: SeasonsSummary, unit: str, digits: int | None
) -> list[str]:
    return [
        show(value, kind, found.units, digits, unit or None, found.currency)
        for value in (spread.middle, spread.low, spread.high)
    ]
