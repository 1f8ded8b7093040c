"""How likely the membrane still runs when a plan lets it run on: counted in the plan's weathers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planning_cases import demo_house, forecast_from, gallons, local_s, quick
from sugarwright.planning.action import Action
from sugarwright.planning.still_runs import with_what_still_runs
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import Levels
from sugarwright.weather.hours import HourlyWeather


def test_it_is_the_share_of_the_weathers_in_which_it_runs_then(whately_2015: HourlyWeather) -> None:
    now_s = local_s("2015-03-16 18:00")
    runs = Levels(gallons(60, 2.0), gallons(40, 6.0), gallons(100, 0.0), membrane_on=True)
    known = forecast_from(whately_2015, now_s, 36)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        _, planned = plan_with_grounds(assemble(demo_house()), known, runs, now_s, 36)
    rows = planned.plan.copy()
    rows[:, at.NIGHT_FLOW_M3_S] = 1e-5
    rows[:, [at.MEMBRANE_START, at.MEMBRANE_STOP]] = 0.0, 1440.0
    planned = replace(planned, plan=rows)
    checked = planned.weathers.checked
    flags = np.stack(
        [
            simulate(
                planned.plant, checked, rows, planned.state, scenario=w
            ).column(at.T_MEMBRANE_ON) > 0.0
            for w in range(checked.scenarios)
        ]
    )  # fmt: skip
    shares = flags.mean(axis=0)
    split = int(np.argmax((shares > 0.1) & (shares < 0.9))) + 1  # as this step begins
    assert 0.0 < shares[split - 1] < 1.0
    time_s = int(checked.begin_s + split * planned.plant.step_s)
    actions = [Action(kind, time_s) for kind in ("membrane runs on", "light the fire")]
    on, fire = with_what_still_runs(planned, actions)
    assert on.still_runs == pytest.approx(shares[split - 1])
    assert fire.still_runs is None
    known_to_run = with_what_still_runs(planned, [Action("membrane runs on", checked.begin_s)])
    assert known_to_run[0].still_runs is None
