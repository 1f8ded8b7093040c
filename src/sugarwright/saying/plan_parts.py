"""The parts of a plan in sentences: what it stands on, what to expect, what may happen, habit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sugarwright.planning.action import Action
from sugarwright.planning.beginning import Questioned
from sugarwright.planning.report import Day, Morning, Range, Way
from sugarwright.saying.plan_fire_ends import chance_text, if_stays_text
from sugarwright.saying.plan_membrane import may_have_stopped
from sugarwright.saying.plan_watches import LEAST_LOST_M3
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.weather import missed_text
from sugarwright.saying.words import bare, in_ten
from sugarwright.units import BRIX, DURATION, ENERGY, TEMPERATURE, VOLUME, WOOD

WORTH_SAYING_USED = 0.05  # of sap's keeping time
EMPTY_M3 = 0.002  # half a gallon: what is left on a tank's floor keeps nobody busy
LEAST_SYRUP_M3 = 2e-4  # less rounds to none
EVENING_H = 17
HARDLY_EVER = 0.1  # of the weathers: what a later day asks for in fewer is not worth a word today
LEAST_ENERGY_J = 3.6e5  # a tenth of a kWh: a pump that ran for a minute is not worth a word
_KINDS = {"volume": VOLUME, "brix": BRIX}
AS_GOOD = {
    "habit": "as you usually work: nothing found is better",
    "card": "by your rule card: nothing found is better",
    "before": "as planned before: nothing new gains more than a few dollars",
}
CARRIED_OUT = {
    "before": "midnight today goes on by the plan kept",
    "habit": "midnight today goes on as you usually work: no plan of today is kept",
}
_NOT_BRIEF = (
    "let the fire go", "let the fire go now", "stay with the pan", "light the fire again",
    "membrane on again", "again through the membrane", "membrane at need", "fire at need",
    "gather at need",
)  # fmt: skip


def forecast_text(words: Words) -> str:
    """Say on which forecast a plan stands, and how old that was."""
    report = words.report
    text = report.forecast_source or "a weather file"
    if report.forecast_issued_s is not None:
        text += f", forecast of {words.when(report.forecast_issued_s, report.begin_s)}"
        age_h = (report.begin_s - report.forecast_issued_s) / 3600.0
        text += f", {age_h:.0f} h old" if age_h >= 1.5 else ""
    missed = missed_text(report.forecast_missed_k, report.units)
    return f"{text}. {missed}" if missed else text


def standing_text(words: Words) -> str:
    """Say how the tanks stood when the plan began."""
    now = words.report.standing
    sap = _tank(words, "sap", now.sap_m3, now.sap_capacity_m3, now.sap_brix)
    if now.sap_m3 >= EMPTY_M3:
        sap += _keeping_text(now.sap_life_used)
    tanks = [sap]
    if now.has_membrane:
        tanks.append(_tank(words, "stock", now.stock_m3, now.stock_capacity_m3, now.stock_brix))
        tanks.append(_tank(words, "permeate", now.permeate_m3, now.permeate_capacity_m3, 0.0))
    tanks += [
        _tank(words, each.name, each.held_m3, each.capacity_m3, each.brix) for each in now.gathered
    ]
    if now.pan_brix is not None:
        tanks.append(f"pan {now.pan_brix:.1f} Brix" if now.pan_brix > 0.0 else "pan empty")
    tanks.append(f"wood {words.show(now.wood_m3, WOOD)}")
    running = ["the membrane runs"] * now.membrane_runs + ["the fire burns"] * now.fire_burns
    if now.fire_dies_s is not None:
        until = words.when(now.fire_dies_s, words.report.begin_s)
        running.append(f"the fire dies down: stay until about {until}")
    return "; ".join([*tanks, *running])


def _keeping_text(used: float) -> str:
    """How much of its keeping the sap has used up; empty where that is hardly any."""
    if used >= 1.0:
        return ", past its keeping"
    return f", {used:.0%} of its keeping used" if used >= WORTH_SAYING_USED else ""


def run_forward_text(words: Words) -> str:
    """Say when the sap tank was read from which the log was run forward; nothing without one."""
    read_s = words.report.standing.read_s
    if read_s is None:
        return ""
    when = words.when(int(read_s), words.report.begin_s)
    return f"run forward from your log; the sap tank was last read {when}"


def questioned_texts(words: Words) -> Iterator[str]:
    """Say which readings in the log are not believed, each with what to do about it."""
    for each in words.report.standing.questioned:
        kind = _KINDS.get(each.quantity)
        said, why = _reading(words, each), ""
        if kind is not None:
            low, high = words.show(each.expected_low, kind), words.show(each.expected_high, kind)
            why = f": by what was logged it would be {low} to {high}"
        yield f"not believed: {said}{why}. Read it again, log it, and plan again"


def questioned_message(words: Words) -> str:
    """Name the readings that are not believed in the few letters of a message; empty without."""
    said = [_reading(words, each) for each in words.report.standing.questioned]
    return f"Not believed, read again: {', '.join(said)}. " if said else ""


def _reading(words: Words, questioned: Questioned) -> str:
    kind = _KINDS.get(questioned.quantity)
    plain = "a reading" if kind is None else words.show(questioned.value, kind)
    at = words.when(questioned.at_s, words.report.begin_s)
    return f"{_place(questioned.place)} {questioned.typed or plain} at {at}"


def _place(place: str) -> str:
    return place.partition(":")[2] if ":" in place else place


def learnt_text(words: Words) -> str:
    """Say what of a plan rests on learnt values: "pan and wood as learnt on 15 March (version 4)".

    Parts that were learnt together are named together; "" where nothing was learnt.
    """
    groups: dict[str, list[str]] = {}
    for each in words.report.learnt:
        day, planned = words.local(each.learnt_s), words.local(words.report.begin_s)
        year = "" if day.year == planned.year else f" {day.year}"
        when = f"on {day.day} {day:%B}{year} (version {each.version})"
        groups.setdefault(when, []).append(each.name)
    said = [f"{_listed(names)} as learnt {when}" for when, names in groups.items()]
    return "; ".join(said)


def _listed(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def morning_text(words: Words, morning: Morning) -> str:
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


def tonight_text(words: Words) -> str:
    """Say as of when what a plan for tomorrow still asks for today is; empty without any."""
    if not words.report.tonight:
        return ""
    return "Tonight" if is_evening(words) else "Still today"


def is_evening(words: Words) -> bool:
    """Tell whether a plan begins in the evening: what it still asks for today is then little."""
    return words.local(words.report.begin_s).hour >= EVENING_H


def later_texts(words: Words, main: Day) -> Iterator[tuple[str, str]]:
    """Yield the days after one that ask for something at an hour: name, and that in a line."""
    for day in words.report.days:
        if day.begin_s > main.begin_s and (text := _brief_text(words, day)):
            yield words.day(day.begin_s), text


def _brief(day: Day) -> list[Action]:
    """Return what of a later day's actions is worth a word today."""
    told = (each for each in day.actions if each.kind not in _NOT_BRIEF and not _held_up(each))
    return [each for each in told if each.probability is None or each.probability >= HARDLY_EVER]


