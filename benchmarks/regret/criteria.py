"""What the planner was set to reach, and whether it does, house by house."""

from __future__ import annotations

from statistics import mean

from .figures import Regret, difference, regret
from .known import Known, common, interval, nets

COUNTS = 0.05  # of the habit's net that perfect weather must bring for a house to count
LOST_MEAN, LOST_EACH = 0.04, 0.06
SHARE_MEAN, SHARE_EACH = 0.75, 0.65
BETTER = 0.95
NOT_WORSE = 0.01
LATE = 0.03
STABLE = 0.003


def verdicts(known: Known, houses: list[str], seasons: list[str]) -> str:
    """Return the table of regrets, and each aim with its figure."""
    lines = [
        "### Regret of the planner with forecasts (plan) against perfect weather",
        "",
        "| house | seasons | perfect over habit | regret | share of the gain | beats habit in | "
        "worst against habit |",
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    found: dict[str, Regret] = {}
    for house in houses:
        here = common(known, house, ["habit", "perfect", "plan"], seasons)
        if here:
            each = regret(*(nets(known, house, m, here) for m in ("habit", "perfect", "plan")))
            found[house] = each
            lines.append(
                f"| {house} | {each.seasons} | {interval(each.gain, ' %', 100, 1)} | "
                f"{interval(each.lost, ' %', 100, 1)} | {interval(each.share, ' %', 100)} | "
                f"{100 * each.better:.0f} % | {each.worst_money:,.0f} |"
            )
    return "\n".join([*lines, "", *_aims(known, found, houses, seasons)])


def _aims(
    known: Known, found: dict[str, Regret], houses: list[str], seasons: list[str]
) -> list[str]:
    counting = {house: each for house, each in found.items() if each.gain.value > COUNTS}
    lines = ["| aim | figure | reached |", "|---|---:|---|"]
    if counting:
        lost = [each.lost.value for each in counting.values()]
        share = [each.share.value for each in counting.values()]
        better = [each.better for each in counting.values()]
        count = sum(each.seasons for each in counting.values())
        in_all = sum(each.better * each.seasons for each in counting.values()) / count
        lines += [
            _aim(f"mean regret at most {LOST_MEAN:.0%}", mean(lost), mean(lost) <= LOST_MEAN),
            _aim(f"regret in each at most {LOST_EACH:.0%}", max(lost), max(lost) <= LOST_EACH),
            _aim(
                f"mean share of the gain at least {SHARE_MEAN:.0%}",
                mean(share), mean(share) >= SHARE_MEAN,
            ),
            _aim(f"share in each at least {SHARE_EACH:.0%}", min(share), min(share) >= SHARE_EACH),
            _aim(
                f"better than habit in at least {BETTER:.0%} of {count} seasons",
                in_all, in_all >= BETTER,
            ),
            _aim(
                "the same in the house with the fewest such seasons (more than was asked)",
                min(better), min(better) >= BETTER,
            ),
        ]  # fmt: skip
    for house in set(found) - set(counting):
        worse = -found[house].over_habit.value
        lines.append(
            _aim(f"{house}: not worse than habit by {NOT_WORSE:.0%}", worse, worse <= NOT_WORSE)
        )
    lines += _paired(known, houses, seasons, "late", "plan", "lateness costs", LATE)
    lines += _paired(
        known, houses, seasons, "perfect", "perfect-twice", "twice the search adds", STABLE
    )
    lines += _dry(known)
    return lines


def _paired(
    known: Known, houses: list[str], seasons: list[str], worse: str, better: str, words: str,
    limit: float,
) -> list[str]:  # fmt: skip
    """Mean loss of one method against another in the mean over houses, as a part of the net."""
    lines = []
    for house in houses:
        here = common(known, house, [worse, better], seasons)
        if here:
            first, second = nets(known, house, worse, here), nets(known, house, better, here)
            apart = difference(second, first).value / max(abs(float(second.mean())), 1e-9)
            words_here = f"{house}: {words} at most {limit:.1%} ({len(here)} seasons)"
            lines.append(
                _aim(words_here, apart, abs(apart) <= limit if limit == STABLE else apart <= limit)
            )
    return lines


def _dry(known: Known) -> list[str]:
    worked = [each for each in known.values() if each.lines_money]
    dry = sum(each.dry_pans for each in worked)
    alone = sum(each.alone_s for each in worked)
    return [
        f"| no dry pan in {len(worked)} seasons of all methods | {dry:.0f} | {_yes(dry == 0)} |",
        f"| no fire left alone in them | {alone:.0f} s | {_yes(alone == 0)} |",
    ]


def _aim(words: str, value: float, reached: bool) -> str:
    return f"| {words} | {100.0 * value:.1f} % | {_yes(reached)} |"


def _yes(reached: bool) -> str:
    return "yes" if reached else "**no**"
