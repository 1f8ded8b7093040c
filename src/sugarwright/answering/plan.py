"""Today's plan of a folder: on what it stands, how it is made and kept.

``sugarwright plan`` and the pages ask the same functions; the command's options only say more.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.answering.house import house_as_learnt, learnt_in, trees_learnt
from sugarwright.answering.record import record_of
from sugarwright.answering.standing import standing_of
from sugarwright.answering.weather import AS_KEPT, WeatherWanted, stands_on_kept, weather_in
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.beginning import Questioned
    from sugarwright.planning.planned import Planned
    from sugarwright.planning.report import Learnt, PlanReport
    from sugarwright.planning.rule_card import Card
    from sugarwright.planning.search import Budget
    from sugarwright.planning.suppositions import Grounds
    from sugarwright.planning.weathers import Belief, RunUnderWay
    from sugarwright.plant.house import House
    from sugarwright.plant.state import Levels
    from sugarwright.plant.tank_kernel import Floats
    from sugarwright.twin.report import NowReport
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.standing import Footing

USUAL_HOURS = 72
LEAST_HOURS = 12
_IN_FULL = "%A %d %B %Y %H:%M"  # the year too: a file of another is a likely slip
OLD_S = 5 * 3600.0  # of a plan: what was open when it was made is known once a tank is read
MORNING_HOUR = 4  # on the clock of the house: a plan of before is yesterday's
AGED = ("sap", "stock")  # tanks of which it counts how old their sap is
NO_WEATHER = "none"  # what may be said instead of a file
ENDS_S = 15.0  # clock time of a search after which the best so far must do: what the page promises
# One takes one or two seconds on all machines measured, and eight where seven others ran beside it
# (docs/planning.md): only a machine much slower is ended by this; on all others a seed is one plan.


@dataclass(frozen=True)
class Known:
    """What is known of the weather, and believed of it and of the trees.

    Parameters
    ----------
    weather : hours without a gap
    begin_s : UTC s at which the plan begins
    hours : how far it goes
    belief : of forecast and trees
    footing : what kept weather stands on; None of a file's
    """

    weather: HourlyWeather
    begin_s: int
    hours: int
    belief: Belief
    footing: Footing | None = None

    def with_run(self, run: RunUnderWay | None) -> Known:
        """Return the same, and what is known of the run of sap under way."""
        return replace(self, belief=replace(self.belief, run=run))


@dataclass(frozen=True)
class Forward:
    """What the log says when it is run forward to the begin of a plan.

    Parameters
    ----------
    levels : of the tanks
    read_s : UTC s of the reading of the sap tank from which it was run
    run : of sap that is under way
    unrinsed_s : UTC s of the membrane's last stop, where no rinse is logged since
    questioned : readings that it does not believe until they are read again
    """

    levels: Levels
    read_s: float
    run: RunUnderWay
    unrinsed_s: float | None = None
    questioned: tuple[Questioned, ...] = ()


@dataclass(frozen=True)
class Basis:
    """What a plan is made from.

    Parameters
    ----------
    house : as learnt
    known : of the weather
    levels : of the tanks when it begins
    card : the rule card kept in the folder; None without one
    book : the sugarhouse's logbook; None: nothing was planned before
    seed : of the weathers drawn; None: the hour itself
    read_s : UTC s of the reading of the sap tank from which the log was run forward; None where
        levels were told
    learnt : what of the house stands as its log taught it
    unrinsed_s : UTC s of the membrane's last stop, where no rinse is logged since
    aged_by_log : "sap", "stock": the tanks whose age stands as the log has it
    questioned : readings in the log that are not believed until they are read again
    """

    house: House
    known: Known
    levels: Levels
    card: Card | None = None
    book: Logbook | None = None
    seed: int | None = None
    read_s: float | None = None
    learnt: tuple[Learnt, ...] = ()
    unrinsed_s: float | None = None
    aged_by_log: tuple[str, ...] = ()
    questioned: tuple[Questioned, ...] = ()

    def grounds(self) -> Grounds:
        """Return them as planning takes them."""
        from sugarwright.planning.suppositions import Grounds
        from sugarwright.plant.assemble import assemble

        known = self.known
        return Grounds(
            assemble(self.house), known.weather, self.levels, known.begin_s, known.belief
        )

    def before(self) -> Floats | None:
        """Return the plan kept before, from which this one may go on."""
        if self.book is None:
            return None
        from sugarwright.planning.plan_store import plan_before

        return plan_before(self.book.plans, self.house, self.known.begin_s)

    def in_force(self) -> Floats | None:
        """Return the plan kept by which the rest of today goes."""
        if self.book is None:
            return None
        from sugarwright.planning.plan_store import rows_in_force

        return rows_in_force(self.book.plans, self.house, self.known.begin_s)

    def noted(self, report: PlanReport) -> PlanReport:
        """Return a plan's report with what it rests on: the log, and what was learnt."""
        levels, aged = self.levels, self.aged_by_log
        standing = replace(
            report.standing,
            read_s=self.read_s,
            sap_logged_age_s=levels.sap.age_s if "sap" in aged else None,
            stock_logged_age_s=levels.stock.age_s if "stock" in aged else None,
            questioned=self.questioned,
        )
        return replace(report, standing=standing, learnt=self.learnt)


