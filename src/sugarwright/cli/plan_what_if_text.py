"""The plan as things are and the plans if they were otherwise, side by side, in words and money."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sugarwright.cli.plan_words import Words, entry, hanging
from sugarwright.planning.action import Action
from sugarwright.planning.report import PlanReport
from sugarwright.planning.suppositions import Forced, Price, Reading, Supposition, Warmer
from sugarwright.planning.what_if import IfPlan, WhatIf, is_forced
from sugarwright.plant.special_hours import Outage, Presence
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_found import HURRIED
from sugarwright.units import (
    BRIX,
    DURATION,
    FRACTION,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    WOOD,
)

LEAST_MONEY = 3.0  # a difference that the search may well miss
WASHING_S = 2 * 3600  # within which a wash before is what keeps the membrane (judgement)
LATER_S = 1200  # after its clock time, as in a plan's own lines
FIRST, CELL = 20, 15
_TOLD = (
    "gather sap", "membrane on", "membrane runs on", "again through the membrane",
    "light the fire", "keep the fire", "let the fire go now", "let the fire go",
    "stay with the pan",
    "wash the membrane", "drain before the frost",
    "dump what has spoiled", "membrane at need", "fire at need",
    "stop the membrane", "rinse the membrane",
)  # fmt: skip
_UNSURE = {"dump what has spoiled": "", "wash the membrane": ", if due"}  # beside a tank's feed
_WHAT = {"membrane runs on": "membrane on", "keep the fire": "light the fire",
         "let the fire go now": "let the fire go",
         "again through the membrane": "stock again through",
         "drain before the frost": "drain before frost"}  # fmt: skip


def what_if_lines(found: WhatIf) -> Iterator[str]:
    """Yield the lines of a comparison, none longer than 80 columns where words allow."""
    for paragraph in _paragraphs(found):
        yield from paragraph.split("\n")


def _paragraphs(found: WhatIf) -> Iterator[str]:
    words = Words(found.today)
    begin = words.local(found.today.begin_s)
    yield hanging(
        "", f"{begin.strftime('%A')} {begin.day} {begin.strftime('%B %Y')}, {found.today.house}: "
        f"the plan from {begin.strftime('%H:%M')}, and if"
    )  # fmt: skip
    for number, each in enumerate(found.ifs, 1):
        yield entry(f"if {number}", "; ".join(told(words, thing) for thing in each.supposed))
    yield ""
    yield from _table(words, found)
    yield ""
    for number, each in enumerate(found.ifs, 1):
        yield entry(f"if {number}", _difference(words, found, each))
        yield from (entry("!", text) for text in broken_texts(Words(each.report)))
    if any(report.stopped_early for report in (found.today, *(each.report for each in found.ifs))):
        yield entry("plans", HURRIED)


def _table(words: Words, found: WhatIf) -> Iterator[str]:
    reports = [found.today, *(each.report for each in found.ifs)]
    heads = ["as it is", *(f"if {number}" for number in range(1, len(reports)))]
    yield _row("", heads)
    for what, cells in _actions(reports):
        yield _row(what, cells)
    ways = [report.plan for report in reports]
    yield _row("syrup", [words.volume(each.syrup_m3) for each in ways])
    yield _row("at the fire", [words.show(each.fire_s, DURATION) for each in ways])
    yield _row("hands in all", [words.show(each.work_s, DURATION) for each in ways])
    yield _row("wood", [words.show(each.wood_m3, WOOD, 2) for each in ways])
    yield _row("lost sap", [words.volume(each.lost_m3, 0) for each in ways])
    yield _row("worth", [words.money(each.money.net) for each in ways])
    gains = [_signed(words, each.difference_money) for each in found.ifs]
    yield _row("difference", ["", *gains])
    end = words.local(found.today.end_s)
    yield hanging(
        "", f"(clocks are those of {words.day(_begin(found.today))}; all else to "
        f"{end.strftime('%A %H:%M')}, worth by the prices of each with what is left in the tanks)"
    )  # fmt: skip


def _begin(report: PlanReport) -> int:
    return report.days[report.main_day].begin_s


def _row(what: str, cells: list[str]) -> str:
    return (f"{what:<{FIRST}}" + "".join(f"{cell:>{CELL}}" for cell in cells)).rstrip()


def _actions(reports: list[PlanReport]) -> Iterator[tuple[str, list[str]]]:
    """What is done on the day told of, a row for each sort of action that any of the plans has."""
    day = reports[0].main_day
    lists = [_by_kind(Words(report), report, day) for report in reports]
    for what in dict.fromkeys(_WHAT.get(kind, kind) for kind in _TOLD):
        cells = [each.get(what, "-") for each in lists]
        if any(cell != "-" for cell in cells):
            yield what, cells
    flows = [each.get("at", "-") for each in lists]
    if any(cell != "-" for cell in flows):
        yield "membrane set to", flows


def _by_kind(words: Words, report: PlanReport, day: int) -> dict[str, str]:
    found: dict[str, str] = {}
    for action in report.days[day].actions if day < len(report.days) else ():
        what = _WHAT.get(action.kind, action.kind)
        if action.kind in _TOLD and what not in found:
            found[what] = _clock(words, action)
            if what == "membrane on" and action.flow_m3_s is not None:
                found["at"] = words.valve(action.flow_m3_s)
    return found


def _clock(words: Words, action: Action) -> str:
    if action.kind.endswith("at need"):
        return "at need"
    expected_s = action.time_s if action.expected_s is None else action.expected_s
    starts = action.kind in ("membrane on", "light the fire")
    later = starts and expected_s > action.time_s + LATER_S
    clock = words.when(expected_s, action.time_s) if later else words.clock(action.time_s)
    if action.expected_s is not None or action.trigger is None:
        return clock
    return clock + _UNSURE.get(action.kind, ", if fed")


def _signed(words: Words, money: float) -> str:
    shown = words.money(abs(money))
    return shown if abs(money) < 0.5 else f"{'+' if money > 0.0 else '-'}{shown}"


def _difference(words: Words, found: WhatIf, each: IfPlan) -> str:
    """Say in a sentence what the thing supposed comes to."""
    money, plan, now = each.difference_money, each.report.plan, found.today.plan
    if abs(money) < LEAST_MONEY:
        text = "hardly any difference in money"
    elif money < 0.0:
        text = f"costs {words.money(-money)} (a loss in {_count(each.less_share, found)} weathers)"
    else:
        share = _count(1.0 - each.less_share, found)
        text = f"gains {words.money(money)} (a gain in {share} weathers)"
    parts = [text, *_more(words, plan.syrup_m3 - now.syrup_m3, VOLUME, "syrup", 2e-4)]
    parts += _more(words, plan.fire_s - now.fire_s, DURATION, "at the fire", 300.0)
    parts += _more(words, plan.lost_m3 - now.lost_m3, VOLUME, "sap lost", 0.01)
    text = ", ".join(parts) + _in_vain(each)
    if not is_forced(each.supposed):
        text += _unchanged(words, each)
    return text


_STARTS = {
    "light": ("light the fire", "keep the fire"),
    "membrane on": ("membrane on", "membrane runs on", "again through the membrane"),
    "wash": ("wash the membrane",),
    "gather": ("gather sap",),
}


def _in_vain(each: IfPlan) -> str:
    """Say of an action that is forced and does not come to pass, or only later, that it doesn't."""
    words, text = Words(each.report), ""
    for thing in each.supposed:
        if isinstance(thing, Forced) and thing.what in _STARTS and thing.value >= 0.0:
            kinds = _STARTS[thing.what]
            done_s = _expected_s(words, each.report, thing.day, kinds)
            if done_s is None:
                text += (
                    f'. There is no "{kinds[0]}" then: nobody is there and free long enough, or a '
                )
                text += "tank stays under its gauge"
            elif done_s > (forced_s := _forced_s(words, done_s, thing.value)) + LATER_S:
                text += f". It comes to that only at {words.clock(done_s)}: before, "
                text += _why_not_yet(each.report, forced_s, thing.what)
    return text


