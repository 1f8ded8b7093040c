"""Invented houses with gathering tanks, and days about freezing, for tests of outside work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np

from planning_cases import gallons
from plant_houses import INVENTED, habit
from sugarwright.planning.action import Action
from sugarwright.planning.actions import actions_of
from sugarwright.planning.beginning import Standing
from sugarwright.planning.course import day_cuts
from sugarwright.planning.frosts import frost_nights
from sugarwright.planning.report import Day, PlanReport, Range
from sugarwright.planning.scene import Scene
from sugarwright.planning.yard import Yard, yard_of
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import Chore, House, Person
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.special_hours import USUAL_HOURS, SpecialHours
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_words import PlanWords

TUESDAY_S = int(datetime(2015, 3, 17, 4, tzinfo=UTC).timestamp())  # midnight in New York
LEAD_DAYS = 6
NOTHING = Range(0.0, 0.0, 0.0)
WAYS = {
    "trips": 'load = "60 gal"\nduration = "40 min"\nstart_volume = "40 gal"\n',
    "pump": 'start_volume = "25 gal"\n',
}


def gathering_house(way: str, people: tuple[Person, ...] | None = None) -> House:
    """Return the invented house with half of its taps at a gathering tank of 200 gal."""
    point = (
        f'[[gathering]]\nname = "road pails"\ntaps = 150\nway = "{way}"\n'
        f'[gathering.tank]\nvolume = "200 gal"\n[gathering.{way}]\n{WAYS[way]}'
    )
    text = INVENTED.replace("taps = 300\n", f"taps = 150\n{point}")
    described = parse_house(text)
    return described if people is None else replace(described, people=people)


def who(*weekdays: tuple[int, int], name: str = "maker") -> Person:
    """Return a person who gives these hours, minutes after midnight, on weekdays alone."""
    return Person(name=name, weekdays=weekdays, weekends=())


NOBODY = (who(),)
EVENINGS = who((6 * 60, 8 * 60), (16 * 60, 22 * 60 + 30))
DRAINING = Chore(
    name="drain line and pump", when="before a frost", duration_s=3600.0, people=2, per_m3=None
)


def air(lowest_c: float, days: int = 2, highest_c: float = 8.0) -> Floats:
    """Hours from six days before Tuesday on: cold nights, mild afternoons; then nights as told."""
    hours = np.arange(24 * (LEAD_DAYS + days))
    local = hours % 24
    share = 0.5 - 0.5 * np.cos(2.0 * np.pi * (local - 4) / 24.0)  # 0 at four, 1 in the afternoon
    lows = np.where(hours < 24 * LEAD_DAYS + 12, -5.0, lowest_c)
    air_c: Floats = lows + share * (highest_c - lows)
    return air_c


@dataclass(frozen=True)
class Outside:
    """A plan run under a forecast and in weathers, as a report is made of it."""

    plant: Plant
    forecast: Drive
    weathers: Drive
    rows: Floats
    state: Floats
    trace: Trace
    yard: Yard
    checked: Yard
    before_c: Floats
    membrane_on: bool = False

    def scene(self, day: int = 0) -> Scene:
        """Return one of its days."""
        first, last = list(pairwise(day_cuts(self.forecast)))[day]
        frosts = frost_nights(
            self.plant, self.forecast, self.weathers, self.yard, self.checked, self.before_c
        )
        return Scene(
            self.plant, self.forecast, self.trace, self.rows[day], first, last,
            self.membrane_on, False, self.yard, self.checked, frosts,
        )  # fmt: skip

    def told(self, kind: str, day: int = 0) -> list[Action]:
        """Return a day's actions of a kind."""
        return [each for each in actions_of(self.scene(day)) if each.kind == kind]


def outside(
    house: House,
    held_gal: float,
    forecast_c: Floats,
    *weathers_c: Floats,
    special: SpecialHours = USUAL_HOURS,
    membrane_on: bool = False,
    **plan: float,
) -> Outside:
    """Run a plain way of working.

    Parameters
    ----------
    house : as described
    held_gal : in the gathering tank at midnight of Tuesday
    forecast_c, weathers_c : air; without weathers the forecast is the only one
    special : hours that go otherwise
    membrane_on : whether it runs as the plan begins
    plan : changes of the plain way of working, by the names of ``layout``
    """
    plant = replace(assemble(house), special=special)
    tanks = tuple(
        gallons(held_gal) if each.tank is not None else Contents() for each in house.gathering
    )
    levels = Levels(sap=gallons(60), stock=gallons(90, 4.6), permeate=gallons(249, 0.0),
                    gathered=tanks, pan_brix=14.0, membrane_on=membrane_on)  # fmt: skip
    forecast, weathers = (
        _drive(plant, np.stack(each)) for each in ([forecast_c], weathers_c or [forecast_c])
    )
    state = start_state(plant, levels)
    rows = habit(plant, len(day_cuts(forecast)) - 1, **plan)
    yards = [yard_of(plant, each, rows, state) for each in (forecast, weathers)]
    assert yards[0] is not None
    assert yards[1] is not None
    trace = simulate(plant, forecast, rows, state)
    before_c = forecast_c[: 24 * LEAD_DAYS]
    return Outside(
        plant, forecast, weathers, rows, state, trace, yards[0], yards[1], before_c, membrane_on
    )


def _drive(plant: Plant, air_c: Floats) -> Drive:
    first_s = TUESDAY_S - 24 * LEAD_DAYS * 3600
    return make_drive(plant, first_s, air_c, TUESDAY_S, first_s + 3600 * air_c.shape[1])


def words_of(*actions: Action, **standing: object) -> PlanWords:
    """Return the words of a plan of one day."""
    day = Day(
        TUESDAY_S, TUESDAY_S + 86400, actions, NOTHING, NOTHING, NOTHING, NOTHING, NOTHING,
        NOTHING, NOTHING, -5.0, 8.0,
    )  # fmt: skip
    report = PlanReport.__new__(PlanReport)
    now = Standing(0.2, 2.0, 1.6, 0.0, 0.3, 4.6, 0.6, 0.9, 1.1, 8.0, has_membrane=True)
    for name, value in {
        "house": "Invented house", "timezone": "America/New_York", "units": "us", "currency": "$",
        "begin_s": TUESDAY_S, "end_s": TUESDAY_S + 86400, "days": (day,), "watch": (),
        "standing": replace(now, **standing), "morning": None, "changes": (), "broken": (),
    }.items():  # fmt: skip
        object.__setattr__(report, name, value)
    return PlanWords(report)
