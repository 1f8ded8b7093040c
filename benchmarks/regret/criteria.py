"""What the planner was set to reach, and whether it does."""

from __future__ import annotations

from collections.abc import Mapping

from .figures import Figure, Regret, loss, mean_of
from .known import Known, common, interval, nets
from .markdown import head, row

COUNTS = 0.05  # of the habit's net that perfect weather must bring for a house to count
LOST_MEAN, LOST_EACH = 0.04, 0.06
SHARE_MEAN, SHARE_EACH = 0.75, 0.65
BETTER = 0.95
NOT_WORSE = 0.01
LATE = 0.03
STABLE = 0.003


def aims(known: Known, regrets: Mapping[str, Regret], houses: list[str], seasons: list[str]) -> str:
    """Each aim with its figure, as a table.

    Parameters
    ----------
    known : outcomes
    regrets : of the planner with forecasts, by house
    houses, seasons : that are told of
    """
    lines = head(["aim", "figure", "reached"])
    counting = [each for each in regrets.values() if each.gain.value > COUNTS]
    if counting:
        lost, share = [each.lost for each in counting], [each.share for each in counting]
        lines += [
            _at_most("mean regret", mean_of(lost), LOST_MEAN),
            _at_most("regret in each", max(lost, key=_value), LOST_EACH),
            _at_least("mean share of the gain", mean_of(share), SHARE_MEAN),
            _at_least("share in each", min(share, key=_value), SHARE_EACH),
            *_better(counting),
        ]
    lines += [
        _at_most(f"{house}: worse than habit", _turned(each.over_habit), NOT_WORSE)
        for house, each in regrets.items()
        if each not in counting
    ]
    late = _losses(known, houses, seasons, "plan", "late")
    lines += [_at_most(f"{who}lateness costs", each, LATE) for who, each in late.items()]
    twice = _losses(known, houses, seasons, "perfect-twice", "perfect")
    lines += [
        _aim(f"{who}twice the search adds at most", each, STABLE, abs(each.value) <= STABLE)
        for who, each in twice.items()
    ]
    return "\n".join([*lines, *_safe(known)])


def _better(counting: list[Regret]) -> list[str]:
    better, counts = [each.better for each in counting], [each.seasons for each in counting]
    fewest = "the same in the house with the fewest such seasons (more than was asked)"
    return [
        _at_least(
            f"better than habit, of {sum(counts)} seasons in", mean_of(better, counts), BETTER
        ),
        _at_least(fewest, min(better, key=_value), BETTER),
    ]


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
    return row([f"{words} {percent}", interval(found, " %", 100, 1), _yes(reached)])


def _value(found: Figure) -> float:
    return found.value


def _turned(found: Figure) -> Figure:
    return Figure(-found.value, -found.high, -found.low, -found.draws)


def _yes(reached: bool) -> str:
    return "yes" if reached else "**no**"
