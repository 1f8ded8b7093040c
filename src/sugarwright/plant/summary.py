"""What a run came to, in plain values: by day, in all, kilogram by kilogram, and in money.

The names are those of the JSON output; SI throughout, instants are UTC seconds.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.balance import balance
from sugarwright.plant.season import Span, day_cuts
from sugarwright.plant.simulate import Drive, Trace
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.plant.whereabouts import Whereabouts, whereabouts
from sugarwright.plant.worth import worth_lines


@dataclass(frozen=True)
class Sums:
    """What came and went within some time.

    Parameters
    ----------
    sap_m3 : from the trees
    sap_brix : its strength; None when none came
    membrane_s : running time of the membrane
    permeate_m3 : made
    fire_s : time at a lit pan
    light_ups : fires lit
    wood_m3 : burnt, stacked volume
    energy_j : electricity
    syrup_m3 : drawn, at 20 °C
    work_s : of people
    spilled_m3 : sap and concentrate that ran over
    dumped_m3 : that had spoiled
    lost_m3 : both
    """

    sap_m3: float
    sap_brix: float | None
    membrane_s: float
    permeate_m3: float
    fire_s: float
    light_ups: int
    wood_m3: float
    energy_j: float
    syrup_m3: float
    work_s: float
    spilled_m3: float
    dumped_m3: float
    lost_m3: float


@dataclass(frozen=True)
class DaySummary:
    """One local day.

    Parameters
    ----------
    begin_s, end_s : UTC s; the first and last day of a run may be cut
    low_c, high_c : coldest and warmest hour of the air
    sums : what came and went
    """

    begin_s: int
    end_s: int
    low_c: float
    high_c: float
    sums: Sums


@dataclass(frozen=True)
class SeasonSummary:
    """A run of the house under one way of working.

    Parameters
    ----------
    house : its name
    timezone, units, currency : in which the house wants to read it
    begin_s, end_s : UTC s of the hours run
    way : the way of working: "habit"
    weather_source : where the weather is from
    notes : what to know about weather and days, in sentences
    days, total : what came and went
    sap_full_s : UTC s at which the sap tank was first full; None if never
    pan_short_s : time for which a hot pan found no feed
    whereabouts : where every kilogram went
    worth_money : what it was worth, line by line; costs are negative
    net_money : the sum of the lines
    """

    house: str
    timezone: str
    units: str
    currency: str
    begin_s: int
    end_s: int
    way: str
    weather_source: str
    notes: tuple[str, ...]
    days: tuple[DaySummary, ...]
    total: Sums
    sap_full_s: int | None
    pan_short_s: float
    whereabouts: Whereabouts
    worth_money: dict[str, float]
    net_money: float


def summarise(
    plant: Plant,
    drive: Drive,
    span: Span,
    start: Floats,
    trace: Trace,
    ends: list[Floats],
    way: str,
    weather_source: str,
) -> SeasonSummary:
    """Sum up a run.

    Parameters
    ----------
    plant, drive, span : the house, what drove it, and when
    start : state at the beginning
    trace, ends : as :func:`~sugarwright.plant.season.run_by_day` returns them
    way : the way of working
    weather_source : where the weather is from
    """
    site, totals = plant.house.site, trace.totals
    worth = worth_lines(plant, totals, trace.state)
    full_after_s = totals[at.SAP_FULL_AT_S]
    return SeasonSummary(
        house=site.name,
        timezone=site.timezone,
        units=site.units,
        currency=site.currency,
        begin_s=span.begin_s,
        end_s=span.end_s,
        way=way,
        weather_source=weather_source,
        notes=span.notes,
        days=_days(plant, drive, ends),
        total=sums_of(plant, totals),
        sap_full_s=None if full_after_s < 0.0 else span.begin_s + int(full_after_s),
        pan_short_s=float(totals[at.SHORT_S]),
        whereabouts=whereabouts(balance(plant, start, trace.state, totals)),
        worth_money={each.name: float(getattr(worth, each.name)) for each in fields(worth)},
        net_money=float(worth.net),
    )


def sums_of(plant: Plant, totals: Floats) -> Sums:
    """Turn totals (``TOTALS_SIZE``,), or what they grew by, into sums."""
    p = plant.p
    sap_kg = totals[at.SAP_WATER_KG] + totals[at.SAP_SUGAR_KG]
    syrup_kg = totals[at.SYRUP_WATER_KG] + totals[at.SYRUP_SUGAR_KG]

    def cold_m3(water: int, sugar: int) -> float:
        return float(mixed_m3(p, totals[water], totals[sugar]))

    spilled_m3 = cold_m3(at.SPILLED_WATER_KG, at.SPILLED_SUGAR_KG)
    dumped_m3 = cold_m3(at.DUMPED_WATER_KG, at.DUMPED_SUGAR_KG)
    return Sums(
        sap_m3=cold_m3(at.SAP_WATER_KG, at.SAP_SUGAR_KG),
        sap_brix=float(100.0 * totals[at.SAP_SUGAR_KG] / sap_kg) if sap_kg > 0.0 else None,
        membrane_s=float(totals[at.MEMBRANE_S]),
        permeate_m3=float(totals[at.PERMEATE_KG] * p[at.WATER_M3_KG]),
        fire_s=float(totals[at.FIRE_S]),
        light_ups=round(totals[at.LIGHT_UPS]),
        wood_m3=float(totals[at.WOOD_BURNT_M3]),
        energy_j=float(totals[at.ELECTRICITY_J]),
        syrup_m3=float(syrup_kg / density_kg_m3(plant.house.pan.finish_brix, 20.0)),
        work_s=float(totals[at.HANDS_S]),
        spilled_m3=spilled_m3,
        dumped_m3=dumped_m3,
        lost_m3=spilled_m3 + dumped_m3,
    )


def _days(plant: Plant, drive: Drive, ends: list[Floats]) -> tuple[DaySummary, ...]:
    cuts, before = day_cuts(drive), [start_totals(), *ends]
    hours = drive.calendar[:, at.HOUR].astype(int)
    days = []
    for day, end in enumerate(ends):
        first, last = cuts[day], cuts[day + 1]
        air_c = drive.air_c[0, hours[first] : hours[last - 1] + 1]
        days.append(
            DaySummary(
                begin_s=drive.begin_s + round(first * plant.step_s),
                end_s=drive.begin_s + round(last * plant.step_s),
                low_c=float(air_c.min()),
                high_c=float(air_c.max()),
                sums=sums_of(plant, end - before[day]),
            )
        )
    return tuple(days)
