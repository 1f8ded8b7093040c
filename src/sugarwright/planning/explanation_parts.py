"""What an explanation is made of where it compares or sums up. Plain values, SI, UTC s."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.report import AirMark, Change, Limit, Mark, Watch


@dataclass(frozen=True)
class MoneyLine:
    """One line of what a way of working is worth, beside another way; means, costs negative.

    Parameters
    ----------
    name : as in ``Money``, but "syrup" and "left" as if all were of fresh sap, and "older" for what
        age takes from both; "net" is the last, and the sum of the others
    plan_money : of the plan
    other_money : of the habit, or of the plan without the action
    """

    name: str
    plan_money: float
    other_money: float


@dataclass(frozen=True)
class More:
    """What the plan's hours are worth with more of a limit, and without.

    Both are the best of the plan and a few plain variants of it, in the first of the weathers.

    Parameters
    ----------
    limit : as the report has it; its money is ``difference_money``, a loss told as 0
    difference_money : what the best is worth more with it, in the mean
    plan_way, other_way : which is the best with it, and without: "plan", "longer fires" (that burn
        as long as they find feed), "other setting" (these, and the membrane set to the next flow
        up or down), "habit"
    lines : with it (``plan_money``) beside without it; "broken" only where a rule is broken in some
        weather: what counts more than any price
    by_weather : how much more the net is with it, in each of these weathers
    """

    limit: Limit
    difference_money: float
    plan_way: str
    other_way: str
    lines: tuple[MoneyLine, ...]
    by_weather: tuple[float, ...]


@dataclass(frozen=True)
class WorkPart:
    """A part of a day's work, of whoever does it.

    Parameters
    ----------
    what : "fire" (at a lit pan), "membrane started", "membrane stopped" (and rinsed, or let
        draw from the other tank), "emptied" (a spoiled tank), "stopped and emptied" (both),
        "membrane washed", "chore" (of the house), "trips" (for sap), "draining" (as the plan asks
        for it)
    chore : its name; else empty
    times : how often, in the mean of the weathers that it is of; of stops the rinses; 1 of
        what is not counted
    duration_s : of all hands
    """

    what: str
    chore: str
    times: float
    duration_s: float


@dataclass(frozen=True)
class Stay:
    """Hours of a day at which people are there.

    Parameters
    ----------
    begin_s, end_s : UTC s
    people : how many
    """

    begin_s: int
    end_s: int
    people: float


@dataclass(frozen=True)
class Watched:
    """Something that may happen, and when it does in each of the weathers.

    Parameters
    ----------
    watch : as the report has it
    by_weather : UTC s at which it first comes; None where it does not
    lost_m3 : what then runs over its rim or is dumped; None where it does not come, or of others
    """

    watch: Watch
    by_weather: tuple[int | None, ...]
    lost_m3: tuple[float | None, ...]


@dataclass(frozen=True)
class IfSide:
    """Runs on one side of a mark, and what both ways are worth in them, in the mean.

    Parameters
    ----------
    runs : how many; some begin with tanks fuller or emptier than read
    wins : of these, in how many the other way is worth more
    plan_money, other_money : net worth of the plan, and of the other way; 0 without any run
    """

    runs: int
    wins: int
    plan_money: float
    other_money: float


@dataclass(frozen=True)
class Tried:
    """A mark that was tried, in the half of the weathers in which marks are found.

    Parameters
    ----------
    mark : m³, or °C of the air
    runs : beyond it
    gain_money : what the other way gains in all of these together: the most of it makes the mark
    """

    mark: float
    runs: int
    gain_money: float


@dataclass(frozen=True)
class IfMark:
    """A mark beyond which something else does better, and the runs that it was found in.

    Parameters
    ----------
    change : as the report has it; its money is what the other way gains ``beyond``
    weathers : beyond the mark, with tanks begun as read: the share that is told
    beyond, within : beyond the mark and not, in the half of the weathers that it is told in
    found : beyond it in the half in which it was found
    tried : the marks on that side that several weathers are beyond, and not the most
    """

    change: Change
    weathers: int
    beyond: IfSide
    within: IfSide
    found: IfSide
    tried: tuple[Tried, ...]


@dataclass(frozen=True)
class FireGauge:
    """The gauge that a fire of the day waits for, and until when.

    Parameters
    ----------
    number : of its action
    tank, at_least_m3 : what it waits for
    latest_s : UTC s of the last step in which the simulator would light it: later, too little is
        left of its hours for the shortest burn, or of the stay for that and the burn-down
    lit : share of the weathers in which a fire is lit that day
    """

    number: int
    tank: str
    at_least_m3: float
    latest_s: int
    lit: float


@dataclass(frozen=True)
class OffAir:
    """What a thermometer shows that calls for another plan.

    Parameters
    ----------
    mark : as the report has it
    by_weather : the air then, °C
    weathers_under, weathers_over : in how many it is beyond
    """

    mark: AirMark
    by_weather: tuple[float, ...]
    weathers_under: int
    weathers_over: int


@dataclass(frozen=True)
class OffCourse:
    """What a tank shows that calls for another plan: no two plans are compared for it.

    Parameters
    ----------
    mark : as the report has it
    under_m3, over_m3 : one weather in ten is beyond each, or it is a tenth of the tank off the
        middle where that is further; None where that is nearly an empty tank, or a full one
    by_weather : what the tank holds then
    weathers_under, weathers_over : in how many it is beyond
    """

    mark: Mark
    under_m3: float | None
    over_m3: float | None
    by_weather: tuple[float, ...]
    weathers_under: int
    weathers_over: int
