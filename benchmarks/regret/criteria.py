"""What the planner was set to reach, and whether it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from .figures import Figure, Regret, loss, mean_of, share_of
from .known import Known, common, interval, nets
from .markdown import head, row

COUNTS = 0.05  # of the habit's net that perfect weather must bring for a house to count
LOST_MEAN, LOST_EACH = 0.04, 0.06
SHARE_MEAN, SHARE_EACH = 0.75, 0.65
BETTER = 0.95
NOT_WORSE = 0.01
LATE = 0.03
STABLE = 0.003
NO_AIM = ""  # told, but nothing was set, or nothing is known


def aims(
    known: Known,
    regrets: Mapping[str, Regret],
    wrong: Mapping[str, Regret],
    houses: list[str],
    seasons: list[str],
) -> str:
    """Each aim with its figure, as a table.

    Parameters
    ----------
    known : outcomes
    regrets : of the planner with forecasts, by house
    wrong : likewise, at a house that is not as believed
    houses, seasons : that are told of
    """
    lines = head(["aim", "figure", "reached"])
    counting = {house: each for house, each in regrets.items() if each.gain.value > COUNTS}
    if counting:
        lines += _regrets(counting)
        lines += _better(list(counting.values()))
    lines += [
        _at_most(f"{house}: worse than habit", _turned(each.over_habit), NOT_WORSE)
        for house, each in regrets.items()
        if house not in counting
    ]
    lines += _at_a_wrong_house(wrong)
    late = _losses(known, houses, seasons, "plan", "late")
    lines += [_at_most(f"{who}lateness costs", each, LATE) for who, each in late.items()]
    twice = _losses(known, houses, seasons, "perfect-twice", "perfect")
    lines += [
        _aim(f"{who}twice the search adds at most", each, STABLE, abs(each.value) <= STABLE)
        for who, each in twice.items()
    ]
    return "\n".join([*lines, *_safe(known)])


def _regrets(counting: Mapping[str, Regret]) -> list[str]:
    lost = {house: each.lost for house, each in counting.items()}
    share = {house: each.share for house, each in counting.items()}
    most, least = max(lost, key=lambda each: _worst(lost[each])), min(share, key=_low_of(share))
    return [
        _at_most("mean regret", mean_of(list(lost.values())), LOST_MEAN),
        _at_most(f"regret in each (most: {most})", lost[most], LOST_EACH),
        _at_least("mean share of the gain", mean_of(list(share.values())), SHARE_MEAN),
        _at_least(f"share in each (least: {least})", share[least], SHARE_EACH),
    ]


def _worst(found: Figure) -> tuple[float, float]:
    """Order by what is told, a tenth of a percent; of those that are told alike, the less sure."""
    return round(found.value, 3), found.high


def _low_of(found: Mapping[str, Figure]) -> Callable[[str], tuple[float, float]]:
    return lambda house: (round(found[house].value, 3), found[house].low)


def _better(counting: list[Regret]) -> list[str]:
    """In how many seasons; a spring is one trial, however many houses worked through it."""
    better, counts = [each.better for each in counting], [each.seasons for each in counting]
    value = float(np.average([each.value for each in better], weights=counts))
    fewest = "the same in the house with the fewest such seasons (more than was asked)"
    return [
        _at_least(
            f"better than habit, of {sum(counts)} seasons in", share_of(value, max(counts)), BETTER
        ),
        _at_least(fewest, min(better, key=lambda each: (each.value, each.low)), BETTER),
    ]


def _at_a_wrong_house(wrong: Mapping[str, Regret]) -> list[str]:
    """What is lost there: in the mean over the houses, and in each."""
    if not wrong:
        return []
    seasons = sum(each.seasons for each in wrong.values())
    words = "regret where the house is not as believed"
    lost = {f"{house}: ": each.lost for house, each in wrong.items()}
    mean = mean_of(list(lost.values()))
    told = {f"mean of {len(wrong)} houses, {seasons} seasons: ": mean, **lost}
    return [row([f"{who}{words}", _percent(each), NO_AIM]) for who, each in told.items()]


def _losses(
    known: Known, houses: list[str], seasons: list[str], usual: str, method: str
) -> dict[str, Figure]:
    """What a method loses against another, by "house: ", the mean over them first, by ""."""
    found = {}
    for house in houses:
        here = common(known, house, [usual, method], seasons)
        if here:
            found[f"{house}: "] = loss(*(nets(known, house, m, here) for m in (usual, method)))
    return {"": mean_of(list(found.values())), **found} if found else {}


def _safe(known: Known) -> list[str]:
    worked = [each for each in known.values() if each.lines_money]
    if not worked:
        return [row(["no dry pan, no fire left alone", "no season known", NO_AIM])]
    dry = sum(each.dry_pans for each in worked)
    alone = sum(each.alone_s for each in worked)
    return [
        row([f"no dry pan in {len(worked)} seasons of all methods", f"{dry:.0f}", _yes(dry == 0)]),
        row(["no fire left alone in them", f"{alone:.0f} s", _yes(alone == 0)]),
    ]


def _at_most(words: str, found: Figure, limit: float) -> str:
    return _aim(f"{words} at most", found, limit, found.value <= limit)


def _at_least(words: str, found: Figure, limit: float) -> str:
    return _aim(f"{words} at least", found, limit, found.value >= limit)


def _aim(words: str, found: Figure, limit: float, reached: bool) -> str:
    percent = f"{100.0 * limit:g} %"
    return row([f"{words} {percent}", _percent(found), _yes(reached)])


def _percent(found: Figure) -> str:
    return interval(found, " %", 100, 1)


def _turned(found: Figure) -> Figure:
    return Figure(-found.value, -found.high, -found.low, -found.draws)


def _yes(reached: bool) -> str:
    return "yes" if reached else "**no**"
