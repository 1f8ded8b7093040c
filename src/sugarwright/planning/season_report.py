"""What a season may still bring, as plain values: the names are those of the JSON output.

SI throughout; instants are UTC seconds.
"""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.report import Range


@dataclass(frozen=True)
class Reached:
    """When something comes about, over the springs; null where that share never sees it.

    Parameters
    ----------
    low_s : in one spring of ten it has come by then
    middle_s : in half of them
    high_s : in nine of ten
    """

    low_s: int | None
    middle_s: int | None
    high_s: int | None


@dataclass(frozen=True)
class Amount:
    """Sap, and what it comes to.

    Parameters
    ----------
    sap_m3_per_tap : of the average tap
    sap_m3 : of all taps
    syrup_m3 : if all its sugar became syrup of the house's strength
    syrup_money : that at the house's price, before hours, wood and the rest
    """

    sap_m3_per_tap: Range
    sap_m3: Range
    syrup_m3: Range
    syrup_money: Range


@dataclass(frozen=True)
class TapDay:
    """What tapping on one day is likely to bring.

    Parameters
    ----------
    tapped_s : noon of that day, or now if that is later
    name : "today", "planned", or empty
    amount : till the end of spring
    gone_fraction : of the season's sap: what has run by then for holes drilled on 1 January
    first_run : first day with half a litre a tap
    end : nineteen twentieths have run
    best_fraction : share of the springs in which this day, of those compared, brings most
    drying_sap_m3_per_tap : as in the amount, if holes also dry by the calendar
    drying_best_fraction : as above, if they do
    """

    tapped_s: int
    name: str
    amount: Amount
    gone_fraction: Range
    first_run: Reached
    end: Reached
    best_fraction: float
    drying_sap_m3_per_tap: Range
    drying_best_fraction: float


@dataclass(frozen=True)
class PullDay:
    """What leaving the taps in until a day brings.

    Parameters
    ----------
    pulled_s : noon of that day
    run_fraction : of what the season gives in all, by then
    more : what has come since the day above it, or since now
    buds_fraction : share of the springs in which buds may be opening by then
    """

    pulled_s: int
    run_fraction: Range
    more: Amount
    buds_fraction: float


@dataclass(frozen=True)
class Week:
    """Seven days from now on.

    Parameters
    ----------
    begin_s, end_s : UTC s
    sap_m3 : of all taps
    """

    begin_s: int
    end_s: int
    sap_m3: Range


@dataclass(frozen=True)
class WarmSum:
    """Warmth that has gathered, and when it reaches what something takes.

    Parameters
    ----------
    what : "tap holes", "red maple buds" or "sugar maple buds"
    base_c : warmth counts above this
    needed_k_h : the sum at which it is expected; for tap holes the usual one
    so_far_k_h : up to now
    reached : when
    source : where the sum needed is from
    """

    what: str
    base_c: float
    needed_k_h: float
    so_far_k_h: Range
    reached: Reached
    source: str


@dataclass(frozen=True)
class SeasonOutlook:
    """What the season may still bring.

    Parameters
    ----------
    house : its name
    timezone, units, currency : in which the house wants to read it
    now_s : UTC s
    taps : of the house
    tapped_s : when the taps were set; null while they are not
    count, seed : springs compared; of their chance
    weather_source : what the springs are put together from
    issued_s : of the forecast; null without one
    forecast_to_s : where the forecast ends; null without one
    known_since_s : first measured hour; null when there is none
    trees_source : where the trees' parameters are from
    notes : what to know, in sentences
    days : days of tapping, compared; empty once the taps are set
    so_far : sap up to now, once the taps are set
    to_come : from now on: with the taps set, or with those set on the first of the days
    end : nineteen twentieths of the season's sap have run
    weeks : from now on
    pulls : days of pulling the taps
    warmth : sums that go with tap holes and buds
    cautions : what decides in the end, in sentences
    """

    house: str
    timezone: str
    units: str
    currency: str
    now_s: int
    taps: int
    tapped_s: int | None
    count: int
    seed: int
    weather_source: str
    issued_s: int | None
    forecast_to_s: int | None
    known_since_s: int | None
    trees_source: str
    notes: tuple[str, ...]
    days: tuple[TapDay, ...]
    so_far: Amount | None
    to_come: Amount
    end: Reached
    weeks: tuple[Week, ...]
    pulls: tuple[PullDay, ...]
    warmth: tuple[WarmSum, ...]
    cautions: tuple[str, ...]
