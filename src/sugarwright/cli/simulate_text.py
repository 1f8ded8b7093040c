"""A run as text: one line a day, the whole, where it all went, and what it was worth."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sugarwright.cli.output import columns, heading, say, wrapped
from sugarwright.plant.summary import DaySummary, SeasonSummary, Sums
from sugarwright.plant.whereabouts import Share
from sugarwright.units import (
    DURATION,
    ENERGY,
    MASS,
    MONEY,
    TEMPERATURE,
    VOLUME,
    WOOD,
    Kind,
    show,
    to_unit,
)

HOURS = "h"
MEMBRANE_COLUMN = 4  # of a day's row
WORTH_NAMES = {
    "hours": "hours of people",
    "washes": "washes, done and due",
    "light_ups": "light-ups",
    "left": "left in tanks and pan",
    "crowding": "crowded sap tank",
}
PLACES = {
    "bucket": "water thrown into a dry pan",
    "cleaning": "rinse and wash",
    "dumped": "dumped as spoiled",
}
"""Lines of worth, and places, whose own name does not say enough."""


def show_summary(found: SeasonSummary) -> None:
    """Print a run."""
    zone = ZoneInfo(found.timezone)
    heading(f"{found.house}: {_span(found, zone)}, as you work today")
    say(wrapped(f"weather: {found.weather_source}"))
    for text in found.notes:
        say(wrapped(text, "  ! "))
    say("")
    rows = [_titles(found.units), *(_day(day, found.units, zone) for day in found.days)]
    if found.total.membrane_s == 0.0:  # it never ran, or there is none
        rows = [row[:MEMBRANE_COLUMN] + row[MEMBRANE_COLUMN + 1 :] for row in rows]
    say(*columns(rows))
    say("")
    heading("In all")
    say(*(f"  {line}" for line in columns(_totals(found), left=2)))
    if found.sap_full_s is not None:
        say(f"  sap tank first full {_clock(found.sap_full_s, zone)}")
    if found.pan_short_s > 0.0:
        say(f"  ! the pan ran short of feed for {show(found.pan_short_s, DURATION)}: never let it")
    say("")
    heading("Where it went")
    say(*(f"  {line}" for line in columns(_whereabouts(found))))
    say("")
    heading("What it was worth")
    say(*(f"  {line}" for line in columns(_worth(found))))


def _span(found: SeasonSummary, zone: ZoneInfo) -> str:
    first = datetime.fromtimestamp(found.begin_s, UTC).astimezone(zone)
    last = datetime.fromtimestamp(found.end_s - 1, UTC).astimezone(zone)
    if first.date() == last.date():
        return f"{first:%A} {first.day} {first:%B %Y}"
    return f"{first:%d %b} to {last:%d %b %Y}"


def _clock(time_s: float, zone: ZoneInfo) -> str:
    return f"{datetime.fromtimestamp(time_s, UTC).astimezone(zone):%a %d %b %H:%M}"


def _titles(system: str) -> list[str]:
    volume, degrees = ("L", "C") if system == "metric" else ("gal", "F")
    return [
        "day",
        f"air {degrees}",
        f"sap {volume}",
        "Brix",
        "membrane h",
        "fire h",
        f"syrup {volume}",
        f"lost {volume}",
    ]


def _day(day: DaySummary, system: str, zone: ZoneInfo) -> list[str]:
    volume, degrees = ("L", "C") if system == "metric" else ("gal", "F")
    begin = datetime.fromtimestamp(day.begin_s, UTC).astimezone(zone)
    sums = day.sums
    return [
        f"{begin:%a %d %b}",
        f"{_degrees(day.low_c, degrees)} to {_degrees(day.high_c, degrees)}",
        _number(sums.sap_m3, VOLUME, volume, 0),
        "-" if sums.sap_brix is None else f"{sums.sap_brix:.1f}",
        _number(sums.membrane_s, DURATION, HOURS, 1),
        _number(sums.fire_s, DURATION, HOURS, 1),
        _number(sums.syrup_m3, VOLUME, volume, 1),
        _number(sums.lost_m3, VOLUME, volume, 0),
    ]


def _number(value: float, kind: Kind, unit: str, digits: int) -> str:
    """Return a number of a unit, a dash for nothing."""
    number = to_unit(value, kind, unit)
    text = f"{number:,.{digits}f}"
    return text if text.strip("0.,-") else "-"


def _degrees(temperature_c: float, unit: str) -> str:
    return f"{round(to_unit(temperature_c, TEMPERATURE, unit)):d}"


def _totals(found: SeasonSummary) -> list[list[str]]:
    total, system = found.total, found.units
    lines = [
        ["sap", _volume(total.sap_m3, system), _brix(total)],
        ["syrup", show(total.syrup_m3, VOLUME, system, unit=_volume_unit(system), digits=1), ""],
        ["spilled", _volume(total.spilled_m3, system), ""],
        ["dumped as spoiled", _volume(total.dumped_m3, system), ""],
        *_membrane(total, system),
        ["at the fire", show(total.fire_s, DURATION, unit=HOURS, digits=1), _fires(total)],
        ["your hours, all", show(total.work_s, DURATION, unit=HOURS, digits=1), ""],
        ["wood", show(total.wood_m3, WOOD, system), ""],
        ["electricity", show(total.energy_j, ENERGY, unit="kWh", digits=0), ""],
    ]
    return lines


def _membrane(total: Sums, system: str) -> list[list[str]]:
    """What the membrane did; nothing where it never ran, or where there is none."""
    if total.membrane_s == 0.0:
        return []
    return [
        ["membrane", show(total.membrane_s, DURATION, unit=HOURS, digits=1), ""],
        ["permeate", _volume(total.permeate_m3, system), ""],
    ]


def _brix(total: Sums) -> str:
    return "" if total.sap_brix is None else f"{total.sap_brix:.1f} Brix"


def _fires(total: Sums) -> str:
    return f"in {total.light_ups} fire{'' if total.light_ups == 1 else 's'}"


def _volume_unit(system: str) -> str:
    return "L" if system == "metric" else "gal"


def _volume(volume_m3: float, system: str) -> str:
    return show(volume_m3, VOLUME, system, unit=_volume_unit(system), digits=0)


def _whereabouts(found: SeasonSummary) -> list[list[str]]:
    unit = "kg" if found.units == "metric" else "lb"
    of = found.whereabouts

    def row(share: Share) -> list[str]:
        place = PLACES.get(share.place, share.place)
        return [place, _mass(share.water_kg, unit, 0), _mass(share.sugar_kg, unit, 1)]

    return [
        ["came from", f"water {unit}", f"sugar {unit}"],
        *map(row, filter(_shows, of.came)),
        ["went to", "", ""],
        *map(row, filter(_shows, of.went)),
        [
            "does not add up",
            f"{to_unit(of.water_error_kg, MASS, unit):.0e}",
            f"{to_unit(of.sugar_error_kg, MASS, unit):.0e}",
        ],
    ]


def _shows(share: Share) -> bool:
    """Whether more than rounding came from there or went there."""
    return share.water_kg >= 0.05 or share.sugar_kg >= 0.01


def _mass(mass_kg: float, unit: str, digits: int) -> str:
    return f"{to_unit(mass_kg, MASS, unit):,.{digits}f}"


def _worth(found: SeasonSummary) -> list[list[str]]:
    lines = [
        [WORTH_NAMES.get(name, name), show(money, MONEY, currency=found.currency, digits=0)]
        for name, money in found.worth_money.items()
        if name != "washes" or money != 0.0 or found.total.membrane_s > 0.0
    ]
    net = show(found.net_money, MONEY, currency=found.currency, digits=0)
    return [*lines, ["net", net]]
