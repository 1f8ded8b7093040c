"""How good kept forecasts were, for the air and for the sap that this house's trees make of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sugarwright.planning.sap_skill import SapDaySkill, sap_skill
from sugarwright.plant.house import House
from sugarwright.weather.ensemble import PRIOR
from sugarwright.weather.errors_learnt import learn_errors
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.skill import ENOUGH, LeadDaySkill, as_used, temperature_skill, thinned
from sugarwright.weather.verified import all_lead_days, measured


@dataclass(frozen=True)
class SkillReport:
    """How good the kept forecasts of one source were.

    Parameters
    ----------
    source : whose forecasts
    first_issued_s, last_issued_s : UTC s of those judged; None if there are none
    forecasts : how many could be judged: their hours have come and were measured
    enough : whether these are enough to go by
    units, timezone : in which the house wants to read them
    errors : what they teach of their errors by now; the prior if nothing
    temperature : by day of lead
    sap : by day of lead; empty without a house, or where no history of the trees is known
    notes : what to know, in sentences
    """

    source: str
    first_issued_s: int | None
    last_issued_s: int | None
    forecasts: int
    enough: bool
    units: str
    timezone: str
    errors: ForecastErrors
    temperature: tuple[LeadDaySkill, ...]
    sap: tuple[SapDaySkill, ...]
    notes: tuple[str, ...]


def weather_skill(
    forecasts: Sequence[Forecast],
    pieces: Sequence[HourlyWeather],
    house: House | None = None,
    source: str = "",
) -> SkillReport:
    """Judge the kept forecasts of one source by the hours that were measured.

    Parameters
    ----------
    forecasts : as issued, of any source
    pieces : measured hours, unbroken pieces
    house : for its sap; may be missing
    source : whose; left out: that of the newest forecast

    Returns
    -------
    SkillReport
    """
    newest = max(forecasts, key=lambda each: each.issued_s, default=None)
    chosen = source or (newest.source if newest else "")
    came = measured(pieces)
    of_source = thinned(each for each in forecasts if each.source == chosen)
    offset_h = of_source[-1].longitude_deg / 15.0 if of_source else 0.0
    judged = list(as_used(of_source, came, offset_h))
    issues = [each.forecast.issued_s for each in judged]
    errors = learn_errors(all_lead_days(of_source, came), offset_h, PRIOR)
    sap = () if house is None else sap_skill(house, judged, pieces)
    return SkillReport(
        chosen,
        min(issues, default=None),
        max(issues, default=None),
        len(judged),
        len(judged) >= ENOUGH,
        "metric" if house is None else house.site.units,
        "UTC" if house is None else house.site.timezone,
        errors,
        temperature_skill(judged, came),
        sap,
        tuple(_notes(forecasts, chosen, len(of_source), len(judged), bool(sap), house is not None)),
    )


def _notes(
    forecasts: Sequence[Forecast], source: str, kept: int, judged: int, sap: bool, house: bool
) -> Iterator[str]:
    others = sorted({each.source for each in forecasts} - {source})
    if not kept:
        whose = f' of "{source}"' if source else ""
        yield (
            f"No forecast{whose} is kept here: there is nothing to judge. Each `sugarwright "
            "weather fetch` keeps one."
        )
    elif not judged:
        yield (
            f"{kept} forecasts are kept, but none of their days was measured: add measured hours "
            "with `sugarwright weather import`."
        )
    elif judged < ENOUGH:
        yield (
            f"Only {judged} forecasts could be judged: too few to go by (some {ENOUGH} are "
            "needed). Chance alone moves such scores by a third and more."
        )
    if judged and house and not sap:
        yield (
            "Of the sap nothing can be said: five measured days without a gap before a forecast "
            "are needed, in the season."
        )
    if others:
        yield f"Also kept: {', '.join(others)} (name one with --source)."