def weather_known(
    folder: str,
    house: House,
    book: Logbook,
    begins: Callable[[HourlyWeather | None], int],
    wanted: WeatherWanted = AS_KEPT,
    hours: int = USUAL_HOURS,
) -> Known:
    """Return the weather that a plan stands on, as far as it is known.

    Parameters
    ----------
    folder, house, book : of the sugarhouse
    begins : tells UTC s at which the plan begins, by a file's weather; None where none is read
    wanted : which weather; its file may be ``NO_WEATHER``
    hours : how far to plan, if the weather reaches so far

    Raises
    ------
    InputError : there is none, or it cannot be used
    """
    from sugarwright.planning.belief import believe
    from sugarwright.planning.weathers import Belief
    from sugarwright.weather.standing import stand

    trees = trees_learnt(book, house)
    if wanted.file == NO_WEATHER:
        from sugarwright.weather.none_known import none_known

        begin_s = begins(None)
        none = none_known(begin_s, hours)
        return _as_far(house, Known(none, begin_s, hours, Belief(trees=trees)))
    if not stands_on_kept(folder, wanted, book):
        weather = weather_in(folder, house, wanted)
        begin_s = begins(weather)
        belief = Belief(trees=trees, cautions=_of_file(weather, begin_s))
        return _as_far(house, Known(weather, begin_s, hours, belief))
    begin_s = begins(None)
    footing = stand(book.weather, begin_s, begin_s + hours * 3600, None, house.site.timezone)
    belief = believe(house, book.weather, footing, begin_s, trees)
    return _as_far(house, Known(footing.weather, begin_s, hours, belief, footing))


def _of_file(weather: HourlyWeather, begin_s: int) -> tuple[str, ...]:
    """Return what should be known of a file's weather before a plan on it is trusted."""
    from sugarwright.plant.season import WARM_UP_S

    if begin_s - weather.first_s >= WARM_UP_S:
        return weather.notes
    days = max(0.0, (begin_s - weather.first_s) / 86400.0)
    short = (
        f"it begins only {days:.0f} days before this plan, and two weeks tell how the trees stand: "
        "what they give is less sure"
    )
    return (*weather.notes, short)


def _as_far(house: House, known: Known) -> Known:
    """Plan only as far as the weather reaches, where that is half a day or more; and say so.

    Raises
    ------
    InputError : it reaches less far
    """
    reaches_s = known.weather.end_s - known.begin_s + known.begin_s % 3600
    known_h = int(reaches_s) // 3600
    if known_h >= known.hours:
        return known
    ends = datetime.fromtimestamp(known.weather.end_s, ZoneInfo(house.site.timezone))
    if known_h < LEAST_HOURS:
        begins = datetime.fromtimestamp(known.begin_s, ZoneInfo(house.site.timezone))
        left = f"{known_h} h after" if known_h > 0 else "before"
        least = f"{LEAST_HOURS} h at the least"
        raise InputError(
            "weather", f"{known.weather.source or 'a file'}", f"ends on {ends:{_IN_FULL}}, "
            f"{left} the plan begins, on {begins:{_IN_FULL}} (--now)", least,
            "Fetch or give newer weather; without any, --weather none plans for what is in the "
            "tanks",
        )  # fmt: skip
    caution = f"it ends on {ends:%A %H:%M}, and so does this plan"
    belief = replace(known.belief, cautions=(*known.belief.cautions, caution))
    return replace(known, hours=known_h, belief=belief)


def run_forward(folder: str, house: House, begin_s: int, book: Logbook) -> Forward | None:
    """Run the log forward to the begin of a plan.

    Without a reading of the sap tank in the last days the log says too little: None.
    """
    from sugarwright.twin.levels import levels_of, sap_read_s

    report = standing_of(folder, house, float(begin_s), book)
    read_s = sap_read_s(report)
    if read_s is None:
        return None
    unrinsed_s = None if report.membrane is None else report.membrane.unrinsed_s
    return Forward(
        levels_of(house, report), read_s, run_of(report), unrinsed_s, questioned_of(report)
    )


def questioned_of(standing: NowReport) -> tuple[Questioned, ...]:
    """Return the readings that are told as questioned, the newest of each quantity."""
    from sugarwright.planning.beginning import Questioned
    from sugarwright.twin.doubt import OPEN

    newest = {each.name: each for each in standing.doubts if each.state == OPEN}
    return tuple(
        Questioned(
            each.place, each.quantity, each.at_s, each.value, each.typed,
            each.expected_low, each.expected_high,
        )
        for each in newest.values()
    )  # fmt: skip