def _why_not_yet(report: PlanReport, at_s: float, what: str) -> str:
    """Why what is forced to an hour is not done then: what is known to keep it, else what may."""
    due = [each for day in report.days for each in day.actions if each.expected_s is not None]
    if any(e.kind == "gather sap" and e.time_s <= at_s < (e.until_s or 0) for e in due):
        return "whoever is there is fetching sap"
    washes = (e for e in due if e.kind == "wash the membrane")
    if what == "membrane on" and any(0 <= at_s - (e.expected_s or 0) < WASHING_S for e in washes):
        return "it is being washed"
    return "nobody is there, or a tank is under its gauge"


def _expected_s(words: Words, report: PlanReport, day: int, kinds: tuple[str, ...]) -> int | None:
    """When the first of some kinds of action on a day is expected; None where none is."""
    times = [
        action.expected_s
        for each in report.days
        for action in each.actions
        if action.kind in kinds
        and action.expected_s is not None
        and words.local(each.begin_s).toordinal() == day
    ]
    return min(times, default=None)


def _forced_s(words: Words, beside_s: int, minute: float) -> float:
    """UTC s of a local minute of the day that an instant falls in."""
    midnight = words.local(beside_s).replace(hour=0, minute=0, second=0, microsecond=0)
    hour, left = divmod(int(minute), 60)
    return midnight.replace(hour=hour, minute=left).timestamp()


