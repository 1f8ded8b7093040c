"""``sugarwright membrane``: what each setting of the valve gives today, and which one to choose."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sugarwright.bench.clean_water import CleanWaterTest, clean_water_test
from sugarwright.bench.membrane_advice import (
    GREATEST_EXIT_PRESSURE_PA,
    Answer,
    for_brix,
    for_pan,
    for_time,
    settings_map,
)
from sugarwright.bench.membrane_machine import Machine, Sap, machine_of, setting
from sugarwright.bench.membrane_report import MembraneReport
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.levels_options import SAP_BRIX, read_level_m3, read_within
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.plant.house import House
from sugarwright.units import (
    BRIX,
    FLOW,
    FRACTION,
    PRESSURE,
    TEMPERATURE,
    parse,
    parse_clock,
)

DAY_MIN = 1440
USUAL_SAP_C = 4.0


def _option(*names: str, metavar: str, help: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(*names, metavar=metavar, help=help)
    return option


@dataclass(frozen=True)
class SapTexts:
    """Today's sap and machine, as typed."""

    sap: Annotated[
        str | None,
        _option(metavar="LEVEL", help='To work off: "212 gal", or "14 in" on the tank\'s stick.'),
    ] = None
    sap_brix: Annotated[
        str | None, _option(metavar="BRIX", help="Its strength; else the house's.")
    ] = None
    temperature: Annotated[
        str | None, _option(metavar="TEMP", help="Its temperature; else 4 C (39 F).")
    ] = None
    pressure: Annotated[
        str | None, _option(metavar="PRESSURE", help="At the valve's gauge; else the house's.")
    ] = None
    condition: Annotated[
        str | None,
        _option(metavar="SHARE", help='What fouling has left: "85 %". Else just washed.'),
    ] = None


@dataclass(frozen=True)
class WishTexts:
    """What is wished, as typed."""

    flow: Annotated[
        str | None, _option(metavar="FLOW", help="Only this setting of the valve, not the map.")
    ] = None
    want_brix: Annotated[
        str | None, _option(metavar="BRIX", help="Which setting gives this strength?")
    ] = None
    match_pan: Annotated[
        bool, typer.Option("--match-pan", help="Which one keeps up with the pan at full fire?")
    ] = False
    done_by: Annotated[
        str | None, _option(metavar="CLOCK", help='Which one is done by "21:00"? Needs --sap.')
    ] = None
    now: Annotated[
        str | None, _option(metavar="CLOCK", help="Start of the run for --done-by; else now.")
    ] = None
    clean_water_test: Annotated[
        str | None,
        _option(
            metavar='"FLOW, PRESSURE, TEMP"',
            help="Permeate, gauge and temperature with clean water: the condition.",
        ),
    ] = None


@with_groups
def membrane(
    today: SapTexts,
    wishes: WishTexts,
    folder: FolderArgument = ".",
    json: JsonOption = False,
) -> None:
    """How do I set the membrane today? What each setting gives, and which one does what you want.

    Draws strength, permeate, sap taken in, time for the tank, power and amps over the range of
    your concentrate valve, and warns of settings that harm the elements.

    Examples:
      sugarwright membrane my-sugarhouse --sap "212 gal" --want-brix 4
      sugarwright membrane --sap "14 in" --match-pan --done-by 21:00
      sugarwright membrane --clean-water-test "22 gal/h, 80 psi, 50 F"
    """
    report = report_of(house_as_learnt(folder), today, wishes)
    if json:
        say(as_json(report))
    else:
        from sugarwright.cli.membrane_text import report_lines

        say(*report_lines(report))


