"""The sugarhouse as a network: one walk through its periods, water and sugar kept.

Places hold a mass and its sugar, kg. What leaves a tank has the strength of what is in it. Each
reading is put beside what the balance makes of it; nothing is decided here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from sugarwright.ledger import plant_facts as known
from sugarwright.ledger.plant_facts import Facts, boiling_s, facts_of, steady_pan_sugar_kg
from sugarwright.ledger.readings import COLD_C
from sugarwright.ledger.slopes import Number, density
from sugarwright.ledger.tape import Tape
from sugarwright.ledger.timeline import TANKS, Item, Period, Timeline
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.plant.house import House

SOME_KG = 0.5
"""A tank with little more than this in it is as good as empty."""
WEAK = 3.0
"""An unmeasured amount may be this many times a tank's size: next to nothing is assumed."""
SMALL_M3 = 0.02


@dataclass
class Held:
    """What a place holds, kg."""

    mass: Number
    sugar: Number

    def strength(self, usual_brix: float) -> Number:
        """Return its Brix: of a tank that is all but empty, more and more what is usual."""
        there = self.mass.positive(SOME_KG)
        apart = self.sugar - self.mass * (usual_brix / 100.0)
        weight = there + SOME_KG
        return apart * there / (weight * weight) * 100.0 + usual_brix


@dataclass(frozen=True)
class Flow:
    """Something that moved.

    Parameters
    ----------
    name : "gathered", "ran in", "bought", "fed", "permeate", "concentrate", "boiled", "steam" ...
    period : when
    mass, sugar : kg
    """

    name: str
    period: int
    mass: Number
    sugar: Number


@dataclass
class Walk:
    """A walk under way, and what it came to.

    Parameters
    ----------
    house, timeline, tape : what is walked
    held : by place, now
    flows : what moved
    first : held at the beginning
    volumes : in the tanks at the end of each period, m³
    """

    house: House
    timeline: Timeline
    tape: Tape
    facts: Facts
    held: dict[str, Held] = field(default_factory=dict)
    flows: list[Flow] = field(default_factory=list)
    first: dict[str, Held] = field(default_factory=dict)
    volumes: dict[tuple[str, int], Number] = field(default_factory=dict)

    @property
    def feed_place(self) -> str:
        """The tank that the pan is fed from."""
        return "stock" if "stock" in self.held else "sap"

    def usual_brix(self, place: str) -> float:
        """Strength that an empty tank is taken to have held."""
        usual = {"sap": self.facts.sap_brix, "stock": known.STOCK_BRIX}
        return usual.get(place, 0.0)

    def size_m3(self, place: str) -> float:
        """Capacity of a place."""
        sizes = {"sap": self.facts.sap_m3, "stock": self.facts.stock_m3}
        return sizes.get(place, self.facts.permeate_m3)

    def weak_kg(self, place: str) -> float:
        """How much an unmeasured amount may be."""
        return WEAK * max(self.size_m3(place), 0.2) * 1000.0

    def move(self, name: str, period: int, place: str, mass: Number, sugar: Number) -> None:
        """Take something out of a place (negative: bring it in), and take it down as a flow."""
        self.held[place] = Held(self.held[place].mass - mass, self.held[place].sugar - sugar)
        if name:
            self.flows.append(Flow(name, period, mass, sugar))


def walk(house: House, timeline: Timeline, tape: Tape) -> Walk:
    """Go through the periods once.

    Parameters
    ----------
    house : the described house
    timeline : what was entered
    tape : gives the unknowns, and takes down the readings
    """
    now = Walk(house, timeline, tape, facts_of(house))
    _begin(now)
    now.first = dict(now.held)
    for number, period in enumerate(timeline.periods):
        _leaks(now, number)
        _came(now, number, period)
        _went(now, number, period)
        if house.membrane is not None:
            _membrane(now, number, period)
            _permeate_used(now, number, period)
        _boil(now, number, period)
        _readings(now, number, period)
    _syrup(now)
    return now


