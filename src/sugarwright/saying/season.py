"""What the season may still bring, in sentences and rows of words."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.planning.report import Range
from sugarwright.planning.season_report import Amount, Reached, SeasonOutlook, WarmSum
from sugarwright.saying.words import date_text
from sugarwright.units import MONEY, TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME, show, to_unit

WARM_WORDS = {
    "tap holes": "half of a tap hole closed",
    "red maple buds": "first red maple buds opening",
    "sugar maple buds": "first sugar maple buds opening",
}


def made_of_text(found: SeasonOutlook) -> str:
    """Return what the outlook stands on."""
    text = f"{found.count} springs: {found.weather_source}; {found.trees_source}."
    return text + _issued(found)


def _issued(found: SeasonOutlook) -> str:
    if found.forecast_to_s is None:
        return ""
    ends = date_text(found.forecast_to_s, found.timezone)
    if found.issued_s is None:
        return f" The forecast counts to {ends}."
    issued = datetime.fromtimestamp(found.issued_s, ZoneInfo(found.timezone))
    return f" The forecast is of {issued:%Y-%m-%d %H:%M} and counts to {ends}."


def tap_rows(found: SeasonOutlook) -> list[list[str]]:
    """Return what tapping on each day is likely to bring, a row of titles first."""
    unit = volume_unit(found.units)
    digits = 1 if unit == "gal" else 0
    rows = [["", f"sap {unit}/tap", "best", "gone", "first run", "95% run by"]]
    for name, day in zip(_tap_names(found), found.days, strict=True):
        sap, best = _range(day.amount.sap_m3_per_tap, unit, digits), _percent(day.best_fraction)
        gone = _percent(day.gone_fraction.middle)
        first, end = (_middle(when, found.timezone) for when in (day.first_run, day.end))
        rows.append([name, sap, best, gone, first, end])
    return rows


def drying_rows(found: SeasonOutlook) -> list[list[str]]:
    """Return the same if holes also dry by the calendar, a row of titles first."""
    unit = volume_unit(found.units)
    digits = 1 if unit == "gal" else 0
    rows = [["", f"sap {unit}/tap", "best"]]
    for name, day in zip(_tap_names(found), found.days, strict=True):
        dry = _range(day.drying_sap_m3_per_tap, unit, digits)
        rows.append([name, dry, _percent(day.drying_best_fraction)])
    return rows


def _tap_names(found: SeasonOutlook) -> list[str]:
    return [f"{date_text(day.tapped_s, found.timezone)} {day.name}".strip() for day in found.days]


def to_come_title(found: SeasonOutlook) -> str:
    """Return of which taps it is told what is to come."""
    if found.tapped_s is not None:
        tapped = date_text(found.tapped_s, found.timezone)
        return f"Still to come ({found.taps} taps, tapped {tapped})"
    first = date_text(found.days[0].tapped_s, found.timezone)
    return f"To come with {found.taps} taps set {first}"


def to_come_rows(found: SeasonOutlook) -> list[list[str]]:
    """Return what came and is to come, a row of titles first."""
    unit = volume_unit(found.units)
    rows = [["", f"sap {unit}", f"{unit}/tap", f"syrup {unit}"]]
    if found.so_far is not None:
        rows.append(["run so far", *_amount(found.so_far, unit)])
    rows.append(["to come", *_amount(found.to_come, unit)])
    return rows


def to_come_texts(found: SeasonOutlook) -> tuple[str, str]:
    """Return what the syrup to come is worth, and by when nearly all has run."""
    money = _money(found.to_come.syrup_money, found.currency)
    return (
        f"The syrup to come is worth {money} at your price, before hours, wood and losses.",
        f"95 % has run by {_dates(found.end, found.timezone)}.",
    )


def pull_rows(found: SeasonOutlook) -> list[list[str]]:
    """Return what leaving the taps in brings, a row of titles first."""
    unit = volume_unit(found.units)
    rows = [["pull on", "of the season", f"more sap {unit}", f"more syrup {unit}", "buds"]]
    for each in found.pulls:
        run = each.run_fraction
        rows.append(
            [
                date_text(each.pulled_s, found.timezone),
                f"{100 * run.middle:.0f}% ({100 * run.low:.0f} to {100 * run.high:.0f})",
                _range(each.more.sap_m3, unit, 0),
                _range(each.more.syrup_m3, unit, 1 if unit == "gal" else 0),
                _percent(each.buds_fraction),
            ]
        )
    return rows


def warmth_text(each: WarmSum, found: SeasonOutlook) -> str:
    """Return how far a sum of warmth is, and when it is reached."""
    unit = "°C" if found.units == "metric" else "°F"

    def days(k_h: float) -> str:
        return f"{to_unit(k_h / 24.0, TEMPERATURE_DIFFERENCE, unit):,.0f}"

    far = each.so_far_k_h
    so_far = days(far.middle)
    if days(far.low) != days(far.high):
        so_far += f" ({days(far.low)} to {days(far.high)})"
    base = show(each.base_c, TEMPERATURE, found.units, digits=0)
    return (
        f"{WARM_WORDS[each.what]}: {so_far} of some {days(each.needed_k_h)} degree-days "
        f"{unit[1:]} above {base} so far; reached {_dates(each.reached, found.timezone)}."
    )


def volume_unit(system: str) -> str:
    """Return the unit of all volumes here."""
    return "L" if system == "metric" else "gal"


def _amount(amount: Amount, unit: str) -> list[str]:
    return [
        _range(amount.sap_m3, unit, 0),
        _range(amount.sap_m3_per_tap, unit, 1 if unit == "gal" else 0),
        _range(amount.syrup_m3, unit, 0),
    ]


def _range(values: Range, unit: str, digits: int) -> str:
    low, middle, high = (
        f"{to_unit(each, VOLUME, unit):,.{digits}f}"
        for each in (values.low, values.middle, values.high)
    )
    return f"{middle} ({low} to {high})"


def _percent(fraction: float) -> str:
    return f"{100.0 * fraction:.0f}%"


def _money(values: Range, currency: str) -> str:
    low, middle, high = (
        show(each, MONEY, currency=currency, digits=0)
        for each in (values.low, values.middle, values.high)
    )
    return f"{middle} ({low} to {high})"


def _middle(when: Reached, zone: str) -> str:
    return "-" if when.middle_s is None else date_text(when.middle_s, zone)


def _dates(when: Reached, zone: str) -> str:
    """Return the dates of a range; "later" for what lies after the springs."""
    middle, low, high = (
        "later" if each is None else date_text(each, zone)
        for each in (when.middle_s, when.low_s, when.high_s)
    )
    return "later than May" if middle == low == "later" else f"{middle} ({low} to {high})"
