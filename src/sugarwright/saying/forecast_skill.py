"""How good the forecasts were, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sugarwright.units import TEMPERATURE_DIFFERENCE, VOLUME, show, to_unit

if TYPE_CHECKING:
    from sugarwright.planning.weather_skill import SkillReport

LEAST_BIAS_SDS = 2.0


def skill_texts(report: SkillReport) -> Iterator[str]:
    """Yield how far forecasts were off on the first days, and what was learnt of them."""
    system = report.units
    if not report.temperature:
        yield "No forecast that was kept has met its hours yet."
        return
    for row in report.temperature[:3:2]:
        day = {1: "first", 2: "second", 3: "third"}[row.lead_day]
        off = show(row.error_k, TEMPERATURE_DIFFERENCE, system, digits=1)
        usual = row.climatology_crps_k
        better = "" if usual is None else _beside(row.crps_k, usual)
        count = f"{row.forecasts} forecasts"
        yield f"On the {day} day the air was {off} off on average ({count}){better}."
    if report.sap:
        litres = "L" if system == "metric" else "gal"
        row_sap = report.sap[0]
        off = f"{to_unit(row_sap.error_m3, VOLUME, litres):.2f} {litres}"
        yield f"Of the first day's sap it was {off} a tap off."
    known = report.errors
    if abs(known.bias_k) > LEAST_BIAS_SDS * known.bias_sd_k:
        bias = show(abs(known.bias_k), TEMPERATURE_DIFFERENCE, system, digits=1)
        side = "warm" if known.bias_k > 0.0 else "cold"
        yield f"Forecasts here run {bias} too {side}; plans reckon with that."
    yield from report.notes


def _beside(score: float, usual: float) -> str:
    """Return how much better than this season's usual days it was."""
    if usual <= 0.0:
        return ""
    share = 1.0 - score / usual
    if share < 0.05:
        return "; this season's usual days would have told as much"
    return f"; {100.0 * share:.0f} % surer than this season's usual days"
