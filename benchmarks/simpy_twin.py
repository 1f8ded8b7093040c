"""The same sugarhouse in SimPy, written as a user of SimPy would write it.

A second opinion on the compiled kernel, and the yardstick for its speed. Everything here is its own
code: tanks are objects, each machine is a process, people look round every five minutes. It shares
with the kernel what defines the plant, not how it is run:

- the house as described (:class:`House`), its habit, and the same hours of air;
- the formulas of ``physics/`` (trees, density, growth, fire, evaporation, compartments);
- the full membrane model, compiled, a call a minute: the kernel reads a fitted map instead;
- the rules' named figures (when a stock tank counts as full, how long an idle pan stays warm).

It does not share flat arrays, assembled parameters, calendar, steps cut at events, or the kernel's
way of adding up volumes: here a tank's volume comes from the density of what it holds.

Choices made in the twin's favour: a machine that stands still waits for an event and costs nothing,
the line sleeps while nothing flows, nothing is recorded on the way, and only what this house has is
written down (sap that runs in by itself; a membrane indoors that never runs alone; a circuit that
carries everything; no chores with minutes of their own). Flows go by the minute, which is what it
takes to agree with the kernel within 1 %.

Run it: ``python benchmarks/simpy_twin.py`` (``--tick 20`` for finer ticks)
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Generator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import simpy

from invented_house import Spring, ready, spring
from sugarwright.physics.pan import advance_compartments, evaporation_kg_s, heat_ramp
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.tree import TreeParameters, run_tree
from sugarwright.physics.water import latent_heat_j_kg, water_density_kg_m3
from sugarwright.plant import assemble, decisions, fire_decisions, membrane_decisions, pan_kernel
from sugarwright.plant.membrane_machine import Machine, full_point
from twin_parts import COLD_C, Pan, Tank
from twin_results import Season, season_of, table

Process = Generator[simpy.Event, object, None]

MINUTE_S = 60
LOOK_S = 300  # how often people look round, and the time after which everything has aged a little


class Sugarhouse:
    """The house as SimPy processes."""

    def __init__(self, days: Spring, tick_s: int = MINUTE_S) -> None:
        house, membrane = days.house, days.house.membrane
        (gathering,) = house.gathering
        if membrane is None or house.stock_tank is None or house.permeate_tank is None:
            raise ValueError("this twin has a membrane")
        if gathering.way != "gravity" or house.chores:
            raise ValueError("this twin's sap runs in by itself, and it has no chores")
        self.house, self.membrane = house, membrane
        self.begin_s, self.end_s, self.tick_s = days.begin_s, days.end_s, tick_s
        self.habit = house.habit
        self.env = simpy.Environment(initial_time=days.begin_s)
        self.season = Season()
        self.sap = Tank(house.sap_tank)
        self.stock, self.permeate = Tank(house.stock_tank), Tank(house.permeate_tank)
        self.pan = Pan.of(house)
        self.draw_kg = house.pan.draw_volume_m3 * density_kg_m3(house.pan.finish_brix, 20.0)
        self.reserve_m3 = self._reserve_m3()
        fire = house.fire
        self.wood_m3 = fire.wood_on_hand_wood_m3
        self.fuel_m3_s = self.pan.full_heat_w / (fire.heat_j_m3 * fire.efficiency_fraction)
        self.machine = Machine(
            membrane.exit_pressure_pa, membrane.recirculation_flow_m3_s, membrane.in_series,
            membrane.in_parallel, membrane.element_area_m2, membrane.element_length_m,
            membrane.spacer_height_m, membrane.spacer_porosity_fraction,
            membrane.permeability_m_s_pa, membrane.sugar_permeability_m_s, membrane.film_factor,
            membrane.friction_multiplier, float(assemble.CELLS_PER_ELEMENT),
        )  # fmt: skip
        self.least_sap_m3 = max(membrane.least_sap_m3, self.sap.dead_m3)
        self.condition, self.run_since_wash_s = 1.0, 0.0
        self.running = False
        self.cleaning_until_s = float(self.begin_s)
        self.washed_day = self.lit_day = date.min
        self.lit_today = 0
        self.started, self.kindled = self.env.event(), self.env.event()
        self.zone = ZoneInfo(house.site.timezone)
        self.presence = self._presence()
        self.air_c, self.run_kg_s = self._hours(days)
        for process in (self.people, self.ageing, self.pipeline, self.concentrating, self.boiling):
            self.env.process(process())

    def run(self) -> Season:
        """Run the days."""
        self.env.run(until=self.end_s)
        return self.season

    # --- what is known before it starts ----------------------------------------------------------

    def _reserve_m3(self) -> float:
        pan = self.house.pan
        boiled_m3_s = pan.boil_rate_m3_s * water_density_kg_m3(20.0) / water_density_kg_m3(COLD_C)
        tail_m3 = assemble.SPARE_FEED * boiled_m3_s * pan.burn_down_s
        return self.stock.dead_m3 + max(pan.reserve_m3, tail_m3)

    def _reserve_now_m3(self) -> float:
        """Feed at which the fire is let go: more than the house's reserve where the pan is rich.

        The rule of the plant told anew: the steam of the dying fire is taken from the strongest
        liquid first, and syrup of what that finishes is drawn, but for what fills the last part.
        """
        pan, finish = self.house.pan, self.house.pan.finish_brix / 100.0
        boiled_kg_s = pan.boil_rate_m3_s * water_density_kg_m3(20.0)
        steam_kg = left_kg = assemble.SPARE_TAIL * boiled_kg_s * pan.burn_down_s
        syrup_kg = 0.0
        for sugar_kg, mass_kg in zip(
            reversed(self.pan.sugar_kg), reversed(self.pan.masses_kg), strict=True
        ):
            to_finish_kg = max(0.0, mass_kg - sugar_kg / finish)
            taken_kg = min(left_kg, to_finish_kg)
            syrup_kg += sugar_kg / finish * (taken_kg / to_finish_kg if to_finish_kg else 1.0)
            left_kg -= taken_kg
        fed = min(self.stock.sugar_fraction, 0.5 * finish)
        syrup_kg += left_kg * fed / (finish - fed)
        drawn_kg = max(0.0, syrup_kg - self.pan.masses_kg[-1] + self.draw_kg)
        needed_m3 = (steam_kg + drawn_kg) / water_density_kg_m3(COLD_C)
        return max(self.reserve_m3, self.stock.dead_m3 + needed_m3)

    def _presence(self) -> list[tuple[float, float]]:
        """When the one person is there, UTC s, one span after the other."""
        (person,) = self.house.people
        day = datetime.fromtimestamp(self.begin_s, self.zone).date()
        spans = []
        while self._at(day, 0) < self.end_s + 86400:
            for begin, end in person.weekends if day.weekday() >= 5 else person.weekdays:
                spans.append((self._at(day, begin), self._at(day, end)))
            day += timedelta(days=1)
        return spans

    def _at(self, day: date, minute: int) -> float:
        clock = time(minute // 60, minute % 60)
        return datetime.combine(day, clock, self.zone).timestamp()

    def _hours(self, days: Spring) -> tuple[list[float], list[tuple[float, float]]]:
        """Air, and water and sugar that run from the trees, hour by hour."""
        house, (gathering,) = self.house, self.house.gathering
        trees = TreeParameters(bush_scale=house.trees.yield_factor, brix_start=house.trees.sap_brix)
        tapped_s = datetime.combine(house.trees.tapped, time(12), self.zone).timestamp()
        first, last = (
            (when_s - days.first_hour_s) // 3600 for when_s in (self.begin_s, self.end_s)
        )
        air_c = [float(value) for value in days.air_c[:last]]
        hours_to_tapping = (tapped_s - days.first_hour_s) / 3600.0
        volumes_m3, brixes, _ = run_tree(air_c, hours_to_tapping, gathering.vacuum_pa, trees)
        run_kg_s = []
        for volume_m3, brix in zip(volumes_m3[first:], brixes[first:], strict=True):
            mass_kg_s = gathering.taps * volume_m3 * density_kg_m3(brix, COLD_C) / 3600.0
            sugar_kg_s = mass_kg_s * brix / 100.0
            run_kg_s.append((mass_kg_s - sugar_kg_s, sugar_kg_s))
        return air_c[first:], run_kg_s

    # --- now -------------------------------------------------------------------------------------

    @property
    def hour(self) -> int:
        return int((self.env.now - self.begin_s) // 3600)

    def staying_s(self) -> float:
        """How long somebody will still be there; 0 when nobody is."""
        now_s = self.env.now
        while self.presence and self.presence[0][1] <= now_s:
            self.presence.pop(0)
        begin_s, end_s = self.presence[0]
        return end_s - now_s if begin_s <= now_s else 0.0

    # --- trees -----------------------------------------------------------------------------------

    def pipeline(self) -> Process:
        """Sap runs to the sap tank; while none runs, nothing happens here until the next hour."""
        while True:
            water_kg_s, sugar_kg_s = self.run_kg_s[self.hour]
            if water_kg_s <= 0.0:
                yield self.env.timeout(3600 - (self.env.now - self.begin_s) % 3600)
                continue
            water_kg, sugar_kg = water_kg_s * self.tick_s, sugar_kg_s * self.tick_s
            self.season.sap_kg += water_kg + sugar_kg
            self.season.sap_sugar_kg += sugar_kg
            self.sap.pour(water_kg, sugar_kg, 1.0, max(0.0, self.air_c[self.hour]))
            yield self.env.timeout(self.tick_s)

    # --- membrane --------------------------------------------------------------------------------

    def concentrating(self) -> Process:
        """Pass sap through the membrane until a tank or somebody stops it."""
        while True:
            yield self.started
            self.started = self.env.event()
            while self.running:
                self._concentrate()
                empty = self.sap.volume_m3 <= self.least_sap_m3 * (1.0 + 1e-6)
                if empty or self.stock.volume_m3 >= self.stock.capacity_m3 * (1.0 - 1e-6):
                    self.stop_membrane()
                yield self.env.timeout(self.tick_s)

    def _concentrate(self) -> None:
        sap, membrane = self.sap, self.membrane
        fraction = sap.sugar_fraction
        condition = max(0.01, self.condition * membrane.condition_fraction)
        flow_m3_s = min(
            max(self.habit.concentrate_flow_m3_s, membrane.least_flow_m3_s),
            membrane.most_flow_m3_s,
        )
        point = full_point(self.machine, flow_m3_s, 100.0 * fraction, sap.temperature_c, condition)
        # The last minute may be shorter: the machine stops when a gauge says so.
        run_s = min(
            self.tick_s,
            sap.mass_above_kg(self.least_sap_m3) / point.feed_kg_s,
            (self.stock.capacity_m3 - self.stock.volume_m3) / flow_m3_s,
        )
        cells = min(sap.cells * point.feed_kg_s / point.concentrate_kg_s, 1e6)
        water_kg, sugar_kg = sap.take(point.feed_kg_s * run_s)
        passed_kg = point.permeate_sugar_kg_s * run_s
        clear_kg = point.permeate_kg_s * run_s - passed_kg
        self.stock.pour(water_kg - clear_kg, sugar_kg - passed_kg, cells, sap.temperature_c)
        self.permeate.pour(clear_kg, passed_kg, 1.0, sap.temperature_c)
        self.season.permeate_kg += clear_kg + passed_kg
        self.season.membrane_s += run_s
        self.run_since_wash_s += run_s
        self.condition *= (1.0 - membrane.loss_per_hour_fraction) ** (run_s / 3600.0)

    def stop_membrane(self) -> None:
        """Stop it; whoever is there rinses it, with permeate if there is enough."""
        self.running = False
        if self.staying_s() <= 0.0:
            return
        self.season.hands_s += self.membrane.stop_hands_s
        if self._use_permeate(self.membrane.rinse_volume_m3):
            self.cleaning_until_s = self.env.now + self.membrane.rinse_duration_s
            self.condition += self.membrane.rinse_recovery_fraction * (1.0 - self.condition)
            self.season.rinses += 1

    def _use_permeate(self, wanted_m3: float) -> bool:
        wanted_kg = wanted_m3 * water_density_kg_m3(COLD_C)
        if self.permeate.mass_above_kg(self.permeate.dead_m3) < wanted_kg:
            return False
        self.permeate.take(wanted_kg)
        return True

    # --- pan -------------------------------------------------------------------------------------

    def boiling(self) -> Process:
        """Burn and boil from light-up until the embers are out."""
        while True:
            yield self.kindled
            self.kindled = self.env.event()
            while self.pan.stoked or self.pan.heat_w > 0.0:
                if self.pan.lit:
                    self.season.fire_s += self.tick_s
                    self.season.hands_s += self.tick_s
                self._boil(self._burn())
                at_m3 = self._reserve_now_m3() * (1.0 + 1e-3)
                if self.stock.volume_m3 <= at_m3 or self.wood_m3 <= 0.0:
                    self.pan.stoked = False
                yield self.env.timeout(self.tick_s)

    def _burn(self) -> float:
        """Let the fire grow or die for a tick; return its mean heat, W."""
        pan = self.pan
        if pan.stoked:
            self._use_wood(min(self.fuel_m3_s * self.tick_s, self.wood_m3))
            target_w, time_constant_s = pan.full_heat_w, self.house.pan.light_up_s
        else:
            target_w, time_constant_s = 0.0, self.house.pan.burn_down_s
        pan.heat_w, mean_w = heat_ramp(pan.heat_w, target_w, time_constant_s, self.tick_s)
        if not pan.stoked and pan.heat_w < pan_kernel.EMBERS_FRACTION * pan.full_heat_w:
            pan.heat_w = 0.0
        return mean_w

    def _use_wood(self, wood_m3: float) -> None:
        self.wood_m3 -= wood_m3
        self.season.wood_m3 += wood_m3

    def _boil(self, heat_w: float) -> None:
        pan = self.pan
        brix = 100.0 * sum(pan.sugar_kg) / pan.mass_kg
        capacity_j_k = pan.mass_kg * heat_capacity_j_kg_k(brix, pan.temperature_c)
        lacking_j = max(0.0, capacity_j_k * (pan.boiling_c - pan.temperature_c))
        given_j = heat_w * self.tick_s
        if given_j <= lacking_j:
            pan.temperature_c += given_j / capacity_j_k
            return
        pan.temperature_c = max(pan.temperature_c, pan.boiling_c)
        boil_s = self.tick_s * (1.0 - lacking_j / given_j)
        tank, fraction, feed_c = self._feed(given_j / 2.2e6)  # a little more than boils off
        capacity = heat_capacity_j_kg_k(100.0 * fraction, feed_c)
        boiled_kg_s = evaporation_kg_s(heat_w, pan.boiling_c, feed_c, capacity)
        preheat = 1.0 - boiled_kg_s * latent_heat_j_kg(pan.boiling_c) / heat_w
        advance_compartments(
            pan.sugar_kg, pan.masses_kg, pan.shares, boiled_kg_s, preheat, fraction,
            self.house.pan.mixing_fraction, boil_s, pan.scratch,
        )  # fmt: skip
        if tank is not None:
            tank.take(boiled_kg_s * boil_s)
        self.season.steam_kg += boiled_kg_s * boil_s
        while pan.sugar_kg[-1] >= self.house.pan.finish_brix / 100.0 * pan.masses_kg[-1]:
            self._draw()

    def _feed(self, wanted_kg: float) -> tuple[Tank | None, float, float]:
        """What feeds the pan now, its strength and temperature: stock, else sap, else a bucket."""
        for tank in (self.stock, self.sap):
            if tank.mass_above_kg(tank.dead_m3) >= wanted_kg:
                return tank, tank.sugar_fraction, tank.temperature_c
        return None, 0.0, pan_kernel.BUCKET_C

    def _draw(self) -> None:
        """Draw syrup: everything behind moves up by as much."""
        pan, drawn_kg = self.pan, self.draw_kg
        tank, fraction, feed_c = self._feed(drawn_kg)
        moving = [drawn_kg * s / m for s, m in zip(pan.sugar_kg, pan.masses_kg, strict=True)]
        arriving = [drawn_kg * fraction, *moving[:-1]]
        for i in range(len(moving)):
            pan.sugar_kg[i] += arriving[i] - moving[i]
        if tank is not None:
            tank.take(drawn_kg)
        pan.temperature_c -= drawn_kg / pan.mass_kg * max(0.0, pan.boiling_c - feed_c)
        self.season.syrup_kg += drawn_kg
        self.season.syrup_sugar_kg += moving[-1]
        self.season.draws += 1

    # --- time ------------------------------------------------------------------------------------

    def ageing(self) -> Process:
        """Let tanks follow the air and cells grow; an idle pan cools."""
        while True:
            air_c = self.air_c[self.hour]
            for tank in (self.sap, self.stock):
                tank.age(air_c, LOOK_S)
            if self.pan.filled and self.pan.heat_w <= 0.0:
                self.pan.rest(air_c, LOOK_S)
            yield self.env.timeout(LOOK_S)

    # --- people ----------------------------------------------------------------------------------

    def people(self) -> Process:
        """Look round, and do what the habit says, as far as the house's rules allow."""
        while True:
            now = datetime.fromtimestamp(self.env.now, self.zone)
            minute, staying_s = now.hour * 60 + now.minute, self.staying_s()
            if staying_s > 0.0:
                self._dump_spoiled()
            self._see_to_membrane(now.date(), minute, staying_s)
            self._see_to_fire(now.date(), minute, staying_s)
            yield self.env.timeout(LOOK_S)

    def _dump_spoiled(self) -> None:
        for tank in (self.sap, self.stock):
            life = math.log10(max(1.0, tank.cells)) / self.house.keeping.spoiled_log
            heel = tank.volume_m3 <= decisions.HEEL_FRACTION * tank.capacity_m3
            feeding = tank is self.stock and (self.pan.stoked or self.pan.heat_w > 0.0)
            old = life >= (self.house.keeping.heel_life_fraction if heel else 1.0)
            if tank.mass_kg <= decisions.LEAST_HEEL_KG or not old or feeding:
                continue
            if tank is self.sap and self.running:
                self.stop_membrane()
            self.season.hands_s += 0.0 if heel else decisions.DUMPING_S
            self.season.dumped_sugar_kg += tank.take(tank.mass_kg)[1]

    def _see_to_membrane(self, today: date, minute: int, staying_s: float) -> None:
        habit, membrane = self.habit, self.membrane
        in_hours = habit.membrane_start <= minute < habit.membrane_stop
        closing_s = max(LOOK_S, membrane.rinse_duration_s + membrane.stop_hands_s)
        allowed = in_hours and staying_s > closing_s
        if self.running and not allowed:
            self.stop_membrane()
        clean = self.env.now >= self.cleaning_until_s
        wash_due = (
            minute >= habit.wash_at
            and self.washed_day != today
            and self.run_since_wash_s >= habit.wash_after_s
            and staying_s >= membrane.wash_duration_s
        )
        if wash_due and clean and self._use_permeate(membrane.wash_volume_m3):
            self._wash(today)
            return
        wanted_m3 = max(habit.membrane_sap_m3, 1.2 * self.least_sap_m3)
        enough = self.sap.volume_m3 >= wanted_m3 and staying_s >= membrane.start_hands_s
        fullest_m3 = membrane_decisions.STOCK_ROOM_FRACTION * self.stock.capacity_m3
        room_m3 = fullest_m3 - self.stock.volume_m3
        if allowed and clean and enough and room_m3 > 0.0 and not self.running:
            self.running = True
            self.season.membrane_starts += 1
            self.season.hands_s += membrane.start_hands_s
            self.started.succeed()

    def _wash(self, today: date) -> None:
        membrane = self.membrane
        if self.running:
            self.season.hands_s += membrane.stop_hands_s
        self.running = False
        self.cleaning_until_s = self.env.now + membrane.wash_duration_s
        self.condition += membrane.wash_recovery_fraction * (1.0 - self.condition)
        self.run_since_wash_s, self.washed_day = 0.0, today
        self.season.washes += 1
        self.season.hands_s += membrane.wash_hands_s

    def _see_to_fire(self, today: date, minute: int, staying_s: float) -> None:
        habit, pan = self.habit, self.pan
        in_hours = habit.fire_start <= minute < habit.fire_stop
        clear_s = self.house.pan.burn_down_s * math.log(1.0 / pan_kernel.SAFE_HEAT_FRACTION)
        if pan.stoked:
            if not in_hours or staying_s < clear_s + LOOK_S:
                pan.stoked = False
            return
        if self.lit_day != today:
            self.lit_day, self.lit_today = today, 0
        least_s = assemble.LEAST_BURN_S
        if (
            in_hours
            and (habit.fire_stop - minute) * 60 >= least_s
            and staying_s >= clear_s + least_s
            and self.lit_today < fire_decisions.MOST_LIGHT_UPS_A_DAY
            and self.wood_m3 >= self.house.fire.light_up_wood_m3 + self.fuel_m3_s * least_s
            and self._has_feed()
        ):
            self._light()

    def _has_feed(self) -> bool:
        filling_m3 = 0.0 if self.pan.filled else self.pan.mass_kg / water_density_kg_m3(COLD_C)
        wanted_m3 = max(self.habit.fire_stock_m3, 1.2 * self._reserve_now_m3()) + filling_m3
        return self.stock.volume_m3 >= wanted_m3

    def _light(self) -> None:
        pan = self.pan
        if not pan.filled:
            pan.temperature_c = self.stock.temperature_c
            _, sugar_kg = self.stock.take(pan.mass_kg)
            pan.sugar_kg = [sugar_kg * mass_kg / pan.mass_kg for mass_kg in pan.masses_kg]
            pan.filled = True
        pan.stoked = True
        self.lit_today += 1
        self.season.light_ups += 1
        self._use_wood(self.house.fire.light_up_wood_m3)
        if not self.kindled.triggered:
            self.kindled.succeed()


def main() -> None:
    """Print both results side by side."""
    options = argparse.ArgumentParser(description="The season of the twin beside the kernel's.")
    options.add_argument("--tick", type=int, default=MINUTE_S, help="the twin's tick, s")
    season = spring()
    twin = Sugarhouse(season, options.parse_args().tick).run()
    print(table(twin, season_of(ready(season).run())))


if __name__ == "__main__":
    main()
