"""What a season came to so far, by its log: sap, syrup, hours at the fire, wood, day by day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.answering.folder import house_in
from sugarwright.answering.record import record_of

if TYPE_CHECKING:
    from sugarwright.learning.fires import Fire
    from sugarwright.ledger.account import Account, Amount, PeriodFlows
    from sugarwright.ledger.season_ledger import SeasonLedger
    from sugarwright.logbook.entry import Entry
    from sugarwright.planning.weather_skill import SkillReport

JUDGED_S = 120 * 86400.0
"""So far back forecasts are judged: a season."""
SAP = ("gathered", "ran in", "bought")


@dataclass(frozen=True)
class Total:
    """A sum, and its standard deviation."""

    value: float
    sd: float


@dataclass(frozen=True)
class DayTotal:
    """One local day.

    Parameters
    ----------
    day : its date, year-month-day
    sap_m3, syrup_m3 : that came and was drawn, by the ledger
    fire_s : kept at the fire
    """

    day: str
    sap_m3: float
    syrup_m3: float
    fire_s: float


@dataclass(frozen=True)
class SeasonLog:
    """What a log tells of a season beside its ledger.

    Parameters
    ----------
    begin_s : UTC s of the first entry; None without any
    fires : that were lit and let go
    burnt_m3 : see :func:`burnt_m3`
    skill : how good the forecasts were
    """

    begin_s: float | None
    fires: tuple[Fire, ...]
    burnt_m3: float | None
    skill: SkillReport


@dataclass(frozen=True)
class SeasonTotals:
    """What a season came to so far.

    Parameters
    ----------
    begin_s : UTC s of the first entry; None without any
    account : where the sugar went, by the ledger; None where there is too little
    sap_m3, syrup_m3 : sums; None without an account
    fires : how many were lit and let go
    fire_s : kept at them
    burnt_m3 : wood burnt, stacked, by readings of the pile and what was brought; None where the
        pile was not read twice
    days : that saw anything, in order
    skill : how good the forecasts were
    """

    begin_s: float | None
    account: Account | None
    sap_m3: Total | None
    syrup_m3: Total | None
    fires: int
    fire_s: float
    burnt_m3: float | None
    days: tuple[DayTotal, ...]
    skill: SkillReport


def season_log_in(folder: str, now_s: float) -> SeasonLog:
    """Return what a folder's log tells of a season beside its ledger.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s

    Raises
    ------
    InputError : the folder cannot be used
    """
    from sugarwright.learning.fires import fires_of
    from sugarwright.planning.weather_skill import weather_skill

    house = house_in(folder)
    with record_of(folder, make=False) as book:
        entries = book.entries(end_s=now_s + 1.0)
        forecasts = book.weather.between(now_s - JUDGED_S, now_s)
        skill = weather_skill(forecasts, book.weather.observed(), house)
    return SeasonLog(
        entries[0].at_s if entries else None,
        tuple(fires_of(entries)[0]),
        burnt_m3(entries),
        skill,
    )


def season_totals(log: SeasonLog, ledger: SeasonLedger) -> SeasonTotals:
    """Sum up a season.

    Parameters
    ----------
    log, ledger : of the same folder
    """
    account = ledger.account
    flows = () if account is None else account.flows
    return SeasonTotals(
        log.begin_s,
        account,
        None if account is None else _sum(flows, SAP),
        None if account is None else _sum(flows, ("syrup",)),
        len(log.fires),
        sum(each.duration_s for each in log.fires),
        log.burnt_m3,
        _days(ZoneInfo(ledger.timezone), ledger.periods, log.fires),
        log.skill,
    )


def _sum(flows: Iterable[Amount], names: Sequence[str]) -> Total:
    """Add flows up; their errors are taken to be each its own."""
    found = [each for each in flows if each.name in names]
    variance = sum(each.volume_sd_m3**2 for each in found)
    return Total(sum(each.volume_m3 for each in found), variance**0.5)


def burnt_m3(entries: Sequence[Entry]) -> float | None:
    """Return the wood burnt between the first and the last reading of the pile, m³ stacked.

    Parameters
    ----------
    entries : that stand, the oldest first

    Returns
    -------
    None where the pile was not read twice.
    """
    read = [
        (each.at_s, wood)
        for each in entries
        if each.kind == "reading"
        and each.place == "woodpile"
        and (wood := each.value("wood")) is not None
    ]
    if len(read) < 2:
        return None
    (first_s, first_m3), (last_s, last_m3) = read[0], read[-1]
    brought = (
        each.value("wood") or 0.0
        for each in entries
        if each.kind == "wood_in" and first_s < each.at_s <= last_s
    )
    return max(0.0, first_m3 + sum(brought) - last_m3)


def _days(
    zone: ZoneInfo, periods: Sequence[PeriodFlows], fires: Sequence[Fire]
) -> tuple[DayTotal, ...]:
    """Share flows and fires out to local days: a period's to the day that its end lies in."""
    found: dict[date, list[float]] = {}

    def of(time_s: float) -> list[float]:
        day = datetime.fromtimestamp(time_s, zone).date()
        return found.setdefault(day, [0.0, 0.0, 0.0])

    for period in periods:
        for flow in period.flows:
            if flow.name in SAP:
                of(period.end_s)[0] += flow.volume_m3
            elif flow.name == "syrup":
                of(period.end_s)[1] += flow.volume_m3
    for fire in fires:
        of(fire.lit_s)[2] += fire.duration_s
    return tuple(DayTotal(day.isoformat(), *found[day]) for day in sorted(found))
