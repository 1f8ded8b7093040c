"""A rule card as one page of 80 columns, to hang up in the sugarhouse."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sugarwright.cli.output import columns, wrapped
from sugarwright.planning.card_report import (
    AsHabit,
    CardFire,
    CardMembrane,
    CardWorth,
    Gauge,
    RuleCard,
)
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.plant.membrane_decisions import STOCK_ROOM_FRACTION
from sugarwright.saying.plan_outside import drains_text
from sugarwright.saying.words import valve_text
from sugarwright.units import (
    DURATION,
    FLOW,
    LENGTH,
    MONEY,
    VOLUME,
    Kind,
    format_clock,
    parse,
    show,
    to_unit,
)

LABEL = 12  # columns of the words on the left
DAYS = {"every day": "", "weekdays": " Mon-Fri", "weekend": " Sat, Sun"}
MOST_DIGITS = 6
_NUMBER = re.compile(r"(?<=\d) (?=(gal|L|m3|in|cm|h|min|h \d+ min)\b)")
_NO_BREAK = "\ue000"  # of the letters that no text uses: stands for a space at which no line ends


def card_lines(card: RuleCard) -> Iterator[str]:
    """Yield the lines of a card."""
    yield f"RULE CARD  {card.house}, for when the computer is off"
    if card.membrane is not None:
        yield from _membrane(card, card.membrane)
    yield from _fire(card, card.fire)
    yield "OTHERWISE"
    yield from _otherwise(card)
    yield "CAUTION"
    for key in _cautions(card):
        yield wrapped(CAUTIONS[key], "  ! ")
    yield "WORTH"
    yield from _worth(card, card.worth)
    yield wrapped(
        f"Tuned {card.made} on {card.tuned_on} springs {card.weather_source} (seed {card.seed}, "
        f"{card.candidates} cards tried) from empty tanks; told of {card.worth.springs} others.",
        "  ",
    )


def habit_lines(card: RuleCard) -> Iterator[str]:
    """Yield the [habit] of a card, to be pasted into sugarhouse.toml."""
    if card.as_habit is None:
        yield wrapped(
            "This card cannot be a [habit]: it has no time of its own for the fire or the membrane."
        )
        return
    gain = show(card.as_habit.gain_money, MONEY, digits=0, currency=card.currency)
    told = (
        "The card as [habit] of sugarhouse.toml, in place of the one there: the same all week, no "
        f"calls of a full tank, nothing overnight. By itself that gains {gain} a spring. From then "
        "on plans are compared with it."
    )
    yield wrapped(told, "# ", "# ")
    yield "[habit]"
    yield from _habit_keys(card.as_habit, card.units)


def _habit_keys(habit: AsHabit, units: str) -> Iterator[str]:
    if habit.membrane_start_min is not None:
        yield f'membrane_start = "{format_clock(habit.membrane_start_min)}"'
        yield f'membrane_sap = "{exact(habit.membrane_sap_m3, VOLUME, units)}"'
        yield f'concentrate_flow = "{exact(habit.flow_m3_s, FLOW, units)}"'
        yield f'membrane_stop = "{format_clock(habit.membrane_stop_min or 0)}"'
        yield f'wash_at = "{format_clock(habit.wash_min or 0)}"'
    yield f'fire_start = "{format_clock(habit.fire_start_min)}"'
    yield f'fire_stock = "{exact(habit.fire_stock_m3, VOLUME, units)}"'
    yield f'fire_stop = "{format_clock(habit.fire_stop_min)}"'


def exact(value: float, kind: Kind, units: str) -> str:
    """Return a quantity with as few digits as say it to a millionth."""
    texts = [show(value, kind, units, digits) for digits in (None, *range(MOST_DIGITS + 1))]
    near = [text for text in texts if abs(parse(text, kind) - value) <= 1e-6 * abs(value)]
    return near[0] if near else texts[-1]


def _rule(label: str, text: str) -> str:
    """Return a rule behind its label; no line ends between a number and its unit."""
    whole = _NUMBER.sub(_NO_BREAK, text)
    return wrapped(whole, f"  {label:<{LABEL}}").replace(_NO_BREAK, " ")


def _when(card: RuleCard, name: str) -> str:
    """Return clock times of a week ("06:30 Sat, Sun, 17:00 Mon-Fri"); "" where there are none."""
    known = [(getattr(each, name), each) for each in card.times]
    if len({minute for minute, _ in known}) == 1:
        minute = known[0][0]
        return "" if minute is None else format_clock(minute)
    given = [(minute, each) for minute, each in known if minute is not None]
    return " and ".join(format_clock(minute) + DAYS[each.part] for minute, each in given)


def _rest(card: RuleCard, name: str) -> str:
    """Return the part of the week that has no time of its own, if the other has one."""
    missing = [each for each in card.times if getattr(each, name) is None]
    return DAYS[missing[0].part].strip() if 0 < len(missing) < len(card.times) else ""


def _gauge(card: RuleCard, gauge: Gauge) -> str:
    text = show(gauge.volume_m3, VOLUME, card.units)
    if gauge.depth_m is None:
        return text
    unit = "in" if card.units == "us" else "cm"
    return f"{text} ({show(gauge.depth_m, LENGTH, card.units, 0, unit)} on the stick)"


def _start(card: RuleCard, name: str, gauge: str, what: str, called: bool) -> str:
    """Return from when something starts, and at which gauge."""
    when, rest = _when(card, name), _rest(card, name)
    if not when:
        return "only as below" if called else f"no {what}"
    text = f"from {when}, once the {gauge}"
    if rest:
        text += f"; {rest} " + ("only as below" if called else f"no {what}")
    return text


def _membrane(card: RuleCard, rules: CardMembrane) -> Iterator[str]:
    yield "MEMBRANE"
    called = rules.call is not None
    gauge = f"sap tank has {_gauge(card, rules.start)}"
    yield _rule("start", _start(card, "membrane_start_min", gauge, "run", called))
    if rules.call is not None:
        text = f"at {_gauge(card, rules.call)} start at any hour, if somebody is there"
        yield _rule("sooner", text)
    yield _rule("valve", f"concentrate at {valve_text(rules.flow_m3_s, card.units)}")
    least = f"when the sap tank is down to {_gauge(card, rules.least_sap)}"
    stop = _when(card, "membrane_stop_min")
    ends = [least, "the stock tank is full"]
    if not rules.with_fire:
        ends.append("before the fire is lit (one circuit)")
    if rules.night_flow_m3_s is None:
        ends += [f"at {stop}"] if stop else []
        ends.append("before you leave: it never runs alone")
    text = ", ".join(ends[:-1]) + f" or {ends[-1]}"
    yield _rule("stop", text)
    if rules.night_flow_m3_s is not None:
        yield _rule("alone", _alone(card, rules, rules.night_flow_m3_s, stop))
    if rules.again_brix is not None:
        text = f"then pass the stock through once more, to {rules.again_brix:.0f} Brix"
        yield _rule("again", text)
    rinse = f"after each run, with {_volume(card, rules.rinse_m3)} of permeate"
    if rules.night_flow_m3_s is not None:
        rinse += "; where it stopped by itself, first thing at the next visit"
    yield _rule("rinse", rinse)
    yield from _wash(card, rules)


def _alone(card: RuleCard, rules: CardMembrane, night_m3_s: float, stop: str) -> str:
    text = "it may run on when you leave and overnight"
    if night_m3_s != rules.flow_m3_s:
        text += f", set to {valve_text(night_m3_s, card.units)}"
    if card.frost:
        text += ", not in frost" if rules.outdoors else ", frost seen to first"
    text += "; test the cut-outs before"
    return f"{text}. No new start after {stop}" if stop else text


def _wash(card: RuleCard, rules: CardMembrane) -> Iterator[str]:
    when = _when(card, "wash_min")
    if not when:
        yield _rule("wash", "by the maker's directions; this card sets no hour for it")
        return
    hours = show(rules.wash_after_s, DURATION, card.units)
    text = f"once it has run {hours} since the last wash: that day from {when}"
    rest = _rest(card, "wash_min")
    if rest:
        text += f" (not {rest})"
    needs = _volume(card, rules.wash_m3)
    yield _rule("wash", f"{text}. Keep {needs} of permeate for it; with less, wash a day later")


def _fire(card: RuleCard, rules: CardFire) -> Iterator[str]:
    yield "FIRE"
    called = rules.call is not None
    gauge = f"{rules.tank} tank has {_gauge(card, rules.light)}"
    yield _rule("light", _start(card, "fire_start_min", gauge, "fire", called))
    if rules.call is not None:
        text = f"at {_gauge(card, rules.call)} light at any hour, if you can stay"
        yield _rule("sooner", text)
    fills = _volume(card, rules.pan_m3)
    text = f"an empty pan takes {fills} first: then wait for {_gauge(card, rules.light_empty)}"
    yield _rule("empty pan", text)
    yield _rule("only if", f"you can stay {_long(card, rules.stay_s)} from then")
    leave = _long(card, rules.burn_down_s)
    ends = [f"when {_gauge(card, rules.reserve)} of feed is left, {leave} before you leave"]
    stop = _when(card, "fire_stop_min")
    ends += [f"at {stop}"] if stop else []
    text = " or ".join(ends) + ", whichever is first; stay till it has died down"
    yield _rule("last wood", text)


def _otherwise(card: RuleCard) -> Iterator[str]:
    feed = card.fire.tank
    if card.membrane is not None:
        yield _rule("little sap", "below its gauge the membrane stays off; look again next visit")
        full = f"stock tank more than {STOCK_ROOM_FRACTION:.0%} full: no start of the membrane yet"
        yield _rule("full stock", full)
    yield _rule("little feed", f"below the gauge of the {feed} tank no fire; keep it cold")
    yield _rule("old sap", "cloudy, or smells sour: taste what it boils to; dump what has turned")
    if card.frost:
        yield _rule("frost", _frost(card))


def _frost(card: RuleCard) -> str:
    """Return what is done before a night that may freeze, which goes before a run overnight.

    Only a membrane that stands indoors runs alone then: by the house it has its frost cut-out.
    """
    drain = f"{drains_text(card.drains)} before you leave"
    if card.membrane is None or card.membrane.night_flow_m3_s is None:
        return drain
    if card.membrane.outdoors:
        return f"goes first: stop the membrane, rinse it, {drain}; leave nothing running"
    doubt = "In doubt of the membrane's frost cut-out stop it, rinse and drain it"
    return f"goes first: {drain}. {doubt}"


def _cautions(card: RuleCard) -> tuple[str, ...]:
    return ("fire",) if card.membrane is None else ("fire", "wash", "membrane")


def _worth(card: RuleCard, worth: CardWorth) -> Iterator[str]:
    money = [
        show(each, MONEY, digits=0, currency=card.currency)
        for each in (worth.gain_money, worth.gain_low_money, worth.gain_high_money)
    ]
    if card.whose == "habit":
        yield wrapped("No card was better than your way today: this card is your way.", "  ")
    else:
        yield wrapped(
            f"{money[0]} a spring over your way today ({money[1]} to {money[2]}: 90 % interval of "
            f"the mean), better in {worth.better_fraction:.0%} of springs.",
            "  ",
        )
        if worth.gain_low_money <= 0.0:
            yield wrapped("That may be chance: your way today is as good as far as seen.", "  ! ")
    if worth.broken_springs:
        yield wrapped(
            f"In {worth.broken_springs} of {worth.springs} springs a hot pan ran short of feed or "
            "was left: watch the tank, not the clock.",
            "  ! ",
        )
    yield from (f"  {line}" for line in columns(_table(card, worth)))


def _table(card: RuleCard, worth: CardWorth) -> list[list[str]]:
    unit = "gal" if card.units == "us" else "L"
    rows = [["", "net", f"syrup {unit}", "h at fire", "fires", f"lost {unit}"]]
    for name, way in (("card", worth.card), ("your way", worth.habit)):
        rows.append([
            name,
            show(way.money.net, MONEY, digits=0, currency=card.currency),
            f"{to_unit(way.syrup_m3, VOLUME, unit):,.0f}",
            f"{way.fire_s / 3600.0:.0f}",
            f"{way.light_ups:.0f}",
            f"{to_unit(way.lost_m3, VOLUME, unit):,.0f}",
        ])  # fmt: skip
    return rows


def _long(card: RuleCard, duration_s: float) -> str:
    """Return a time to allow for, to the next five minutes."""
    return show(300.0 * math.ceil(duration_s / 300.0), DURATION, card.units)


def _volume(card: RuleCard, volume_m3: float) -> str:
    return show(volume_m3, VOLUME, card.units, 0)
