"""What the season may still bring: when to tap, what is still to run, how long to leave taps in.

Every figure comes from the same possible springs and trees, so days of tapping are compared spring
by spring. How it is done, and where it fails: ``docs/season.md``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.outlook import spread
from sugarwright.planning.season_report import PullDay, Reached, SeasonOutlook, TapDay, Week
from sugarwright.planning.season_trees import Bush, Sap
from sugarwright.planning.season_warmth import CAUTIONS, red_buds_open, warm_sums
from sugarwright.plant.drive import local_s

ENDED = 0.95  # of the season's sap: what comes after is dribble (our own judgement)
RUNS_M3_PER_TAP = 0.0005  # in a day: a run worth collecting (our own judgement)
LAST_TAP_DAYS = 14  # before the springs' end: nobody taps later
LONG_AGO_DAYS = 45  # before 1 January: taps set earlier are last season's


@dataclass(frozen=True)
class Asked:
    """What the outlook is for.

    Parameters
    ----------
    now_s : UTC s
    days : of tapping to compare; empty: today, in a week and in two
    seed : of springs and trees, to be named in the report
    issued_s : of the forecast; None without one
    trees_source : where the trees' parameters are from
    """

    now_s: int
    days: tuple[date, ...]
    seed: int
    issued_s: int | None
    trees_source: str


def spring_year(now_s: int, timezone: str) -> int:
    """Return the year whose spring is meant: this one's until May, then the next one's."""
    today = _local_day(now_s, timezone)
    return today.year + (today.month > 5)


def season_outlook(bush: Bush, asked: Asked) -> SeasonOutlook:
    """Look ahead over the season.

    Parameters
    ----------
    bush : the house's taps in possible springs
    asked : what for

    Returns
    -------
    SeasonOutlook

    Raises
    ------
    InputError : days of tapping that cannot be compared
    """
    house, springs = bush.house, bush.springs
    set_s, notes = _set_taps(bush, asked)
    days: tuple[TapDay, ...] = ()
    if set_s is None:
        candidates = _candidates(bush, asked)
        saps = [bush.tapped(time_s) for time_s, _ in candidates]
        days = _compared(bush, candidates, saps)
        counted_s, sap = candidates[0][0], saps[0]
    else:
        counted_s, sap = set_s, bush.tapped(set_s)
        if springs.known_since_s is None or springs.known_since_s > set_s:
            notes.append(
                "The weather since tapping is not all known; where it is missing, springs made up "
                "stand for it. Give hourly weather that begins at tapping, or earlier."
            )
    if springs.forecast_to_s is None:
        notes.append("There is no forecast in this: from now on springs are made up altogether.")
    now = springs.hour(asked.now_s)
    last = springs.temperature_c.shape[1]
    return SeasonOutlook(
        house=house.site.name,
        timezone=house.site.timezone,
        units=house.site.units,
        currency=house.site.currency,
        now_s=asked.now_s,
        taps=bush.taps,
        tapped_s=set_s,
        count=len(springs.temperature_c),
        seed=asked.seed,
        weather_source=springs.source,
        issued_s=_issued_s(bush, asked),
        forecast_to_s=springs.forecast_to_s,
        known_since_s=springs.known_since_s,
        trees_source=asked.trees_source,
        notes=(*notes, *springs.notes),
        days=days,
        so_far=None if set_s is None else bush.amount(*sap.between(0, now)),
        to_come=bush.amount(*sap.between(now, last)),
        end=_ended(bush, sap),
        weeks=_weeks(bush, sap, asked.now_s),
        pulls=_pulls(bush, sap, max(asked.now_s, int(counted_s))),
        warmth=warm_sums(bush, asked.now_s, set_s),
        cautions=CAUTIONS,
    )


def _issued_s(bush: Bush, asked: Asked) -> int | None:
    """Return the forecast's issue; a file read as of an earlier day was no forecast then."""
    issued_s = asked.issued_s
    if bush.springs.forecast_to_s is None or issued_s is None or issued_s > asked.now_s:
        return None
    return issued_s


def _set_taps(bush: Bush, asked: Asked) -> tuple[int | None, list[str]]:
    """Return when this season's taps were set, if they were, and what to say of that."""
    told = bush.house.trees.tapped
    told_s = int(local_s(bush.house, told, 12))
    if told_s > asked.now_s:
        return None, []
    if told_s < bush.springs.first_s - LONG_AGO_DAYS * 86400:
        return None, [
            f"`tapped` in sugarhouse.toml ({told}) is of an earlier season; taps count as not set."
        ]
    if asked.days:
        raise InputError(
            "--tap",
            ", ".join(map(str, asked.days)),
            f"cannot be compared: the taps were set on {told}",
            fix="Leave it out, or correct `tapped` in sugarhouse.toml",
        )
    notes = []
    if told_s < bush.springs.first_s:
        notes.append("Sap and warmth before the first of these days are not counted.")
    return told_s, notes