def run_of(standing: NowReport) -> RunUnderWay:
    """Return how much the run of sap under way gives: a log-normal of the twin's band."""
    from sugarwright.planning.weathers import RunUnderWay
    from sugarwright.twin.doubt import SIDE_SDS

    band = standing.run
    sd_log = math.log(band.high / band.low) / (2.0 * SIDE_SDS)
    return RunUnderWay(band.middle * math.exp(0.5 * sd_log**2), sd_log)


def usual_search() -> Budget:
    """Return how much is searched for a person who waits: as usual, and not beyond ``ENDS_S``."""
    from sugarwright.planning import search

    return replace(search.USUAL, seconds=ENDS_S)


def make_plan(basis: Basis, *, tomorrow: bool = False) -> tuple[PlanReport, Planned]:
    """Plan; return the report, and the runs that it was made from.

    Parameters
    ----------
    basis : what it is made from
    tomorrow : for tomorrow: the rest of today goes by the plan kept, or by the house's habit
    """
    from sugarwright.planning.membrane_rinse import with_rinse
    from sugarwright.planning.today import plan_with_grounds

    grounds, known = basis.grounds(), basis.known
    settled, carried_out = None, ""
    if tomorrow:
        from sugarwright.planning.choices import habit_rows
        from sugarwright.planning.morning import today_by

        kept = basis.in_force()
        settled = today_by(habit_rows(grounds.plant, 1)[0] if kept is None else kept[0])
        carried_out = "habit" if kept is None else "before"
    report, planned = plan_with_grounds(
        grounds.plant, known.weather, basis.levels, known.begin_s, known.hours, basis.seed,
        usual_search(), basis.before(), known.belief, basis.card, settled=settled,
        carried_out=carried_out,
    )  # fmt: skip
    if basis.unrinsed_s is not None and not tomorrow:
        report = with_rinse(planned, report, basis.unrinsed_s)
    return basis.noted(report), planned


def plan_and_keep(folder: str, now_s: int) -> PlanReport:
    """Plan from the log run forward and the weather that a folder has; keep the plan.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s at which the plan begins

    Raises
    ------
    InputError : the log says too little, or there is no weather
    LogbookError : the plan cannot be kept
    """
    from sugarwright.planning.card_file import read_card
    from sugarwright.planning.plan_store import keep_plan

    house = house_as_learnt(folder)
    with record_of(folder) as book:
        forward = run_forward(folder, house, now_s, book)
        if forward is None:
            fix = "Read it and log it; the plan begins from there"
            raise InputError("sap tank", None, "was not read in the last days", fix=fix)
        known = weather_known(folder, house, book, lambda _: now_s).with_run(forward.run)
        card = read_card(folder)
        learnt = learnt_in(folder, house, book)
        basis = Basis(
            house, known, forward.levels, card, book, read_s=forward.read_s, learnt=learnt,
            unrinsed_s=forward.unrinsed_s, aged_by_log=AGED, questioned=forward.questioned,
        )  # fmt: skip
        report, planned = make_plan(basis)
        keep_plan(book.plans, house, report, planned.state)
    return report


def last_plan(book: Logbook, now_s: int) -> PlanReport | None:
    """Return the newest plan of the last two days, whole as it was issued; None without one."""
    from sugarwright.planning.plan_store import kept_report

    return kept_report(book.plans, now_s)


def why_plan_again(
    house: House, standing: NowReport, report: PlanReport | None, now_s: float
) -> str:
    """Say why a plan should be made unasked; nothing where the last one will do.

    Parameters
    ----------
    house : as learnt
    standing : where everything stands
    report : the last plan; None without one
    now_s : UTC s
    """
    from sugarwright.answering.ended import ended_otherwise
    from sugarwright.twin.levels import sap_read_s, tanks_read_s

    if sap_read_s(standing) is None:
        return ""  # nothing to plan from
    if report is None:
        return "there is none yet"
    zone = ZoneInfo(house.site.timezone)
    now = datetime.fromtimestamp(now_s, zone)
    morning = now.replace(hour=MORNING_HOUR, minute=0, second=0, microsecond=0)
    if now >= morning and report.begin_s < morning.timestamp():
        return "a new day began"
    if departs(standing, report):
        return "the tanks stand otherwise than the last plan led to expect"
    ended = ended_otherwise(standing, report)
    if ended:
        return ended
    age_s, read_s = now_s - report.begin_s, tanks_read_s(standing)
    if age_s >= OLD_S and read_s is not None and read_s > report.begin_s:
        return f"the last one is {age_s / 3600.0:.0f} hours old, and a tank has been read since"
    return ""


def departs(standing: NowReport, report: PlanReport) -> bool:
    """Tell whether something read since a plan was made stands off what it led to expect."""
    return any(each.plan_s >= report.begin_s for each in standing.departures)
