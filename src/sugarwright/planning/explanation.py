"""The shape of an explanation: where a number of a plan comes from. Plain values, SI, UTC s."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.explanation_parts import (
    FireGauge,
    IfMark,
    MoneyLine,
    More,
    OffAir,
    OffCourse,
    Stay,
    Watched,
    WorkPart,
)
from sugarwright.planning.report import Range


@dataclass(frozen=True)
class Hour:
    """An hour of the run under the forecast itself; what is explained, and how things then stand.

    Parameters
    ----------
    time_s : UTC s of its end
    amount : of what is explained, within the hour, in its SI unit; None of what is not summed
    sap_m3, stock_m3, permeate_m3 : at its end
    membrane_on, fire_on : at its end
    other_sap_m3, other_stock_m3 : without the action; None where nothing is left out
    """

    time_s: int
    amount: float | None
    sap_m3: float
    stock_m3: float
    permeate_m3: float
    membrane_on: bool
    fire_on: bool
    other_sap_m3: float | None
    other_stock_m3: float | None


@dataclass(frozen=True)
class Step:
    """A step of the run under the forecast that a number of an action is read from.

    Parameters
    ----------
    time_s : UTC s at which it begins
    what : what is read there: "look" (at the gauge), "begin", "end", "first draw", "again" (from
        the stock tank), "own hour", "latest", "frost", "out" (the fire), "leave" (the pan), "made"
        (the concentrate)
    sap_m3, sap_brix, sap_life_used : in the sap tank as the step begins
    stock_m3, stock_brix, stock_life_used : in the stock tank
    permeate_m3, wood_m3 : on hand
    reserve_m3 : feed that the pan must keep
    pan_brix : in its last compartment
    condition : of the membrane, 0 to 1
    air_c : by the forecast
    membrane_on, fire_on : within the step
    flow_m3_s : concentrate setting; of "made" alone, as what follows
    concentrate_brix, permeate_m3_s : what the membrane's map makes of that sap at that setting
    """

    time_s: int
    what: str
    sap_m3: float
    sap_brix: float
    sap_life_used: float
    stock_m3: float
    stock_brix: float
    stock_life_used: float
    permeate_m3: float
    wood_m3: float
    reserve_m3: float
    pan_brix: float
    condition: float
    air_c: float
    membrane_on: bool
    fire_on: bool
    flow_m3_s: float | None = None
    concentrate_brix: float | None = None
    permeate_m3_s: float | None = None


@dataclass(frozen=True)
class Start:
    """A start at another time than the one planned, all else the same; no full tank calls sooner.

    Parameters
    ----------
    kind : "membrane on", "light the fire" or "wash the membrane"
    time_s : UTC s
    costs_money : what the plan is worth less with it, in the weathers that it is told in
    breaks_rule : whether a hot pan would run short of feed, or be left alone, in one of them
    planned : whether it is the one planned
    """

    kind: str
    time_s: int
    costs_money: float
    breaks_rule: bool
    planned: bool


@dataclass(frozen=True)
class Explanation:
    """Where a number of a plan comes from.

    Parameters
    ----------
    of : "syrup", "sap" (to come), "permeate", "lost" (run over or dumped) [m³]; "draws"; "hours"
        (at a lit pan) [s]; "wood" [m³ stacked]; "power" [J]; "stock" (what its tank holds at the
        end) [m³]; "money" (net worth); "habit" (worth more than the usual way); "full", "stock
        full", "spoil" (UTC s at which a tank first is full, or anything spoils); "brix" (of the
        concentrate); "slack" (other starts), "more" (of each limit), "work" (of the day told of)
        [s], "watch" (what may happen), "if" (what would change it) or
        "action"
    number, kind : of the action on the page
    mean : over the weathers: the number of the report; of a time the share in which it happens;
        None where there is none
    by_weather : over the plan's hours in each weather, in its SI unit; None where it never happens.
        Of an action: what the plan is worth more with it; empty where it is no choice
    by_day : the ranges of the days, over the weathers; of stock at their ends; empty where a day
        has none
    money : line by line, of "money" and "habit" beside the habit, of an action beside the plan
        without it
    hours : of the run under the forecast
    forecast_amount : what that run comes to: the sum of its hours, or the stock at its end; None
        where there is none
    steps : of an action, and of "brix": those that its numbers are read from
    starts : of "slack"
    call_m3 : of an action's hour: level of the tank that calls for it all the same, its hour left
        out; None where nothing does
    of_day : whether that call was left out with the hour, since the hour alone hardly counts or the
        machine runs again that day
    again : whether it does, and all its runs hang on that hour
    middle : of what is summed, and of stock: the median over the weathers; None of others
    few_weathers : how many weathers, one or two, make more than half of the mean; None where it is
        spread over more
    more : of "more"
    work : of "work": its parts in the middle weather, or in the two whose mean is ``middle``, which
        is what they add up to
    given : of "work": when people are there that day
    watched : of "watch"
    fire_gauges, marks, off_course, off_air : of "if"
    """

    of: str
    number: int | None
    kind: str
    mean: float | None
    by_weather: tuple[float | None, ...]
    by_day: tuple[Range, ...]
    money: tuple[MoneyLine, ...]
    hours: tuple[Hour, ...]
    forecast_amount: float | None
    steps: tuple[Step, ...] = ()
    starts: tuple[Start, ...] = ()
    call_m3: float | None = None
    of_day: bool = False
    again: bool = False
    middle: float | None = None
    few_weathers: int | None = None
    more: tuple[More, ...] = ()
    work: tuple[WorkPart, ...] = ()
    given: tuple[Stay, ...] = ()
    watched: tuple[Watched, ...] = ()
    fire_gauges: tuple[FireGauge, ...] = ()
    marks: tuple[IfMark, ...] = ()
    off_course: OffCourse | None = None
    off_air: OffAir | None = None
