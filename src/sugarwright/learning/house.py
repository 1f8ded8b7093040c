"""A house's gatherings, season by season, into its history of fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.learning.expected import Bush
from sugarwright.learning.gathering_file import Came, with_begins
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.hours import observed_over
from sugarwright.learning.trees import TreeLesson, learn_season
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge, knowledge_for, nothing_learnt
from sugarwright.weather.hours import HourlyWeather, utc_text


@dataclass(frozen=True)
class TreesLearnt:
    """What gatherings taught about the trees of a house.

    Parameters
    ----------
    file : where the fits are kept
    written : whether it was changed
    fits : how many it holds now (or would, in a dry run)
    taken_back : how many fits were taken back
    lessons : one for each season learnt from, oldest first
    notes : which seasons could not be learnt from, and why
    """

    file: str
    written: bool
    fits: int
    taken_back: int
    lessons: tuple[TreeLesson, ...]
    notes: tuple[str, ...]


def learn_house(
    house: House,
    came: Sequence[Came],
    weather: HourlyWeather | None,
    history: Sequence[TreeKnowledge],
    learnt_s: int,
    taps: float | None = None,
    observed: Sequence[HourlyWeather] = (),
) -> tuple[list[TreeLesson], list[str]]:
    """Learn from each season that the weather reaches over, each from what was known before it.

    A season learnt again starts from the seasons before it, never from its own earlier fit: no
    gathering counts twice.

    Parameters
    ----------
    house : taps, vacuum, tapping day, and the prior of yield and Brix
    came : gatherings in order of time
    weather : hours over them, and three weeks before if there are any; None: measured ones alone
    history : earlier fits, oldest first
    learnt_s : UTC s now
    taps : of gatherings that state none; left out: the house's
    observed : measured hours, which are taken where they reach over a season

    Returns
    -------
    (lessons, notes on seasons left out)

    Raises
    ------
    InputError : no season can be learnt from
    """
    usual_taps = float(sum(each.taps for each in house.gathering)) if taps is None else taps
    seasons = {}
    for season, seasonal in _seasons(came).items():
        tapping_s = tapped_s(house) if house.trees.tapped.year == season else None
        seasons[season] = tapping_s, with_begins(seasonal, tapping_s, usual_taps)
    return learn_seasons(house, seasons, weather, history, learnt_s, observed)


def learn_seasons(
    house: House,
    seasons: Mapping[int, tuple[float | None, Sequence[Gathering]]],
    weather: HourlyWeather | None,
    history: Sequence[TreeKnowledge],
    learnt_s: int,
    observed: Sequence[HourlyWeather] = (),
) -> tuple[list[TreeLesson], list[str]]:
    """Learn from each season that the weather reaches over, each from what was known before it.

    Parameters
    ----------
    house : vacuum, and the prior of yield and Brix
    seasons : by year: when the taps were set (None where unknown), and the gatherings with their
        begins, in order of their ends
    weather, history, learnt_s, observed : as in :func:`learn_house`

    Returns
    -------
    (lessons, notes on seasons left out)

    Raises
    ------
    InputError : no season can be learnt from
    """
    lessons: list[TreeLesson] = []
    notes: list[str] = []
    for season, (tapping_s, gatherings) in seasons.items():
        if tapping_s is None:
            notes.append(
                f"{season}: tapping day unknown, so the first gathering only starts the clock"
            )
        if not gatherings:
            notes.append(f"{season}: one gathering alone says nothing without the day of tapping")
            continue
        first_s = min(each.begin_s for each in gatherings)
        last_s = max(each.end_s for each in gatherings)
        hours = season_hours(weather, observed, first_s, last_s)
        if hours is None:
            span = f"{utc_text(first_s)} to {utc_text(last_s)}"
            notes.append(f"{season}: the weather does not reach over {span}")
            continue
        known = [*history, *(lesson.after for lesson in lessons)]
        bush = Bush(hours, first_s if tapping_s is None else tapping_s, vacuum_pa(house))
        before = _known_before(house, known, season)
        lessons.append(learn_season(gatherings, bush, before, learnt_s))
    if not lessons:
        problem = "no season can be learnt from: " + "; ".join(notes)
        count = sum(len(each) for _, each in seasons.values())
        raise InputError("gatherings", count, problem)
    return lessons, notes


def season_hours(
    weather: HourlyWeather | None,
    observed: Sequence[HourlyWeather],
    first_s: float,
    last_s: float,
) -> HourlyWeather | None:
    """Return the hours to learn a season with: measured ones, else those given; None without."""
    found = observed_over(observed, first_s, last_s)
    if found is not None or weather is None:
        return found
    reaches = weather.first_s <= first_s and weather.end_s >= last_s
    return weather if reaches else None


def _known_before(house: House, known: Sequence[TreeKnowledge], season: int) -> TreeKnowledge:
    earlier = knowledge_for([fit for fit in known if fit.season < season], season)
    described = nothing_learnt(season, house.trees.yield_factor, house.trees.sap_brix)
    return described if earlier is None else earlier


def _seasons(came: Sequence[Came]) -> dict[int, list[Came]]:
    seasons: dict[int, list[Came]] = {}
    for each in came:
        seasons.setdefault(int(utc_text(each.end_s)[:4]), []).append(each)
    return seasons


def vacuum_pa(house: House) -> float:
    """Return the vacuum of the average tap."""
    taps = sum(each.taps for each in house.gathering)
    return sum(each.taps * each.vacuum_pa for each in house.gathering) / taps
