"""A plan in words, in 80 columns: what to do, when, at which gauge, why, and what to expect."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import Action, Day, PlanReport, Range, Watch, Way
from sugarwright.units import (
    DURATION,
    ENERGY,
    FLOW,
    MONEY,
    TEMPERATURE,
    VOLUME,
    WOOD,
    Kind,
    show,
)

WIDTH = 80
_UNIT_AT = {VOLUME: 0.01, DURATION: 3600.0}  # values whose usual unit a range is told in
LABEL = 9  # columns of the words on the left
HOURLY_RATE_S = 3600.0

_TANKS = {"sap": "the sap tank", "stock": "the stock tank", "permeate": "the permeate tank"}
_ENDS = {
    "sap tank down": "stops itself when the sap tank is down",
    "stock tank full": "stops itself when the stock tank is full",
    "people leave": "stop it before you leave",
    "time": "ends as planned",
}
_WATCHED = {
    "sap tank full": "sap tank full",
    "stock tank full": "stock tank full",
    "sap spoils": "sap spoils in its tank",
}


def plan_lines(report: PlanReport) -> Iterator[str]:
    """Yield the lines of a plan, none longer than 80 columns where words allow."""
    words = _Words(report)
    yield from words.heading()
    yield ""
    yield from words.today()
    yield from words.later()
    yield ""
    yield from words.expect()
    yield from words.watch()
    yield from words.ifs()
    yield from words.habit()
    yield from words.broken()
    yield from words.cautions()


class _Words:
    """Says a report in the clock, units and currency of its house."""

    def __init__(self, report: PlanReport) -> None:
        self.report = report
        self.zone = ZoneInfo(report.timezone)
        self.main = next((day for day in report.days[:2] if day.actions), report.days[0])

    # --- small words ---------------------------------------------------------------------------

    def clock(self, time_s: float) -> str:
        return datetime.fromtimestamp(time_s, self.zone).strftime("%H:%M")

    def day(self, time_s: float) -> str:
        return datetime.fromtimestamp(time_s, self.zone).strftime("%A")

    def when(self, time_s: float, beside_s: float) -> str:
        """A clock time, with its day when that is another than the one talked of."""
        same = self.day(time_s) == self.day(beside_s)
        return self.clock(time_s) if same else f"{self.day(time_s)} {self.clock(time_s)}"

    def show(self, value: float, kind: Kind, digits: int | None = None) -> str:
        return show(value, kind, self.report.units, digits, currency=self.report.currency)

    def about(self, value: Range, kind: Kind, digits: int | None = None) -> str:
        """A median with its range, or alone where there is hardly any."""
        unit = kind.display_unit(max(value.high, _UNIT_AT[kind]), self.report.units)
        low, middle, high = (
            show(each, kind, self.report.units, digits, unit)
            for each in (value.low, value.middle, value.high)
        )
        return middle if low == high else f"{middle} ({_bare(low)} to {_bare(high)})"

    def money(self, value: float) -> str:
        return self.show(value, MONEY, 0)

    # --- sections ------------------------------------------------------------------------------

    def heading(self) -> Iterator[str]:
        report, now = self.report, self.report.standing
        begin = datetime.fromtimestamp(report.begin_s, self.zone)
        title = f"{begin.strftime('%A')} {begin.day} {begin.strftime('%B %Y')}, {report.house}"
        yield title
        forecast = report.forecast_source or "a weather file"
        if report.forecast_issued_s is not None:
            forecast += f", forecast of {self.when(report.forecast_issued_s, report.begin_s)}"
        yield from _entry("weather", forecast)
        sap = self._tank("sap", now.sap_m3, now.sap_capacity_m3, now.sap_brix)
        if now.sap_life_used >= 0.05:
            sap += f", {now.sap_life_used:.0%} of its keeping used"
        tanks = [sap]
        if now.has_membrane:
            tanks.append(self._tank("stock", now.stock_m3, now.stock_capacity_m3, now.stock_brix))
            tanks.append(self._tank("permeate", now.permeate_m3, now.permeate_capacity_m3, 0.0))
        tanks.append(f"wood {self.show(now.wood_m3, WOOD)}")
        yield from _entry(f"at {self.clock(report.begin_s)}", "; ".join(tanks))

    def _tank(self, name: str, held_m3: float, capacity_m3: float, brix: float) -> str:
        held, of = self.show(held_m3, VOLUME), self.show(capacity_m3, VOLUME)
        strength = f", {brix:.1f} Brix" if brix > 0.0 else ""
        return f"{name} {_bare(held)} of {of}{strength}"

    def today(self) -> Iterator[str]:
        if self.main is not self.report.days[0] or not self.main.actions:
            yield "Nothing to do today."
            if not self.main.actions:
                return
            yield f"{self.day(self.main.begin_s)}:"
        for number, action in enumerate(self.main.actions, 1):
            yield from self.action(number, action)

    def action(self, number: int, action: Action) -> Iterator[str]:
        lines = list(_SAYS[action.kind](self, action))
        yield _hanging(f"{number:>2}  {self.clock(action.time_s)}  ", lines[0])
        for line in [*lines[1:], *self.slack(action), *self.reason(action)]:
            yield _hanging(" " * 11, line)

    def slack(self, action: Action) -> Iterator[str]:
        if action.slack is not None:
            first, last = self.clock(action.slack.earliest_s), self.clock(action.slack.latest_s)
            cost = self.money(action.slack.costs_less_than_money)
            yield f"any time from {first} to {last} costs under {cost}"

    def reason(self, action: Action) -> Iterator[str]:
        reason = action.reason
        if reason is None or reason.money < 1.0:
            return
        effects = [f"{self.money(reason.money)} less"]
        if reason.syrup_m3 > 2e-4:
            effects.append(f"{self.show(reason.syrup_m3, VOLUME)} less syrup")
        if reason.spilled_m3 > 0.01:
            effects.append(f"{self.show(reason.spilled_m3, VOLUME)} of sap lost")
        if reason.full_probability >= 0.1:
            effects.append(f"a full sap tank {reason.full_probability:.0%} likelier")
        yield "without it: " + ", ".join(effects)

    def later(self) -> Iterator[str]:
        """The days after, a line each: they will be planned anew."""
        days = [day for day in self.report.days if day.begin_s > self.main.begin_s]
        said = [(day, self.briefly(day)) for day in days if day.actions]
        if said:
            yield ""
        for day, text in said:
            yield from _entry(self.day(day.begin_s)[:3].lower(), text)

    def briefly(self, day: Day) -> str:
        parts = []
        for action in day.actions:
            if action.kind in ("let the fire go", "membrane on again"):
                continue
            text = f"{self.clock(action.time_s)} {action.kind}"
            if action.flow_m3_s is not None:
                text += f" at {self.show(action.flow_m3_s, FLOW)}"
            parts.append(text)
        return "; ".join(parts) + " (planned anew each morning)"

    def expect(self) -> Iterator[str]:
        day = self.main
        parts = ["no syrup"]
        if day.syrup_m3.high > 0.0:
            parts = [f"{self.about(day.syrup_m3, VOLUME, 1)} of syrup"]
        if day.fire_s.high > 0.0:
            parts.append(f"{self.about(day.fire_s, DURATION)} at the fire")
            parts.append(f"{self.show(day.wood_m3.middle, WOOD, 2)} of wood")
        if day.permeate_m3.high > 0.0:
            parts.append(f"{self.about(day.permeate_m3, VOLUME, 0)} of permeate")
        if day.energy_j.middle > 0.0:
            parts.append(f"{self.show(day.energy_j.middle, ENERGY)} of power")
        parts.append(f"{self.about(day.sap_m3, VOLUME, 0)} of sap to come")
        air = f"air {self.show(day.low_c, TEMPERATURE)} to {self.show(day.high_c, TEMPERATURE)}"
        name = "today" if day is self.report.days[0] else self.day(day.begin_s)[:3].lower()
        yield from _entry(name, ", ".join(parts) + f"; {air}")

    def watch(self) -> Iterator[str]:
        for watch in self.report.watch:
            yield from _entry("watch", self._watched(watch))

    def _watched(self, watch: Watch) -> str:
        text = f"{_WATCHED[watch.what]}: {_in_ten(watch.probability)}"
        text += f", about {self.day(watch.time_s)} {self.clock(watch.time_s)}"
        return text + f", hardly before {self.when(watch.early_s, watch.time_s)}"

    def ifs(self) -> Iterator[str]:
        """What would change the plan, in readings that a person can check."""
        for action in self.main.actions:
            if action.trigger is None or action.latest_s is None:
                continue
            level = self.show(action.trigger.at_least_m3, VOLUME)
            tank = _TANKS[action.trigger.tank]
            latest = self.clock(action.latest_s)
            yield from _entry("if", f"{tank} is under {level} at {latest}: no fire that day")
        if self.main.actions:
            yield from _entry("if", "a tank stands far from what this says: plan again")

    def habit(self) -> Iterator[str]:
        plan, habit = self.report.plan, self.report.habit
        gain = plan.money.net - habit.money.net
        text = (
            f"your usual way to {self.day(self.report.end_s)}: {self.way(habit)}; "
            f"this plan: {self.way(plan)}, worth {self.money(abs(gain))} "
            f"{'more' if gain >= 0.0 else 'less'} by your prices with what is left in the tanks"
        )
        yield from _entry("habit", text)

    def way(self, way: Way) -> str:
        if way.syrup_m3 <= 0.0 and way.fire_s <= 0.0:
            return "no syrup, no fire"
        syrup = show(
            way.syrup_m3, VOLUME, self.report.units, 1, VOLUME.display_unit(0.01, self.report.units)
        )
        return f"{syrup} of syrup, {self.show(way.fire_s, DURATION)} at the fire"

    def broken(self) -> Iterator[str]:
        for what in self.report.broken:
            yield from _entry("! ", f"in some weather this plan can't avoid: {what}")

    def cautions(self) -> Iterator[str]:
        keys = dict.fromkeys(action.caution for action in self.main.actions if action.caution)
        if keys:
            yield ""
        for key in keys:
            yield _hanging("!  ", CAUTIONS[key])


# --- one action in words -------------------------------------------------------------------------


def _gauge(words: _Words, action: Action) -> str:
    if action.trigger is None:
        return ""
    level = words.show(action.trigger.at_least_m3, VOLUME)
    return f"when {_TANKS[action.trigger.tank]} has {level}; else wait for it"


def _membrane(words: _Words, action: Action) -> Iterator[str]:
    flow = words.show(action.flow_m3_s or 0.0, FLOW)
    yield f"{action.kind}, concentrate at {flow}, {_gauge(words, action)}"
    made = []
    if action.concentrate_brix is not None and action.permeate_m3_s is not None:
        permeate = words.show(action.permeate_m3_s * HOURLY_RATE_S, VOLUME)
        made.append(f"makes {action.concentrate_brix:.1f} Brix and {permeate} of permeate an hour")
    if action.expected_s is None:
        made.append("by the forecast the tank won't have it")
    elif action.until_s is not None:
        made.append(f"till about {words.when(action.until_s, action.time_s)}")
        made.append(_ENDS.get(action.ends, ""))
    if action.rinse_m3:
        made.append(f"rinse it then with {words.show(action.rinse_m3, VOLUME)} of permeate")
    yield "; ".join(filter(None, made))
    if action.night_flow_m3_s is not None:
        yield f"overnight set it to {words.show(action.night_flow_m3_s, FLOW)}: it runs alone"


def _light(words: _Words, action: Action) -> Iterator[str]:
    text = f"light the fire, {_gauge(words, action)}"
    if action.latest_s is not None:
        text += f", not after {words.clock(action.latest_s)}"
    yield text
    if action.expected_s is None:
        yield "by the forecast the tank won't have it"
        return
    parts = []
    if action.expected_s > action.time_s:
        parts.append(f"expected at {words.when(action.expected_s, action.time_s)}")
    if action.syrup_m3 is not None and action.draws is not None:
        syrup = words.show(action.syrup_m3, VOLUME, 1)
        parts.append(f"about {syrup} of syrup in {action.draws} draws")
    if action.first_draw_s is not None:
        parts.append(f"the first about {words.when(action.first_draw_s, action.time_s)}")
    if parts:
        yield "; ".join(parts)


def _let_go(words: _Words, action: Action) -> Iterator[str]:
    reserve = words.show(action.reserve_m3 or 0.0, VOLUME)
    latest = f", by {words.clock(action.latest_s)} at the latest" if action.latest_s else ""
    yield f"last wood when {reserve} of feed is left{latest}: that covers the pan"
    if action.leave_s is not None:
        yield f"stay until it has died down, about {words.when(action.leave_s, action.time_s)}"


def _wash(words: _Words, action: Action) -> Iterator[str]:
    needs = words.show(action.permeate_needed_m3 or 0.0, VOLUME)
    has = words.show(action.permeate_expected_m3 or 0.0, VOLUME)
    yield f"wash the membrane: takes {needs} of permeate, you will have about {has}"
    if action.expected_s is None:
        yield "not expected to be due, or not enough permeate; then leave it"


def _frost(words: _Words, action: Action) -> Iterator[str]:
    by = words.when(action.expected_s or action.time_s, action.time_s)
    yield f"drain pump, line and whatever else holds water: frost by {by}"


def _dump(words: _Words, action: Action) -> Iterator[str]:
    yield "dump what has spoiled, and rinse the tank"


_SAYS = {
    "membrane on": _membrane,
    "membrane on again": _membrane,
    "light the fire": _light,
    "let the fire go": _let_go,
    "wash the membrane": _wash,
    "drain before the frost": _frost,
    "dump what has spoiled": _dump,
}


# --- lines ---------------------------------------------------------------------------------------


def _bare(text: str) -> str:
    """A quantity without its unit."""
    return text.split(" ")[0] if not text.startswith("-") or " " in text else text


def _in_ten(probability: float) -> str:
    tenths = round(10 * probability)
    if tenths >= 10:
        return "nearly certain"
    return f"{tenths} in 10" if tenths else "less than 1 in 10"


def _hanging(start: str, text: str) -> str:
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=start,
        subsequent_indent=" " * len(start),
        break_long_words=False,
    )


def _entry(label: str, text: str) -> Iterator[str]:
    yield _hanging(f"{label:<{LABEL}}", text)
