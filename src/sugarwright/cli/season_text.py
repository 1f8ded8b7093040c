"""A season's outlook as text of at most 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sugarwright.cli.charts_data import date_text
from sugarwright.cli.output import columns, wrapped
from sugarwright.planning.report import Range
from sugarwright.planning.season_report import Amount, Reached, SeasonOutlook, WarmSum
from sugarwright.units import MONEY, TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME, show, to_unit

WARM_WORDS = {
    "tap holes": "half of a tap hole closed",
    "red maple buds": "first red maple buds opening",
    "sugar maple buds": "first sugar maple buds opening",
}


def season_lines(found: SeasonOutlook) -> Iterator[str]:
    """Yield an outlook as lines."""
    now = datetime.fromtimestamp(found.now_s, UTC).astimezone(ZoneInfo(found.timezone))
    yield wrapped(f"{found.house}: the season as seen on {now:%A} {now.day} {now:%B %Y}")
    made_of = f"{found.count} springs: {found.weather_source}; {found.trees_source}."
    yield wrapped(made_of + _issued(found))
    for text in found.notes:
        yield wrapped(text, "  ! ")
    yield "In brackets: one spring in ten stays below, one in ten goes above."
    yield ""
    if found.days:
        yield from _tap_days(found)
    yield from _to_come(found)
    if found.pulls:
        yield ""
        yield from _pulls(found)
    yield ""
    yield "Warm sums (advice)"
    for each in found.warmth:
        yield from _warmth(each, found)
    yield ""
    for text in found.cautions:
        yield wrapped(text, "! ")


def _issued(found: SeasonOutlook) -> str:
    if found.forecast_to_s is None:
        return ""
    ends = date_text(found.forecast_to_s, found.timezone)
    if found.issued_s is None:
        return f" The forecast counts to {ends}."
    issued = datetime.fromtimestamp(found.issued_s, UTC).astimezone(ZoneInfo(found.timezone))
    return f" The forecast is of {issued:%Y-%m-%d %H:%M} and counts to {ends}."


def _tap_days(found: SeasonOutlook) -> Iterator[str]:
    unit = _volume(found.units)
    yield f"When to tap ({found.taps} taps)"
    digits = 1 if unit == "gal" else 0
    names = [f"{date_text(day.tapped_s, found.timezone)} {day.name}".strip() for day in found.days]
    rows = [["", f"sap {unit}/tap", "best", "gone", "first run", "95% run by"]]
    drying = [["", f"sap {unit}/tap", "best"]]
    for name, day in zip(names, found.days, strict=True):
        sap, best = _range(day.amount.sap_m3_per_tap, unit, digits), _percent(day.best_fraction)
        gone = _percent(day.gone_fraction.middle)
        first, end = (_middle(when, found.timezone) for when in (day.first_run, day.end))
        rows.append([name, sap, best, gone, first, end])
        dry = _range(day.drying_sap_m3_per_tap, unit, digits)
        drying.append([name, dry, _percent(day.drying_best_fraction)])
    yield from (f"  {line}" for line in columns(rows))
    yield wrapped(
        "best: in so many of the springs this day brings most of those compared; gone: the part of "
        "the season's sap that has run before. Warmth alone closes tap holes here, as it does on "
        "clean tubing. If the calendar does too (half in seven weeks), as it may on open buckets:",
        "  ",
    )
    yield from (f"  {line}" for line in columns(drying))
    yield ""


def _to_come(found: SeasonOutlook) -> Iterator[str]:
    zone = found.timezone
    if found.tapped_s is not None:
        tapped = date_text(found.tapped_s, zone)
        yield f"Still to come ({found.taps} taps, tapped {tapped})"
    else:
        first = date_text(found.days[0].tapped_s, zone)
        yield f"To come with {found.taps} taps set {first}"
    unit = _volume(found.units)
    rows = [["", f"sap {unit}", f"{unit}/tap", f"syrup {unit}"]]
    if found.so_far is not None:
        rows.append(["run so far", *_amount(found.so_far, unit)])
    rows.append(["to come", *_amount(found.to_come, unit)])
    yield from (f"  {line}" for line in columns(rows))
    money = _money(found.to_come.syrup_money, found.currency)
    yield wrapped(
        f"The syrup to come is worth {money} at your price, before hours, wood and losses.", "  "
    )
    yield wrapped(f"95 % has run by {_dates(found.end, zone)}.", "  ")


def _amount(amount: Amount, unit: str) -> list[str]:
    return [
        _range(amount.sap_m3, unit, 0),
        _range(amount.sap_m3_per_tap, unit, 1 if unit == "gal" else 0),
        _range(amount.syrup_m3, unit, 0),
    ]


def _pulls(found: SeasonOutlook) -> Iterator[str]:
    unit = _volume(found.units)
    yield "When to pull"
    head = ["pull on", "of the season", f"more sap {unit}", f"more syrup {unit}", "buds"]
    rows = [head]
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
    yield from (f"  {line}" for line in columns(rows))
    yield wrapped(
        "more: than by the line above (the first: from now); buds: in so many of the springs the "
        "warm sum of the first red maple buds is reached by then.",
        "  ",
    )


def _warmth(each: WarmSum, found: SeasonOutlook) -> Iterator[str]:
    unit = "°C" if found.units == "metric" else "°F"

    def days(k_h: float) -> str:
        return f"{to_unit(k_h / 24.0, TEMPERATURE_DIFFERENCE, unit):,.0f}"

    far = each.so_far_k_h
    so_far = days(far.middle)
    if days(far.low) != days(far.high):
        so_far += f" ({days(far.low)} to {days(far.high)})"
    base = show(each.base_c, TEMPERATURE, found.units, digits=0)
    yield wrapped(
        f"{WARM_WORDS[each.what]}: {so_far} of some {days(each.needed_k_h)} degree-days "
        f"{unit[1:]} above {base} so far; reached {_dates(each.reached, found.timezone)}.",
        "  ",
        "    ",
    )
    yield wrapped(f"Source: {each.source}.", "    ", "    ")


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


def _volume(system: str) -> str:
    return "L" if system == "metric" else "gal"
