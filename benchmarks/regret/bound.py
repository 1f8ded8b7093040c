"""A bound on what any way of working could have brought in a season, from a linear relaxation.

Hour by hour, over the season's true sap and air. Every simplification is to the maker's advantage,
so that no plan that keeps the house's rules can bring more in the simulator:

- spilled and dumped sap is left out from the hour in which it ran; nothing ages, all is fresh;
- tanks: water and sugar balance, volumes fit (gathering tanks count as room for sap), but what is
  taken out may be the sweetest sap there has been so far, not the mixture;
- the membrane is clean at every hour, as warm as its sap can be, fed with the weakest sap so far,
  lets no sugar through, and may change its setting within the hour; it costs power, a share of a
  start for a share of each stay, and of each wash its share by running time;
- fires and starts need not be whole: a tenth of a light-up for a tenth of a stay. Warming up and
  burning down are charged as to one fire through the whole stay; heat in between, and what is fed,
  is free to lie anywhere in it; feed comes as warm as anything could be; no level is a reserve;
- frost, daily chores, rinses, crowding and gathering pumps cost nothing; loads are fetched by
  fractions;
- what is left at the end counts as if little of it, fresh and as strong as can be, were left.

What it leaves out makes it loose: ageing, mixing, fouling, whole fires, and foresight over weeks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.water import latent_heat_j_kg
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION, pan_mass_kg
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines

from .linear_program import LinearProgram, Places
from .membrane_best import Best, best_settings
from .truth import Truth, cut

LITTLE_KG = 1e-3
MOST_LIGHT_UPS_A_STAY = 2.0
MOST_FEED_BRIX = 25.0  # its heat capacity is less than that of any feed of ours


@dataclass(frozen=True)
class Stays:
    """Spans in which somebody is there.

    Parameters
    ----------
    length_s : of each
    hour, stay, overlap_s : for each pair of an hour and a stay that share time, how much
    """

    length_s: Floats
    hour: Places
    stay: Places
    overlap_s: Floats


def bound_money(plant: Plant, truth: Truth) -> float:
    """Return the bound on the season's net worth."""
    return _Bound(plant, cut(truth.drive, 0, 24 * truth.season.days)).solve()


def stays_of(plant: Plant, drive: Drive) -> Stays:
    """List the stays of a calendar."""
    people, hours = drive.calendar[:, at.PEOPLE] > 0.0, drive.calendar[:, at.HOUR].astype(np.int64)
    number = np.cumsum(np.diff(people.astype(np.int64), prepend=0) == 1) - 1
    pairs, counts = np.unique(np.stack([hours[people], number[people]]), axis=1, return_counts=True)
    length_s = plant.step_s * np.bincount(number[people]).astype(np.float64)
    return Stays(length_s, pairs[0], pairs[1], plant.step_s * counts.astype(np.float64))