def report_of(house: House, today: SapTexts, wishes: WishTexts) -> MembraneReport:
    """Return what was asked of a house's membrane.

    Raises
    ------
    InputError : the house has no membrane, or an option cannot be used
    """
    system = house.site.units
    fouling = read_within("--condition", today.condition, FRACTION, 0.05, 1.0, 1.0)
    machine = machine_of(house, fouling)
    if machine is None:
        raise InputError("membrane", None, "is not in sugarhouse.toml", fix="Add [membrane] first.")
    usual_pa = machine.membrane.exit_pressure_pa
    pressure_pa = read_within(
        "--pressure", today.pressure, PRESSURE, 1e5, GREATEST_EXIT_PRESSURE_PA, usual_pa, system
    )
    known = dataclasses.replace(machine.membrane, exit_pressure_pa=pressure_pa)
    machine = Machine(known, machine.condition_fraction, machine.standing_power_w)
    test = _tested(house, machine, wishes.clean_water_test)
    if test is not None and test.believable:
        machine = dataclasses.replace(machine, condition_fraction=test.condition_fraction)
    sap = _sap(house, today)
    if wishes.flow is None:
        settings = settings_map(machine, sap)
    else:
        # The plant's own least and most say what is usual, not what the valve can do.
        flow_m3_s = read_within("--flow", wishes.flow, FLOW, 1e-7, 1e-2, 0.0, system)
        settings = (setting(machine, sap, flow_m3_s),)
    return MembraneReport(
        house.site.name,
        system,
        sap,
        pressure_pa,
        machine.condition_fraction,
        test,
        settings,
        tuple(_answers(house, machine, sap, wishes)),
        (CAUTIONS["membrane"], CAUTIONS["wash"]) if test else (CAUTIONS["membrane"],),
    )


def _sap(house: House, today: SapTexts) -> Sap:
    volume_m3, system = 0.0, house.site.units
    if today.sap is not None:
        volume_m3 = read_level_m3(house.sap_tank, "--sap", today.sap, system)
    return Sap(
        read_within("--sap-brix", today.sap_brix, BRIX, *SAP_BRIX, house.trees.sap_brix),
        read_within(
            "--temperature", today.temperature, TEMPERATURE, 0.0, 30.0, USUAL_SAP_C, system
        ),
        volume_m3,
    )


def _answers(house: House, machine: Machine, sap: Sap, wishes: WishTexts) -> list[Answer]:
    found = []
    if wishes.want_brix is not None:
        brix = parse(wishes.want_brix, BRIX, "--want-brix")
        try:
            found.append(for_brix(machine, sap, brix))
        except InputError as error:
            text = wishes.want_brix
            raise InputError("--want-brix", text, error.problem, error.allowed, error.fix) from None
    if wishes.match_pan:
        pan = house.pan
        found.append(for_pan(machine, sap, pan.boil_rate_m3_s, pan.finish_brix))
    if wishes.done_by is not None:
        if sap.volume_m3 <= 0.0:
            raise InputError("--sap", None, "is needed with --done-by", fix='As in --sap "212 gal"')
        left_s, tomorrow = _left_s(house, wishes.done_by, wishes.now)
        found.append(dataclasses.replace(for_time(machine, sap, left_s), tomorrow=tomorrow))
    return found


def _left_s(house: House, done_by: str, now: str | None) -> tuple[float, bool]:
    """Return the time from now to a time of the day [s], and whether it is tomorrow's."""
    end_min = parse_clock(done_by, "--done-by")
    if now is None:
        moment = datetime.now(ZoneInfo(house.site.timezone))
        now_min = moment.hour * 60 + moment.minute
    else:
        now_min = parse_clock(now, "--now")
    left_min = (end_min - now_min) % DAY_MIN
    if left_min == 0:
        raise InputError("--done-by", done_by, "is now", fix="Name a later time.")
    return 60.0 * left_min, end_min < now_min


def _tested(house: House, machine: Machine, text: str | None) -> CleanWaterTest | None:
    if text is None:
        return None
    name, system = "--clean-water-test", house.site.units
    parts = re.split(r";|,\s", text)  # a decimal comma has no space behind it
    if len(parts) != 3:
        allowed = "permeate, gauge pressure and temperature"
        raise InputError(name, text, "is not three readings", allowed, '"22 gal/h, 80 psi, 50 F"')
    flow, pressure, temperature = parts
    return clean_water_test(
        machine,
        read_within(name, flow, FLOW, 1e-7, 1e-2, 0.0, system),
        read_within(name, pressure, PRESSURE, 0.5e5, 41.4e5, 0.0, system),
        read_within(name, temperature, TEMPERATURE, 0.0, 45.0, 0.0, system),
        house.habit.concentrate_flow_m3_s,
    )
