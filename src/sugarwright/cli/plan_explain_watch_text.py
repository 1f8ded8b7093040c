"""In which weathers something comes that a plan says may happen, and when, as lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import Watched
from sugarwright.saying.plan_watches import LEAST_LOST_M3, watch_text


def watched_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield each thing that may happen as the plan tells of it, and when it does by weather."""
    if not found.watched:
        yield hanging("", "Nothing that the plan watches for comes in one weather of twenty.")
        return
    yield hanging(
        "",
        "What may happen, the likeliest first: the plan has a line for few of these. Of each, when "
        "it first comes in each of the weathers in which it does; what runs dry is looked for "
        "every half hour:",
    )
    for each in sorted(found.watched, key=lambda each: -each.watch.probability):
        yield ""
        yield from _one(words, each)


def _one(words: Words, each: Watched) -> Iterator[str]:
    times = [time_s for time_s in each.by_weather if time_s is not None]
    yield hanging("", watch_text(words, each.watch))
    count = f"in {len(times)} of {len(each.by_weather)} weathers ({each.watch.probability:.0%})"
    yield hanging("  ", f"{count}: {times_text(words, times)}" if times else f"{count}.")
    lost = sorted(lost_m3 for lost_m3 in each.lost_m3 if lost_m3 is not None)
    if lost and lost[-1] > LEAST_LOST_M3:
        amounts = ", ".join(words.volume(lost_m3, 0) for lost_m3 in lost)
        told = amounts if lost[0] < lost[-1] else f"{words.volume(lost[0], 0)} in each"
        yield hanging("  ", f"lost then, the least first: {told}")


def times_text(words: Words, times: Iterable[float]) -> str:
    """Return times in order, each with its day, and in how many weathers where in several."""
    told = Counter(f"{words.day(each)[:3]} {words.clock(each)}" for each in sorted(times))
    return ", ".join(f"{at} (in {n})" if n > 1 else at for at, n in told.items())