def _held_up(action: Action) -> bool:
    """Tell whether what hinders an action, frost or a repair, lasts all that day."""
    return action.expected_s is None and any(each.until_s is None for each in action.waits)


def _brief_text(words: Words, day: Day) -> str:
    parts = []
    for action in _brief(day):
        text = f"{words.clock(action.time_s)} {action.kind}{if_stays_text(action)}"
        text += f" ({action.point})" if action.point else ""
        if action.flow_m3_s is not None:
            text += f" at {words.valve(action.flow_m3_s)}"
        text += f" ({chance_text(action)})" if chance_text(action) else ""
        if may_have_stopped(action):
            text += f" (if it still runs: {in_ten(action.still_runs or 0.0)})"
        parts.append(text)
    return "; ".join(parts)


def expected_text(words: Words, day: Day) -> str:
    """Say what a day is expected to bring."""
    parts = ["no syrup"]
    if day.syrup_m3.high > 0.0 and day.syrup_m3.middle < LEAST_SYRUP_M3:
        most = day.syrup_m3 if day.lit_syrup_m3 is None else day.lit_syrup_m3
        parts = [f"no syrup most likely, up to {words.volume(most.high)}"]
    elif day.syrup_m3.high > 0.0:
        parts = [f"{words.about(day.syrup_m3, VOLUME, 1)} of syrup"]
    parts += _fire_parts(words, day)
    if day.permeate_m3.high > 0.0:
        parts.append(f"{words.about(day.permeate_m3, VOLUME, 0)} of permeate")
    if day.energy_j.high >= LEAST_ENERGY_J:
        parts.append(f"{words.about(day.energy_j, ENERGY)} of power")
    parts.append(f"{words.about(day.sap_m3, VOLUME, 0)} of sap to come")
    if day.lost_m3 is not None and day.lost_m3.middle > LEAST_LOST_M3:
        either = " or concentrate" if words.report.standing.has_membrane else ""
        lost = words.about(day.lost_m3, VOLUME, 0)
        parts.append(f"{lost} of sap{either} that runs over or spoils")
    air = f"air {words.show(day.low_c, TEMPERATURE)} to {words.show(day.high_c, TEMPERATURE)}"
    return "; ".join(filter(None, [", ".join(parts), air, _ends_text(words, day)]))


def _ends_text(words: Words, day: Day) -> str:
    """Return when the plan ends, where that is within a day: what comes later is not in it."""
    end_s = words.report.end_s
    within = day.begin_s < end_s <= day.end_s and words.clock(end_s) != "00:00"
    return f"this plan ends at {words.clock(end_s)}" if within else ""


def _fire_parts(words: Words, day: Day) -> Iterator[str]:
    if day.fire_s.high <= 0.0:
        return
    if day.fire_s.middle <= 0.0:
        most = day.fire_s if day.lit_fire_s is None else day.lit_fire_s
        at_need = any(each.kind == "fire at need" for each in day.actions)
        yield (
            f"no fire most likely, up to {words.show(most.high, DURATION)} at it if one is "
            f"{'needed' if at_need else 'lit'}"
        )
        return
    yield f"{words.about(day.fire_s, DURATION)} at the fire"
    if day.wood_m3.high > 0.0:
        yield f"{words.about(day.wood_m3, WOOD, 2)} of wood"


def habit_text(words: Words) -> str:
    """Say what the usual way of working would come to, beside the plan."""
    plan, habit = words.report.plan, words.report.habit
    gain = _gain(words, plan.money.net - habit.money.net)
    return (
        f"your usual way to {words.day(words.report.end_s)}: {way_text(words, habit)}; "
        f"this plan: {way_text(words, plan)}, worth {gain} by your prices with what is "
        "left in the tanks"
    )


def way_text(words: Words, way: Way) -> str:
    """Say what a way of working comes to."""
    if way.syrup_m3 <= 0.0 and way.fire_s <= 0.0:
        return "no syrup, no fire"
    return f"{words.volume(way.syrup_m3)} of syrup, {words.show(way.fire_s, DURATION)} at the fire"


def _gain(words: Words, gain: float) -> str:
    if abs(gain) < 1.0:
        return "as much"
    return f"{words.money(abs(gain))} {'more' if gain > 0.0 else 'less'}"