class _Bound:
    """The program of one season; each method adds one part of the house."""

    def __init__(self, plant: Plant, drive: Drive) -> None:
        self.plant, self.p, self.drive = plant, plant.p, drive
        self.hours = drive.air_c.shape[1]
        self.program = LinearProgram()
        self.stays = stays_of(plant, drive)
        self.hour_money_s = min(person.hour_money_s for person in plant.house.people)
        self.warmest_c = max(float(drive.air_c.max()), float(self.p[at.INDOORS_LEAST_C]))
        came = drive.sap_kg_s[0].sum(axis=1) * 3600.0
        self.came_water_kg, self.came_sugar_kg = came[:, 0], came[:, 1]
        ratio = self.came_sugar_kg / np.maximum(self.came_water_kg, 1e-9)
        some = self.came_water_kg > LITTLE_KG
        self.sweetest = np.maximum.accumulate(np.where(some, ratio, 0.0))
        self.weakest = np.minimum.accumulate(np.where(some, ratio, ratio[some].min(initial=1.0)))

    def solve(self) -> float:
        if self.came_sugar_kg.sum() <= LITTLE_KG:
            return 0.0
        membrane = self.p[at.HAS_MEMBRANE] > 0.0
        water, sugar = self._sap_tank()
        sweetest = self.sweetest
        if membrane:
            best = best_settings(self.plant, self.drive, self.sweetest, self.weakest)
            water, sugar = self._membrane(best, water, sugar)
            sweetest = sweetest * best.sweeter
        self._pan(water, sugar, sweetest)
        return self.program.solve()

    def _sap_tank(self) -> tuple[Places, Places]:
        """Sap comes, as much of each hour's as is wanted; return what is taken out each hour."""
        p, of = self.p, self.plant.points
        room_m3 = p[at.SAP_CAPACITY_M3] + (of[:, at.OWN_TANK] * of[:, at.POINT_CAPACITY_M3]).sum()
        part = self.program.variables(self.hours, upper=1.0)
        outside = of[:, at.BY_HAND] > 0.0
        trip_money_m3 = 0.0
        if outside.all():  # the quickest of them, and only where nothing runs in by itself
            trip_money_m3 = self.hour_money_s / float(of[:, at.EMPTYING_M3_S].max())
        taken_water = self.program.variables(self.hours, brings=-trip_money_m3 * p[at.WATER_M3_KG])
        taken_sugar = self.program.variables(self.hours)
        came = (self.came_water_kg, self.came_sugar_kg)
        self._tank(at.SAP, room_m3, (part, part), came, (taken_water, taken_sugar), self.sweetest)
        return taken_water, taken_sugar

    def _tank(
        self,
        tank: int,
        room_m3: float,
        into: tuple[Places, Places],
        factors: tuple[Floats | float, Floats | float],
        out: tuple[Places, Places],
        sweetest: Floats,
    ) -> None:
        """Balance water and sugar of a tank; none is sweeter or weaker than any sap so far."""
        held = []
        for k in (0, 1):
            here = self.program.variables(self.hours)
            before, first = here[:-1], slice(1, None)
            factor = np.broadcast_to(np.asarray(factors[k], dtype=np.float64), self.hours)
            self.program.rows(
                [(1.0, here[:1]), (-factor[:1], into[k][:1]), (1.0, out[k][:1])], 0, 0
            )
            self.program.rows(
                [(1.0, here[first]), (-1.0, before), (-factor[first], into[k][first]),
                 (1.0, out[k][first])], 0.0, 0.0,
            )  # fmt: skip
            held.append(here)
        volume = (self.p[at.WATER_M3_KG], self.p[at.SUGAR_M3_KG])
        self.program.rows(list(zip(volume, held, strict=True)), upper=room_m3)
        for water, sugar in (held, out):
            self.program.rows([(1.0, sugar), (-sweetest, water)], upper=0.0)
            self.program.rows([(1.0, sugar), (-self.weakest, water)], lower=0.0)
        self._leave(tank, held[1][-1:], float(sweetest[-1]))

    def _leave(self, tank: int, sugar: Places, ratio: float) -> None:
        """Give what is left in a tank its worth: that of a little, fresh, as sweet as can be."""
        x = start_state(self.plant, Levels())
        x[tank + at.SUGAR], x[tank + at.WATER] = LITTLE_KG, LITTLE_KG / ratio
        x[tank + at.CELLS], x[tank + at.TEMPERATURE] = 1.0, 0.0
        left_money = float(worth_lines(self.plant, start_totals(), x).left) / LITTLE_KG
        extra = self.program.variables(1, brings=left_money)
        self.program.rows([(1.0, extra), (-1.0, sugar)], 0.0, 0.0)

    def _membrane(self, best: Best, water: Places, sugar: Places) -> tuple[Places, Places]:
        """Take water out of the sap; return what leaves the stock tank each hour."""
        p, program, house = self.p, self.program, self.plant.house
        assert house.membrane is not None
        alone = p[at.UNATTENDED] > 0.0
        hour = np.arange(self.hours) if alone else self.stays.hour
        most_s = np.full(self.hours, 3600.0) if alone else self.stays.overlap_s
        wash_money = house.membrane.wash_cost_money + self.hour_money_s * (
            house.membrane.wash_hands_s + p[at.CHORE_WASH_S]
        )
        second_money = p[at.MOTOR_W] * house.electricity.price_money_j
        second_money += wash_money / p[at.WASH_EVERY_S]
        on = [program.variables(len(hour), brings=-second_money) for _ in best.flows_m3_s]
        program.rows([(1.0, each) for each in on], upper=most_s)
        if not alone:
            self._starts(on)
        kept_water = program.variables(self.hours)
        by_hour = [np.flatnonzero(hour == h) for h in range(self.hours)]
        for h in range(self.hours):
            here = [each[by_hour[h]] for each in on]
            permeate = [
                (-float(kg_s), each) for kg_s, each in zip(best.permeate_kg_s[h], here, strict=True)
            ]
            program.row(
                [(1.0, water[h : h + 1]), (-1.0, kept_water[h : h + 1]), *permeate], 0.0, 0.0
            )
            kept = [(float(-flow), each) for flow, each in zip(best.flows_m3_s, here, strict=True)]
            program.row(
                [(p[at.WATER_M3_KG], kept_water[h : h + 1]),
                 (p[at.SUGAR_M3_KG], sugar[h : h + 1]), *kept], 0.0, 0.0,
            )  # fmt: skip
        fed_water, fed_sugar = program.variables(self.hours), program.variables(self.hours)
        sweetest = self.sweetest * best.sweeter
        room_m3 = float(p[at.STOCK_CAPACITY_M3])
        self._tank(
            at.STOCK, room_m3, (kept_water, sugar), (1.0, 1.0), (fed_water, fed_sugar), sweetest
        )
        return fed_water, fed_sugar

    def _starts(self, on: list[Places]) -> None:
        """Charge a start and a stop by the share of the stay that the membrane runs."""
        p = self.p
        hands_s = p[at.START_HANDS_S] + p[at.STOP_HANDS_S] + p[at.CHORE_RUN_S]
        starts = self.program.variables(
            len(self.stays.length_s), brings=-self.hour_money_s * hands_s
        )
        for stay, length_s in enumerate(self.stays.length_s):
            here = np.flatnonzero(self.stays.stay == stay)
            running = [(-1.0 / length_s, each[here]) for each in on]
            self.program.row([(1.0, starts[stay : stay + 1]), *running], lower=0.0)

    def _pan(self, water: Places, sugar: Places, sweetest: Floats) -> None:
        """Boil, and draw syrup."""
        p, program = self.p, self.program
        ratio = (1.0 - p[at.FINISH_FRACTION]) / p[at.FINISH_FRACTION]
        drawn = program.variables(self.hours, brings=self._syrup_money_kg())
        steam = self._fire()
        held_water = program.variables(self.hours)
        held_sugar = program.variables(self.hours)
        for held, fed, out in (
            (held_water, water, [(1.0, steam), (ratio, drawn)]),
            (held_sugar, sugar, [(1.0, drawn)]),
        ):
            first = [(factor, each[:1]) for factor, each in out]
            later = [(factor, each[1:]) for factor, each in out]
            program.rows([(1.0, held[:1]), (-1.0, fed[:1]), *first], 0.0, 0.0)
            program.rows([(1.0, held[1:]), (-1.0, held[:-1]), (-1.0, fed[1:]), *later], 0.0, 0.0)
        program.rows([(1.0, held_water), (1.0, held_sugar)], upper=pan_mass_kg(p))
        program.rows([(1.0, held_sugar), (-self.weakest, held_water)], lower=0.0)
        left = program.variables(1, brings=self._syrup_money_kg(finishing=False))
        program.rows([(1.0, left), (-1.0, held_sugar[-1:])], 0.0, 0.0)

    def _syrup_money_kg(self, finishing: bool = True) -> float:
        """What a kilogram of sugar brings as syrup, less the hands of finishing it."""
        house, finish = self.plant.house, self.p[at.FINISH_FRACTION]
        price = house.prices.syrup_money_m3 / density_kg_m3(house.pan.finish_brix, 20.0)
        hands = self.p[at.CHORE_SYRUP_S_KG] * self.hour_money_s if finishing else 0.0
        return float((price - hands) / finish)

    def _fire(self) -> Places:
        """Burn; return the steam of each hour, kg."""
        p, program, stays, house = self.p, self.program, self.stays, self.plant.house
        boiling_c = p[at.BOILING_C]
        capacity = heat_capacity_j_kg_k(MOST_FEED_BRIX, self.warmest_c)
        steam_j_kg = latent_heat_j_kg(boiling_c) + capacity * (boiling_c - self.warmest_c)
        full_kg_s = p[at.FULL_HEAT_W] / steam_j_kg
        wood_money = house.prices.wood_money_wood_m3
        slow_m3 = p[at.FUEL_M3_S] * max(0.0, p[at.BURN_DOWN_S] - p[at.LIGHT_UP_S])
        kindling = wood_money * (p[at.LIGHT_UP_WOOD_M3] - slow_m3) + house.prices.light_up_money
        steam = program.variables(
            self.hours, upper=3600.0 * full_kg_s, brings=-wood_money * p[at.FUEL_M3_S] / full_kg_s
        )
        lit = program.variables(len(stays.hour), upper=stays.overlap_s, brings=-self.hour_money_s)
        fires = program.variables(
            len(stays.length_s), upper=MOST_LIGHT_UPS_A_STAY,
            brings=-(kindling + self.hour_money_s * p[at.CHORE_BOIL_S]),
        )  # fmt: skip
        made = program.variables(len(stays.hour))  # steam of an hour by stay
        for h in range(self.hours):
            here = np.flatnonzero(stays.hour == h)
            program.row([(1.0, steam[h : h + 1]), (-1.0, made[here])], 0.0, 0.0)
        for stay, length_s in enumerate(stays.length_s):
            here, fire = np.flatnonzero(stays.stay == stay), fires[stay : stay + 1]
            slope, start_s = _share_of_heat(p, length_s)
            program.row([(1.0, fire), (-1.0 / length_s, lit[here])], lower=0.0)
            program.row(
                [(1.0, made[here]), (-full_kg_s * slope, lit[here]), (-full_kg_s * start_s, fire)],
                upper=0.0,
            )
        return steam


def _share_of_heat(p: Floats, stay_s: float) -> tuple[float, float]:
    """Line above the heat of any fire: full heat x (slope x time at it + start x fires).

    A fire stoked for s gives ``s - up q + down (q - embers)`` of full heat for ``s + down ln(q /
    safe)`` of attendance, q = 1 - exp(-s / up) being how far it came.
    """
    up_s, down_s = p[at.LIGHT_UP_S], p[at.BURN_DOWN_S]
    stoked_s = np.geomspace(1.0, 40.0 * 3600.0, 4000)
    q = -np.expm1(-stoked_s / up_s)
    attended_s = stoked_s + down_s * np.log(np.maximum(1.0, q / SAFE_HEAT_FRACTION))
    heat_s = stoked_s - up_s * q + down_s * q
    within = attended_s <= stay_s
    if not within.any():
        return 0.0, 0.0
    last = int(np.flatnonzero(within)[-1])
    slope = float(heat_s[last] / attended_s[last])
    return slope, float(np.max(heat_s[within] - slope * attended_s[within]))