def _count(share: float, found: WhatIf) -> str:
    return f"{round(share * found.today.weathers)} of {found.today.weathers}"


def _more(words: Words, more: float, kind: object, what: str, least: float) -> Iterator[str]:
    if abs(more) < least:
        return
    shown = words.show(abs(more), DURATION)
    if kind is VOLUME:
        shown = words.volume(abs(more), 1 if what == "syrup" else 0)
    yield f"{shown} {'more' if more > 0.0 else 'less'} {what}"


def _unchanged(words: Words, each: IfPlan) -> str:
    """Say what today's plan would come to if nobody changed it."""
    if each.unchanged_breaks:
        return (
            ". Today's plan must not be kept then: it would leave a hot pan without feed or alone"
        )
    lost = each.report.plan.money.net - each.unchanged.money.net
    if lost < LEAST_MONEY:
        return ". Today's plan is as good then as any other found"
    return f". Today's plan, kept as it is, would bring {words.money(lost)} less than that"


# --- what was supposed, as it was read -----------------------------------------------------------


def told(words: Words, thing: Supposition) -> str:
    """Say a supposition back, with its day and clock times as they were read."""
    if isinstance(thing, Presence):
        span = _span(words, thing.begin_s, thing.end_s)
        return f"{thing.person} {'there' if thing.there else 'away'} {span}"
    if isinstance(thing, Outage):
        return f"{_OUT[thing.machine]} {_span(words, thing.begin_s, thing.end_s)}"
    if isinstance(thing, Warmer):
        by = words.show(abs(thing.difference_k), TEMPERATURE_DIFFERENCE)
        return f"{by} {'warmer' if thing.difference_k > 0.0 else 'colder'} than forecast"
    if isinstance(thing, Price):
        return f"{_PRICED[thing.what][0]} {words.show(thing.value, _PRICED[thing.what][1], 2)}"
    if isinstance(thing, Reading):
        return _reading(words, thing)
    return _forced(words, thing)


_OUT = {"membrane": "no membrane", "pump": "no pump", "pan": "no fire"}
_PRICED = {
    "hour": ("an hour is worth", PRICE_PER_TIME),
    "syrup": ("syrup brings", PRICE_PER_VOLUME),
    "wood": ("wood costs", PRICE_PER_WOOD),
}


def _span(words: Words, begin_s: int, end_s: int) -> str:
    begin, end = words.local(begin_s), words.local(end_s)
    last = "24:00" if (end.hour, end.minute) == (0, 0) else end.strftime("%H:%M")
    before = words.local(end_s - 1)
    if before.date() != begin.date():
        last = f"{before.strftime('%A')} {last}"
    return f"{begin.strftime('%A %H:%M')} to {last}"


def _reading(words: Words, thing: Reading) -> str:
    if thing.what == "wood":
        return f"{words.show(thing.value, WOOD)} of wood"
    if thing.what == "condition":
        return f"membrane at {words.show(thing.value, FRACTION)} of its permeate"
    if thing.what.endswith("strength") or thing.what == "pan":
        name = "in the pan" if thing.what == "pan" else f"in the {thing.what.split()[0]} tank"
        return f"{words.show(thing.value, BRIX)} {name}"
    return f"{words.volume(thing.value, 0)} in the {thing.what} tank"


_DONE = {
    "light": "the fire lit", "let go": "the fire let go", "membrane on": "the membrane on",
    "membrane off": "the membrane off", "wash": "the wash",
    "gather": "trips for sap",
}  # fmt: skip


def _forced(words: Words, thing: Forced) -> str:
    day = date.fromordinal(thing.day).strftime("%A")
    if thing.what == "set":
        return f"the membrane set to {words.valve(thing.value)} on {day}"
    if thing.what == "night":
        if thing.value <= 0.0:
            return f"the membrane not overnight on {day}"
        return f"the membrane at {words.valve(thing.value)} in the night of {day}"
    if thing.value < 0.0:
        return f"no {'wash' if thing.what == 'wash' else 'trips for sap'} on {day}"
    hour, minute = divmod(int(thing.value), 60)
    return f"{_DONE[thing.what]} on {day} at {hour:02d}:{minute:02d}"
