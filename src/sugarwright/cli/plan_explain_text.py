"""Where a number of a plan comes from, in words and a table of hours."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_explain_if_text import if_lines
from sugarwright.cli.plan_explain_money_text import LEAST_MONEY, money_table, more_lines
from sugarwright.cli.plan_explain_steps_text import made_lines, start_lines, step_lines
from sugarwright.cli.plan_explain_watch_text import times_text, watched_lines
from sugarwright.cli.plan_explain_work_text import work_lines
from sugarwright.cli.plan_words import Words, entry, hanging
from sugarwright.planning.action import Action
from sugarwright.planning.explain import SUMMED, TIMES
from sugarwright.planning.explanation import Explanation, Hour
from sugarwright.planning.report import PlanReport, Range
from sugarwright.saying.plan_reasons import few_text, left_out_text
from sugarwright.units import DURATION, ENERGY, VOLUME, WOOD, Kind

_MIDDLES = (
    "Of each day the middle of the weathers, and what eight of ten lie between; middles do not add "
    "up to a mean"
)
_KINDS = {
    "syrup": VOLUME, "sap": VOLUME, "permeate": VOLUME, "lost": VOLUME, "stock": VOLUME,
    "hours": DURATION, "wood": WOOD, "power": ENERGY,
}  # fmt: skip
_SUMMED = {
    "syrup": "syrup drawn from the pan",
    "draws": "draws of syrup from the pan",
    "sap": "sap that comes from the trees",
    "lost": "sap and concentrate that run over, or spoil and are dumped",
    "hours": "time at a lit pan",
    "wood": "wood burnt, with what lighting takes",
    "power": "electricity of pumps, membrane and blower",
    "permeate": "permeate that the membrane made",
}
_HAPPENS = {
    "full": "the sap tank gets full",
    "stock full": "the stock tank gets full",
    "spoil": "sap or concentrate spoils",
}


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
    yield from _SAYS.get(found.of, _amount)(words, found)
    if found.hours:
        yield ""
        yield from _table(words, found)


def _worth(words: Words, found: Explanation) -> Iterator[str]:
    yield hanging("", f"Worth of the plan to {_end(words)}, mean of {_count(found)} weathers:")
    yield from money_table(words, found.money, "plan", "usual way")


def _habit(words: Words, found: Explanation) -> Iterator[str]:
    yield hanging(
        "",
        f"The plan beside your usual way to {_end(words)}, both run in the same "
        f"{_count(found)} weathers. {_wins(words, found)}",
    )
    yield from money_table(words, found.money, "plan", "usual way")


def _amount(words: Words, found: Explanation) -> Iterator[str]:
    known = _known(found)
    yield hanging(
        "",
        f"{_SUMMED[found.of].capitalize()}, summed over all five-minute steps to {_end(words)}: "
        f"{_said(words, found.of, found.mean)} in the mean of {_count(found)} weathers"
        f"{few_text(found.few_weathers, _count(found))}, {_said(words, found.of, found.middle)} in "
        f"the middle one, {_said(words, found.of, min(known))} to "
        f"{_said(words, found.of, max(known))}. {_MIDDLES}:",
    )
    yield from _days(words, found)
    if found.forecast_amount is not None:
        amount = _said(words, found.of, found.forecast_amount)
        yield hanging("", f"Under the forecast itself {amount}, which are these hours:")


def _stock(words: Words, found: Explanation) -> Iterator[str]:
    now, known = words.report.standing, _known(found)
    yield hanging(
        "",
        f"The stock tank begins with {words.volume(now.stock_m3, 0)}. At {_end(words)} it holds "
        f"{words.volume(found.mean or 0.0, 0)} in the mean of {_count(found)} weathers"
        f"{few_text(found.few_weathers, _count(found))}, {words.volume(found.middle or 0.0, 0)} in "
        f"the middle one, {words.volume(min(known), 0)} to {words.volume(max(known), 0)}. At the "
        "end of each day, the middle of the weathers, and what eight of ten lie between:",
    )
    yield from _days(words, found)
    yield "Under the forecast itself, as the trace stands at the end of each hour:"


def _days(words: Words, found: Explanation) -> Iterator[str]:
    for day, value in zip(words.report.days, found.by_day, strict=True):
        yield entry(words.day(day.begin_s)[:3].lower(), _about(words, found.of, value))


def _said(words: Words, of: str, value: float | None) -> str:
    """Return an amount of what is explained; draws are counted."""
    kind = _KINDS.get(of)
    if kind is None:
        return f"{value or 0.0:.1f}"
    return words.volume(value or 0.0) if kind is VOLUME else words.show(value or 0.0, kind)


def _about(words: Words, of: str, value: Range) -> str:
    kind = _KINDS.get(of)
    if kind is None:
        return f"{value.middle:.0f} ({value.low:.0f} to {value.high:.0f})"
    return words.about(value, kind)


def _time(words: Words, found: Explanation) -> Iterator[str]:
    times = sorted(_known(found))
    happens = _HAPPENS[found.of]
    yield hanging(
        "", f"{happens[0].upper()}{happens[1:]} in {len(times)} of {_count(found)} weathers "
        f"({found.mean:.0%}) by {_end(words)}{':' if times else '.'}"
    )  # fmt: skip
    if times:
        yield hanging("  ", times_text(words, times))
    yield "Under the forecast itself:"


def _brix(words: Words, found: Explanation) -> Iterator[str]:
    yield hanging(
        "",
        "What the membrane makes is read off its operating map, at the sap and the state of the "
        "membrane as the run's trace has them where it begins: the sugar that goes in comes out "
        "in the concentrate, but for what leaks through.",
    )
    yield from made_lines(words, found)


def _slack(words: Words, found: Explanation) -> Iterator[str]:
    yield hanging(
        "",
        "Each start of today and tomorrow at every other time that there is for it, all else the "
        "same; whoever waits for such a time lets a full tank wait as well. What that costs in "
        "the mean of the weathers in which all figures of the plan are told:",
    )
    yield from start_lines(words, found)


def _action(words: Words, found: Explanation) -> Iterator[str]:
    name = f"Action {found.number}, {found.kind}"
    if found.mean is None:
        yield hanging(
            "", f"{name}: no choice of its own, it follows from the others. It is read from the "
            "run under the forecast, at these steps of five minutes:"
        )  # fmt: skip
    elif found.call_m3 is not None and _changes_nothing(found):
        level = words.show(found.call_m3, VOLUME)
        yield hanging(
            "", f"{name}: its hour left out, a tank with {level} calls for it all the same, and "
            "nothing changes. It is that call which counts. Its times are read from the run under "
            "the forecast, at these steps:"
        )  # fmt: skip
    else:
        yield hanging("", f"{name}: {_beside(words, found)} {_wins(words, found)}")
        yield from money_table(words, found.money, "with", "without")
        if found.call_m3 is not None and not found.of_day:
            level = words.show(found.call_m3, VOLUME)
            yield hanging("", f"Without its hour, a tank with {level} still calls for it.")
        yield ""
        yield "Its times are read from the run under the forecast, at these steps:"
    yield from step_lines(words, found)


def _beside(words: Words, found: Explanation) -> str:
    """Return what the plan is set beside: itself without the action, or without its machine."""
    weathers = f"all else the same, in {_count(found)} weathers."
    if not found.of_day:
        return f"the plan with it and without it, {weathers}"
    left_out = left_out_text(words, _acted(words, found), of_day=True)
    level = "" if found.call_m3 is None else words.show(found.call_m3, VOLUME)
    if found.again:
        call = f", and the call of a tank with {level}" if level else ""
        return (
            "it runs more than once that day, and all its runs hang on this start. So all are left "
            f"out here{call}: the plan as it is, and without {left_out}, {weathers}"
        )
    return (
        f"its hour left out, a tank with {level} calls for it all the same, and hardly anything "
        f"changes. So call and hour are both left out here: the plan as it is, and without "
        f"{left_out}, {weathers}"
    )


def _acted(words: Words, found: Explanation) -> Action:
    return words.report.days[words.report.main_day].actions[(found.number or 1) - 1]


def _changes_nothing(found: Explanation) -> bool:
    gains = (line.plan_money - line.other_money for line in found.money)
    return not any(abs(gain) >= LEAST_MONEY for gain in gains)


def _wins(words: Words, found: Explanation) -> str:
    known = _known(found)
    return (
        f"It gains in {sum(gain > 0.0 for gain in known)} of them, {words.money(min(known))} to "
        f"{words.money(max(known))}; in the mean{few_text(found.few_weathers, _count(found))}:"
    )


def _table(words: Words, found: Explanation) -> Iterator[str]:
    """The hours of the day told of; all are in the JSON."""
    day = words.report.days[words.report.main_day]
    compared = any(hour.other_sap_m3 is not None for hour in found.hours)
    other = "usual" if found.of == "habit" else "without"
    heads = ["until", "sap", "stock", *([f"sap {other}", f"stock {other}"] if compared else [])]
    heads += ["permeate", "runs"] if not compared else ["runs"]
    summed = found.of in SUMMED
    if summed:
        heads.insert(1, "to come" if found.of == "sap" else found.of)
    *cells, last = heads
    yield "".join(f"{head:>14}" if k else f"{head:<7}" for k, head in enumerate(cells)) + (
        f"  {last}"
    )
    for hour in found.hours:
        if day.begin_s < hour.time_s <= day.end_s:
            yield _row(words, hour, found.of if summed else "", compared)


def _row(words: Words, hour: Hour, summed: str, compared: bool) -> str:
    cells = []
    if summed:
        kind, amount = _KINDS.get(summed), hour.amount or 0.0
        cells = [words.volume(amount, 2) if kind is VOLUME else _hourly(words, amount, kind)]
    cells += [words.volume(hour.sap_m3, 0), words.volume(hour.stock_m3, 0)]
    if compared:
        cells += [words.volume(each or 0.0, 0) for each in (hour.other_sap_m3, hour.other_stock_m3)]
    else:
        cells.append(words.volume(hour.permeate_m3, 0))
    runs = ["membrane"] * hour.membrane_on + ["fire"] * hour.fire_on
    line = f"{words.clock(hour.time_s):<7}" + "".join(f"{cell:>14}" for cell in cells)
    return f"{line}  {', '.join(runs)}".rstrip()


def _hourly(words: Words, amount: float, kind: Kind | None) -> str:
    return f"{amount:.0f}" if kind is None else words.show(amount, kind)


def _known(found: Explanation) -> list[float]:
    return [each for each in found.by_weather if each is not None]


def _count(found: Explanation) -> int:
    return len(found.by_weather)


def _end(words: Words) -> str:
    end_s = words.report.end_s
    return f"{words.day(end_s)} {words.clock(end_s)}"


_SAYS = {
    "action": _action, "money": _worth, "habit": _habit, "stock": _stock, "brix": _brix,
    "slack": _slack, "more": more_lines, "work": work_lines, "watch": watched_lines, "if": if_lines,
    **dict.fromkeys(TIMES, _time),
}  # fmt: skip