def _begin(now: Walk) -> None:
    """What there was before the first reading: hardly known, until it is read."""
    tape, facts = now.tape, now.facts
    places = ["sap"]
    if now.house.membrane is not None:
        places += ["stock"] * (facts.stock_m3 > 0.0) + ["permeate"] * (facts.permeate_m3 > 0.0)
    for place in places:
        size_kg = 1000.0 * now.size_m3(place)
        mass = tape.unknown(f"first {place}", 0, 0.1 * size_kg, size_kg)
        spread = {"sap": known.SAP_SD_BRIX, "stock": known.STOCK_SD_BRIX}.get(place, 0.05)
        brix = tape.unknown(f"first {place} brix", 0, now.usual_brix(place), spread)
        now.held[place] = Held(mass, mass * brix / 100.0)
    mass = tape.unknown("first pan", 0, 0.5 * facts.pan_kg, 0.5 * facts.pan_kg)
    sugar = tape.unknown("first pan sugar", 0, 0.06 * facts.pan_kg, 0.08 * facts.pan_kg)
    now.held["pan"] = Held(mass, sugar)
    if now.house.membrane is not None:
        tape.unknown("permeate brix", 0, known.PERMEATE_BRIX, known.PERMEATE_SD_BRIX)
    for place in TANKS:
        if place in now.held:
            size = tape.unknown(f"{place} size", 0, 1.0, 1.0)
            tape.known(f"{place} tank's size", place, -1, 1.0, known.TANK_SD, size)
    zero = tape.unknown("hydrometer", 0, 0.0, 1.0)
    tape.known("hydrometer", "", -1, 0.0, known.HYDROMETER_SD_BRIX, zero)
    boil = tape.unknown("boil", 0, 1.0, 1.0)
    tape.known("boil rate", "pan", -1, 1.0, known.BOIL_SD, boil)


def _leaks(now: Walk, number: int) -> None:
    """Leave room for something lost, or come, that nobody entered."""
    for place in (*TANKS, "pan"):
        if place in now.held:
            lost = now.tape.leak(place, number, now.weak_kg(place))
            usual = known.STOCK_BRIX * 3.0 if place == "pan" else now.usual_brix(place)
            strength = now.held[place].strength(usual)
            now.move(f"unseen {place}", number, place, lost, lost * strength / 100.0)


def _came(now: Walk, number: int, period: Period) -> None:
    """Sap that came in: each gathering with a strength of its own."""
    tape = now.tape
    for order, item in enumerate(period.moves):
        if item.entry.kind not in ("gather", "sap_bought"):
            continue
        volume = item.values.get("volume")
        guess_kg = 1000.0 * (volume.value if volume else 0.3 * now.facts.sap_m3)
        mass = tape.unknown(f"move {order}", number, guess_kg, now.weak_kg("sap"))
        brix = tape.unknown(f"brix {order}", number, now.facts.sap_brix, known.SAP_SD_BRIX)
        tape.read([item], "volume", number, mass / density(brix, COLD_C))
        _read_brix(now, [item], number, brix)
        name = "gathered" if item.entry.kind == "gather" else "bought"
        now.move("", number, "sap", mass * -1.0, mass * brix / -100.0)
        now.flows.append(Flow(name, number, mass, mass * brix / 100.0))
    if _some_run_in(now) and number > 0:
        mass = tape.unknown("ran in", number, 0.0, now.weak_kg("sap"))
        brix = tape.unknown("ran in brix", number, now.facts.sap_brix, known.SAP_SD_BRIX)
        now.move("", number, "sap", mass * -1.0, mass * brix / -100.0)
        now.flows.append(Flow("ran in", number, mass, mass * brix / 100.0))


def _some_run_in(now: Walk) -> bool:
    """Whether sap reaches the tank that nobody measures as it comes."""
    measured = now.timeline.measured_points
    if "sap" in measured or "" in measured:
        return False
    return any(GATHERING + each.name not in measured for each in now.house.gathering)


