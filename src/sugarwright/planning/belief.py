"""What is believed of forecast and trees, put together from what the sugarhouse folder keeps."""

from __future__ import annotations

from dataclasses import replace

from sugarwright.planning.weathers import CHECKED, SEARCHED, Belief
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.weather.emos import learn_calibration
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.members import over, search_and_check
from sugarwright.weather.outlook import LEARNT_FROM_S, errors_behind, own_sd_k
from sugarwright.weather.standing import Footing
from sugarwright.weather.store import WeatherStore
from sugarwright.weather.verified import measured


def believe(
    house: House, store: WeatherStore, footing: Footing, now_s: int, trees: TreeKnowledge | None
) -> Belief:
    """Say how the forecast that a plan stands on may err, by what came of those before it.

    Parameters
    ----------
    house : whose place it is
    store : kept forecasts and measured hours
    footing : the weather of the plan (``weather.standing.stand``)
    now_s : UTC s, now
    trees : what is known of the trees in this season

    Returns
    -------
    Belief. Where a service's own ensemble reaches over the hours, its calibrated members stand for
    what may come; else a spread learnt here, or told by the source, about the one forecast.
    """
    kept = store.between(now_s - LEARNT_FROM_S, now_s + 1)
    came = measured(store.observed())
    offset_h = house.site.longitude_deg / 15.0
    errors = errors_behind(footing, kept, came, offset_h)
    belief = Belief(errors, own_sd_k(footing, errors), trees, footing.provenance.cautions)
    ensemble = footing.ensemble
    if ensemble is None or ensemble.end_s < footing.weather.end_s:
        return belief
    theirs = [each for each in kept if each.source == ensemble.source]
    calibration = learn_calibration(theirs, came)
    members = search_and_check(
        ensemble, SEARCHED, CHECKED, now_s, ForecastErrors(), calibration, offset_h
    )
    searched_c, checked_c = (over(footing.weather, ensemble, each, now_s) for each in members)
    return replace(belief, searched_c=searched_c, checked_c=checked_c)
