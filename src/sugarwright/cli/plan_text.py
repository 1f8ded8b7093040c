"""A plan in words, in 80 columns: what to do, what to expect, what may happen instead."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_action_text import action_lines, stops_alone
from sugarwright.cli.plan_broken_text import broken_entries
from sugarwright.cli.plan_if_text import change_text, idle_text, limit_entries, next_entries
from sugarwright.cli.plan_words import TANKS, Words, bare, entry, hanging, in_ten
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import Day, Morning, PlanReport, Range, Watch, Way
from sugarwright.units import DURATION, ENERGY, FLOW, TEMPERATURE, VOLUME, WOOD

WORTH_SAYING_USED = 0.05  # of sap's keeping time
SPREAD_S = 1800  # times closer than that are one time
_WATCHED = {
    "sap tank full": "sap tank full",
    "stock tank full": "stock tank full",
    "sap spoils": "sap spoils in its tank",
    "pan short of feed": "hot pan short of feed",
    "membrane stops alone": "membrane stops with nobody there to rinse it",
}


def plan_lines(report: PlanReport) -> Iterator[str]:
    """Yield the lines of a plan, none longer than 80 columns where words allow."""
    for paragraph in _paragraphs(report):
        yield from paragraph.split("\n")


def _paragraphs(report: PlanReport) -> Iterator[str]:
    words = Words(report)
    main = report.days[report.main_day]
    yield _title(words)
    yield from broken_entries(words)
    yield from _heading(words)
    yield ""
    yield from _to_do(words, main)
    yield from _later(words, main)
    yield from next_entries(words, main)
    yield ""
    yield _expected(words, main)
    for watch in report.watch:
        if watch.what == "membrane stops alone" and any(map(stops_alone, main.actions)):
            continue  # the action's own line says so
        yield entry("watch", _watched(words, watch))
    yield from _ifs(words, main)
    yield from limit_entries(words)
    yield _beside_habit(words)
    yield from _cautions(main)


_AS_GOOD = {
    "habit": "as you usually work: nothing found is better",
    "card": "by your rule card: nothing found is better",
    "before": "as planned before: nothing new gains more than a few dollars",
}


def _title(words: Words) -> str:
    begin = words.local(words.report.begin_s)
    day = f"{begin.strftime('%A')} {begin.day} {begin.strftime('%B %Y')}"
    return hanging("", f"{day}, {words.report.house}")


def _heading(words: Words) -> Iterator[str]:
    report, now = words.report, words.report.standing
    forecast = report.forecast_source or "a weather file"
    if report.forecast_issued_s is not None:
        forecast += f", forecast of {words.when(report.forecast_issued_s, report.begin_s)}"
        age_h = (report.begin_s - report.forecast_issued_s) / 3600.0
        forecast += f", {age_h:.0f} h old" if age_h >= 1.5 else ""
    yield entry("weather", forecast)
    for caution in report.forecast_cautions:
        yield entry("", caution)
    sap = _tank(words, "sap", now.sap_m3, now.sap_capacity_m3, now.sap_brix)
    if now.sap_life_used >= 1.0:
        sap += ", past its keeping"
    elif now.sap_life_used >= WORTH_SAYING_USED:
        sap += f", {now.sap_life_used:.0%} of its keeping used"
    tanks = [sap]
    if now.has_membrane:
        tanks.append(_tank(words, "stock", now.stock_m3, now.stock_capacity_m3, now.stock_brix))
        tanks.append(_tank(words, "permeate", now.permeate_m3, now.permeate_capacity_m3, 0.0))
    tanks.append(f"wood {words.show(now.wood_m3, WOOD)}")
    yield entry(f"at {words.clock(report.begin_s)}", "; ".join(tanks))
    if now.read_s is not None:
        when = words.when(int(now.read_s), report.begin_s)
        yield entry("", f"run forward from your log; the sap tank was last read {when}")
    if report.whose in _AS_GOOD:
        yield entry("plan", _AS_GOOD[report.whose])
    if report.morning is not None:
        yield entry("until", _CARRIED_OUT[report.morning.carried_out])
        yield entry("morning", _morning(words, report.morning))


_CARRIED_OUT = {
    "before": "midnight today goes on by the plan kept",
    "habit": "midnight today goes on as you usually work: no plan of today is kept",
}


def _morning(words: Words, morning: Morning) -> str:
    """Say what the tanks are expected to show, and that another reading asks for another plan."""
    tanks = [_will_show(words, "sap", morning.sap_m3, morning.sap_brix)]
    if words.report.standing.has_membrane:
        tanks.append(_will_show(words, "stock", morning.stock_m3, morning.stock_brix))
        tanks.append(_will_show(words, "permeate", morning.permeate_m3, None))
    at = words.when(morning.time_s, words.report.begin_s)
    return f"taken to be at {at}: {'; '.join(tanks)}. Outside of these, plan again then"


def _will_show(words: Words, name: str, held: Range, brix: Range | None) -> str:
    strength = f", {brix.middle:.1f} Brix" if brix is not None and brix.middle > 0.0 else ""
    return f"{name} {words.about(held, VOLUME, 0)}{strength}"


def _tank(words: Words, name: str, held_m3: float, capacity_m3: float, brix: float) -> str:
    held, rim = words.volume(held_m3, 0), words.volume(capacity_m3, 0)
    strength = f", {brix:.1f} Brix" if brix > 0.0 and held_m3 > 0.0 else ""
    return f"{name} {bare(held)} of {rim}{strength}"


def _to_do(words: Words, main: Day) -> Iterator[str]:
    today = words.report.days[0]
    if words.report.morning is not None and main.actions:
        yield f"{words.day(main.begin_s)}:"
    elif main is not today or not main.actions:
        yield "Nothing to do today."
        if today.idle is not None:
            yield hanging("", idle_text(words, today.idle))
        if not main.actions:
            return
        yield f"{words.day(main.begin_s)}:"
    for number, action in enumerate(main.actions, 1):
        yield from action_lines(words, number, action)


def _later(words: Words, main: Day) -> Iterator[str]:
    """Say the days after in a line each: they will be planned anew."""
    days = [day for day in words.report.days if day.begin_s > main.begin_s and day.actions]
    if days:
        yield ""
    for day in days:
        label = words.day(day.begin_s)[:3].lower()
        yield entry(label, _briefly(words, day))
    if days:
        yield entry("", "(the days after are planned anew each morning)")


_NOT_BRIEF = (
    "let the fire go", "light the fire again", "membrane on again", "again through the membrane",
    "membrane at need", "fire at need",
)  # fmt: skip


def _briefly(words: Words, day: Day) -> str:
    parts = []
    for action in day.actions:
        if action.kind in _NOT_BRIEF:
            continue
        text = f"{words.clock(action.time_s)} {action.kind}"
        if action.flow_m3_s is not None:
            text += f" at {words.show(action.flow_m3_s, FLOW)}"
        parts.append(text)
    return "; ".join(parts)


def _expected(words: Words, day: Day) -> str:
    parts = ["no syrup"]
    if day.syrup_m3.high > 0.0:
        parts = [f"{words.about(day.syrup_m3, VOLUME, 1)} of syrup"]
    if day.fire_s.high > 0.0:
        parts.append(f"{words.about(day.fire_s, DURATION)} at the fire")
        parts.append(f"{words.show(day.wood_m3.middle, WOOD, 2)} of wood")
    if day.permeate_m3.high > 0.0:
        parts.append(f"{words.about(day.permeate_m3, VOLUME, 0)} of permeate")
    if day.energy_j.middle > 0.0:
        parts.append(f"{words.show(day.energy_j.middle, ENERGY)} of power")
    parts.append(f"{words.about(day.sap_m3, VOLUME, 0)} of sap to come")
    air = f"air {words.show(day.low_c, TEMPERATURE)} to {words.show(day.high_c, TEMPERATURE)}"
    today = day is words.report.days[0]
    return entry(
        "today" if today else words.day(day.begin_s)[:3].lower(), ", ".join(parts) + f"; {air}"
    )


def _watched(words: Words, watch: Watch) -> str:
    text = f"{_WATCHED[watch.what]}: {in_ten(watch.probability)}"
    if watch.time_s is None:
        return text
    text += f", about {words.day(watch.time_s)} {words.clock(watch.time_s)}"
    if watch.early_s is not None and watch.early_s < watch.time_s - SPREAD_S:
        text += f", hardly before {words.when(watch.early_s, watch.time_s)}"
    return text


def _ifs(words: Words, main: Day) -> Iterator[str]:
    """Say what would change the plan, in readings that a person can check."""
    for action in main.actions:
        if action.trigger is not None and action.latest_s and action.kind == "light the fire":
            level = words.volume(action.trigger.at_least_m3, 0)
            tank, latest = TANKS[action.trigger.tank], words.clock(action.latest_s)
            yield entry("if", f"{tank} is under {level} at {latest}: no fire that day")
    for change in words.report.changes:
        yield entry("if", change_text(words, change))
    if main.actions and not words.report.changes:
        yield entry("if", "a tank stands far from what this says: plan again")


def _beside_habit(words: Words) -> str:
    plan, habit = words.report.plan, words.report.habit
    gain = plan.money.net - habit.money.net
    return entry(
        "habit",
        f"your usual way to {words.day(words.report.end_s)}: {_way(words, habit)}; "
        f"this plan: {_way(words, plan)}, worth {_gain(words, gain)} by your prices with what is "
        "left in the tanks",
    )


def _gain(words: Words, gain: float) -> str:
    if abs(gain) < 1.0:
        return "as much"
    return f"{words.money(abs(gain))} {'more' if gain > 0.0 else 'less'}"


def _way(words: Words, way: Way) -> str:
    if way.syrup_m3 <= 0.0 and way.fire_s <= 0.0:
        return "no syrup, no fire"
    return f"{words.volume(way.syrup_m3)} of syrup, {words.show(way.fire_s, DURATION)} at the fire"


def _cautions(main: Day) -> Iterator[str]:
    keys = dict.fromkeys(action.caution for action in main.actions if action.caution)
    if keys:
        yield ""
    for key in keys:
        yield hanging("!  ", CAUTIONS[key])