def _went(now: Walk, number: int, period: Period) -> None:
    """Sap, concentrate or permeate that was sold, moved, thrown away or lost."""
    names = {"sap_sold": "sold", "dump": "dumped", "spill": "spilled", "transfer": "moved"}
    for order, item in enumerate(period.moves):
        if item.entry.kind not in names:
            continue
        place = "sap" if item.entry.kind == "sap_sold" else item.entry.place
        if place not in now.held:
            continue
        volume = item.values.get("volume")
        guess_kg = 1000.0 * (volume.value if volume else SMALL_M3)
        mass = now.tape.unknown(f"move {order}", number, guess_kg, now.weak_kg(place))
        strength = now.held[place].strength(now.usual_brix(place))
        now.tape.read([item], "volume", number, mass / density(strength, COLD_C))
        _read_brix(now, [item], number, strength)
        sugar = mass * strength / 100.0
        to_place = item.entry.to_place
        if item.entry.kind == "transfer" and to_place in now.held:
            now.move("", number, place, mass, sugar)
            now.move("", number, to_place, mass * -1.0, sugar * -1.0)
        else:
            now.move(names[item.entry.kind], number, place, mass, sugar)
    if any("overflow" in each.entry.flags for each in (*period.moves, *period.readings)):
        mass = now.tape.unknown("ran over", number, 0.0, now.weak_kg("sap"))
        strength = now.held["sap"].strength(now.facts.sap_brix)
        now.move("spilled", number, "sap", mass, mass * strength / 100.0)


def _membrane(now: Walk, number: int, period: Period) -> None:
    """Sap fed, split into concentrate and permeate."""
    if period.membrane_s == 0.0 or number == 0:
        return
    tape, facts = now.tape, now.facts
    flows = {name: _mean_flow(period, name) for name in ("permeate_flow", "concentrate_flow")}
    known_s = period.membrane_s
    guesses = [
        1000.0 * known_s * flow if known_s and flow else 100.0 * facts.sap_m3
        for flow in flows.values()
    ]
    permeate = tape.unknown("permeate", number, guesses[0], now.weak_kg("sap"))
    concentrate = tape.unknown("concentrate", number, guesses[1], now.weak_kg("sap"))
    fed = permeate + concentrate
    strength = now.held["sap"].strength(facts.sap_brix)
    passed = permeate * tape.unknown("permeate brix", 0, 0.0, 1.0) / 100.0
    kept = fed * strength / 100.0 - passed
    now.move("fed", number, "sap", fed, fed * strength / 100.0)
    target = "stock" if "stock" in now.held else "sap"
    now.move("", number, target, concentrate * -1.0, kept * -1.0)
    now.flows.append(Flow("concentrate", number, concentrate, kept))
    if "permeate" in now.held:
        now.move("", number, "permeate", permeate * -1.0, passed * -1.0)
    now.flows.append(Flow("permeate", number, permeate, passed))
    _membrane_read(now, number, period, strength, concentrate, permeate, kept)


def _membrane_read(
    now: Walk, number: int, period: Period, strength: Number,
    concentrate: Number, permeate: Number, kept: Number,
) -> None:  # fmt: skip
    """Put the membrane's readings beside the balance of its run."""
    tape, running = now.tape, period.running
    if period.membrane_s:
        for name, mass in (("permeate_flow", permeate), ("concentrate_flow", concentrate)):
            flow = mass / (1000.0 * period.membrane_s)
            tape.read(running, name, number, flow, known.RUN_FLOW_SD)
    zero = tape.unknown("hydrometer", 0, 0.0, 1.0)
    fed = strength + zero
    tape.read(running, "feed_brix", number, fed, known.MIXED_SD, known.MIXED_SD_BRIX)
    if concentrate.value > 1.0:
        out = kept / concentrate * 100.0 + zero
        tape.read(running, "concentrate_brix", number, out, known.RUN_BRIX_SD)
    brix = tape.unknown("permeate brix", 0, 0.0, 1.0)
    tape.read(running, "permeate_brix", number, brix, 0.0, 0.05)


