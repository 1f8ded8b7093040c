"""The shape of a plan as it is handed to whoever shows it: plain values, SI, UTC seconds.

Faces turn it into words, clocks of the house and trade units; they compute nothing. The names are
those of the JSON output.
"""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.action import Action
from sugarwright.planning.beginning import PanLeft, Standing, WashDue


@dataclass(frozen=True)
class Range:
    """What is expected: the median, and what one weather in ten stays below and above.

    Parameters
    ----------
    low : one weather in ten stays below
    middle : the median
    high : one weather in ten goes above
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Idle:
    """Why a day asks for nothing.

    Parameters
    ----------
    why : "nobody there", "no sap" (hardly any in the tanks or to come), "no wood" (not even for
        the shortest boil), "too little" (no fire that could be lit would find its feed), "costs
        more" (the best fire would cost more than it brings)
    held_m3 : sap and stock in the tanks, those of gathering too, when the day, or the plan,
        begins, as expected
    coming_m3 : sap to come that day, as expected
    best_fire_money : what the best fire of that day would change; None where none can be lit
    best_fire_s : UTC s at which that one would be lit
    next_look_s : UTC s at which somebody is there next, after that day; None if nobody is
    """

    why: str
    held_m3: float
    coming_m3: float
    best_fire_money: float | None
    best_fire_s: int | None
    next_look_s: int | None


@dataclass(frozen=True)
class Change:
    """What a person may see that calls for something else than the plan.

    Parameters
    ----------
    time_s : UTC s at which to look
    what : "sap" or "stock" (what the tank holds), "coldest" (air since the plan began), "run" (sap
        that has run since the day began)
    over : whether it must be over the mark, or under it
    level_m3 : the mark of a tank; 0 of a run: none has come
    mark_c : the mark of the air
    instead : "leave out" or "set" (the membrane, from then on), "set and run the night", "not
        overnight", "light" (the fire, which is not planned), "start" (the membrane, likewise)
    kind, action_s : the action left out, and when it was due
    flow_m3_s : concentrate setting instead
    money : what that is worth then, in the mean
    probability : share of the weathers in which it comes to that
    """

    time_s: int
    what: str
    over: bool
    level_m3: float | None
    mark_c: float | None
    instead: str
    kind: str
    action_s: int | None
    flow_m3_s: float | None
    money: float
    probability: float


@dataclass(frozen=True)
class Limit:
    """What more of something that the house is short of would be worth within the plan's hours.

    Parameters
    ----------
    what : "sap tank", "stock tank", "permeate tank", "membrane elements", "evening hour", "wood"
    more_m3 : how much more, of a tank or stacked wood
    more_s : how much more of somebody's time
    more_elements : how many more elements of the membrane
    money : what the plan is worth more with it
    """

    what: str
    more_m3: float | None
    more_s: float | None
    more_elements: int | None
    money: float


@dataclass(frozen=True)
class ChoreDue:
    """Work beside the actions that a day brings, by the house's own chores.

    Parameters
    ----------
    name, when : as sugarhouse.toml has them
    duration_s : all told, as often as it comes round
    people : that it takes at once
    by_s : UTC s by which it should be done
    syrup_m3 : that it comes with; None where it comes with no syrup
    """

    name: str
    when: str
    duration_s: float
    people: int
    by_s: int
    syrup_m3: float | None = None


@dataclass(frozen=True)
class Day:
    """What a day asks for, and what it is expected to bring.

    Parameters
    ----------
    begin_s : UTC s at which the local day (or the plan, on its first day) begins
    end_s : and ends
    actions : in order of time
    sap_m3, syrup_m3, fire_s, wood_m3, energy_j, permeate_m3, work_s : within that day;
        draining is work of the day that asks for it, though its frost come after midnight
    low_c, high_c : forecast air
    idle : why it asks for nothing; None where it asks for something
    chores : work beside the actions
    given_s : time that people give that day, all told
    lost_m3 : sap and concentrate that run over or are dumped that day; None of an older plan
    lit_syrup_m3, lit_fire_s : syrup and time at a lit pan in the weathers that have a fire that
        day; None where none has
    """

    begin_s: int
    end_s: int
    actions: tuple[Action, ...]
    sap_m3: Range
    syrup_m3: Range
    fire_s: Range
    wood_m3: Range
    energy_j: Range
    permeate_m3: Range
    work_s: Range
    low_c: float
    high_c: float
    idle: Idle | None = None
    chores: tuple[ChoreDue, ...] = ()
    given_s: float = 0.0
    lost_m3: Range | None = None
    lit_syrup_m3: Range | None = None
    lit_fire_s: Range | None = None


@dataclass(frozen=True)
class Watch:
    """Something that may happen, how likely it is within the plan's hours, and when.

    Parameters
    ----------
    what : "sap tank full", "stock tank full", "sap spoils", "pan short of feed", "feed down early"
        (to the pan's reserve, long before the planned end of the next fire), "permeate short for
        rinse", "permeate short for wash", "membrane stops alone" (with nobody there to rinse it),
        "gathering tank full" (of ``point``), "frost with nobody there" (who could drain before),
        "freezes with nobody there" (it does already)
    probability : share of the weathers in which it happens
    time_s : UTC s, median of those in which it happens; None where the time is not known
    early_s : UTC s before which it happens in one of ten of those
    point : name of the gathering point; else empty
    lost_m3 : what then runs over its rim, or is dumped because it spoiled, median of those in which
        it happens; None of others
    why : what keeps its tank from being emptied then: "nobody there", "pump out of order", "frost",
        "sap tank full"; else empty
    drains : of a frost, what freezes, as an action's ``drains``
    again : of a tank that is full as the plan begins: it is emptied first, and chance and time are
        of its filling again
    """

    what: str
    probability: float
    time_s: int | None
    early_s: int | None
    point: str = ""
    lost_m3: float | None = None
    why: str = ""
    drains: tuple[str, ...] = ()
    again: bool = False


@dataclass(frozen=True)
class Money:
    """What a way of working is worth over the plan's hours, line by line; costs are negative.

    Parameters
    ----------
    syrup : drawn, at its price and the freshness of its sap
    hours : of people, each at its own price
    wood, power : burnt and used
    washes : done, and the share of the next one that is due
    light_ups : what each costs beside wood and time
    left : sugar left at the end, less its boiling
    crowding : charge for a sap tank near its rim
    net : the sum
    """

    syrup: float
    hours: float
    wood: float
    power: float
    washes: float
    light_ups: float
    left: float
    crowding: float
    net: float


@dataclass(frozen=True)
class Way:
    """What a way of working is expected to come to over the plan's hours, in the mean.

    Parameters
    ----------
    money : its worth
    syrup_m3 : drawn
    fire_s : time at a lit pan
    work_s : of people, all told
    light_ups : fires lit
    wood_m3 : burnt, stacked
    lost_m3 : sap and concentrate that ran over or spoiled
    """

    money: Money
    syrup_m3: float
    fire_s: float
    work_s: float
    light_ups: float
    wood_m3: float
    lost_m3: float


@dataclass(frozen=True)
class Morning:
    """How the house is expected to stand when somebody is first there on the day planned for.

    Parameters
    ----------
    time_s : UTC s
    carried_out : what the hours until then are taken to go by: "before" (the plan kept), "habit"
    sap_m3, sap_brix, stock_m3, stock_brix, permeate_m3 : what the tanks will show
    """

    time_s: int
    carried_out: str
    sap_m3: Range
    sap_brix: Range
    stock_m3: Range
    stock_brix: Range
    permeate_m3: Range


@dataclass(frozen=True)
class Fan:
    """How something is expected to go through the plan's hours: each hour as a :class:`Range`.

    Parameters
    ----------
    what : "sap", "stock", "permeate" (what the tank holds, m³) or "air" (°C)
    begin_s : UTC s of the first value
    every_s : s between values
    low, middle, high : one weather in ten stays below, the median, one in ten goes above
    """

    what: str
    begin_s: int
    every_s: int
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class AirMark:
    """Between which marks the air is expected at an hour that a thermometer can be looked at.

    Parameters
    ----------
    time_s : UTC s
    low_c, high_c : beyond each is one weather in ten, or it is as far from the middle as a usual
        thermometer may err
    """

    time_s: int
    low_c: float
    high_c: float


@dataclass(frozen=True)
class Mark:
    """How full a tank is expected to be as somebody is there for the next thing to do.

    Parameters
    ----------
    what : "sap" or "stock"
    time_s : UTC s
    held_m3 : just before that is done
    """

    what: str
    time_s: int
    held_m3: Range


@dataclass(frozen=True)
class Learnt:
    """A part of the house that stands in a plan as its log taught it.

    Parameters
    ----------
    name : "pan", "wood", "membrane", "instruments" (whose readings are put right) or "trees"
    learnt_s : UTC s of learning it
    version : which of all that were ever kept of it, from 1 on
    """

    name: str
    learnt_s: int
    version: int


@dataclass(frozen=True)
class PlanReport:
    """Today's plan, why, and what to expect.

    Parameters
    ----------
    house : its name
    timezone, units, currency : in which the house wants to read it
    begin_s, end_s : UTC s of the hours planned
    forecast_source, forecast_issued_s : the weather it stands on
    forecast_cautions : what should be known before trusting it, in sentences
    forecast_missed_k : how much warmer the last hours came than it had said [K]: the hours ahead
        are taken to differ likewise, ever less; None where too few were measured since its issue
    standing : tanks at the beginning
    days : the local days that the plan touches
    watch : what may happen
    changes : what would change the plan, the most important first
    limits : what one more unit of each limit would be worth
    next_s : the next times that matter, with what is due then
    plan, habit : the two ways of working, over the same weathers
    weathers, candidates, seed : how it was found
    stopped_early : the clock ended the search
    whose : "search" for a new plan; "habit", "card" or "before" where the house's way of working,
        its rule card, or the plan of yesterday is as good
    rows : the plan as the simulator works by it, a row a local day (``plant.layout``); what a next
        plan may go on from
    broken : what even the best plan could not keep, or had to do without, the gravest first: "no
        weather" (none is known: the air is taken to stay at 3 °C), "fire alone", "pan short of
        feed", "nobody there", "sap spoiled", "stock spoiled", "membrane frozen out", "membrane out
        of order", "pan out of order", "no wood for a boil", "taps not set"
    counted_until_s : UTC s until which somebody is counted beside the house's usual hours, since
        what runs was told of; None where nobody need be
    tapped_s : UTC s of tapping, where that comes after the plan's beginning; else None
    morning : of a plan made for tomorrow
    fans : how tanks and air are expected to go
    mark : how full a tank is at the next thing to do, an hour or more ahead; None without one
    air_mark : of the air, at the warmest hour of those ahead; None without a forecast
    learnt : what of the plan rests on what the log taught; empty where nothing does
    wash_due : of the membrane, where its permeate is lacking; else None
    pan_left : what stands in the pan, where the plan has neither fire nor sap for it; else None
    """

    house: str
    timezone: str
    units: str
    currency: str
    begin_s: int
    end_s: int
    forecast_source: str
    forecast_issued_s: int | None
    forecast_cautions: tuple[str, ...]
    standing: Standing
    days: tuple[Day, ...]
    watch: tuple[Watch, ...]
    next_s: tuple[tuple[int, str], ...]
    plan: Way
    habit: Way
    weathers: int
    candidates: int
    stopped_early: bool
    whose: str
    seed: int
    rows: tuple[tuple[float, ...], ...]
    broken: tuple[str, ...]
    changes: tuple[Change, ...] = ()
    limits: tuple[Limit, ...] = ()
    counted_until_s: int | None = None
    tapped_s: int | None = None
    morning: Morning | None = None
    fans: tuple[Fan, ...] = ()
    learnt: tuple[Learnt, ...] = ()
    forecast_missed_k: float | None = None
    wash_due: WashDue | None = None
    pan_left: PanLeft | None = None
    mark: Mark | None = None
    air_mark: AirMark | None = None

    @property
    def main_day(self) -> int:
        """The day to tell of: today, or tomorrow where only tomorrow has anything to do."""
        if self.morning is not None:
            return 1
        busy = [d for d, day in enumerate(self.days[:2]) if day.actions]
        return busy[0] if busy else 0

    @property
    def tonight(self) -> tuple[Action, ...]:
        """What a plan for tomorrow still asks for today."""
        return () if self.morning is None else self.days[0].actions
