"""Where a number of a plan comes from, in words and a table of hours."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_words import Words, entry, hanging
from sugarwright.planning.explain import Explanation, Hour, MoneyLine
from sugarwright.planning.report import PlanReport
from sugarwright.units import DURATION, ENERGY, MONEY, VOLUME, WOOD, Kind

_KINDS = {
    "syrup": VOLUME, "hours": DURATION, "wood": WOOD, "power": ENERGY, "permeate": VOLUME,
}  # fmt: skip
_SUMMED = {
    "syrup": "syrup drawn from the pan",
    "hours": "time at a lit pan",
    "wood": "wood burnt, with what lighting takes",
    "power": "electricity of pumps, membrane and blower",
    "permeate": "permeate that the membrane made",
}
_LINES = {
    "syrup": "syrup drawn", "hours": "hours of people", "wood": "wood", "power": "power",
    "washes": "washes, done and due", "light_ups": "light-ups", "left": "left in tanks and pan",
    "crowding": "charge for a crowded sap tank", "net": "net",
}  # fmt: skip


def explanation_lines(report: PlanReport, found: Explanation) -> Iterator[str]:
    """Yield the lines of an explanation, none longer than 80 columns where words allow.

    Parameters
    ----------
    report, found : of one plan
    """
    words = Words(report)
    for paragraph in _paragraphs(words, found):
        yield from paragraph.split("\n")


def _paragraphs(words: Words, found: Explanation) -> Iterator[str]:
    if found.of == "action":
        yield from _action(words, found)
    elif found.of == "money":
        yield hanging("", f"Worth of the plan to {_end(words)}, mean of {_count(found)} weathers:")
        yield from _money(words, found.money, "plan", "usual way")
    elif found.of == "full":
        yield from _full(words, found)
    else:
        yield from _amount(words, found)
    yield ""
    yield from _table(words, found)


def _amount(words: Words, found: Explanation) -> Iterator[str]:
    kind = _KINDS[found.of]
    yield hanging(
        "",
        f"{_SUMMED[found.of].capitalize()}, summed over all five-minute steps to {_end(words)}: "
        f"{words.show(found.mean, kind)} in the mean of {_count(found)} weathers, "
        f"{words.show(min(_known(found)), kind)} to {words.show(max(_known(found)), kind)}.",
    )
    for day, value in zip(words.report.days, found.by_day, strict=True):
        yield entry(words.day(day.begin_s)[:3].lower(), words.about(value, kind))
    if found.forecast_amount is not None:
        amount = words.show(found.forecast_amount, kind)
        yield hanging("", f"Under the forecast itself {amount}, which are these hours:")


def _full(words: Words, found: Explanation) -> Iterator[str]:
    times = sorted(_known(found))
    yield hanging(
        "", f"The sap tank gets full in {len(times)} of {_count(found)} weathers ({found.mean:.0%})"
        f" by {_end(words)}{':' if times else '.'}"
    )  # fmt: skip
    if times:
        yield hanging("  ", ", ".join(f"{words.day(t)[:3]} {words.clock(t)}" for t in times))
    yield "Under the forecast itself:"


def _action(words: Words, found: Explanation) -> Iterator[str]:
    wins = sum(gain > 0.0 for gain in _known(found))
    yield hanging(
        "",
        f"Action {found.number}, {found.kind}: the plan with it and without it, all else the same, "
        f"in {_count(found)} weathers. It gains in {wins} of them, "
        f"{words.money(min(_known(found)))} to {words.money(max(_known(found)))}; in the mean:",
    )
    yield from _money(words, found.money, "with", "without")


def _money(words: Words, lines: tuple[MoneyLine, ...], one: str, other: str) -> Iterator[str]:
    yield f"  {'':<30}{one:>14}{other:>14}{'difference':>14}"
    for line in lines:
        cells = (line.plan_money, line.other_money, line.plan_money - line.other_money)
        shown = "".join(f"{words.show(cell, MONEY, 2):>14}" for cell in cells)
        yield f"  {_LINES[line.name]:<30}{shown}"


def _table(words: Words, found: Explanation) -> Iterator[str]:
    """The hours of the day told of; all are in the JSON."""
    day = words.report.days[words.report.main_day]
    compared = found.of == "action"
    heads = ["until", "sap", "stock", *(["sap without", "stock without"] if compared else [])]
    heads += ["permeate", "runs"] if not compared else ["runs"]
    kind = _KINDS.get(found.of)
    if kind is not None:
        heads.insert(1, found.of)
    *cells, last = heads
    yield "".join(f"{head:>14}" if k else f"{head:<7}" for k, head in enumerate(cells)) + (
        f"  {last}"
    )
    for hour in found.hours:
        if day.begin_s < hour.time_s <= day.end_s:
            yield _row(words, hour, kind, compared)


def _row(words: Words, hour: Hour, kind: Kind | None, compared: bool) -> str:
    cells = []
    if kind is not None:
        amount = hour.amount or 0.0
        cells = [words.volume(amount, 2) if kind is VOLUME else words.show(amount, kind)]
    cells += [words.volume(hour.sap_m3, 0), words.volume(hour.stock_m3, 0)]
    if compared:
        cells += [words.volume(each or 0.0, 0) for each in (hour.other_sap_m3, hour.other_stock_m3)]
    else:
        cells.append(words.volume(hour.permeate_m3, 0))
    runs = ["membrane"] * hour.membrane_on + ["fire"] * hour.fire_on
    line = f"{words.clock(hour.time_s):<7}" + "".join(f"{cell:>14}" for cell in cells)
    return f"{line}  {', '.join(runs)}".rstrip()


def _known(found: Explanation) -> list[float]:
    return [each for each in found.by_weather if each is not None]


def _count(found: Explanation) -> int:
    return len(found.by_weather)


def _end(words: Words) -> str:
    end_s = words.report.end_s
    return f"{words.day(end_s)} {words.clock(end_s)}"