def _mean_flow(period: Period, name: str) -> float | None:
    found = [each.values[name].value for each in period.running if name in each.values]
    return sum(found) / len(found) if found else None


def _permeate_used(now: Walk, number: int, period: Period) -> None:
    """Permeate to rinse and wash, and what was let go because the tank was full."""
    if "permeate" not in now.held:
        return
    tape, facts = now.tape, now.facts
    for order, item in enumerate(period.moves):
        if item.entry.kind not in ("rinse", "wash"):
            continue
        usual_m3 = facts.wash_m3 if item.entry.kind == "wash" else facts.rinse_m3
        mass = tape.unknown(f"move {order}", number, 1000.0 * usual_m3, 2000.0 * usual_m3 + 20.0)
        if "volume" in item.values:
            tape.read([item], "volume", number, mass / 1000.0)
        else:
            sd = known.CLEANING_SD * usual_m3 + 0.002
            tape.known("cleaning", "permeate", number, usual_m3, sd, mass / 1000.0)
        strength = now.held["permeate"].strength(0.0)
        now.move("cleaning", number, "permeate", mass, mass * strength / 100.0)
    if period.membrane_s != 0.0 and number > 0 and _may_be_full(now, number, period):
        mass = tape.unknown("let go", number, 0.0, now.weak_kg("permeate"))
        strength = now.held["permeate"].strength(0.0)
        now.move("let go", number, "permeate", mass, mass * strength / 100.0)


def _may_be_full(now: Walk, number: int, period: Period) -> bool:
    """Whether permeate may have run off: the tank was not seen to have room for all that came."""
    full_m3 = now.facts.permeate_m3
    before, after = _permeate_read(now, number - 1), _permeate_read(now, number)
    flow_m3_s = _mean_flow(period, "permeate_flow")
    if before is None or after is None or flow_m3_s is None or period.membrane_s is None:
        return before is None or after is None or after > 0.9 * full_m3 or before > 0.5 * full_m3
    return max(after, before + flow_m3_s * period.membrane_s) > 0.85 * full_m3


def _permeate_read(now: Walk, number: int) -> float | None:
    """Return the permeate that a round of readings saw, m³."""
    found = [
        each.values["volume"].value
        for each in now.timeline.periods[number].readings
        if each.entry.place == "permeate" and "volume" in each.values
    ]
    return max(found) if found else None


def _boil(now: Walk, number: int, period: Period) -> None:
    """Feed, steam and syrup of the pan."""
    tape, facts, house = now.tape, now.facts, now.house
    draws = [each for each in period.moves if each.entry.kind == "draw"]
    burns = bool(period.fire_s) or (period.fire_s is None and bool(draws))
    if not (burns or draws) or number == 0:
        return
    place = now.feed_place
    long_s = boiling_s(house, period.fire_s or 0.0, period.fire_ends)
    off_kg = facts.boil_kg_s * long_s
    strength = now.held[place].strength(now.usual_brix(place))
    guess_kg = off_kg or 1000.0 * 0.3 * now.size_m3(place)
    feed = tape.unknown("boiled", number, guess_kg, now.weak_kg(place))
    steam = tape.unknown("steam", number, 0.9 * guess_kg, now.weak_kg(place))
    now.move("boiled", number, place, feed, feed * strength / 100.0)
    now.move("", number, "pan", feed * -1.0, feed * strength / -100.0)
    now.move("steam", number, "pan", steam, steam * 0.0)
    if long_s > 0.0:
        boil = tape.unknown("boil", 0, 1.0, 1.0)
        sd = known.BOIL_DAY_SD * off_kg + 0.1 * facts.boil_kg_s * 3600.0
        tape.known("boil", "pan", number, 0.0, sd, steam - boil * off_kg)
    if draws or not _draws_are_logged(now):
        _draw(now, number, draws)
    pan = now.held["pan"]
    tape.known("level", "pan", number, facts.pan_kg, known.PAN_LEVEL_SD * facts.pan_kg, pan.mass)
    steady_kg = steady_pan_sugar_kg(house, min(max(strength.value, 0.5), 40.0))
    tape.known("sugar", "pan", number, steady_kg, known.PAN_SUGAR_SD * steady_kg, pan.sugar)


