"""The membrane of a folder: what its settings give today, and what its log teaches of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sugarwright.answering.folder import house_in
from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.plan import last_plan
from sugarwright.answering.readings import readings
from sugarwright.answering.record import record_of
from sugarwright.answering.standing import standing_of
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.bench.membrane_advice import Answer
    from sugarwright.bench.membrane_machine import Machine, Sap, Setting
    from sugarwright.bench.membrane_report import MembraneReport
    from sugarwright.learning.membrane_lesson import MembraneLesson
    from sugarwright.planning.report import PlanReport
    from sugarwright.plant.house import House
    from sugarwright.twin.report import NowReport, TankNow

USUAL_SAP_C = 4.0
LEAST_CONDITION = 0.05


@dataclass(frozen=True)
class PlannedSetting:
    """A setting that the plan asks for.

    Parameters
    ----------
    time_s : UTC s from which it does
    by_night : whether it is the setting at which the membrane goes on alone overnight
    setting : what it gives with the sap that there is now
    """

    time_s: int
    by_night: bool
    setting: Setting


@dataclass(frozen=True)
class MembraneToday:
    """The membrane with the sap that there is.

    Parameters
    ----------
    report : what each setting of the valve gives, and which one is in step with the pan
    runs : whether it runs now
    as_set : what the setting told last gives
    planned : what the last plan asks for, from now on
    sap_known : whether the sap's strength and warmth are by the log; else by the description
    """

    report: MembraneReport
    runs: bool
    as_set: Setting
    planned: tuple[PlannedSetting, ...]
    sap_known: bool


def membrane_today_in(folder: str, now_s: float) -> MembraneToday:
    """Return the membrane with the sap that the log says there is.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s

    Raises
    ------
    InputError : the house has no membrane, or the folder cannot be used
    """
    house = house_as_learnt(folder)
    with record_of(folder, make=False) as book:
        standing = standing_of(folder, house, now_s, book)
        return membrane_today(house, standing, last_plan(book, int(now_s)))


def membrane_today(house: House, standing: NowReport, plan: PlanReport | None) -> MembraneToday:
    """Return the membrane with the sap that there is.

    Parameters
    ----------
    house : as learnt
    standing : where everything stands
    plan : the last one; None without one

    Raises
    ------
    InputError : the house has no membrane
    """
    from sugarwright.bench.membrane_advice import for_pan, settings_map
    from sugarwright.bench.membrane_machine import setting
    from sugarwright.bench.membrane_report import MembraneReport
    from sugarwright.planning.cautions import CAUTIONS

    known = house.membrane
    if known is None or standing.membrane is None:
        raise InputError("membrane", None, "is not in sugarhouse.toml", fix="Add [membrane] first.")
    machine = _machine(house, max(standing.membrane.condition.middle, LEAST_CONDITION))
    tank = next(each for each in standing.tanks if each.place == "sap")
    sap, is_known = _sap(house, tank)
    pan = house.pan
    report = MembraneReport(
        house.site.name,
        house.site.units,
        sap,
        known.exit_pressure_pa,
        machine.condition_fraction,
        None,
        settings_map(machine, sap),
        (for_pan(machine, sap, pan.boil_rate_m3_s, pan.finish_brix),),
        (CAUTIONS["membrane"],),
    )
    return MembraneToday(
        report,
        standing.membrane.on_probability > 0.5,
        setting(machine, sap, standing.membrane.flow_m3_s),
        _planned(machine, sap, plan, standing.now_s),
        is_known,
    )


def for_strength(house: House, today: MembraneToday, brix: float) -> Answer:
    """Return which setting of the valve gives a strength with the sap that there is.

    Parameters
    ----------
    house : as learnt
    today : its membrane
    brix : strength wanted [mass percent]

    Raises
    ------
    RangeError : this sap cannot be brought to it
    """
    from sugarwright.bench.membrane_advice import for_brix

    report = today.report
    return for_brix(_machine(house, report.condition_fraction), report.sap, brix)


def _machine(house: House, condition_fraction: float) -> Machine:
    """Return a house's membrane at a permeability now against new."""
    from sugarwright.bench.membrane_machine import machine_of

    known = house.membrane
    assert known is not None  # asked before
    machine = machine_of(house, condition_fraction / known.condition_fraction)
    assert machine is not None
    return machine


def _sap(house: House, tank: TankNow) -> tuple[Sap, bool]:
    from sugarwright.bench.membrane_machine import Sap

    read = any(each.quantity == "brix" for each in tank.read)
    brix = tank.brix.middle if read else house.trees.sap_brix
    warmth_c = max(0.0, tank.temperature_c.middle) if tank.volume_m3.middle > 0.0 else USUAL_SAP_C
    return Sap(brix, warmth_c, tank.volume_m3.middle), read


def _planned(
    machine: Machine, sap: Sap, plan: PlanReport | None, now_s: float
) -> tuple[PlannedSetting, ...]:
    from sugarwright.bench.membrane_machine import setting

    if plan is None:
        return ()
    found = []
    for action in plan.days[plan.main_day].actions:
        if action.until_s is not None and action.until_s < now_s:
            continue
        for flow_m3_s, by_night in ((action.flow_m3_s, False), (action.night_flow_m3_s, True)):
            if flow_m3_s is not None:
                given = setting(machine, sap, flow_m3_s)
                found.append(PlannedSetting(action.time_s, by_night, given))
    return tuple(found)


def membrane_learnt_in(folder: str, now_s: float) -> MembraneLesson | None:
    """Return what the log teaches of the membrane; None where nothing was read of it.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s

    Raises
    ------
    InputError : the folder cannot be used
    """
    from sugarwright.learning.membrane import learn_membrane
    from sugarwright.learning.membrane_known import NothingReadError

    with record_of(folder, make=False) as book:
        try:
            return learn_membrane(house_in(folder), readings(book, now_s + 1.0), int(now_s))
        except NothingReadError:
            return None
