"""What a forecast stands on, in sentences; instants and ages as a person says them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.units import TEMPERATURE_DIFFERENCE, show

if TYPE_CHECKING:
    from sugarwright.weather.standing import Provenance

WORTH_SAYING_K = 1.0  # of a forecast's error


def stands_on_text(standing: Provenance, timezone: str) -> str:
    """Say which forecast it is, how old, and how far it reaches."""
    return (
        f"Stands on: {standing.source}, issued {clock(standing.issued_s, timezone)}, "
        f"{how_old(standing.age_h * 3600.0)} old, to {clock(standing.ends_s, timezone)}."
    )


def past_hours_text(standing: Provenance) -> str:
    """Say what is known of the hours before."""
    past = {
        "measured": standing.measured_h,
        "from a service's own past": standing.analysed_h,
        "as once forecast": standing.forecast_past_h,
        "drawn across gaps": standing.drawn_h,
    }
    told = ", ".join(f"{hours} h {kind}" for kind, hours in past.items() if hours)
    return f"Past hours: {told or 'none'}."


def missed_text(missed_k: float | None, units: str) -> str:
    """Say how far a forecast has missed so far; nothing where that is not known, or little."""
    if missed_k is None or abs(missed_k) < WORTH_SAYING_K:
        return ""
    apart = show(abs(missed_k), TEMPERATURE_DIFFERENCE, units, digits=0)
    how = "warmer" if missed_k > 0.0 else "colder"
    return f"Lately {apart} {how} than it had said: the hours ahead are moved by that, ever less"


def clock(time_s: float, timezone: str) -> str:
    """Return an instant on the clock of the house: ``Tue 2027-03-09 06:20``."""
    return f"{datetime.fromtimestamp(time_s, ZoneInfo(timezone)):%a %Y-%m-%d %H:%M}"


def how_old(duration_s: float) -> str:
    """Return a duration in the words of a person: ``40 min``, ``5 h``, ``3.2 days``."""
    if duration_s < 3600.0:
        return f"{max(duration_s, 0.0) / 60.0:.0f} min"
    hours = duration_s / 3600.0
    return f"{hours:.0f} h" if hours < 48.0 else f"{hours / 24.0:.1f} days"
