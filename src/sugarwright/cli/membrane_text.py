"""The membrane's settings as a table and a drawing, and answers to wishes in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sugarwright.bench.clean_water import CleanWaterTest
from sugarwright.bench.membrane_advice import Answer
from sugarwright.bench.membrane_machine import Setting
from sugarwright.bench.membrane_report import MembraneReport
from sugarwright.cli.output import columns, wrapped
from sugarwright.units import DURATION, FLOW, PRESSURE, TEMPERATURE, VOLUME, show, to_unit

ROWS, COLUMNS = 9, 60
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


def report_lines(report: MembraneReport) -> Iterator[str]:
    """Yield a report as lines of at most 80 columns."""
    system = report.units
    sap = f"{report.sap.brix:.1f} Brix sap at {show(report.sap.temperature_c, TEMPERATURE, system)}"
    pressure = show(report.exit_pressure_pa, PRESSURE, system)
    yield f"{report.house}: the membrane today"
    head = f"{sap}, {pressure} at the valve, condition {100 * report.condition_fraction:.0f} %"
    if report.sap.volume_m3:
        head += f"; {show(report.sap.volume_m3, VOLUME, system)} to work off"
    yield wrapped(head)
    if report.clean_water is not None:
        yield ""
        yield from _test_lines(report.clean_water, system)
    yield ""
    yield from (f"  {line}" for line in columns(_table(report), left=0))
    yield from _warning_lines(report)
    if len(report.settings) > 1:
        yield ""
        yield from _drawing(report)
    for answer in report.answers:
        yield ""
        yield wrapped(_words(answer, report), "> ", "  ")
    yield ""
    for text in report.cautions:
        yield wrapped(text, "! ")


def _table(report: MembraneReport) -> list[list[str]]:
    flow, digits = ("L/h", 0) if report.units == "metric" else ("gal/h", 1)
    titles = [f"valve {flow}", "Brix", f"permeate {flow}", f"sap {flow}", "time", "W", "A", ""]
    rows = [titles]
    for each in report.settings:
        flows = [
            f"{to_unit(value, FLOW, flow):.{digits}f}"
            for value in (
                each.concentrate_flow_m3_s,
                each.permeate_flow_m3_s,
                each.feed_flow_m3_s,
            )
        ]
        time = "-" if each.duration_s is None else show(each.duration_s, DURATION)
        motor = [f"{each.power_w:.0f}", f"{each.current_a:.1f}", "!" if each.warnings else ""]
        rows.append([flows[0], f"{each.concentrate_brix:.1f}", *flows[1:], time, *motor])
    return rows


def _warning_lines(report: MembraneReport) -> Iterator[str]:
    """Yield each warning once, with the settings that it is about."""
    shown = list(report.settings)
    shown += [each.setting for each in report.answers]
    for name, text in WARNINGS.items():
        flows = [each.concentrate_flow_m3_s for each in shown if name in each.warnings]
        if flows:
            span = _flow(min(flows), report.units)
            if max(flows) > min(flows):
                span += f" to {_flow(max(flows), report.units)}"
            yield wrapped(f"valve at {span}: {text}.", "  ! ")


def _drawing(report: MembraneReport) -> Iterator[str]:
    """Draw strength over valve flow: ``*`` a setting, ``!`` one with a warning, ``O`` an answer."""
    from sugarwright.cli.charts_canvas import PLAIN, Canvas  # one point needs no drawing
    from sugarwright.cli.charts_text import framed

    marks = [(each, "!" if each.warnings else "*") for each in report.settings]
    marks += [(each.setting, "O") for each in report.answers]
    flows = [math.log(each.concentrate_flow_m3_s) for each, _ in marks]
    strengths = [each.concentrate_brix for each, _ in marks]
    low, high = min(strengths), max(strengths)
    canvas = Canvas(COLUMNS, ROWS, PLAIN)
    for (_, mark), flow, brix in zip(marks, flows, strengths, strict=True):
        canvas.put(_share(flow, min(flows), max(flows)), _share(brix, low, high), mark)
    yield "  Brix of the concentrate"
    yield from framed(canvas, low, high)
    left = _flow(math.exp(min(flows)), report.units)
    right = _flow(math.exp(max(flows)), report.units)
    yield f"       +{'-' * COLUMNS}"
    yield f"        {left}{right.rjust(COLUMNS - len(left))}"
    answers = "   O what you asked for" if report.answers else ""
    yield f"        valve, each step as many times the last{answers}"


def _share(value: float, low: float, high: float) -> float:
    """Return where a value lies between two ends, 0 to 1."""
    return (value - low) / (high - low) if high > low else 0.0


def _words(answer: Answer, report: MembraneReport) -> str:
    """Return what to set, or why it cannot be and what comes nearest."""
    told = {"brix": _brix_words, "pan": _pan_words, "done": _done_words}
    return told[answer.wish](answer, report)


def _brix_words(answer: Answer, report: MembraneReport) -> str:
    wanted, system = f"{answer.wanted_brix:.1f} Brix", report.units
    gives = _gives(answer.setting, system)
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
    gives = _gives(answer.setting, report.units)
    if answer.possible:
        return f"In step with the pan at full fire: {gives}."
    if answer.breaks == "pan too fast":
        return (
            f"The pan takes more than the valve's widest setting gives. Nearest: {gives}. Start "
            "from a full stock tank, or with less fire; never let the pan run short."
        )
    return f"The pan takes less than the narrowest setting gives. Nearest: {gives}. The rest waits."


def _done_words(answer: Answer, report: MembraneReport) -> str:
    gives = _gives(answer.setting, report.units)
    span = show(answer.within_s or 0.0, DURATION)
    day = f"That time is past today, so tomorrow's was taken, {span} from now. "
    return (day if answer.tomorrow else "") + _done_in_time(answer, report, gives)


def _done_in_time(answer: Answer, report: MembraneReport, gives: str) -> str:
    if answer.possible:
        return f"Done in time, and as sweet as that allows: {gives}. Rinse or wash comes after."
    left = show(answer.left_m3, VOLUME, report.units)
    return f"Not in that time. Nearest, valve wide open: {gives}; {left} are left then."


def _gives(each: Setting, system: str) -> str:
    text = (
        f"valve at {_flow(each.concentrate_flow_m3_s, system)} gives {each.concentrate_brix:.1f} "
    )
    text += f"Brix, {_flow(each.permeate_flow_m3_s, system)} permeate"
    if each.duration_s is not None:
        text += f", {show(each.duration_s, DURATION)} for the tank"
    return text


def _test_lines(test: CleanWaterTest, system: str) -> Iterator[str]:
    found = f"{100 * test.condition_fraction:.0f} %"
    sure = f"{200 * test.condition_sd_fraction:.0f}"
    at_25 = _flow(test.permeate_25_flow_m3_s, system)
    warm = show(25.0, TEMPERATURE, system)
    yield wrapped(
        f"Clean-water test: condition {found}, give or take {sure}, 19 times in 20 (gauge, jug and "
        f"thermometer). At {warm} it would have been {at_25}."
    )
    if not test.believable:
        yield wrapped(
            "That is more than a new membrane gives: another element than described, or a reading "
            "in another unit. It is not used below.",
            "! ",
        )
    else:
        yield wrapped(f'Just washed? Then write condition = "{found}" under [membrane].')


def _flow(flow_m3_s: float, system: str) -> str:
    """Return a flow in the unit of the table, whatever its size."""
    unit, digits = ("L/h", 0) if system == "metric" else ("gal/h", 1)
    return show(flow_m3_s, FLOW, system, digits=digits, unit=unit)
