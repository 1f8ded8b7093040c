"""The rule card as it is handed to whoever shows it: plain values, SI, clock minutes of the house.

The names are those of the JSON output.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sugarwright.planning.report import Range, Way


@dataclass(frozen=True)
class Gauge:
    """What a tank must show.

    Parameters
    ----------
    volume_m3 : in the tank (in all of its like together)
    depth_m : on the stick; null where the tank's shape is not known
    """

    volume_m3: float
    depth_m: float | None


@dataclass(frozen=True)
class CardTimes:
    """Clock times of a part of the week, in minutes after midnight of the house's clock.

    Parameters
    ----------
    part : "every day", "weekdays" or "weekend"
    membrane_start_min : earliest start of the membrane; null: only when the tank calls
    membrane_stop_min : when it is stopped, or set for the night, at the latest; null: not before
        somebody leaves
    wash_min : earliest time of a wash; null: none
    fire_start_min : earliest time to light; null: only when the tank calls
    fire_stop_min : when the fire is let go at the latest; null: not before somebody leaves
    """

    part: str
    membrane_start_min: int | None
    membrane_stop_min: int | None
    wash_min: int | None
    fire_start_min: int | None
    fire_stop_min: int | None


@dataclass(frozen=True)
class CardMembrane:
    """Rules of the membrane.

    Parameters
    ----------
    start : what the sap tank must show for a start
    call : with so much a start comes before its hour; null: never
    flow_m3_s : where the concentrate valve is set
    night_flow_m3_s : where it is set when it is left running alone; null: it is not left alone
    again_brix : strength to which stock is passed through it once more, when the sap tank is down;
        null: not
    least_sap : where it stops, or must be stopped
    rinse_m3 : permeate for the rinse after each run
    wash_after_s : running hours after which it is washed
    wash_m3 : permeate for a wash
    with_fire : whether the circuit carries it together with the fire's blower
    outdoors : whether it stands where it freezes
    """

    start: Gauge
    call: Gauge | None
    flow_m3_s: float
    night_flow_m3_s: float | None
    again_brix: float | None
    least_sap: Gauge
    rinse_m3: float
    wash_after_s: float
    wash_m3: float
    with_fire: bool
    outdoors: bool = False


@dataclass(frozen=True)
class CardFire:
    """Rules of the fire.

    Parameters
    ----------
    tank : that feeds the pan: "stock" or "sap"
    light : what it must show for a fire when the pan is full
    light_empty : what it must show when the pan is empty, which is filled first
    call : with so much a fire comes before its hour; null: never
    reserve : with so little left comes the last wood: the most that a rich pan needs while it dies
    pan_m3 : what an empty pan takes
    stay_s : who lights must be able to stay so long
    burn_down_s : from the last wood until the pan may be left
    """

    tank: str
    light: Gauge
    light_empty: Gauge
    call: Gauge | None
    reserve: Gauge
    pan_m3: float
    stay_s: float
    burn_down_s: float


@dataclass(frozen=True)
class AsHabit:
    """What of the card the [habit] of a house can hold: one row for all week, no calls, no night.

    Parameters
    ----------
    membrane_start_min, membrane_stop_min, wash_min, fire_start_min, fire_stop_min : clock minutes
    membrane_sap_m3, flow_m3_s, fire_stock_m3 : gauges and setting
    gain_money : mean gain over today's habit in a spring, in the springs of the card's own
    """

    membrane_start_min: int | None
    membrane_sap_m3: float
    flow_m3_s: float
    membrane_stop_min: int | None
    wash_min: int | None
    fire_start_min: int
    fire_stock_m3: float
    fire_stop_min: int
    gain_money: float


@dataclass(frozen=True)
class CardWorth:
    """What a card is worth, in springs that it was not tuned on.

    Parameters
    ----------
    springs : how many
    card, habit : a spring by the card, and by the house's own way, in the mean
    card_net_money, habit_net_money : their net worth over the springs
    gain_money : mean gain of a spring by the card over the same spring by the habit
    gain_low_money, gain_high_money : 90 % interval of that mean, by bootstrap over the springs
    better_fraction : part of the springs in which the card is better
    broken_springs : springs in which the card broke a rule: a pan run short, a fire left alone
    habit_broken_springs : in which the habit did
    """

    springs: int
    card: Way
    habit: Way
    card_net_money: Range
    habit_net_money: Range
    gain_money: float
    gain_low_money: float
    gain_high_money: float
    better_fraction: float
    broken_springs: int
    habit_broken_springs: int


@dataclass(frozen=True)
class RuleCard:
    """A rule card of a house: what to do while the computer is off.

    Parameters
    ----------
    house : its name
    timezone, units, currency : in which the house wants to read it
    made : date on which it was tuned
    begin_s, end_s : UTC s of the hours run in each spring
    times : of each part of the week
    membrane : its rules; null for a house without one
    fire : its rules
    frost : whether pump, line or machine must be drained before a frost
    drains : what is: "pump", "line", "membrane", or what the house calls its own chores
    whose : "search", or "habit" where nothing better than the house's own way was found
    tuned_on : springs that it was tuned on
    candidates : cards judged in those
    seed : of all draws
    weather_source : what the springs were made from
    notes : what to know about weather and days, in sentences
    worth : against the habit
    as_habit : the card as [habit]; null where that cannot hold it
    rows : of weekdays and of the weekend, as the simulator works by
    """

    house: str
    timezone: str
    units: str
    currency: str
    made: date
    begin_s: int
    end_s: int
    times: tuple[CardTimes, ...]
    membrane: CardMembrane | None
    fire: CardFire
    frost: bool
    whose: str
    tuned_on: int
    candidates: int
    seed: int
    weather_source: str
    notes: tuple[str, ...]
    worth: CardWorth
    as_habit: AsHabit | None
    rows: tuple[tuple[float, ...], ...]
    drains: tuple[str, ...] = ()
