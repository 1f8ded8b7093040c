"""Have the simulator there before a clock runs: built on a new machine, else loaded."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.choices import habit_rows
from sugarwright.planning.judging import PlanJudge
from sugarwright.planning.weathers import Weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.season import day_cuts
from sugarwright.plant.tank_kernel import Floats


def readied(plant: Plant, weathers: Weathers, state: Floats) -> None:
    """Run the house's habit in one weather: what is done once must not use up a search's time.

    Parameters
    ----------
    plant : the house
    weathers : that plans will be judged in
    state : of the plant at their beginning
    """
    one = weathers.compared.only(0)
    days = len(day_cuts(one)) - 1
    PlanJudge(plant, one, state, 1).values(habit_rows(plant, days)[np.newaxis])