def _candidates(bush: Bush, asked: Asked) -> list[tuple[int, str]]:
    """Return the instants of tapping to compare, each with its name, the earliest first."""
    house, springs = bush.house, bush.springs
    today = _local_day(max(asked.now_s, springs.first_s), house.site.timezone)
    names = {today: "today"} if asked.now_s >= springs.first_s else {}
    chosen = set(asked.days)
    if not chosen and names:
        chosen = {today + timedelta(days=7 * weeks) for weeks in range(3)}
    elif not chosen:
        year = spring_year(asked.now_s, house.site.timezone)
        chosen = {date(year, month, day) for month in (2, 3) for day in (1, 15)}
    planned = house.trees.tapped
    if planned.year == today.year and planned >= today:
        chosen.add(planned)
        names.setdefault(planned, "planned")
    last = _local_day(springs.end_s - LAST_TAP_DAYS * 86400, house.site.timezone)
    for day in chosen if asked.days else ():
        if not today <= day <= last:
            raise InputError(
                "--tap", str(day), "is no day to tap on", f"{today} to {last}", "Name another day"
            )
    days = sorted(day for day in chosen if today <= day <= last) or [today]
    return [(max(int(local_s(house, day, 12)), asked.now_s), names.get(day, "")) for day in days]


def _compared(
    bush: Bush, candidates: Sequence[tuple[int, str]], saps: Sequence[Sap]
) -> tuple[TapDay, ...]:
    """Compare days of tapping, spring by spring."""
    springs = bush.springs
    from_january = bush.tapped(springs.first_s)
    totals = np.array([sap.sap_m3[:, -1] for sap in saps])
    drying = np.array([bush.tapped_and_drying(at_s).sap_m3[:, -1] for at_s, _ in candidates])
    found = []
    for place, ((tapped_s, name), sap) in enumerate(zip(candidates, saps, strict=True)):
        hour = springs.hour(tapped_s)
        gone_m3, _ = from_january.between(0, hour)
        found.append(
            TapDay(
                tapped_s=tapped_s,
                name=name,
                amount=bush.amount(*sap.between(0, sap.sap_m3.shape[1])),
                gone_fraction=spread(gone_m3 / np.maximum(gone_m3 + totals[place], 1e-12)),
                first_run=_first_run(bush, sap),
                end=_ended(bush, sap),
                best_fraction=float(np.mean(totals.argmax(axis=0) == place)),
                drying_sap_m3_per_tap=spread(drying[place] / bush.taps),
                drying_best_fraction=float(np.mean(drying.argmax(axis=0) == place)),
            )
        )
    return tuple(found)


def _first_run(bush: Bush, sap: Sap) -> Reached:
    """Return when a day's sap first is worth collecting."""
    in_a_day = sap.sap_m3.copy()
    in_a_day[:, 24:] -= sap.sap_m3[:, :-24]
    return bush.reached(in_a_day >= RUNS_M3_PER_TAP * bush.taps)


def _ended(bush: Bush, sap: Sap) -> Reached:
    total_m3 = sap.sap_m3[:, -1:]
    return bush.reached((sap.sap_m3 >= ENDED * total_m3) & (total_m3 > 0.0))


def _weeks(bush: Bush, sap: Sap, now_s: int) -> tuple[Week, ...]:
    """Cut what is to come into weeks, up to the one in which nine seasons of ten have ended."""
    springs = bush.springs
    begin_s, found = max(now_s, springs.first_s), []
    end_s = max(_ended(bush, sap).high_s or springs.end_s, begin_s + 1)
    while begin_s < end_s:
        next_s = min(begin_s + 7 * 86400, springs.end_s)
        sap_m3, _ = sap.between(springs.hour(begin_s), springs.hour(next_s))
        found.append(Week(begin_s, next_s, spread(sap_m3)))
        begin_s = next_s
    return tuple(found)


def _pulls(bush: Bush, sap: Sap, from_s: int) -> tuple[PullDay, ...]:
    """Compare days of pulling: a week before the season's likely end, then, and a week later."""
    springs, house = bush.springs, bush.house
    likely_s = _ended(bush, sap).middle_s
    if likely_s is None:
        return ()
    end_day = _local_day(likely_s, house.site.timezone)
    noons = [int(local_s(house, end_day + timedelta(days=7 * w), 12)) for w in (-1, 0, 1)]
    noons = [noon for noon in noons if from_s < noon <= springs.end_s]
    buds = red_buds_open(bush)
    before, found = springs.hour(from_s), []
    for noon in noons:
        hour = springs.hour(noon)
        found.append(
            PullDay(
                pulled_s=noon,
                run_fraction=sap.share(hour),
                more=bush.amount(*sap.between(before, hour)),
                buds_fraction=float(np.mean(buds[:, hour - 1])),
            )
        )
        before = hour
    return tuple(found)


def _local_day(time_s: float, timezone: str) -> date:
    return datetime.fromtimestamp(time_s, UTC).astimezone(ZoneInfo(timezone)).date()
