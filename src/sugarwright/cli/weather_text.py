"""The words of ``sugarwright weather``."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from sugarwright.cli.output import columns, wrapped
from sugarwright.saying.weather import clock, how_old, missed_text, past_hours_text, stands_on_text
from sugarwright.units import TEMPERATURE, to_unit

if TYPE_CHECKING:
    from sugarwright.weather.outlook import Range80, WeatherOutlook
    from sugarwright.weather.services.catalogue import Fetched
    from sugarwright.weather.standing import Provenance
    from sugarwright.weather.taking_in import Imported


def fetched_lines(fetched: Fetched, timezone: str, now_s: int) -> Iterator[str]:
    """Yield what fetching came to."""
    for each in fetched.forecasts:
        members = f", {each.members} members" if each.members else ""
        kept = "kept" if each.is_new else "was kept already"
        yield wrapped(
            f"{each.source}{members}: issued {clock(each.issued_s, timezone)} "
            f"({how_old(now_s - each.issued_s)} ago), reaches to {clock(each.ends_s, timezone)}; "
            f"{kept}."
        )
        yield from (wrapped(f"{note}.".replace("..", "."), "  ") for note in each.notes)
        if each.attribution:
            yield wrapped(f"{each.attribution}.", "  ")
    if fetched.measured_h:
        yield f"{fetched.measured_h} measured hours are new."
    yield from (wrapped(note, "Note: ", "  ") for note in fetched.notes)
    yield from (wrapped(problem, "Nothing from: ", "  ") for problem in fetched.problems)


def imported_lines(imported: Imported, timezone: str) -> Iterator[str]:
    """Yield what was taken in."""
    span = f"{clock(imported.first_s, timezone)} to {clock(imported.ends_s, timezone)}"
    if imported.forecasts:
        yield wrapped(f"A forecast, {span}." if imported.forecasts == 1 else f"Forecasts, {span}.")
    if imported.measured_h:
        yield wrapped(f"{imported.measured_h} measured hours, {span}.")
    yield from (wrapped(f"{note}.".replace("..", "."), "Note: ", "  ") for note in imported.notes)
    if imported.is_dry_run:
        yield "Nothing was written (--dry-run)."
        return
    if imported.forecasts:
        yield "Kept." if imported.new_forecasts else "It was kept already."
    if imported.measured_h:
        yield f"{imported.new_measured_h} of the measured hours are new."


def outlook_lines(found: WeatherOutlook) -> Iterator[str]:
    """Yield the coming days and what they stand on."""
    unit = "°C" if found.units == "metric" else "°F"
    yield f"Weather at {found.house}"
    yield ""
    rows = [["", f"low {unit}", "80 %", f"high {unit}", "80 %", "freeze and thaw"]]
    for day in found.days:
        named = date.fromisoformat(day.day)
        part = "" if day.hours >= 24 else "*"
        row = [f"{named:%a} {named.day} {named:%b}{part}"]
        row += [*_range(day.low, unit), *_range(day.high, unit)]
        rows.append([*row, f"{100.0 * day.freeze_thaw_fraction:.0f} %"])
    yield from columns(rows)
    if any(day.hours < 24 for day in found.days):
        yield "* part of the day only"
    yield ""
    yield from standing_lines(found.standing, found.timezone)
    missed = missed_text(found.standing.missed_k, found.units)
    if missed:
        yield wrapped(f"{missed}.")


def standing_lines(standing: Provenance, timezone: str) -> Iterator[str]:
    """Yield what the weather stands on: which forecast, how old, what is filled in."""
    yield wrapped(stands_on_text(standing, timezone))
    yield wrapped(past_hours_text(standing))
    yield from (wrapped(each, "! ", "  ") for each in standing.cautions)
    if standing.attribution:
        yield wrapped(f"{standing.attribution}.")


def _range(found: Range80, unit: str) -> list[str]:
    p10, middle, p90 = (
        f"{to_unit(value, TEMPERATURE, unit):.0f}".replace("-0", "0")
        if abs(to_unit(value, TEMPERATURE, unit)) < 0.5
        else f"{to_unit(value, TEMPERATURE, unit):.0f}"
        for value in (found.p10_c, found.middle_c, found.p90_c)
    )
    return [middle, f"{p10} to {p90}"]
