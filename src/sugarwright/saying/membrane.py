"""The membrane's settings as a table of words, and answers to wishes in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sugarwright.saying.words import bare, valve_text, valve_unit
from sugarwright.units import DURATION, FLOW, PRESSURE, VOLUME, show, to_unit

if TYPE_CHECKING:
    from sugarwright.bench.membrane_advice import Answer
    from sugarwright.bench.membrane_machine import Setting
    from sugarwright.bench.membrane_report import MembraneReport

WARNINGS = {
    "no permeate": "no permeate: the sap's osmotic pressure is above the gauge's, or the flow is "
    "too small for so much membrane",
    "weak pump": "the pump cannot hold the pressure that was asked for; shown is what it reaches",
    "pressure drop": "more than 15 psi (1 bar) lost along one element: it can burst out of its end",
    "slow": "too little flow along the membrane, it fouls sooner: send more round, or open the "
    "valve. Makers of elements ask some 1 gal/min for a 2.5 inch one and 3 for a 4 inch one",
    "fast": "more flow into the first element than makers allow (some 6 gal/min for a 2.5 inch "
    "one, 16 for a 4 inch one)",
}


def settings_table(report: MembraneReport) -> list[list[str]]:
    """Return what each setting gives: a row of titles, then a row a setting."""
    flow, digits = ("L/h", 0) if report.units == "metric" else ("gal/h", 1)
    titles = [
        f"valve {valve_unit(report.units)}",
        "Brix",
        f"permeate {flow}",
        f"sap {flow}",
        "time",
        "W",
        "A",
        "",
    ]
    rows = [titles]
    for each in report.settings:
        flows = [
            f"{to_unit(value, FLOW, flow):.{digits}f}"
            for value in (each.permeate_flow_m3_s, each.feed_flow_m3_s)
        ]
        time = "-" if each.duration_s is None else show(each.duration_s, DURATION)
        motor = [f"{each.power_w:.0f}", f"{each.current_a:.1f}", "!" if each.warnings else ""]
        valve = bare(valve_text(each.concentrate_flow_m3_s, report.units))
        rows.append([valve, f"{each.concentrate_brix:.1f}", *flows, time, *motor])
    return rows


def warning_texts(report: MembraneReport) -> Iterator[str]:
    """Yield each warning once, with the settings that it is about."""
    shown = [*report.settings, *(each.setting for each in report.answers)]
    for name, text in WARNINGS.items():
        flows = [each.concentrate_flow_m3_s for each in shown if name in each.warnings]
        if flows:
            span = valve_text(min(flows), report.units)
            if max(flows) > min(flows):
                span += f" to {valve_text(max(flows), report.units)}"
            yield f"valve at {span}: {text}."


def answer_text(answer: Answer, report: MembraneReport) -> str:
    """Return what to set, or why it cannot be and what comes nearest."""
    told = {"brix": _brix_words, "pan": _pan_words, "done": _done_words}
    return told[answer.wish](answer, report)


def _brix_words(answer: Answer, report: MembraneReport) -> str:
    wanted, system = f"{answer.wanted_brix:.1f} Brix", report.units
    gives = gives_text(answer.setting, system)
    if answer.possible:
        return f"For {wanted}: {gives}."
    end = "narrowest" if answer.breaks == "too strong" else "widest"
    ways = []
    if answer.pressure_pa is not None:
        needed = show(answer.pressure_pa, PRESSURE, system)
        ways.append(f"{needed} at that setting would do it{_pressure_words(answer, report)}")
    if answer.round_trip_s is not None:
        ways.append(
            "the concentrate led back into its own tank, valve wide open, gets there in some "
            f"{show(answer.round_trip_s, DURATION)}"
        )
    if answer.breaks == "too weak":
        ways.append("so does sap mixed in")
    told = "; or ".join(ways) if ways else "no pressure up to 600 psi (41 bar) does it"
    return (
        f"{wanted} is {answer.breaks} for this valve. Nearest, at its {end}: {gives}. But {told}."
    )


def _pressure_words(answer: Answer, report: MembraneReport) -> str:
    """Return what stands against raising the pressure; nothing when it is lowered."""
    if answer.breaks != "too strong" or answer.pressure_pa is None:
        return ""
    if "weak pump" in answer.pressure_warnings:
        return ", but the pump as described cannot hold that"
    if "pressure drop" in answer.pressure_warnings or "fast" in answer.pressure_warnings:
        return ", but it asks more of the elements than their makers allow"
    times = answer.pressure_pa / report.exit_pressure_pa
    much = f", {times:.1f} times today's:" if times >= 1.5 else ","
    return f"{much} only if the plates of pump, housing and elements all allow it"


def _pan_words(answer: Answer, report: MembraneReport) -> str:
    gives = gives_text(answer.setting, report.units)
    if answer.possible:
        return f"In step with the pan at full fire: {gives}."
    if answer.breaks == "pan too fast":
        return (
            f"The pan takes more than the valve's widest setting gives. Nearest: {gives}. Start "
            "from a full stock tank, or with less fire; never let the pan run short."
        )
    return f"The pan takes less than the narrowest setting gives. Nearest: {gives}. The rest waits."


def _done_words(answer: Answer, report: MembraneReport) -> str:
    gives = gives_text(answer.setting, report.units)
    span = show(answer.within_s or 0.0, DURATION)
    day = f"That time is past today, so tomorrow's was taken, {span} from now. "
    return (day if answer.tomorrow else "") + _done_in_time(answer, report, gives)


def _done_in_time(answer: Answer, report: MembraneReport, gives: str) -> str:
    if answer.possible:
        return f"Done in time, and as sweet as that allows: {gives}. Rinse or wash comes after."
    left = show(answer.left_m3, VOLUME, report.units)
    return f"Not in that time. Nearest, valve wide open: {gives}; {left} are left then."


def gives_text(each: Setting, system: str) -> str:
    """Return what a setting of the valve gives."""
    valve = valve_text(each.concentrate_flow_m3_s, system)
    permeate = flow_text(each.permeate_flow_m3_s, system)
    text = f"valve at {valve} gives {each.concentrate_brix:.1f} Brix, {permeate} permeate"
    if each.duration_s is not None:
        text += f", {show(each.duration_s, DURATION)} for the tank"
    return text


def flow_text(flow_m3_s: float, system: str) -> str:
    """Return a flow of permeate or sap in the unit of the table, whatever its size."""
    unit, digits = ("L/h", 0) if system == "metric" else ("gal/h", 1)
    return show(flow_m3_s, FLOW, system, digits=digits, unit=unit)