def _draws_are_logged(now: Walk) -> bool:
    return any(each.entry.kind == "draw" for p in now.timeline.periods for each in p.moves)


def _draw(now: Walk, number: int, draws: Sequence[Item]) -> None:
    """Syrup drawn in one boil, all draws together."""
    tape, facts = now.tape, now.facts
    read = sum(each.values["volume"].value for each in draws if "volume" in each.values)
    mass = tape.unknown("drawn", number, 1330.0 * read or 20.0, 2.0 * facts.pan_kg + 1330.0 * read)
    brix = tape.unknown("drawn brix", number, facts.finish_brix, known.DRAW_SD_BRIX)
    at_c = next((c for each in draws if (c := each.entry.value("temperature")) is not None), 20.0)
    if all("volume" in each.values for each in draws):
        predicted = mass / density(brix, min(max(at_c, -5.0), 108.0))
        tape.read(draws, "volume", number, predicted)
    tape.read(draws, "brix", number, brix)
    now.move("syrup", number, "pan", mass, mass * brix / 100.0)
    lost = tape.unknown("pan loss", 0, known.PAN_LOSS, known.PAN_LOSS_SD)
    now.move("lost at the pan", number, "pan", mass * lost, mass * brix * lost / 100.0)


def _readings(now: Walk, number: int, period: Period) -> None:
    """Put the round of readings beside what the tanks should hold."""
    for place in TANKS:
        if place in now.held:
            strength = now.held[place].strength(now.usual_brix(place))
            now.volumes[place, number] = now.held[place].mass / density(strength, COLD_C)
    for item in period.readings:
        place = item.entry.place
        if place not in now.held:
            continue
        strength = now.held[place].strength(now.usual_brix(place))
        if "volume" in item.values:
            volume = now.volumes[place, number]
            size = now.tape.unknown(f"{place} size", 0, 1.0, 1.0)
            now.tape.read([item], "volume", number, volume / size)
        if place != "permeate" and now.held[place].mass.value > 5.0:
            _read_brix(now, [item], number, strength)


def _read_brix(now: Walk, items: Sequence[Item], number: int, strength: Number) -> None:
    """Put a hydrometer's reading beside a strength; its zero is the same in all its readings."""
    shown = strength + now.tape.unknown("hydrometer", 0, 0.0, 1.0)
    now.tape.read(items, "brix", number, shown, known.MIXED_SD, known.MIXED_SD_BRIX)


def _syrup(now: Walk) -> None:
    """Put measured syrup beside the sugar drawn since the measure before it."""
    since_s = now.timeline.periods[0].begin_s if now.timeline.periods else 0.0
    for item in now.timeline.syrup:
        entry = item.entry
        begin_s = entry.begin_s if entry.begin_s is not None else since_s
        since_s = entry.at_s
        if "volume" not in item.values:
            continue
        drawn = [
            each
            for each in now.flows
            if each.name == "syrup"
            and begin_s <= now.timeline.periods[each.period].end_s <= entry.at_s
        ]
        if not drawn:
            continue
        brix = item.values["brix"].value if "brix" in item.values else now.facts.finish_brix
        sugar = sum((each.sugar for each in drawn[1:]), drawn[0].sugar)
        unit = Number(brix, np.zeros_like(sugar.slopes))
        now.tape.read(
            [item], "volume", drawn[-1].period, sugar / (density(unit, 20.0) * unit) * 100.0
        )
