"""What may be supposed to be otherwise than told, and how that changes what a plan is made from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning import choices as of
from sugarwright.planning.choices import Force
from sugarwright.planning.weathers import Belief
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.special_hours import Outage, Presence, SpecialHours
from sugarwright.plant.state import Contents, Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S, HourlyWeather


@dataclass(frozen=True)
class Reading:
    """Something in the house that reads otherwise.

    Parameters
    ----------
    what : "sap", "stock" or "permeate" (a volume, m³), "sap strength" or "stock strength" (Brix),
        "pan" (Brix), "wood" (stacked m³), "condition" (of the membrane, 0 to 1)
    value : in that unit
    """

    what: str
    value: float


@dataclass(frozen=True)
class Warmer:
    """Air that is warmer than forecast from now on.

    Parameters
    ----------
    difference_k : by so much; colder below 0
    """

    difference_k: float


@dataclass(frozen=True)
class Price:
    """Another price.

    Parameters
    ----------
    what : "hour" (of everybody, money/s), "syrup" (money/m³), "wood" (money per stacked m³)
    value : in that unit
    """

    what: str
    value: float


@dataclass(frozen=True)
class Forced:
    """An action of the plan done another way.

    Parameters
    ----------
    what : "light", "let go", "membrane on", "membrane off", "wash", "gather" (at a local minute
        after midnight; -1 of a wash or of trips for sap: none), "set" or "night" (concentrate
        setting, m³/s; 0: not overnight)
    day : local day number
    value : minute or flow
    """

    what: str
    day: int
    value: float


Supposition = Presence | Outage | Reading | Warmer | Price | Forced


@dataclass(frozen=True)
class Grounds:
    """What a plan is made from.

    Parameters
    ----------
    plant, weather, levels, belief : as :func:`~sugarwright.planning.today.plan_today` takes them
    now_s : UTC s
    """

    plant: Plant
    weather: HourlyWeather
    levels: Levels
    now_s: int
    belief: Belief | None = None


def supposing(grounds: Grounds, things: tuple[Supposition, ...]) -> Grounds:
    """Return the grounds of a plan with some things otherwise; what is forced changes none.

    Raises
    ------
    InputError : a machine is supposed that the house has not
    """
    for thing in things:
        if isinstance(thing, Presence):
            grounds = _special(grounds, SpecialHours(presence=(thing,)))
        elif isinstance(thing, Outage):
            grounds = _special(grounds, SpecialHours(outages=(thing,)))
        elif isinstance(thing, Reading):
            grounds = replace(grounds, levels=_read(grounds.levels, thing))
        elif isinstance(thing, Warmer):
            grounds = _warmer(grounds, thing.difference_k)
        elif isinstance(thing, Price):
            grounds = replace(grounds, plant=_priced(grounds.plant, thing))
    return grounds


def forcing(things: tuple[Supposition, ...], first_day: int) -> Force | None:
    """Return what turns any plan's rows into ones in which the forced actions stand.

    Parameters
    ----------
    things : of which only the forced ones count
    first_day : local day number of the plans' first row
    """
    forced = [(thing.day - first_day, thing) for thing in things if isinstance(thing, Forced)]
    if not forced:
        return None

    def force(plans: Floats) -> Floats:
        plans = plans.copy()
        for day, thing in forced:
            if 0 <= day < plans.shape[1]:
                _FORCES[thing.what](plans[:, day], thing.value)
        return plans

    return force


def forced_places(things: tuple[Supposition, ...], first_day: int) -> frozenset[tuple[int, int]]:
    """Return the starts that must stay in the plan, as places of its rows."""
    starts = {
        "light": at.FIRE_START,
        "membrane on": at.MEMBRANE_START,
        "wash": at.WASH_AT,
        "gather": at.GATHER_START,
    }
    return frozenset(
        (thing.day - first_day, starts[thing.what])
        for thing in things
        if isinstance(thing, Forced) and thing.what in starts and thing.value >= 0.0
    )


def _special(grounds: Grounds, special: SpecialHours) -> Grounds:
    return replace(grounds, plant=replace(grounds.plant, special=grounds.plant.special + special))


_TANKS = {"sap": ("sap", "volume_m3"), "stock": ("stock", "volume_m3"),
          "permeate": ("permeate", "volume_m3"), "sap strength": ("sap", "brix"),
          "stock strength": ("stock", "brix")}  # fmt: skip
_LEVELS = {"pan": "pan_brix", "wood": "wood_m3", "condition": "condition"}


def _read(levels: Levels, thing: Reading) -> Levels:
    if thing.what in _LEVELS:
        changed: dict[str, Any] = {_LEVELS[thing.what]: thing.value}
        return replace(levels, **changed)
    tank, attribute = _TANKS[thing.what]
    contents: Contents = getattr(levels, tank)
    changed = {tank: replace(contents, **{attribute: thing.value})}
    return replace(levels, **changed)


def _warmer(grounds: Grounds, difference_k: float) -> Grounds:
    """Warm the hours to come, and with them every member of an ensemble."""
    weather, belief = grounds.weather, grounds.belief
    rise_k = np.where(weather.time_s + HOUR_S > grounds.now_s, difference_k, 0.0)
    warmed = replace(weather, temperature_c=weather.temperature_c + rise_k)
    if belief is not None:
        belief = replace(
            belief,
            searched_c=None if belief.searched_c is None else belief.searched_c + rise_k,
            checked_c=None if belief.checked_c is None else belief.checked_c + rise_k,
        )
    return replace(grounds, weather=warmed, belief=belief)


def _priced(plant: Plant, thing: Price) -> Plant:
    house: House = plant.house
    if thing.what == "hour":
        people = tuple(replace(each, hour_money_s=thing.value) for each in house.people)
        house = replace(house, people=people)
    elif thing.what == "syrup":
        house = replace(house, prices=replace(house.prices, syrup_money_m3=thing.value))
    else:
        house = replace(house, prices=replace(house.prices, wood_money_wood_m3=thing.value))
    return replace(assemble(house, plant.step_s), special=plant.special)


# --- actions done another way: each on the rows of one day, (plans, ``PLAN_WIDTH``) --------------


def _light(rows: Floats, minute: float) -> None:
    planned = rows[:, at.FIRE_START] >= 0.0
    span = (rows[:, at.FIRE_STOP] - rows[:, at.FIRE_START]) % of.END_OF_DAY
    kept_min = np.where(planned & (span > 0.0), span, of.END_OF_DAY)
    rows[:, at.FIRE_START] = minute
    rows[:, at.FIRE_STOP] = np.minimum(of.END_OF_DAY, minute + kept_min)
    rows[:, at.FIRE_CALL_M3] = 0.0  # else a full tank might light it sooner


def _let_go(rows: Floats, minute: float) -> None:
    rows[:, at.FIRE_STOP] = minute
    too_late = rows[:, at.FIRE_START] >= minute
    rows[too_late, at.FIRE_START] = of.NOT


def _membrane_on(rows: Floats, minute: float) -> None:
    rows[:, at.MEMBRANE_START] = minute
    rows[:, at.MEMBRANE_CALL_M3] = 0.0


def _membrane_off(rows: Floats, minute: float) -> None:
    rows[:, at.MEMBRANE_STOP] = minute
    rows[:, at.NIGHT_FLOW_M3_S] = 0.0
    too_late = rows[:, at.MEMBRANE_START] >= minute
    rows[too_late, at.MEMBRANE_START] = of.NOT


def _wash(rows: Floats, minute: float) -> None:
    rows[:, at.WASH_AT] = minute
    rows[:, at.WASH_AFTER_S] = 0.0 if minute >= 0.0 else rows[:, at.WASH_AFTER_S]


def _gather(rows: Floats, minute: float) -> None:
    rows[:, at.GATHER_START] = minute


def _set(rows: Floats, flow_m3_s: float) -> None:
    """Set the valve for the whole day: a tank that calls changes nothing of it."""
    rows[:, at.MEMBRANE_FLOW_M3_S] = flow_m3_s
    rows[:, at.CALL_FLOW_M3_S] = 0.0
    rows[rows[:, at.NIGHT_FLOW_M3_S] > 0.0, at.NIGHT_FLOW_M3_S] = flow_m3_s


def _night(rows: Floats, flow_m3_s: float) -> None:
    rows[:, at.NIGHT_FLOW_M3_S] = flow_m3_s


_FORCES = {
    "light": _light,
    "let go": _let_go,
    "membrane on": _membrane_on,
    "membrane off": _membrane_off,
    "wash": _wash,
    "gather": _gather,
    "set": _set,
    "night": _night,
}


def check_house(house: House, thing: Supposition, text: str) -> None:
    """Refuse what speaks of a machine that the house has not.

    Raises
    ------
    InputError : it does
    """
    about_membrane = (
        (isinstance(thing, Outage) and thing.machine == "membrane")
        or (
            isinstance(thing, Reading)
            and thing.what in ("stock", "stock strength", "permeate", "condition")
        )
        or (isinstance(thing, Forced) and thing.what not in ("light", "let go", "gather"))
    )
    if about_membrane and house.membrane is None:
        raise InputError("--if", text, "the house has no membrane")
    if isinstance(thing, Forced) and thing.what == "gather" and not of.has_trips(house):
        raise InputError("--if", text, "no sap is fetched by hand at this house")
    pumps = any(each.way == "pump" for each in house.gathering)
    if isinstance(thing, Outage) and thing.machine == "pump" and not pumps:
        raise InputError("--if", text, "the house gathers without a pump")
