"""What a log teaches of a membrane, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.learning.kept import Kept
from sugarwright.learning.membrane_next import ToRead
from sugarwright.learning.remarks import Doubt, Remark

WORTH_NAMING_PER_DAY = 0.005
"""Of a lasting fall: a sixth in a season of five weeks (judgement)."""


@dataclass(frozen=True)
class Range:
    """A number and where it lies, nine chances in ten.

    Parameters
    ----------
    middle : the likeliest
    low, high : nine chances in ten that it lies between them
    """

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class Measured:
    """The condition that one reading says.

    Parameters
    ----------
    at_s : UTC s
    condition_fraction : against new at 25 C
    clean_water : whether it was a clean-water test
    """

    at_s: float
    condition_fraction: Range
    clean_water: bool


@dataclass(frozen=True)
class Passed:
    """The condition as learnt, at one moment of its course.

    Parameters
    ----------
    at_s : UTC s
    condition_fraction : against new at 25 C
    """

    at_s: float
    condition_fraction: float


@dataclass(frozen=True)
class Cleaning:
    """What one wash or rinse did.

    Parameters
    ----------
    kind : "wash" or "rinse"
    at_s : UTC s
    before_fraction, after_fraction : condition
    recovery_fraction : part of what fouling had taken that came back
    """

    kind: str
    at_s: float
    before_fraction: float
    after_fraction: float
    recovery_fraction: Range


@dataclass(frozen=True)
class WashAdvice:
    """When to wash next.

    Parameters
    ----------
    interval_h : run between two washes
    left_h : run until the next one; 0 when it is due. Nine chances in ten, by the loss an hour
    left_m3 : sap that is taken in meanwhile
    why : "money", "manual" or "never" (see ``learning.membrane_money``)
    """

    interval_h: float
    left_h: Range
    left_m3: float
    why: str


@dataclass(frozen=True)
class Replacement:
    """What a new element would save.

    Parameters
    ----------
    lost_money_h : by an hour of running, against a new element
    lost_money_day : by a day as the membrane is run
    price_money : of the elements put in last; None where the log says no price
    pays_back_days : days of running that pay for them; None without a price or a loss
    """

    lost_money_h: float
    lost_money_day: float
    price_money: float | None
    pays_back_days: float | None


@dataclass(frozen=True)
class MembraneLesson:
    """What the log taught of the membrane.

    Parameters
    ----------
    kept : figures to keep
    begin_s, end_s : UTC s of the first and the last entry that counts
    since_new : whether that begins with a new element
    run_h : hours run
    readings, clean_water_tests, washes, rinses : how many
    lasting_fraction : condition just washed, against new at 25 C
    now_fraction : with what fouling has taken since
    fall_per_day_fraction : of the lasting part, what no wash brings back
    verdict : of that: "falls", "steady" (less than worth naming) or "cannot tell"
    loss_per_hour_fraction : to fouling, an hour of running
    loss_per_m3_fraction : the same by cubic metre of sap taken in
    measured : what each reading says of the condition
    course : the condition as learnt, after each run, rinse and wash
    cleanings : each wash and rinse
    wash : when to wash next
    replacement : what a new element would save
    next_readings : what could be read tomorrow, by how much it would tell of the lasting fall
    days_to_tell : days more like these until a fall of half a per cent a day, or the one found,
        would be told from none; None if not within six weeks
    scatter_ratio : how much more readings scatter than their instruments should
    doubts : readings that do not fit the rest
    remarks : entries that say too little, and why
    """

    kept: Kept
    begin_s: float
    end_s: float
    since_new: bool
    run_h: float
    readings: int
    clean_water_tests: int
    washes: int
    rinses: int
    lasting_fraction: Range
    now_fraction: Range
    fall_per_day_fraction: Range
    verdict: str
    loss_per_hour_fraction: Range
    loss_per_m3_fraction: float
    measured: tuple[Measured, ...]
    course: tuple[Passed, ...]
    cleanings: tuple[Cleaning, ...]
    wash: WashAdvice
    replacement: Replacement
    next_readings: tuple[ToRead, ...]
    days_to_tell: int | None
    scatter_ratio: float
    doubts: tuple[Doubt, ...]
    remarks: tuple[Remark, ...]


@dataclass(frozen=True)
class MembraneLearnt:
    """What `learn membrane` found and did.

    Parameters
    ----------
    file : the logbook
    done : "shown" (nothing was kept), "kept" or "taken back"
    lesson : what was learnt; None where something was taken back
    """

    file: str
    done: str
    lesson: MembraneLesson | None
